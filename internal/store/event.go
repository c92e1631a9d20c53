package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"time"

	"skep/internal/batch"
)

// ErrConflict says that an event cannot be added as numbered or named: another was
// written first, or the same id tells something else. Read the jug again.
var ErrConflict = errors.New("the jug's record has changed meanwhile")

// ErrNameTaken says that another jug that stands full has this name.
var ErrNameTaken = errors.New("another jug has this name")

// Append adds events, of one jug or several, all or none; they are on disk when it
// returns. A Made begins a new jug. An event with number 0 gets the next of its jug;
// any other number must be the next. An event that is there already, word for word,
// is passed over, so that sending twice does no harm.
//
// Errors: as batch.State.Check for each event in turn; ErrConflict; ErrNameTaken;
// ErrBusy, ErrReadOnly, ErrFull.
func (s *Store) Append(ctx context.Context, events ...batch.Event) error {
	var jugs []string // in order of first mention
	of := make(map[string][]batch.Event)
	for _, e := range events {
		if _, known := of[e.Jug]; !known {
			jugs = append(jugs, e.Jug)
		}
		of[e.Jug] = append(of[e.Jug], e)
	}
	return s.write(ctx, func(tx *sql.Tx) error {
		for _, jug := range jugs {
			if err := extend(ctx, tx, jug, of[jug]); err != nil {
				return err
			}
		}
		return nil
	})
}

// extend adds events to one jug.
func extend(ctx context.Context, tx *sql.Tx, jug string, more []batch.Event) error {
	if jug == "" {
		return errors.New("the event does not say of which jug it is")
	}
	all, err := events(ctx, tx, jug)
	if err != nil {
		return err
	}
	var state batch.State
	if len(all) > 0 {
		if state, err = batch.Fold(all); err != nil {
			return err
		}
	}
	for _, e := range more {
		e.At, e.Recorded = stored(e.At), stored(e.Recorded)
		if e.Happened == nil || e.ID == "" || e.Recorded.IsZero() {
			return errors.New("an event needs an id, a time of writing, and something that happened")
		}
		body, err := batch.Encode(e.Happened)
		if err != nil {
			return err
		}
		if there, err := repeated(all, e, body); there || err != nil {
			if err != nil {
				return err
			}
			continue
		}
		next := state.Seq + 1
		if e.Seq != 0 && e.Seq != next {
			return fmt.Errorf("event %d of the jug: %w; its next is %d", e.Seq, ErrConflict, next)
		}
		e.Seq = next
		if err := state.Check(e.Happened, e.At); err != nil {
			return err
		}
		all = append(all, e)
		if state, err = batch.Fold(all); err != nil {
			return err
		}
		if err := insert(ctx, tx, e, body); err != nil {
			return err
		}
	}
	return deriveJug(ctx, tx, state)
}

// stored is a time as the file keeps it.
func stored(t time.Time) time.Time { return t.Truncate(time.Millisecond).UTC() }

// repeated says that e is among the events already.
func repeated(all []batch.Event, e batch.Event, body []byte) (bool, error) {
	i := slices.IndexFunc(all, func(old batch.Event) bool { return old.ID == e.ID })
	if i < 0 {
		return false, nil
	}
	old, err := batch.Encode(all[i].Happened)
	if err != nil {
		return false, err
	}
	if string(old) != string(body) || !all[i].At.Equal(e.At) {
		return false, fmt.Errorf("event %s: %w: it tells something else", e.ID, ErrConflict)
	}
	return true, nil
}

func insert(ctx context.Context, tx *sql.Tx, e batch.Event, body []byte) error {
	var other string
	switch err := tx.QueryRowContext(ctx, `SELECT jug FROM event WHERE id = ?1`, e.ID).Scan(&other); {
	case err == nil:
		return fmt.Errorf("event %s: %w: it is of another jug", e.ID, ErrConflict)
	case !errors.Is(err, sql.ErrNoRows):
		return err
	}
	_, err := tx.ExecContext(ctx,
		`INSERT INTO event (id, jug, seq, at_ms, recorded_ms, kind, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)`,
		e.ID, e.Jug, e.Seq, e.At.UnixMilli(), e.Recorded.UnixMilli(), e.Happened.Kind(), string(body))
	return err
}

// Events returns the events of a jug in the order in which they were written; none if
// there is no such jug.
//
// Errors: batch.ErrNewer.
func (s *Store) Events(ctx context.Context, jug string) ([]batch.Event, error) {
	all, err := events(ctx, s.db, jug)
	return all, explain(err)
}

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

func events(ctx context.Context, q querier, jug string) ([]batch.Event, error) {
	return list(ctx, q, func(rows *sql.Rows) (batch.Event, error) {
		e := batch.Event{Jug: jug}
		var at, recorded int64
		var body []byte
		if err := rows.Scan(&e.ID, &e.Seq, &at, &recorded, &body); err != nil {
			return e, err
		}
		e.At, e.Recorded = time.UnixMilli(at).UTC(), time.UnixMilli(recorded).UTC()
		var err error
		if e.Happened, err = batch.Decode(body); err != nil {
			return e, fmt.Errorf("event %d of jug %s: %w", e.Seq, jug, err)
		}
		return e, nil
	}, `SELECT id, seq, at_ms, recorded_ms, body FROM event WHERE jug = ?1 ORDER BY seq`, jug)
}

// list runs a query and reads every row.
func list[T any](ctx context.Context, q querier, read func(*sql.Rows) (T, error), query string, args ...any) ([]T, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close() // its error is that of rows.Err
	var all []T
	for rows.Next() {
		one, err := read(rows)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, rows.Err()
}
