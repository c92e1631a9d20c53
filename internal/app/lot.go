package app

import (
	"context"
	"slices"
	"time"

	"skep/internal/store"
)

// LotStory is all that is told of bottles on the shelf, from what went into the jug to the
// last that was drunk.
type LotStory struct {
	Jug      string        `json:"jug"`
	Made     time.Time     `json:"made"`
	In       []string      `json:"in"`   // what it was made of, as told
	Lots     []ShelfLot    `json:"lots"` // with those of which nothing is left
	Gone     []Gone        `json:"gone"` // bottles that left the shelf, the earliest first
	Tastings []Tasting     `json:"tastings"`
	Changed  []string      `json:"changed,omitempty"` // from the first tasting to the last
	Cost     *Cost         `json:"cost,omitempty"`    // of the whole jug, by the prices kept
	History  []HistoryLine `json:"history"`
}

// Gone is bottles that left the shelf at one time.
type Gone struct {
	At     time.Time `json:"at"`
	Count  int       `json:"count"`
	SizeML float64   `json:"size_ml"`
	Why    string    `json:"why,omitempty"`
}

// Lot tells the story of a jug's bottles, found by the name of the jug or by what the lot
// is called.
//
// Errors: an unknown jug or lot.
func (c *Cellar) Lot(ctx context.Context, name string) (LotStory, error) {
	jug, events, state, err := c.jug(ctx, name)
	if err != nil {
		return LotStory{}, err
	}
	s := LotStory{Jug: state.Name, Made: state.Made.At, In: madeOf(state), Gone: []Gone{}}
	tasted := tastingsOf(events, state)
	s.Tastings, s.Changed = tasted.Tastings, tasted.Changed
	kept, err := c.store.LotsOf(ctx, jug.ID)
	if err != nil {
		return s, err
	}
	of := map[string]bool{} // bottlings that are asked of
	for _, lot := range lotsCalled(state, name) {
		of[lot.Bottling] = true
	}
	if s.Lots, err = c.lots(ctx, slices.DeleteFunc(kept, func(l store.Lot) bool { return !of[l.Bottling] })); err != nil {
		return s, err
	}
	for _, o := range state.Openings {
		if of[o.What.Of] {
			s.Gone = append(s.Gone, Gone{At: o.At, Count: o.What.Count, SizeML: o.What.SizeML, Why: o.What.Why})
		}
	}
	prices, err := c.keptPrices(ctx)
	if err != nil {
		return s, err
	}
	if s.Cost = costOf(prices, usedIn(state)); s.Cost != nil && len(s.Lots) > 0 && s.Lots[0].Each != nil {
		s.Cost.PerBottle = *s.Lots[0].Each
	}
	s.History, err = historyOf(events)
	return s, err
}
