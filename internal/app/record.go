package app

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"skep/internal/batch"
	"skep/internal/store"
)

// Restored is what a backup brought back.
type Restored struct {
	Cellar string `json:"cellar"`         // the file of the record
	Jugs   int    `json:"jugs"`           // in it
	Kept   string `json:"kept,omitempty"` // the record that was there before, beside it
}

// Restore puts a backup in the place of the record at path, once it has been checked. A record
// that is there is in the way, unless replace: then it is kept beside.
//
// Errors: *ThereError; as store.Restore.
func Restore(ctx context.Context, backup, path string, replace bool, clock func() time.Time) (Restored, error) {
	kept, err := store.Restore(ctx, backup, path, replace, clock())
	if errors.Is(err, fs.ErrExist) && !replace {
		return Restored{}, &ThereError{Path: path}
	}
	if err != nil {
		return Restored{}, err
	}
	c, err := Open(ctx, path, clock)
	if err != nil {
		return Restored{}, err
	}
	jugs, err := c.jugs(ctx)
	return Restored{Cellar: path, Jugs: len(jugs), Kept: kept}, errors.Join(err, c.Close())
}

// ThereError says that a record is there already, where another was to be restored.
type ThereError struct{ Path string }

// Error reads `there is a record already: cellar.db`.
func (e *ThereError) Error() string { return "there is a record already: " + e.Path }

// Hint says how to restore all the same.
func (e *ThereError) Hint() string { return "--replace keeps it beside under another name" }

// Record is all that was ever written of a jug, in the order of writing.
//
// Errors: an unknown jug.
func (c *Cellar) Record(ctx context.Context, name string) ([]batch.Event, error) {
	_, events, _, err := c.jug(ctx, name)
	return events, err
}

// Taken is what came of a record from elsewhere.
type Taken struct {
	Jug     string `json:"jug"`
	Entries int    `json:"entries"` // in the record that came
	New     int    `json:"new"`     // of them
	Stand   Stood  `json:"stand"`
}

// Take writes a jug's record from elsewhere, from its first entry on. What is there already is
// passed over: it may be taken again when it has grown.
//
// Errors: what makes no record; a jug of another name or another record that is in the way.
func (c *Cellar) Take(ctx context.Context, events []batch.Event) (Taken, error) {
	state, err := batch.Fold(events)
	if err != nil {
		return Taken{}, err
	}
	there, err := c.store.Events(ctx, state.Jug)
	if err != nil {
		return Taken{}, err
	}
	switch err := c.store.Append(ctx, events...); {
	case errors.Is(err, store.ErrNameTaken):
		return Taken{}, fmt.Errorf("another jug that stands full is called %q here: bottle it, or take it back, before this one comes", state.Name)
	case errors.Is(err, store.ErrConflict):
		return Taken{}, fmt.Errorf("jug %q was written to both here and there, and the two do not go together: %w", state.Name, err)
	case err != nil:
		return Taken{}, fmt.Errorf("jug %q: %w", state.Name, err)
	}
	return Taken{Jug: state.Name, Entries: len(events), New: max(0, len(events)-len(there)), Stand: c.after(ctx, state.Jug)}, nil
}
