package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"modernc.org/sqlite"

	"skep/internal/batch"
)

// What may be wrong with what is to be written, or asked for.
var (
	// ErrChanged says that another program wrote to the jug's record meanwhile.
	ErrChanged = errors.New("the jug's record was added to meanwhile: look at it again, then say it again")
	// ErrNameTaken says that a jug of that name stands full.
	ErrNameTaken = errors.New("a jug of that name is standing already: give this one another name")
)

// Jug is one jug of the record.
type Jug struct {
	ID      string
	Name    string
	Made    time.Time
	Seq     int  // number of its latest event
	Emptied bool // bottled to the last
}

// NoJugError says that there is no jug of a name, or more than one.
type NoJugError struct {
	Name    string
	Among   []string // jugs that may have been meant
	Several bool     // the name is the beginning of all of Among
}

// Error reads `there is no jug "x"`.
func (e *NoJugError) Error() string {
	if e.Several {
		return fmt.Sprintf("more than one jug begins with %q", e.Name)
	}
	return fmt.Sprintf("there is no jug %q", e.Name)
}

// Hint names the jugs that may have been meant.
func (e *NoJugError) Hint() string {
	if len(e.Among) == 0 {
		return "record one with skep start"
	}
	return "there is " + strings.Join(e.Among, ", ")
}

// Append writes events of one jug, all or none; when it returns they are on the disk.
// They carry on from the numbers that are there.
//
// Errors: ErrChanged, ErrNameTaken; as batch.Fold, for what would not hold; ErrBusy,
// ErrFull and their like.
func (s *Store) Append(ctx context.Context, events ...batch.Event) error {
	if len(events) == 0 {
		return nil
	}
	return s.write(ctx, func(tx *sql.Tx) error {
		jug := events[0].Jug
		all, err := eventsOf(ctx, tx, jug)
		if err != nil {
			return err
		}
		for i, e := range events {
			if e.Jug != jug || e.Seq != len(all)+1+i {
				return ErrChanged
			}
		}
		all = append(all, events...)
		state, err := batch.Fold(all)
		if err != nil {
			return err
		}
		if err := saveJug(ctx, tx, all[0], state); err != nil {
			return err
		}
		for _, e := range events {
			if err := insertEvent(ctx, tx, e); err != nil {
				return err
			}
		}
		return nil
	})
}

// saveJug keeps the row of a jug in step with its events.
func saveJug(ctx context.Context, tx *sql.Tx, first batch.Event, state batch.State) error {
	const upsert = `INSERT INTO jug (id, name, made_ms, seq, withdrawn, emptied) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
		ON CONFLICT (id) DO UPDATE SET name = ?2, made_ms = ?3, seq = ?4, withdrawn = ?5, emptied = ?6`
	made := first.At
	if !state.Withdrawn {
		made = state.Made.At
	}
	_, err := tx.ExecContext(ctx, upsert, first.Jug, state.Name, made.UnixMilli(), state.Seq, state.Withdrawn, state.Empty)
	var of *sqlite.Error
	if errors.As(err, &of) && of.Code()&0xff == constraint {
		return ErrNameTaken
	}
	return err
}

// constraint is SQLITE_CONSTRAINT, https://sqlite.org/rescode.html.
const constraint = 19

func insertEvent(ctx context.Context, tx *sql.Tx, e batch.Event) error {
	body, err := batch.Encode(e.Happened)
	if err != nil {
		return err
	}
	const insert = `INSERT INTO event (id, jug, seq, at_ms, recorded_ms, kind, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)`
	_, err = tx.ExecContext(ctx, insert, e.ID, e.Jug, e.Seq, e.At.UnixMilli(), e.Recorded.UnixMilli(), e.Happened.Kind(), string(body))
	return err
}

// querier is a database or a transaction on it.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// Events returns all events of a jug, in the order of writing.
//
// Errors: an event that a newer version wrote; of the database.
func (s *Store) Events(ctx context.Context, jug string) ([]batch.Event, error) {
	events, err := eventsOf(ctx, s.db, jug)
	return events, explain(err)
}

func eventsOf(ctx context.Context, q querier, jug string) ([]batch.Event, error) {
	const query = `SELECT id, jug, seq, at_ms, recorded_ms, body FROM event WHERE jug = ?1 ORDER BY seq`
	return collect(ctx, q, func(scan func(...any) error) (e batch.Event, err error) {
		var at, recorded int64
		var body []byte
		if err := scan(&e.ID, &e.Jug, &e.Seq, &at, &recorded, &body); err != nil {
			return e, err
		}
		e.At, e.Recorded = time.UnixMilli(at).UTC(), time.UnixMilli(recorded).UTC()
		if e.Happened, err = batch.Decode(body); err != nil {
			return e, fmt.Errorf("entry %d: %w", e.Seq, err)
		}
		return e, nil
	}, query, jug)
}

// collect runs a query and reads every row of the answer.
func collect[T any](ctx context.Context, q querier, read func(scan func(...any) error) (T, error), query string, args ...any) ([]T, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []T
	for rows.Next() {
		row, err := read(rows.Scan)
		if err != nil {
			return nil, err
		}
		all = append(all, row)
	}
	return all, rows.Err()
}

// Jugs returns the jugs that were not withdrawn, the latest made first.
func (s *Store) Jugs(ctx context.Context) ([]Jug, error) {
	const query = `SELECT id, name, made_ms, seq, emptied FROM jug WHERE withdrawn = 0 ORDER BY made_ms DESC, id DESC`
	jugs, err := collect(ctx, s.db, func(scan func(...any) error) (j Jug, err error) {
		var made int64
		err = scan(&j.ID, &j.Name, &made, &j.Seq, &j.Emptied)
		j.Made = time.UnixMilli(made).UTC()
		return j, err
	}, query)
	return jugs, explain(err)
}

// JugNamed returns the jug of a name, or the one whose name begins so. One that stands
// full goes before one that was emptied, the latest before the older; capitals do not matter.
//
// Errors: *NoJugError.
func (s *Store) JugNamed(ctx context.Context, name string) (Jug, error) {
	jugs, err := s.Jugs(ctx)
	if err != nil {
		return Jug{}, err
	}
	name = strings.TrimSpace(name)
	var exact, begins []Jug
	var standing []string
	for _, j := range jugs {
		switch {
		case strings.EqualFold(j.Name, name):
			exact = append(exact, j)
		case name != "" && len(j.Name) > len(name) && strings.EqualFold(j.Name[:len(name)], name):
			begins = append(begins, j)
		}
		if !j.Emptied {
			standing = append(standing, j.Name)
		}
	}
	if full := slices.IndexFunc(exact, func(j Jug) bool { return !j.Emptied }); full >= 0 {
		return exact[full], nil
	}
	switch {
	case len(exact) > 0:
		return exact[0], nil
	case len(begins) == 1:
		return begins[0], nil
	case len(begins) > 1:
		return Jug{}, &NoJugError{Name: name, Among: names(begins), Several: true}
	}
	return Jug{}, &NoJugError{Name: name, Among: standing}
}

func names(jugs []Jug) []string {
	all := make([]string, len(jugs))
	for i, j := range jugs {
		all[i] = j.Name
	}
	return all
}
