package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/store"
)

// ShelfLot is bottles of one filling, size and kind.
type ShelfLot struct {
	Jug      string        `json:"jug"`
	Bottled  time.Time     `json:"bottled"`
	SizeML   float64       `json:"size_ml"`
	Kind     string        `json:"kind"`
	Style    batch.Style   `json:"style"`
	Filled   int           `json:"filled"`
	Left     int           `json:"left"`
	Strength measure.Range `json:"strength"` // % vol
	Gravity  measure.Range `json:"gravity"`  // SG 20/20
}

// Shelf lists the bottles that are left, the oldest first. Strength and gravity are those
// of the estimate made when the jug's record last changed.
func (c *Cellar) Shelf(ctx context.Context) ([]ShelfLot, error) {
	kept, err := c.store.Shelf(ctx)
	if err != nil {
		return nil, err
	}
	lots := make([]ShelfLot, len(kept))
	for i, lot := range kept {
		stood, _, err := c.kept(ctx, store.Jug{ID: lot.Jug})
		if err != nil {
			return nil, err
		}
		final := estimate.State{Ethanol: measure.RangeOf(nil, "% vol"), Gravity: measure.RangeOf(nil, "SG")}
		if stood.Final != nil {
			final = *stood.Final
		}
		lots[i] = ShelfLot{
			Jug: lot.Name, Bottled: lot.At, SizeML: lot.Bottles.SizeML, Kind: lot.Bottles.Kind, Style: lot.Style,
			Filled: lot.Bottles.Count, Left: lot.Left, Strength: final.Ethanol, Gravity: final.Gravity,
		}
	}
	return lots, nil
}

// OpenWords is bottles leaving the shelf.
type OpenWords struct {
	Jug   string
	Count int    // default 1
	Size  string // "375 mL"; needed when the jug filled several sizes
	Why   string // "drunk", "given", "broken"
	When  string
}

// OpenBottle records that bottles left the shelf: drunk, given away, broken.
//
// Errors: *AskError; none left of that size.
func (c *Cellar) OpenBottle(ctx context.Context, w OpenWords) (Recorded, error) {
	_, _, state, err := c.jug(ctx, w.Jug)
	if err != nil {
		return Recorded{}, err
	}
	size, err := c.quantity("size", w.Size, `write "750 mL"`, measure.Volume)
	if err != nil {
		return Recorded{}, err
	}
	if w.Count < 0 {
		return Recorded{}, ask("count", fmt.Sprint(w.Count), "", errors.New("a count is above zero"))
	}
	count := max(1, w.Count)
	var fit []batch.Lot
	for _, lot := range state.Shelf {
		right := size == nil || math.Abs(lot.Bottles.SizeML-1000*size.Value) < 1
		if right && lot.Left >= count {
			fit = append(fit, lot)
		}
	}
	if len(fit) == 0 {
		return Recorded{}, fmt.Errorf("the shelf does not hold %d such bottles of %q", count, state.Name)
	}
	if other := slices.IndexFunc(fit, func(l batch.Lot) bool { return l.Bottles.SizeML != fit[0].Bottles.SizeML }); other > 0 {
		return Recorded{}, ask("size", "", "", fmt.Errorf("which size: %.0f or %.0f mL", fit[0].Bottles.SizeML, fit[other].Bottles.SizeML))
	}
	return c.recordWords(ctx, w.Jug, w.When, 0, batch.Opened{
		Of: fit[0].Bottling, SizeML: fit[0].Bottles.SizeML, Bottle: fit[0].Bottles.Kind, Count: count, Why: w.Why,
	})
}
