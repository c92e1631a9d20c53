package app

import (
	"context"
	"errors"
	"strings"

	"skep/internal/store"
)

// What the kitchen keeps by name can be forgotten. Jugs that were made of it or in it have
// it in their own record.

// ForgetPlan keeps a plan no longer.
//
// Errors: *AskError when there is none.
func (c *Cellar) ForgetPlan(ctx context.Context, name string) error {
	return c.forget(ctx, store.Plans, "plan", name)
}

// ForgetVessel keeps a vessel no longer.
//
// Errors: *AskError when there is none.
func (c *Cellar) ForgetVessel(ctx context.Context, name string) error {
	return c.forget(ctx, store.Vessels, "vessel", name)
}

// ForgetIngredient keeps a honey or juice of the maker's own no longer.
//
// Errors: *AskError when there is none.
func (c *Cellar) ForgetIngredient(ctx context.Context, name string) error {
	return c.forget(ctx, store.Ingredients, "ingredient", name)
}

func (c *Cellar) forget(ctx context.Context, d store.Drawer, field, name string) error {
	err := c.store.Drop(ctx, d, strings.TrimSpace(name))
	if errors.Is(err, store.ErrNotFound) {
		return ask(field, name, "", errors.New("none of that name is kept"))
	}
	return err
}
