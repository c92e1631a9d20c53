package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"time"
)

// Want is what a jug wants, and when.
type Want struct {
	Jug     string // its id
	Name    string // its name; SaveAgenda takes no notice of it
	At      time.Time
	Until   time.Time // zero: no end
	Urgency int       // higher comes first
	Kind    string    // "look", "feed", …
	What    string    // one sentence
	Why     string    // one sentence
}

// SaveAgenda puts wants in the place of all that the jug wanted before. It is made
// anew whenever an event is recorded, and can always be made again.
func (s *Store) SaveAgenda(ctx context.Context, jug string, wants []Want) error {
	return s.write(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM agenda WHERE jug = ?1`, jug); err != nil {
			return err
		}
		for place, w := range wants {
			until := int64(math.MaxInt64)
			if !w.Until.IsZero() {
				until = w.Until.UnixMilli()
			}
			_, err := tx.ExecContext(ctx,
				`INSERT INTO agenda (jug, place, at_ms, until_ms, urgency, kind, what, why) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)`,
				jug, place, w.At.UnixMilli(), until, w.Urgency, w.Kind, w.What, w.Why)
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// Today returns what all jugs want between now and until, the most urgent first: what is
// past its last sensible moment now, or begins after until, is left out. Jugs that were
// withdrawn want nothing; one that was emptied may want its bottles tasted.
func (s *Store) Today(ctx context.Context, now, until time.Time) ([]Want, error) {
	all, err := list(ctx, s.db, readWant, wantColumns+`FROM agenda JOIN jug ON jug.id = agenda.jug
		WHERE at_ms <= ?2 AND until_ms >= ?1 AND withdrawn = 0
		ORDER BY urgency DESC, at_ms, agenda.jug, place`, now.UnixMilli(), until.UnixMilli())
	return all, explain(err)
}

// TodayOf is Today of some jugs only, the most urgent: those whose first want comes first,
// each with all its wants. jugs is how many want something in all.
func (s *Store) TodayOf(ctx context.Context, now, until time.Time, most int) (wants []Want, jugs int, err error) {
	wants, err = list(ctx, s.db, readWant, `WITH first AS (
			SELECT jug, MAX(urgency * 1000000000000000 - at_ms) AS rank FROM agenda
			WHERE at_ms <= ?2 AND until_ms >= ?1 GROUP BY jug)
		`+wantColumns+`FROM (
			SELECT jug, rank FROM first JOIN jug ON jug.id = first.jug WHERE withdrawn = 0 ORDER BY rank DESC, jug LIMIT ?3) AS f
		JOIN agenda ON agenda.jug = f.jug JOIN jug ON jug.id = agenda.jug
		WHERE at_ms <= ?2 AND until_ms >= ?1
		ORDER BY f.rank DESC, agenda.jug, urgency DESC, at_ms, place`, now.UnixMilli(), until.UnixMilli(), most)
	if err != nil {
		return nil, 0, explain(err)
	}
	err = s.db.QueryRowContext(ctx, `SELECT COUNT(DISTINCT jug) FROM agenda JOIN jug ON jug.id = agenda.jug
		WHERE at_ms <= ?2 AND until_ms >= ?1 AND withdrawn = 0`, now.UnixMilli(), until.UnixMilli()).Scan(&jugs)
	return wants, jugs, explain(err)
}

const wantColumns = `SELECT agenda.jug, name, at_ms, until_ms, urgency, agenda.kind, what, why `

func readWant(rows *sql.Rows) (Want, error) {
	var w Want
	var from, last int64
	err := rows.Scan(&w.Jug, &w.Name, &from, &last, &w.Urgency, &w.Kind, &w.What, &w.Why)
	w.At = time.UnixMilli(from).UTC()
	if last != math.MaxInt64 {
		w.Until = time.UnixMilli(last).UTC()
	}
	return w, err
}

// Outlook is where a jug stands and is going, as it was last worked out: kept so that it
// need not be computed for every page.
type Outlook struct {
	Jug   string
	Seq   int             // number of the latest event it knew of
	Model string          // version of the model that made it
	Body  json.RawMessage // as package app writes it
}

// SaveOutlook keeps a forecast, unless one that knew of more events is kept already.
func (s *Store) SaveOutlook(ctx context.Context, o Outlook) error {
	return s.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO outlook (jug, seq, model, body) VALUES (?1, ?2, ?3, ?4)
			ON CONFLICT (jug) DO UPDATE SET seq = ?2, model = ?3, body = ?4 WHERE ?2 >= seq`, o.Jug, o.Seq, o.Model, string(o.Body))
		return err
	})
}

// Outlook returns what was last worked out of a jug, whether or not the jug has newer
// events and by whatever version of the model.
//
// Errors: ErrNotFound: nothing was.
func (s *Store) Outlook(ctx context.Context, jug string) (Outlook, error) {
	o := Outlook{Jug: jug}
	var body []byte
	err := s.db.QueryRowContext(ctx, `SELECT seq, model, body FROM outlook WHERE jug = ?1`, jug).Scan(&o.Seq, &o.Model, &body)
	if errors.Is(err, sql.ErrNoRows) {
		return Outlook{}, fmt.Errorf("outlook of jug %s: %w", jug, ErrNotFound)
	}
	o.Body = body
	return o, explain(err)
}

// Stale returns the ids of the jugs that stand full, or of which bottles are left, and have
// no Outlook that knows of all their events and was made by this version of the model:
// those whose forecast and agenda are to be made again.
func (s *Store) Stale(ctx context.Context, model string) ([]string, error) {
	all, err := list(ctx, s.db, func(rows *sql.Rows) (id string, err error) {
		err = rows.Scan(&id)
		return id, err
	}, `SELECT id FROM jug j WHERE withdrawn = 0
		AND (emptied = 0 OR EXISTS (SELECT 1 FROM lot l WHERE l.jug = j.id AND l.remain > 0))
		AND NOT EXISTS (SELECT 1 FROM outlook o WHERE o.jug = j.id AND o.seq = j.seq AND o.model = ?1)
		ORDER BY id`, model)
	return all, explain(err)
}
