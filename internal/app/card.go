package app

import (
	"context"
	"fmt"
	"slices"
	"time"

	"skep/internal/batch"
	"skep/internal/measure"
)

// Card is a jug on paper: where it stands, what went in, what it wants next and all that
// was written of it.
type Card struct {
	Stood   Stood          `json:"stood"`
	Made    time.Time      `json:"made"`
	Pitched time.Time      `json:"pitched,omitzero"`
	Vessel  string         `json:"vessel"`
	Place   string         `json:"place,omitempty"`
	Yeast   string         `json:"yeast,omitempty"`
	Parts   []string       `json:"parts"`                 // what went in on brew day, as told
	Begun   measure.Range  `json:"original_gravity"`      // SG 20/20 on the day the yeast went in
	Room    *measure.Range `json:"temperature,omitempty"` // °C, as last told of room or must
	Next    []Wanted       `json:"next"`                  // in the order of time
	History []HistoryLine  `json:"history"`
}

// ahead is how far a card looks.
const ahead = 400 * 24 * time.Hour

// Card gathers what a jug's papers tell.
//
// Errors: an unknown jug; a record that does not fold.
func (c *Cellar) Card(ctx context.Context, name string) (Card, error) {
	_, _, state, err := c.jug(ctx, name)
	if err != nil {
		return Card{}, err
	}
	card := Card{Made: state.Made.At, Vessel: state.Vessel.Name, Place: state.Place, Begun: measure.RangeOf(nil, "SG 20/20")}
	if card.Stood, _, err = c.stand(state); err != nil {
		return card, err
	}
	for _, p := range state.Made.What.Parts {
		card.Parts = append(card.Parts, partWords(p))
	}
	if n := len(state.Pitches); n > 0 {
		card.Pitched, card.Yeast = state.Pitches[0].At, state.Pitches[0].What.Yeast
	}
	if len(card.Stood.Course) > 0 {
		card.Begun = card.Stood.Course[0].Gravity
	}
	if n := len(state.Temperatures); n > 0 {
		t := state.Temperatures[n-1]
		told := measure.Normal(float64(t.Value), t.SD, "°C")
		card.Room = &told
	}
	all, err := c.Today(ctx, ahead)
	if err != nil {
		return card, err
	}
	for _, w := range all {
		if w.Jug == state.Name {
			card.Next = append(card.Next, w)
		}
	}
	slices.SortStableFunc(card.Next, func(a, b Wanted) int { return a.At.Compare(b.At) })
	card.History, err = c.History(ctx, state.Name)
	return card, err
}

// partWords are the words that a part was told in, or its grams where nobody told any.
func partWords(p batch.Part) string {
	if p.Words == "" {
		return fmt.Sprintf("%s %s", measure.ShowMass(measure.Grams(p.Grams), measure.Metric), p.Ingredient)
	}
	return p.Words
}
