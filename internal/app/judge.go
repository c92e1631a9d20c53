package app

import (
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
)

// Judged is what Skep says of a record that is in no store.
type Judged struct {
	Stood   Stood
	Verdict advice.Verdict // on bottling as asked
	Wants   []advice.Want
}

// Judge says of a jug's record, at a time, what a Cellar would say of it: it is how the
// evaluations ask. put changes the usual question about bottling; nil leaves it.
//
// Errors: a record that does not fold, or that the model cannot follow.
func Judge(events []batch.Event, now time.Time, put func(*advice.Question)) (Judged, error) {
	state, err := batch.Fold(events)
	if err != nil {
		return Judged{}, err
	}
	c := &Cellar{clock: func() time.Time { return now }, think: estimate.NewSampler(), system: measure.Metric}
	stood, evidence, err := c.stand(state)
	if err != nil {
		return Judged{}, err
	}
	q := c.question(state, evidence, stood.Standing, usualBottle())
	if put != nil {
		put(&q)
	}
	v := advice.MayBottle(q)
	return Judged{Stood: stood, Verdict: v, Wants: advice.Wants(evidence, stood.Standing, v)}, nil
}
