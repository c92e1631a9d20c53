package app_test

import (
	"testing"

	"skep/internal/app"
)

func TestCourse(t *testing.T) {
	c, _, _, clock := inBackground(t)
	clock.Add(10 * 24 * 3600)
	ctx := t.Context()
	for _, w := range []app.LookWords{{Jug: "heather", Gravity: "1.050 at 30 C"}, {Jug: "heather", Mass: "5.2 kg"}, {Jug: "heather", Bubbles: "12/min"}} {
		if _, err := c.Look(ctx, w); err != nil {
			t.Fatal(err)
		}
	}
	clock.Add(24 * 3600)
	if _, err := c.Look(ctx, app.LookWords{Jug: "heather", Mass: "5.18 kg"}); err != nil {
		t.Fatal(err)
	}
	j, err := c.Jug(ctx, "heather")
	if err != nil {
		t.Fatal(err)
	}
	for _, known := range app.Courses() {
		course := j.Course(known[0])
		if course.Of != known[0] || len(course.Seen) == 0 != (known[0] == "sugar" || known[0] == "strength") {
			t.Errorf("Course(%s) is of %s, %d seen", known[0], course.Of, len(course.Seen))
		}
		if known[0] != "temperature" && len(course.Days) < 10 {
			t.Errorf("Course(%s) has %d days", known[0], len(course.Days))
		}
	}
	// A warm sample reads low: at 20 °C it is denser.
	if seen := j.Course("gravity").Seen; seen[0].Value < 1.0515 || seen[0].Value > 1.0535 {
		t.Errorf("1.050 at 30 °C is shown as %.4f, want 1.0525", seen[0].Value)
	}
	weights := j.Course("weight").Seen
	if lost := weights[1].Value - weights[0].Value; lost < 19.9 || lost > 20.1 {
		t.Errorf("20 g less on the scale are %.1f g lost", lost)
	}
	// The bubbles counted lie on the forecast that was scaled by them.
	bubbles := j.Course("bubbles")
	for i, d := range bubbles.Days[1:] {
		if a := bubbles.Days[i]; a.At.Before(bubbles.Seen[0].At) && d.At.After(bubbles.Seen[0].At) {
			if low, high := min(a.Value, d.Value), max(a.Value, d.Value); low > 12 || high < 12 {
				t.Errorf("12 bubbles a minute lie outside %.1f to %.1f of the scaled forecast", low, high)
			}
		}
	}
}
