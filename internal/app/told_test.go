package app_test

import (
	"strings"
	"testing"
	"time"

	"skep/internal/app"
)

// What was told comes back as it was said, and said again in the place of itself it
// changes nothing.
func TestToldAgainIsTheSame(t *testing.T) {
	c, _, _, clock := inBackground(t)
	clock.Add(20 * 24 * 3600)
	ctx := t.Context()
	look := app.LookWords{Jug: "heather", Mass: "5.4 kg", Bubbles: "8/min", Gravity: "1.020 at 22 C", Room: "19 C", Smell: "bread", Calibrated: "20 C"}
	for _, write := range []func() (app.Recorded, error){
		func() (app.Recorded, error) { return c.Look(ctx, look) },
		func() (app.Recorded, error) {
			return c.Add(ctx, app.AddWords{Jug: "heather", Parts: []string{"200 g honey"}, Why: "sweeter"})
		},
		func() (app.Recorded, error) {
			return c.Pitch(ctx, app.PitchWords{Jug: "heather", Yeast: "2 packets of champagne yeast"})
		},
		func() (app.Recorded, error) { return c.Rack(ctx, app.RackWords{Jug: "heather", Left: "150 mL"}) },
		func() (app.Recorded, error) {
			return c.Move(ctx, app.MoveWords{Jug: "heather", Place: "the hall", Room: "17 C"})
		},
		func() (app.Recorded, error) {
			return c.Taste(ctx, app.TasteWords{Jug: "heather", Words: "harsh", Score: 4})
		},
	} {
		first, err := write()
		if err != nil {
			t.Fatal(err)
		}
		told, err := c.Told(ctx, "heather", first.Number)
		if err != nil {
			t.Errorf("Told(%d) = %v", first.Number, err)
			continue
		}
		var again app.Recorded
		switch w := told.(type) {
		case app.LookWords:
			w.Jug = "heather"
			again, err = c.Look(ctx, w)
		case app.AddWords:
			w.Jug = "heather"
			again, err = c.Add(ctx, w)
		case app.PitchWords:
			w.Jug = "heather"
			again, err = c.Pitch(ctx, w)
		case app.RackWords:
			w.Jug = "heather"
			again, err = c.Rack(ctx, w)
		case app.MoveWords:
			w.Jug = "heather"
			again, err = c.Move(ctx, w)
		case app.TasteWords:
			w.Jug = "heather"
			again, err = c.Taste(ctx, w)
		}
		if err != nil || !strings.HasSuffix(again.Said, ": "+first.Said) {
			t.Errorf("%q told again = %q, %v", first.Said, again.Said, err)
		}
	}
	if _, err := c.Told(ctx, "heather", 1); err == nil {
		t.Error("brew day itself was given to be put right by words")
	}
}

// An entry that a phone kept is of the time when it was typed.
func TestSaidEarlier(t *testing.T) {
	c, _, _, clock := inBackground(t)
	clock.Add(20 * 24 * 3600)
	typed := c.Now().Add(-5 * time.Hour)
	late := c.SaidAt(typed)
	for when, want := range map[string]time.Time{"": typed, "2 hours ago": typed.Add(-2 * time.Hour)} {
		r, err := late.Look(t.Context(), app.LookWords{Jug: "heather", Note: "foam " + when, When: when})
		if err != nil {
			t.Fatal(err)
		}
		lines, err := c.History(t.Context(), "heather")
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range lines {
			if l.Number == r.Number && !l.At.Equal(want) {
				t.Errorf("%q said at %v is of %v, want %v", when, typed, l.At, want)
			}
		}
	}
	if r, err := c.SaidAt(c.Now().Add(time.Hour)).Look(t.Context(), app.LookWords{Jug: "heather", Note: "from a clock that is fast"}); err != nil || r.Number == 0 {
		t.Errorf("a look said in the future = %v", err)
	}
}
