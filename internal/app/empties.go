package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"skep/internal/measure"
	"skep/internal/reference"
	"skep/internal/store"
)

// BottlesOnHand is empty bottles of one size and kind in the kitchen.
type BottlesOnHand struct {
	SizeML  float64   `json:"size_ml"`
	Kind    string    `json:"kind"`
	Counted int       `json:"counted"` // when the maker last counted them
	At      time.Time `json:"at"`
	Have    int       `json:"have"` // now: less those that were filled since, and with those that came back
}

// KeepBottles keeps how many empty bottles of a size and kind there are. From then on those
// that are filled count down, and those that come back empty count up, by what the record
// tells of them: what is taken back there is taken back here.
//
// Errors: *AskError.
func (c *Cellar) KeepBottles(ctx context.Context, size, kind string, count int) (BottlesOnHand, error) {
	if kind == "" {
		kind = usualBottle().Kind
	}
	known, err := reference.BottleKindNamed(kind)
	if err != nil {
		return BottlesOnHand{}, ask("kind", kind, "", err)
	}
	q, err := c.quantity("size", size, `write "750 mL"`, measure.Volume)
	if err != nil {
		return BottlesOnHand{}, err
	}
	if q == nil || q.Value < 0.05 || q.Value > 25 {
		return BottlesOnHand{}, ask("size", size, `write "750 mL"`, errors.New("a bottle holds 50 mL to 25 L"))
	}
	if count < 0 || count > 10_000 {
		return BottlesOnHand{}, ask("count", fmt.Sprint(count), "", errors.New("a count is 0 to 10,000"))
	}
	b := BottlesOnHand{SizeML: math.Round(1000 * q.Value), Kind: known.Name, Counted: count, At: c.Now(), Have: count}
	return b, c.store.Put(ctx, store.Bottles, fmt.Sprintf("%.0f mL %s", b.SizeML, b.Kind), b)
}

// bottlesOnHand are the empty bottles of the kitchen.
func (c *Cellar) bottlesOnHand(ctx context.Context) ([]BottlesOnHand, error) {
	all, err := drawer[BottlesOnHand](ctx, c.store, store.Bottles)
	for i, b := range all {
		since, err := c.store.EmptiesSince(ctx, b.At, b.SizeML, b.Kind)
		if err != nil {
			return nil, err
		}
		all[i].Have = max(0, b.Counted+since)
	}
	return all, err
}
