package app

import (
	"context"
	"errors"
	"slices"
	"time"

	"skep/internal/batch"
	"skep/internal/store"
)

// BrewDay is a brew day under way: where in the steps of a plan it is, and what was
// written down on the way, as it was typed. It becomes a jug by StartBrewDay.
type BrewDay struct {
	Plan  string            `json:"plan"`
	Step  int               `json:"step"`  // 1 is the first; one above the last is the record itself
	Waits map[int]time.Time `json:"waits"` // when a wait that was begun ends, by the number of its step
	Words StartWords        `json:"words"`
	Jug   string            `json:"jug,omitempty"` // that it became; "" none yet
}

// BrewDay returns the brew day under way of a kept plan, or a fresh one.
//
// Errors: *AskError when no such plan is kept.
func (c *Cellar) BrewDay(ctx context.Context, plan string) (BrewDay, error) {
	kept, err := c.KeptPlan(ctx, plan)
	if err != nil {
		return BrewDay{}, err
	}
	day := BrewDay{
		Plan: kept.Name, Step: 1, Waits: map[int]time.Time{},
		Words: StartWords{Plan: kept.Name, Name: kept.Name, Yeast: kept.Yeast.String()},
	}
	if err := c.store.Get(ctx, store.BrewDays, kept.Name, &day); err != nil && !errors.Is(err, store.ErrNotFound) {
		return BrewDay{}, err
	}
	if day.Jug == "" {
		return day, nil
	}
	jugs, err := c.store.Jugs(ctx)
	if !slices.ContainsFunc(jugs, func(j store.Jug) bool { return j.Name == day.Jug && !j.Withdrawn }) {
		day.Jug = "" // its record was taken back: what was typed is still here
	}
	return day, err
}

// KeepBrewDay keeps what was written down so far, right or wrong.
func (c *Cellar) KeepBrewDay(ctx context.Context, day BrewDay) error {
	return c.store.Put(ctx, store.BrewDays, day.Plan, day)
}

// AnotherBrewDay forgets a brew day that has become a jug, so that its plan can be made
// again.
//
// Errors: *AskError when it has not: what was typed would be lost.
func (c *Cellar) AnotherBrewDay(ctx context.Context, plan string) error {
	day, err := c.BrewDay(ctx, plan)
	if err != nil {
		return err
	}
	if day.Jug == "" {
		return ask("plan", plan, "record its jug first, or go on with it", errors.New("its brew day is under way"))
	}
	return c.store.Drop(ctx, store.BrewDays, day.Plan)
}

// WouldStart says how recipe and first reading agree, were the jug started now. Nothing
// is written: there is still time to stir.
//
// Errors: as Start, but for a name that is taken.
func (c *Cellar) WouldStart(ctx context.Context, w StartWords) (*BrewDayResult, error) {
	events, _, err := c.brewDay(ctx, w)
	if err != nil {
		return nil, err
	}
	return BrewDayCheck(events[0].Happened.(batch.Made))
}

// StartBrewDay starts the jug with what was written down on the way.
//
// Errors: as Start.
func (c *Cellar) StartBrewDay(ctx context.Context, day BrewDay) (Started, error) {
	started, err := c.Start(ctx, day.Words)
	if err != nil {
		return started, err
	}
	day.Jug = started.Jug
	return started, c.KeepBrewDay(ctx, day)
}

// FirstReading compares the first reading of a jug with what went into it; nil without a
// reading.
//
// Errors: an unknown jug; as BrewDayCheck.
func (c *Cellar) FirstReading(ctx context.Context, name string) (*BrewDayResult, error) {
	_, _, state, err := c.jug(ctx, name)
	if err != nil {
		return nil, err
	}
	return BrewDayCheck(state.Made.What)
}
