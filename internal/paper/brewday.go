package paper

import (
	"fmt"
	"io"
	"time"

	"skep/internal/app"
)

// BrewDay draws a plan step by step, to be ticked off at the stove.
//
// Errors: *FitError for a title; *LetterError.
func BrewDay(w io.Writer, p Paper, plan app.Plan, s app.Sheet, at time.Time) error {
	title := s.Name
	if title == "" {
		title = "Brew day"
	}
	f, err := newFlow(p, title, fmt.Sprintf("%.2f L in a jug of %.2f L", plan.Fill.Value, plan.Vessel.Litres), at)
	if err != nil {
		return err
	}
	f.figures(
		figure{fmt.Sprintf("%.3f", plan.Prospect.Gravity.Value), "original gravity"},
		figure{fmt.Sprintf("%.1f %%", plan.Prospect.Strength.Value), "of alcohol by volume at the end"},
		figure{fmt.Sprintf("%.2f kg", s.FullKg.Value), "of must in the full jug"},
	)
	for i, step := range s.Steps {
		f.step(i+1, step)
	}
	for _, warning := range s.Warnings {
		f.care(warning + ".")
	}
	f.blanks("empty jug", "full jug", "gravity", "at temperature", "room")
	return f.write(w)
}

// step draws one step; its title stays with its first line.
func (f *flow) step(number int, s app.Step) {
	f.need(26)
	f.y += 2.5
	when := s.When
	if s.Minutes.Known() {
		when += fmt.Sprintf(", %.0f to %.0f minutes", s.Minutes.Low, s.Minutes.High)
	}
	f.para("step", fmt.Sprintf("%d. %s", number, s.Title), serif, heading, 0)
	f.y -= 0.8
	f.beside("step", when, sans, small, 6, f.across()-6, quiet)
	f.y += 1
	for _, a := range s.Quantities {
		f.row(a.Ingredient, amount(a), 6, 55)
	}
	for _, do := range s.Do {
		f.box("step", do)
	}
	for _, caution := range s.Caution {
		f.care(caution)
	}
}

// blanks draws lines side by side for what is read, with their names below.
func (f *flow) blanks(names ...string) {
	f.need(18)
	f.y += 14
	each := f.across() / float64(len(names))
	for i, name := range names {
		x := side + float64(i)*each
		f.rule(x, f.y, each-5, quiet)
		f.text(x, f.y+0.8, name, sans, small, quiet)
	}
	f.y += 4
}

// amount reads "1.20 kg = 2 lb 10 oz = 3 1/2 cups".
func amount(a app.Amount) string {
	text := a.Metric
	if a.Weight != a.Metric {
		text += " = " + a.Weight
	}
	if a.Kitchen != "" {
		text += " = " + a.Kitchen
	}
	return text
}
