package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"os"
)

// Drawer is where things of one sort are kept by name.
type Drawer string

// The drawers.
const (
	Vessels     Drawer = "vessel"
	Ingredients Drawer = "ingredient"
	Plans       Drawer = "plan"
	Settings    Drawer = "setting"
)

// Put keeps a thing by name, as JSON, in the place of what had the name.
func (s *Store) Put(ctx context.Context, d Drawer, name string, thing any) error {
	body, err := json.Marshal(thing)
	if err != nil {
		return err
	}
	return s.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO kept (drawer, name, body) VALUES (?1, ?2, ?3)
			ON CONFLICT (drawer, name) DO UPDATE SET name = ?2, body = ?3`, d, name, string(body))
		return err
	})
}

// Get reads the thing kept by name into thing; found is false, and thing as it was, if
// there is none. Capitals in the name do not matter.
func (s *Store) Get(ctx context.Context, d Drawer, name string, thing any) (found bool, err error) {
	var body []byte
	err = s.db.QueryRowContext(ctx, `SELECT body FROM kept WHERE drawer = ?1 AND name = ?2`, d, name).Scan(&body)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return false, nil
	case err != nil:
		return false, explain(err)
	}
	return true, json.Unmarshal(body, thing)
}

// Names returns the names in a drawer, in order.
func (s *Store) Names(ctx context.Context, d Drawer) ([]string, error) {
	names, err := collect(ctx, s.db, func(scan func(...any) error) (name string, err error) {
		return name, scan(&name)
	}, `SELECT name FROM kept WHERE drawer = ?1 ORDER BY name`, d)
	return names, explain(err)
}

// All returns the things in a drawer, by name in order.
func All[T any](ctx context.Context, s *Store, d Drawer) ([]T, error) {
	things, err := collect(ctx, s.db, func(scan func(...any) error) (thing T, err error) {
		var body []byte
		if err := scan(&body); err != nil {
			return thing, err
		}
		return thing, json.Unmarshal(body, &thing)
	}, `SELECT body FROM kept WHERE drawer = ?1 ORDER BY name`, d)
	return things, explain(err)
}

// Backup writes a whole copy of the record to a new file, while the record is in use.
//
// Errors: the file is there already; of the file system.
func (s *Store) Backup(ctx context.Context, path string) error {
	if _, err := os.Stat(path); err == nil {
		return fmt.Errorf("%s is there already: name a new file", path)
	}
	if _, err := s.db.ExecContext(ctx, `VACUUM INTO ?1`, path); err != nil {
		return fmt.Errorf("back up to %s: %w", path, explain(err))
	}
	return nil
}

// Check reads the whole file and says what is damaged in it, if anything is.
//
// Errors: ErrDamaged with SQLite's own words.
func (s *Store) Check(ctx context.Context) error {
	var found string
	if err := s.db.QueryRowContext(ctx, `PRAGMA integrity_check(1)`).Scan(&found); err != nil {
		return explain(err)
	}
	if found != "ok" {
		return fmt.Errorf("%w: %s", ErrDamaged, found)
	}
	return nil
}
