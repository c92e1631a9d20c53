package app

import (
	"context"
	"errors"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"regexp"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/store"
)

// Cellar is the record and everything a person can do with it.
type Cellar struct {
	store  *store.Store
	clock  func() time.Time
	think  estimate.Estimator
	system measure.System
	law    Place     // whose drinks and labels are meant; "": by the units
	key    string    // under which what is written now was sent; "" none
	said   time.Time // when its words were said; zero: now

	background *background // works out what is written through the pages; nil: at once
}

// Open opens the record at path, or begins one there. clock tells the time and the
// zone that words like "yesterday" are meant in.
//
// Errors: as store.Open.
func Open(ctx context.Context, path string, clock func() time.Time) (*Cellar, error) {
	s, err := store.Open(path)
	if err != nil {
		return nil, err
	}
	c := &Cellar{store: s, clock: clock, think: estimate.NewSampler(), system: measure.Metric}
	if err := s.Get(ctx, store.Settings, unitsSetting, &c.system); err != nil && !errors.Is(err, store.ErrNotFound) {
		return nil, errors.Join(err, s.Close())
	}
	if err := s.Get(ctx, store.Settings, placeSetting, &c.law); err != nil && !errors.Is(err, store.ErrNotFound) {
		return nil, errors.Join(err, s.Close())
	}
	return c, nil
}

// Close closes the record.
func (c *Cellar) Close() error { return c.store.Close() }

// Now is the time, to the second: events are told apart by id, not by fractions.
func (c *Cellar) Now() time.Time { return c.clock().Truncate(time.Second) }

// unitsSetting is the name under which the unit system is kept.
const unitsSetting = "units"

// Units returns the maker's unit system.
func (c *Cellar) Units() measure.System { return c.system }

// UseUnits reads and shows in another system for as long as the cellar is open.
//
// Errors: *AskError for an unknown system.
func (c *Cellar) UseUnits(words string) error {
	switch s := measure.System(words); s {
	case measure.US, measure.Imperial, measure.Metric:
		c.system = s
		return nil
	}
	return ask("units", words, "", errors.New("write us, imperial or metric"))
}

// KeepUnits makes the present unit system the maker's own.
func (c *Cellar) KeepUnits(ctx context.Context) error {
	return c.store.Put(ctx, store.Settings, unitsSetting, c.system)
}

// Once returns the same cellar for one request that was sent under a key. What is
// written under a key that the record has already is not written again; the answer is as
// if it had been. Whoever may send a request twice, a phone that lost its line, makes a
// key for it: 16 to 64 letters and digits, new each time.
//
// Errors: *AskError for what is no key.
func (c *Cellar) Once(key string) (*Cellar, error) {
	if !isKey.MatchString(key) {
		return nil, ask("key", key, "make a new one for each request", errors.New("a key is 16 to 64 letters and digits"))
	}
	once := *c
	once.key = key
	return &once, nil
}

var isKey = regexp.MustCompile(`^[A-Za-z0-9]{16,64}$`)

// AskError says that a request was put wrongly: which field, what was said, what would
// be right.
type AskError struct {
	Field string // "gravity", as the flag or form field is named
	Words string // what was said
	Err   error
	Tip   string // what would be right, if known
}

// Error reads `gravity "10.50": …`.
func (e *AskError) Error() string {
	if e.Words == "" {
		return fmt.Sprintf("%s: %v", e.Field, e.Err)
	}
	return fmt.Sprintf("%s %q: %v", e.Field, e.Words, e.Err)
}

// Unwrap returns the reason.
func (e *AskError) Unwrap() error { return e.Err }

// Hint says what would be right.
func (e *AskError) Hint() string {
	var parse *measure.ParseError
	var deeper interface{ Hint() string }
	switch {
	case errors.As(e.Err, &parse) && parse.Hint != "" && (e.Tip == "" || !strings.Contains(parse.Hint, "as in")): // of any quantity
		return parse.Hint
	case errors.As(e.Err, &deeper):
		return deeper.Hint()
	}
	return e.Tip
}

func ask(field, words, tip string, err error) error {
	return &AskError{Field: field, Words: words, Err: err, Tip: tip}
}

// newID is the id of a new entry. Under a key it is the key and what tells the entries of
// one request apart, so that the store itself refuses a second of them.
func (c *Cellar) newID(now time.Time, h batch.Happening) string {
	if c.key == "" {
		return batch.NewID(now, rand.Uint64()) // nothing that is computed depends on it
	}
	mark := fnv.New64a()
	if body, err := batch.Encode(h); err == nil { // the store encodes it again, and tells why if it cannot
		mark.Write(body)
	}
	return fmt.Sprintf("%s-%016x", c.key, mark.Sum64())
}
