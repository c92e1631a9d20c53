package app

import (
	"context"
	"errors"

	"skep/internal/reference"
	"skep/internal/store"
)

// Fresh returns the same cellar with the units and the law that are kept by now: another
// program, or another page, may have told others since it was opened.
func (c *Cellar) Fresh(ctx context.Context) (*Cellar, error) {
	fresh := *c
	for name, into := range map[string]any{unitsSetting: &fresh.system, placeSetting: &fresh.law} {
		if err := c.store.Get(ctx, store.Settings, name, into); err != nil && !errors.Is(err, store.ErrNotFound) {
			return nil, err
		}
	}
	return &fresh, nil
}

// InUnits returns the same cellar, read and shown in another system of units.
//
// Errors: *AskError for an unknown system.
func (c *Cellar) InUnits(words string) (*Cellar, error) {
	other := *c
	return &other, other.UseUnits(words)
}

// BottleKinds are the kinds of bottle.
func BottleKinds() []string {
	var names []string
	for _, b := range reference.Bottles() {
		names = append(names, b.Name)
	}
	return names
}
