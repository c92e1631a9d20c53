package app

import (
	"fmt"
	"strings"

	"skep/internal/batch"
	"skep/internal/measure"
)

// describe tells a happening in one line, in the words it was told in. number are the
// numbers of entries by their ids.
func describe(h batch.Happening, number map[string]int) string {
	switch h := h.(type) {
	case batch.Made:
		return list("made in "+h.Vessel.Name, parts(h.Parts), told("full weight", h.Full), told("empty weight", h.Vessel.Tare),
			at(told("gravity", h.Gravity), h.Sample))
	case batch.Pitched:
		return list(fmt.Sprintf("pitched %s (%s, %.3g g)", h.Amount.Words, h.Yeast, h.Grams), told("must at", h.Temperature))
	case batch.Looked:
		return list(told("weight", h.Mass), bubbles(h.Bubbles), at(told("gravity", h.Gravity), h.Sample),
			at(told("fermented out", h.Spent), h.SpentAt), at(told("refractometer", h.Brix), h.Sample), told("room", h.Room), told("must", h.Liquid),
			told("taken out", h.Drawn), ph(h.PH), told("acidity", h.TA), named("clarity", h.Clarity), named("smell", h.Smell), named("taste", h.Taste), h.Note)
	case batch.Added:
		return list("added "+parts(h.Parts), h.Why)
	case batch.Stabilised:
		return "stabilised with " + parts(h.Parts)
	case batch.Heated:
		where := "in the jug"
		if h.Bottles {
			where = "in the bottles"
		}
		return fmt.Sprintf("pasteurised %s at %s for %s", where, h.To.Words, h.For.Words)
	case batch.Aimed:
		return list("to be finished: "+h.Path, told("to", h.To), named("with", h.With), told("to", h.Fizz))
	case batch.Poured:
		emptied := ""
		if h.Emptied {
			emptied = "the jug is empty now"
		}
		return list(fmt.Sprintf("%s poured into %s", h.Litres.Words, h.Name), emptied)
	case batch.Blended:
		var of []string
		for _, s := range h.Sources {
			of = append(of, s.Wine.Words)
		}
		return list("blended of "+strings.Join(of, " and "), told("lost", h.Lost))
	case batch.Racked:
		return list("racked to "+h.To.Name, told("left behind", h.Left), told("full weight", h.Full))
	case batch.Moved:
		return list(named("moved to", h.Place), told("room", h.Room))
	case batch.Bottled:
		var bottles []string
		for _, b := range h.Bottles {
			words := fmt.Sprintf("%d x %.0f mL %s", b.Count, b.SizeML, b.Kind)
			if b.Part {
				words += fmt.Sprintf(" with %.0f mL in it", b.Each())
			}
			bottles = append(bottles, words)
		}
		priming := ""
		if h.Priming != nil {
			priming = "primed with " + h.Priming.Words
		}
		return list("bottled "+string(h.Style)+": "+strings.Join(bottles, ", "), priming, told("left in the jug", h.Left),
			named("place", h.Place), named("lot", h.Code), named("against the verdict:", h.Despite))
	case batch.Shelved:
		warmest := ""
		if h.Warmest != 0 {
			warmest = fmt.Sprintf("%.3g °C at the warmest", float64(h.Warmest))
		}
		return list(named("bottles moved to", h.Place), warmest)
	case batch.Opened:
		return list(fmt.Sprintf("%d x %.0f mL off the shelf", h.Count, h.SizeML), h.Why)
	case batch.Tasted:
		score := ""
		if h.Score > 0 {
			score = fmt.Sprintf(" (%d of %d)", h.Score, h.Best())
		}
		return "tasted: " + list(named("look", h.Look), named("smell", h.Smell), named("taste", h.Taste), named("balance", h.Balance), h.Words) + score
	case batch.Noted:
		return h.Note
	case batch.Corrected:
		return fmt.Sprintf("correction of %d: %s", number[h.Of], describe(h.By, number))
	case batch.Withdrawn:
		return list(fmt.Sprintf("took back %d", number[h.Of]), h.Why)
	}
	return h.Kind()
}

// ph is what a strip or a meter said, in words that hold "pH" already.
func ph(q *measure.Quantity) string {
	if q == nil {
		return ""
	}
	return q.Words
}

// bubbles are told once, in whichever words they were told.
func bubbles(q *measure.Quantity) string {
	switch {
	case q == nil:
		return ""
	case strings.Contains(strings.ToLower(q.Words), "bubble"):
		return q.Words
	case q.Value == 0:
		return "no bubbles"
	}
	return "bubbles " + q.Words
}

// list joins what is not empty.
func list(items ...string) string {
	var said []string
	for _, item := range items {
		if item != "" {
			said = append(said, item)
		}
	}
	return strings.Join(said, ", ")
}

func told(name string, q *measure.Quantity) string {
	if q == nil {
		return ""
	}
	return name + " " + q.Words
}

func named(name, words string) string {
	if words == "" {
		return ""
	}
	return name + " " + words
}

// at adds the temperature of a sample to a reading.
func at(reading string, sample *measure.Quantity) string {
	if reading == "" || sample == nil {
		return reading
	}
	return reading + " at " + sample.Words
}

func parts(all []batch.Part) string {
	var said []string
	for _, p := range all {
		said = append(said, p.Words)
	}
	return strings.Join(said, ", ")
}
