package app

import (
	"context"
	"slices"
	"time"

	"skep/internal/measure"
)

// Card is a jug as its papers tell of it.
type Card struct {
	Jug
	YeastIn time.Time      // zero: not yet
	First   measure.Range  // gravity on that day, SG 20/20
	Room    *measure.Range // °C, as last told of room or must; nil if nobody told
	Next    []Wanted       // in the order of time
}

// cardAhead is how far a card looks: past the tastings of a year.
const cardAhead = 400 * 24 * time.Hour

// Card gathers what the papers of a jug tell, worked out now.
//
// Errors: an unknown jug; a record that does not fold.
func (c *Cellar) Card(ctx context.Context, name string) (Card, error) {
	jug, err := c.Jug(ctx, name)
	if err != nil {
		return Card{}, err
	}
	card := Card{Jug: jug, First: measure.RangeOf(nil, "SG 20/20")}
	if !card.Fresh {
		if card.Stood, _, err = c.stand(card.state); err != nil {
			return card, err
		}
	}
	if len(card.state.Pitches) > 0 {
		card.YeastIn = card.state.Pitches[0].At
	}
	if len(card.Stood.Course) > 0 {
		card.First = card.Stood.Course[0].Gravity
	}
	if n := len(card.state.Temperatures); n > 0 {
		t := card.state.Temperatures[n-1]
		told := measure.Normal(float64(t.Value), t.SD, "°C")
		card.Room = &told
	}
	all, err := c.Today(ctx, cardAhead)
	if err != nil {
		return card, err
	}
	card.Next = slices.DeleteFunc(all, func(w Wanted) bool { return w.Jug != card.Name })
	slices.SortStableFunc(card.Next, func(a, b Wanted) int { return a.At.Compare(b.At) })
	return card, nil
}
