package chart

import (
	"slices"
	"testing"

	"skep/internal/app"
	"skep/internal/measure"
)

func TestOf(t *testing.T) {
	day := func(n int) app.CourseDay {
		return app.CourseDay{At: start.AddDate(0, 0, n), Range: measure.Exact(1.05, "SG")}
	}
	end := app.Dates{From: start.AddDate(0, 0, 9), To: start.AddDate(0, 0, 12)}
	c := app.Course{
		Of: "gravity", Label: "Gravity", Now: start.AddDate(0, 0, 5), Days: []app.CourseDay{day(0), day(10)}, Finish: &end,
		Marks: []app.CourseMark{{At: start, Kind: "pitched"}, {At: start, Kind: "added"}, {At: start, Kind: "added"}},
	}
	p, means, drawn := Of(c)
	if !drawn || len(p.Reckoned) != 2 || len(p.Marks) != 3 || !p.Now.Equal(c.Now) || !p.To.Equal(end.To) {
		t.Errorf("Of(gravity) = %+v, drawn %t", p, drawn)
	}
	if want := []string{"Y pitched", "A added"}; !slices.Equal(means, want) {
		t.Errorf("Of(gravity) says %q of its letters, want %q", means, want)
	}
	c.Now = start.AddDate(0, 0, 20)
	if p, _, _ := Of(c); !p.To.IsZero() {
		t.Errorf("it was over before now, and yet an end is to come: %v", p.To)
	}
	c.Of = "temperature"
	if p, _, _ := Of(c); !p.Now.IsZero() {
		t.Errorf("nothing of a temperature is forecast, and yet now is marked: %v", p.Now)
	}
	if _, _, drawn := Of(app.Course{Of: "gravity", Marks: c.Marks}); drawn {
		t.Error("there is nothing but marks, and it is drawn")
	}
}
