package app

import (
	"context"

	"skep/internal/measure"
	"skep/internal/reference"
)

// InUnits returns the same cellar, read and shown in another system of units.
func (c *Cellar) InUnits(s measure.System) *Cellar {
	other := *c
	other.system = s
	return &other
}

// KeepUnitsOf makes a system of units the maker's own, and returns it.
//
// Errors: *AskError for an unknown system.
func (c *Cellar) KeepUnitsOf(ctx context.Context, words string) (measure.System, error) {
	other := *c
	if err := other.UseUnits(words); err != nil {
		return "", err
	}
	return other.system, other.KeepUnits(ctx)
}

// BottleKinds are the kinds of bottle.
func BottleKinds() []string {
	var names []string
	for _, b := range reference.Bottles() {
		names = append(names, b.Name)
	}
	return names
}
