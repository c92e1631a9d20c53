package app

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/nutrient"
)

// WhatIfWords are things that could be done to a jug now, each for itself.
type WhatIfWords struct {
	Jug string   `json:"jug"`
	If  []string `json:"if"` // "20 C", "300 g honey", "500 mL water", "1 g diammonium phosphate"
}

// Branch is the forecast if one thing is done.
type Branch struct {
	If         string         `json:"if"` // as told; the first is "leave it"
	Final      estimate.State `json:"final"`
	Finish     Dates          `json:"finish"`
	StopsSweet float64        `json:"stops_sweet"` // chance that it ends with sugar which its yeast could take, but does not
	Cautions   []string       `json:"cautions,omitempty"`
}

// WhatIf runs a jug on under each of several deeds, beside leaving it alone. Nothing is recorded.
//
// Errors: *AskError for words that make no sense; a jug that the model does not follow.
func (c *Cellar) WhatIf(ctx context.Context, w WhatIfWords) ([]Branch, error) {
	_, _, state, err := c.jug(ctx, w.Jug)
	if err != nil {
		return nil, err
	}
	s, err := c.followable(state)
	if err != nil {
		return nil, err
	}
	deeds := make([]deed, 1, 1+len(w.If))
	deeds[0].words = "leave it"
	for _, words := range w.If {
		d, err := c.deed(ctx, words)
		if err != nil {
			return nil, err
		}
		deeds = append(deeds, d)
	}
	f, err := c.follow(state, s)
	if err != nil {
		return nil, err
	}
	return c.branches(state, f, deeds)
}

// deed is a thing to do, understood.
type deed struct {
	words string
	estimate.Deed
	part *batch.Part
}

// deed understands a temperature or something to add.
func (c *Cellar) deed(ctx context.Context, words string) (deed, error) {
	words = strings.TrimSpace(words)
	if words == "" {
		return deed{}, ask("if", words, `write "20 C", "300 g honey" or "500 mL water"`, errors.New("nothing is done"))
	}
	if q, err := measure.Parse(words, c.system); err == nil && q.Kind == measure.Temperature {
		t := measure.Celsius(q.Value)
		if t < 0 || t > 40 {
			return deed{}, ask("if", words, "", fmt.Errorf("%.0f °C is outside 0 to 40 °C, where yeast is understood", q.Value))
		}
		return deed{words: words, Deed: estimate.Deed{Keep: &t}}, nil
	}
	part, err := c.part(ctx, "if", words)
	if err != nil {
		return deed{}, err
	}
	return deed{words: words, part: &part, Deed: estimate.Deed{Does: []estimate.Change{{Added: part.Adds}}}}, nil
}

// branches runs the members of a jug on under each deed.
func (c *Cellar) branches(state batch.State, f followed, deeds []deed) ([]Branch, error) {
	var all []Branch
	for _, d := range deeds {
		d.At = f.hour
		late := d.part != nil && lateSalts(f, *d.part)
		if late {
			d.Does[0].Added[must.Nitrogen] = 0
		}
		p, err := f.posterior.If(d.Deed)
		if err != nil {
			return nil, fmt.Errorf("jug %q, %s: %w", state.Name, d.words, err)
		}
		b := Branch{If: d.words, Final: p.Final(), Finish: dates(state, p.Outlook())}
		b.StopsSweet = b.Final.Phases.Stopped
		if d.part != nil {
			b.Cautions = cautionsOf(state, *d.part, late)
		}
		if d.Keep != nil && *d.Keep > f.situation.Yeast.TemperatureTop {
			b.Cautions = append(b.Cautions, fmt.Sprintf("this yeast suffers above %.0f °C", float64(f.situation.Yeast.TemperatureTop)))
		}
		all = append(all, b)
	}
	if f.posterior.Stopped() > 0.5 {
		all[0].Cautions = append(all[0].Cautions, "its yeast is taken to have stopped for good: what might wake it is not in the model")
	}
	return all, nil
}

// lateSalts says that something is an ammonium salt, and too late to be taken up. The model
// does not know that yeast in alcohol takes up hardly any.
func lateSalts(f followed, part batch.Part) bool {
	left, first := f.posterior.At(f.hour).Hexose.Value, f.posterior.At(0).Hexose.Value
	return part.Adds[must.Nitrogen] > 0 && part.Adds.Hexose(1) == 0 && left < (1-nutrient.LastSugarGone)*first
}

// cautionsOf are those that belong to something that would go in.
func cautionsOf(state batch.State, part batch.Part, late bool) []string {
	all := advice.CautionsOn(state, batch.Added{Parts: []batch.Part{part}})
	if late {
		all = append(all, "more than a third of the sugar is gone: yeast takes up hardly any of it now, so its nitrogen is counted as nothing; what is left of it feeds spoilage")
	}
	if litres, err := state.Volume(); err == nil {
		if added, err := part.Adds.Volume(20); err == nil && float64(litres)+float64(added) > state.Vessel.Litres {
			all = append(all, fmt.Sprintf("%.2f L more do not go into the jug", float64(added)))
		}
	}
	return all
}
