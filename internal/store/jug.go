package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"skep/internal/batch"
)

// ErrNotFound says that there is nothing of that name.
var ErrNotFound = errors.New("not found")

// Jug is one jug in a list of them; all of it follows from its events.
type Jug struct {
	ID        string
	Name      string
	Made      time.Time
	Seq       int  // number of its latest event
	Withdrawn bool // to count as never made
	Emptied   bool // bottled to the last
}

// Lot is bottles on the shelf, with the jug that they were filled from.
type Lot struct {
	Jug  string // its id
	Name string
	Wine json.RawMessage // as SaveWine kept it; nil if it did not
	batch.Lot
}

const jugColumns = `SELECT id, name, made_ms, seq, withdrawn, emptied FROM jug `

func readJug(rows *sql.Rows) (Jug, error) {
	var j Jug
	var made int64
	err := rows.Scan(&j.ID, &j.Name, &made, &j.Seq, &j.Withdrawn, &j.Emptied)
	j.Made = time.UnixMilli(made).UTC()
	return j, err
}

// Jugs returns every jug, those that stand full first, then the emptied, then the
// withdrawn; the youngest of each first.
func (s *Store) Jugs(ctx context.Context) ([]Jug, error) {
	all, err := list(ctx, s.db, readJug, jugColumns+`ORDER BY withdrawn, emptied, made_ms DESC, id`)
	return all, explain(err)
}

// JugByName returns the jug of that name, in small letters or capitals: of several,
// the one that Jugs lists first.
//
// Errors: ErrNotFound.
func (s *Store) JugByName(ctx context.Context, name string) (Jug, error) {
	all, err := list(ctx, s.db, readJug, jugColumns+`WHERE name = ?1 ORDER BY withdrawn, emptied, made_ms DESC, id LIMIT 1`, name)
	if err != nil {
		return Jug{}, explain(err)
	}
	if len(all) == 0 {
		return Jug{}, fmt.Errorf("jug %q: %w", name, ErrNotFound)
	}
	return all[0], nil
}

// Shelf returns every lot that has bottles left, the oldest first.
func (s *Store) Shelf(ctx context.Context) ([]Lot, error) {
	all, err := list(ctx, s.db, readLot, lotColumns+`WHERE remain > 0 ORDER BY at_ms, lot.jug, place`)
	return all, explain(err)
}

// LotsNamed returns the lots called so, in small letters or capitals, with those that have
// nothing left; the youngest first.
func (s *Store) LotsNamed(ctx context.Context, code string) ([]Lot, error) {
	all, err := list(ctx, s.db, readLot, lotColumns+`WHERE code = ?1 ORDER BY at_ms DESC, lot.jug, place`, code)
	return all, explain(err)
}

// LotsOf returns all lots of a jug, with those that have nothing left.
func (s *Store) LotsOf(ctx context.Context, jug string) ([]Lot, error) {
	all, err := lotsOf(ctx, s.db, jug)
	return all, explain(err)
}

func lotsOf(ctx context.Context, q querier, jug string) ([]Lot, error) {
	return list(ctx, q, readLot, lotColumns+`WHERE lot.jug = ?1 ORDER BY place`, jug)
}

const lotColumns = `SELECT lot.jug, name, wine.body, bottling, code, at_ms, style, size_ml, kind, closure, part, holds_ml, filled, remain, stands, warmest
	FROM lot JOIN jug ON jug.id = lot.jug LEFT JOIN wine ON wine.jug = lot.jug `

func readLot(rows *sql.Rows) (Lot, error) {
	var l Lot
	var at int64
	var wine []byte
	err := rows.Scan(&l.Jug, &l.Name, &wine, &l.Bottling, &l.Code, &at, &l.Style,
		&l.Bottles.SizeML, &l.Bottles.Kind, &l.Bottles.Closure, &l.Bottles.Part, &l.Bottles.HoldsML, &l.Bottles.Count, &l.Left, &l.Place, &l.Warmest)
	l.At = time.UnixMilli(at).UTC()
	l.Wine = wine
	return l, err
}

// SaveWine keeps what the shelf tells of the wine of a jug. It can always be worked out
// again.
func (s *Store) SaveWine(ctx context.Context, jug string, body json.RawMessage) error {
	return s.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO wine (jug, body) VALUES (?1, ?2) ON CONFLICT (jug) DO UPDATE SET body = ?2`, jug, string(body))
		return err
	})
}

// EmptiesSince returns how many more empty bottles of a size and kind there are than at a
// time: those that came back less those that were filled.
func (s *Store) EmptiesSince(ctx context.Context, since time.Time, sizeML float64, kind string) (int, error) {
	var count int
	err := s.db.QueryRowContext(ctx, `SELECT coalesce(sum(count), 0) FROM empties WHERE at_ms >= ?1 AND abs(size_ml - ?2) < 1 AND kind = ?3`,
		since.UnixMilli(), sizeML, kind).Scan(&count)
	return count, explain(err)
}

// derive writes anew what follows from the events of every jug.
func derive(ctx context.Context, tx *sql.Tx) error {
	jugs, err := list(ctx, tx, readJug, jugColumns)
	if err != nil {
		return err
	}
	for _, j := range jugs {
		all, err := events(ctx, tx, j.ID)
		if err != nil {
			return err
		}
		state, err := batch.Fold(all)
		if err != nil {
			return fmt.Errorf("jug %q: %w", j.Name, err)
		}
		if err := deriveJug(ctx, tx, state); err != nil {
			return err
		}
	}
	return nil
}

// jugOf is what the list of jugs says of a state.
func jugOf(s batch.State) Jug {
	return Jug{ID: s.Jug, Name: s.Name, Made: s.Made.At, Seq: s.Seq, Withdrawn: s.Withdrawn, Emptied: s.Empty}
}

// deriveJug writes what follows from the events of one jug.
func deriveJug(ctx context.Context, tx *sql.Tx, s batch.State) error {
	j := jugOf(s)
	if !j.Withdrawn && !j.Emptied {
		var other string
		err := tx.QueryRowContext(ctx, `SELECT id FROM jug
			WHERE name = ?1 AND id <> ?2 AND withdrawn = 0 AND emptied = 0`, j.Name, j.ID).Scan(&other)
		if err == nil {
			return fmt.Errorf("jug %q: %w", j.Name, ErrNameTaken)
		}
		if !errors.Is(err, sql.ErrNoRows) {
			return err
		}
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO jug (id, name, made_ms, seq, withdrawn, emptied)
		VALUES (?1, ?2, ?3, ?4, ?5, ?6)
		ON CONFLICT (id) DO UPDATE SET name = ?2, made_ms = ?3, seq = ?4, withdrawn = ?5, emptied = ?6`,
		j.ID, j.Name, j.Made.UnixMilli(), j.Seq, j.Withdrawn, j.Emptied)
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `DELETE FROM lot WHERE jug = ?1`, j.ID); err != nil {
		return err
	}
	for place, l := range s.Shelf {
		_, err := tx.ExecContext(ctx, `INSERT INTO lot
			(jug, place, bottling, code, at_ms, style, size_ml, kind, closure, part, holds_ml, filled, remain, stands, warmest)
			VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)`,
			j.ID, place, l.Bottling, l.Code, l.At.UnixMilli(), l.Style, l.Bottles.SizeML, l.Bottles.Kind, l.Bottles.Closure,
			l.Bottles.Part, l.Bottles.HoldsML, l.Bottles.Count, l.Left, l.Place, float64(l.Warmest))
		if err != nil {
			return err
		}
	}
	if _, err := tx.ExecContext(ctx, `DELETE FROM empties WHERE jug = ?1`, j.ID); err != nil {
		return err
	}
	for place, e := range s.Empties {
		_, err := tx.ExecContext(ctx, `INSERT INTO empties (jug, place, at_ms, size_ml, kind, count) VALUES (?1, ?2, ?3, ?4, ?5, ?6)`,
			j.ID, place, e.At.UnixMilli(), e.SizeML, e.Kind, e.Count)
		if err != nil {
			return err
		}
	}
	return nil
}
