package estimate

import (
	"slices"

	"skep/internal/kinetics"
	"skep/internal/measure"
)

// Deed is something that could be done to a jug at a time.
type Deed struct {
	At   measure.Hours
	Does []Change         // at that time, whatever their own At
	Keep *measure.Celsius // temperature to bring it to and keep it at; nil: as it is
}

// followsRoom is how long a jug takes to come to another temperature: a few litres follow
// the room within a day (assumed).
const followsRoom = measure.Hours(24)

// If returns the posterior of the same jugs if something were done to each: every member
// goes on with its own yeast, faults and all, and what was seen stays seen.
//
// Errors: a change as Estimate refuses it; *property.RangeError or *solve.StepError when
// the model cannot follow.
func (p *Posterior) If(d Deed) (*Posterior, error) {
	var then *Posterior
	err := p.alike(func(w *world, members []drawn) error {
		s := w.Situation
		s.Changes = slices.Clone(s.Changes)
		for _, c := range d.Does {
			c.At = d.At
			s.Changes = append(s.Changes, c)
		}
		if d.Keep != nil {
			s.Course = kept(s.Course, d.At, *d.Keep)
		}
		s.Until = max(s.Until, p.until)
		other, err := ready(s, nil)
		if err != nil {
			return err
		}
		some, err := newRun(other, nil, p.firstMass, nil).posterior(members)
		if err != nil {
			return err
		}
		if then == nil {
			then = some
		} else {
			then.join(some)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	then.Misfits, then.Contradicted, then.LogEvidence = p.Misfits, p.Contradicted, p.LogEvidence
	return then, nil
}

// kept is a course that goes to another temperature from a time on.
func kept(course []TemperaturePoint, at measure.Hours, t measure.Celsius) []TemperaturePoint {
	now := kinetics.Course(course).At(at)
	var to []TemperaturePoint
	for _, point := range course {
		if point.At < at {
			to = append(to, point)
		}
	}
	return append(to, TemperaturePoint{At: at, T: now}, TemperaturePoint{At: at + followsRoom, T: t})
}
