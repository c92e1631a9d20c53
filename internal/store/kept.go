package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
)

// Drawer is a kind of thing that a person keeps by name.
type Drawer string

// The drawers, and what lies in each.
const (
	Vessels     Drawer = "vessel"     // batch.Vessel
	Ingredients Drawer = "ingredient" // the person's own, as package app writes them
	Plans       Drawer = "plan"       // as package app writes them
	Settings    Drawer = "setting"    // one JSON value each
	Devices     Drawer = "device"     // app.Device, by the digest of its key
	Bottles     Drawer = "bottle"     // app.BottlesOnHand, by size and kind
	Prices      Drawer = "price"      // what a thing costs, in the person's words
	BrewDays    Drawer = "brew day"   // app.BrewDay under way, by the name of its plan
	Calendars   Drawer = "calendar"   // app.Occasion as they were last told
	Lessons     Drawer = "lesson"     // what a finished jug told, by its id; worked out from the record
	Briefs      Drawer = "brief"      // what lists tell of a jug, by its id; worked out from the record
)

// Kept is one thing in a drawer.
type Kept struct {
	Name string
	Body json.RawMessage
}

// Put keeps v under a name, in the place of what had it.
//
// Errors: v cannot be written as JSON.
func (s *Store) Put(ctx context.Context, d Drawer, name string, v any) error {
	body, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("%s %q: %w", d, name, err)
	}
	return s.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO kept (drawer, name, body) VALUES (?1, ?2, ?3)
			ON CONFLICT (drawer, name) DO UPDATE SET name = ?2, body = ?3`, d, name, string(body))
		return err
	})
}

// Drop takes what is kept under a name out of its drawer.
//
// Errors: ErrNotFound.
func (s *Store) Drop(ctx context.Context, d Drawer, name string) error {
	return s.write(ctx, func(tx *sql.Tx) error {
		gone, err := tx.ExecContext(ctx, `DELETE FROM kept WHERE drawer = ?1 AND name = ?2`, d, name)
		if err != nil {
			return err
		}
		if n, err := gone.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, fmt.Errorf("%s %q: %w", d, name, ErrNotFound))
		}
		return nil
	})
}

// Get reads what is kept under a name, in small letters or capitals.
//
// Errors: ErrNotFound; what is kept does not fit into v.
func (s *Store) Get(ctx context.Context, d Drawer, name string, into any) error {
	var body []byte
	err := s.db.QueryRowContext(ctx, `SELECT body FROM kept WHERE drawer = ?1 AND name = ?2`, d, name).Scan(&body)
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("%s %q: %w", d, name, ErrNotFound)
	}
	if err != nil {
		return explain(err)
	}
	if err := json.Unmarshal(body, into); err != nil {
		return fmt.Errorf("%s %q: %w", d, name, err)
	}
	return nil
}

// All returns a drawer's contents by name.
func (s *Store) All(ctx context.Context, d Drawer) ([]Kept, error) {
	all, err := list(ctx, s.db, func(rows *sql.Rows) (Kept, error) {
		var k Kept
		var body []byte
		err := rows.Scan(&k.Name, &body)
		k.Body = body
		return k, err
	}, `SELECT name, body FROM kept WHERE drawer = ?1 ORDER BY name`, d)
	return all, explain(err)
}
