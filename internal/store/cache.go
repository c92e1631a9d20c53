package store

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// Want is what a jug wants, and when.
type Want struct {
	Jug     string // id; set by Today
	Name    string // of the jug; set by Today
	At      time.Time
	Until   time.Time // last sensible moment; zero: none
	Urgency int       // higher comes first
	Kind    string
	What    string
	Why     string
}

// SaveOutlook keeps the forecast of a jug, made when seq was the number of its latest
// event, and what the jug wants by it, in the place of what was kept before.
func (s *Store) SaveOutlook(ctx context.Context, jug string, seq int, outlook []byte, wants []Want) error {
	return s.write(ctx, func(tx *sql.Tx) error {
		const keep = `INSERT INTO outlook (jug, seq, body) VALUES (?1, ?2, ?3)
			ON CONFLICT (jug) DO UPDATE SET seq = ?2, body = ?3 WHERE seq <= ?2`
		kept, err := tx.ExecContext(ctx, keep, jug, seq, string(outlook))
		if err != nil {
			return err
		}
		if n, err := kept.RowsAffected(); err != nil || n == 0 {
			return err // a later event was reckoned with already
		}
		if _, err := tx.ExecContext(ctx, `DELETE FROM agenda WHERE jug = ?1`, jug); err != nil {
			return err
		}
		const insert = `INSERT INTO agenda (jug, place, at_ms, until_ms, urgency, kind, what, why) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)`
		for i, w := range wants {
			if _, err := tx.ExecContext(ctx, insert, jug, i, w.At.UnixMilli(), milliseconds(w.Until), w.Urgency, w.Kind, w.What, w.Why); err != nil {
				return err
			}
		}
		return nil
	})
}

// Outlook returns the forecast kept of a jug, and the number of the latest event it
// knew of; nil and 0 if none is kept.
func (s *Store) Outlook(ctx context.Context, jug string) (body []byte, seq int, err error) {
	err = s.db.QueryRowContext(ctx, `SELECT body, seq FROM outlook WHERE jug = ?1`, jug).Scan(&body, &seq)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, 0, nil
	}
	return body, seq, explain(err)
}

// Today returns what all jugs want by at, the most urgent first, then the oldest. What
// is past its last sensible moment at that time is left out.
func (s *Store) Today(ctx context.Context, now, until time.Time) ([]Want, error) {
	const query = `SELECT a.jug, j.name, a.at_ms, a.until_ms, a.urgency, a.kind, a.what, a.why
		FROM agenda a JOIN jug j ON j.id = a.jug
		WHERE a.at_ms <= ?2 AND (a.until_ms = 0 OR a.until_ms >= ?1) AND j.withdrawn = 0
		ORDER BY a.urgency DESC, a.at_ms, j.name, a.place`
	wants, err := collect(ctx, s.db, func(scan func(...any) error) (w Want, err error) {
		var at, until int64
		err = scan(&w.Jug, &w.Name, &at, &until, &w.Urgency, &w.Kind, &w.What, &w.Why)
		w.At = time.UnixMilli(at).UTC()
		if until != 0 {
			w.Until = time.UnixMilli(until).UTC()
		}
		return w, err
	}, query, now.UnixMilli(), until.UnixMilli())
	return wants, explain(err)
}

// milliseconds since 1970; 0 for no time.
func milliseconds(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMilli()
}
