package paper

import (
	"fmt"
	"io"
	"time"

	"skep/internal/app"
	"skep/internal/measure"
)

// Class draws a sheet for a class: a jug's story with five numbers left out, to be
// measured with scale, watch, thermometer and hydrometer, and on a page of its own, to be
// printed behind, what Skep makes of them.
//
// Errors: a jug without an estimate; *FitError for a title; *LetterError.
func Class(w io.Writer, p Paper, card app.Card, at time.Time) error {
	s := card.Stood
	if s.Now == nil {
		return fmt.Errorf("jug %q: no answers for a class: %s", card.Name, s.Unknown)
	}
	f, err := newFlow(p, card.Name, "Five numbers are missing. Measure them.", at)
	if err != nil {
		return err
	}
	f.para("story", fmt.Sprintf("On %s this went into a jug (%s), and yeast into it on %s:", day(card.Made), card.Vessel, day(card.YeastIn)), sans, body, 0)
	for _, part := range card.In {
		f.para("parts", part, sans, body, 6)
	}
	f.para("story", "Yeast turns sugar into alcohol and a gas, carbon dioxide, in about equal weights. The gas leaves by the airlock, so the jug grows lighter, and the must grows thinner: a hydrometer sinks deeper in it.", sans, body, 0)
	if card.First.Known() {
		f.para("story", fmt.Sprintf("On its first day the hydrometer stood at about %.3f.", card.First.Value), sans, body, 0)
	}
	tasks := []struct{ name, how, unit, answer string }{
		{"1. Weight lost", "Weigh the jug. How much lighter is it than on the day the yeast went in?", "g", measure.ShowRange(s.Now.WeightLost)},
		{"2. Temperature", "Hold a thermometer against the jug, or into a sample. Yeast slows in the cold.", "°C", told(card)},
		{"3. Gas", "Count bubbles at the airlock for a whole minute. Is it working or resting?", "bubbles a minute", "gas given off: " + measure.ShowRange(s.Now.Rate) + "; how many bubbles that is, each airlock says for itself"},
		{"4. Gravity", "Stir the gas out of a sample, float the hydrometer and read it at the level of the liquid.", "", measure.ShowRange(s.Now.Gravity)},
		{"5. Strength", "From the gravity on the first day and today: (first - today) x 131 is a rough rule. How much alcohol is in it?", "% vol", measure.ShowRange(s.Now.Ethanol)},
	}
	for _, t := range tasks {
		f.head(t.name)
		f.para("task", t.how, sans, body, 0)
		f.y += 6
		f.rule(side, f.y+4, 60, black)
		f.text(side+62, f.y, t.unit, sans, body, black)
		f.y += 6
	}
	f.care("Look and smell, do not taste: wine is not for children.")
	f.page()
	f.para("answers", "What Skep makes of it", serif, nameSize-6, 0)
	f.para("answers", fmt.Sprintf("On %s, from all that was read before. \"Most likely\" is where the truth lies in eight of ten cases; a careful class may do better.", day(s.At)), sans, body, 0)
	f.y += 3
	for _, t := range tasks {
		f.row(t.name, t.answer, 0, 45)
	}
	f.y += 3
	f.para("answers", "The rough rule leaves out that alcohol is lighter than water and that the wine shrinks as it forms, so it says a little less than there is.", sans, body, 0)
	f.para("answers", s.Standing.Sentence, sans, body, 0)
	return f.write(w)
}

func told(card app.Card) string {
	if card.Room == nil {
		return "nobody told: believe your thermometer"
	}
	return "when it was last told, " + measure.ShowRange(*card.Room)
}
