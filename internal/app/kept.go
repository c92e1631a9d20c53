package app

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"skep/internal/batch"
	"skep/internal/must"
	"skep/internal/store"
)

// drawer reads all that is kept in a drawer.
func drawer[T any](ctx context.Context, s *store.Store, d store.Drawer) ([]T, error) {
	kept, err := s.All(ctx, d)
	if err != nil {
		return nil, err
	}
	things := make([]T, len(kept))
	for i, k := range kept {
		if err := json.Unmarshal(k.Body, &things[i]); err != nil {
			return nil, fmt.Errorf("%s %q: %w", d, k.Name, err)
		}
	}
	return things, nil
}

// vessels are those of the kitchen.
func (c *Cellar) vessels(ctx context.Context) ([]batch.Vessel, error) {
	return drawer[batch.Vessel](ctx, c.store, store.Vessels)
}

// ownIngredients are the maker's own.
func (c *Cellar) ownIngredients(ctx context.Context) ([]must.Ingredient, error) {
	return drawer[must.Ingredient](ctx, c.store, store.Ingredients)
}

// jugs are those that count, the youngest first; an emptied one comes after those that
// stand full.
func (c *Cellar) jugs(ctx context.Context) ([]store.Jug, error) {
	all, err := c.store.Jugs(ctx)
	return slices.DeleteFunc(all, func(j store.Jug) bool { return j.Withdrawn }), err
}

// Standing names the jugs that hold something, the youngest first.
func (c *Cellar) Standing(ctx context.Context) ([]string, error) {
	jugs, err := c.jugs(ctx)
	var names []string
	for _, j := range jugs {
		if !j.Emptied {
			names = append(names, j.Name)
		}
	}
	return names, err
}

// jugNamed finds a jug by its name, by what a lot of its bottles is called, or by the
// beginning of its name if no other begins so. Capitals do not matter.
func (c *Cellar) jugNamed(ctx context.Context, name string) (store.Jug, error) {
	jug, err := c.store.JugByName(ctx, strings.TrimSpace(name))
	if err == nil && !jug.Withdrawn || err != nil && !errors.Is(err, store.ErrNotFound) {
		return jug, err
	}
	all, err := c.jugs(ctx)
	if err != nil {
		return jug, err
	}
	lots, err := c.store.LotsNamed(ctx, strings.TrimSpace(name))
	if err != nil {
		return jug, err
	}
	var begin []store.Jug
	var names []string
	for _, j := range all {
		if slices.ContainsFunc(lots, func(l store.Lot) bool { return l.Jug == j.ID }) {
			begin = append(begin, j)
		}
	}
	switch {
	case len(begin) == 1:
		return begin[0], nil
	case len(begin) > 1:
		return jug, &NoJugError{Name: name, Tip: fmt.Sprintf("lots of %q and %q are called so: say which jug", begin[0].Name, begin[1].Name)}
	}
	for _, j := range all {
		if name != "" && strings.HasPrefix(strings.ToLower(j.Name), strings.ToLower(name)) {
			begin = append(begin, j)
		}
		names = append(names, j.Name)
	}
	switch {
	case len(begin) == 1:
		return begin[0], nil
	case len(names) == 0:
		return jug, &NoJugError{Name: name, Tip: "there is none yet: record one with skep start"}
	}
	return jug, &NoJugError{Name: name, Tip: "the jugs are: " + strings.Join(names, ", ")}
}

// NoJugError says that no jug, or more than one, answers to a name.
type NoJugError struct{ Name, Tip string }

// Error reads `there is no jug "x"`.
func (e *NoJugError) Error() string { return fmt.Sprintf("there is no jug %q", e.Name) }

// Hint names the jugs that there are.
func (e *NoJugError) Hint() string { return e.Tip }
