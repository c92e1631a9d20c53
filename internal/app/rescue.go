package app

import (
	"context"
	"fmt"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
)

// Rescued is what to do about a jug that stands still, or smells or looks wrong.
type Rescued struct {
	Jug          string           `json:"jug"`
	Standing     advice.Standing  `json:"standing"`
	Explanations []Explanation    `json:"explanations,omitempty"`
	Remedies     []advice.Remedy  `json:"remedies"` // the least harmful first; none where none is due
	Findings     []advice.Finding `json:"findings"` // faults that were smelled or seen
	Note         string           `json:"note"`     // why no remedy is due; "" where one is
}

// Rescue tells what to try, in order, for this jug.
//
// Errors: an unknown jug; a record that does not fold.
func (c *Cellar) Rescue(ctx context.Context, name string) (Rescued, error) {
	_, _, state, err := c.jug(ctx, name)
	if err != nil {
		return Rescued{}, err
	}
	stood, evidence, err := c.stand(state)
	if err != nil {
		return Rescued{}, err
	}
	r := Rescued{
		Jug: state.Name, Standing: stood.Standing, Explanations: stood.Explanations,
		Remedies: advice.Rescue(evidence, stood.Standing), Findings: advice.Findings(evidence),
	}
	if len(r.Remedies) == 0 {
		r.Note = advice.NoRescue(evidence, stood.Standing)
		return r, nil
	}
	return r, c.effects(state, r.Remedies)
}

// effects tells what is expected of the remedies that the model can follow.
func (c *Cellar) effects(state batch.State, all []advice.Remedy) error {
	s, err := c.followable(state)
	if err != nil {
		return nil // what is not followed has no forecast, and the remedies stand without
	}
	f, err := c.follow(state, s)
	if err != nil {
		return err
	}
	for i, r := range all {
		if r.Keep == nil {
			continue
		}
		branches, err := c.branches(state, f, []deed{{}, {Deed: estimate.Deed{Keep: r.Keep}}})
		if err != nil {
			return err
		}
		left, then := branches[0], branches[1]
		switch {
		case left.Final.Hexose.Value-then.Final.Hexose.Value < advice.LittleSugar:
			all[i].Effect = "by the model it changes little: its yeast is taken to have stopped for good. It costs nothing to try"
		default:
			all[i].Effect = fmt.Sprintf("by the model it then goes on, from %.0f to about %.0f g/L of sugar, and is over by about %s",
				f.posterior.At(f.hour).Hexose.Value, then.Final.Hexose.Value, then.Finish.Day.Format("2 January"))
		}
	}
	return nil
}
