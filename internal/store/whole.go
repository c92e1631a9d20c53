package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"reflect"

	"skep/internal/batch"
)

// Backup writes a copy of the whole record to path, while it is in use. Only its owner
// may read it. The copy appears under its name once it is complete and on disk.
//
// Errors: there is a file already; of the file system; ErrFull.
func (s *Store) Backup(ctx context.Context, path string) error {
	err := s.backup(ctx, path)
	switch {
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("backup to %s: %w", path, fs.ErrExist)
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("backup to %s: there is no such folder", path)
	case err != nil:
		return fmt.Errorf("backup to %s: %w", path, err)
	}
	return nil
}

func (s *Store) backup(ctx context.Context, path string) (err error) {
	// The empty file claims the name, so that two backups cannot meet there.
	claim, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	part := path + ".part"
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(path))
			os.Remove(part) // it may not be there
		}
	}()
	if err := claim.Close(); err != nil {
		return err
	}
	// SQLite writes into an empty file, and leaves its permissions as they are.
	if err := os.WriteFile(part, nil, 0o600); err != nil {
		return err
	}
	if _, err := s.db.ExecContext(ctx, `VACUUM INTO ?1`, part); err != nil {
		return explain(err)
	}
	written, err := os.OpenFile(part, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(written.Sync(), written.Close()); err != nil {
		return err
	}
	return os.Rename(part, path)
}

// Check says what is not whole in the record, if anything: the file itself, the run
// of each jug's events, whether they make sense, and what was derived from them.
//
// Errors: ErrDamaged; otherwise every fault found, joined.
func (s *Store) Check(ctx context.Context) error {
	tx, err := s.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true}) // one moment of the record
	if err != nil {
		return explain(err)
	}
	defer tx.Rollback() // nothing was written
	return explain(check(ctx, tx))
}

func check(ctx context.Context, tx *sql.Tx) error {
	text := func(rows *sql.Rows) (line string, err error) {
		err = rows.Scan(&line)
		return line, err
	}
	lines, err := list(ctx, tx, text, `PRAGMA integrity_check`)
	if err != nil {
		return err
	}
	if len(lines) != 1 || lines[0] != "ok" {
		return fmt.Errorf("%w (%s)", ErrDamaged, lines[0])
	}
	var faults []error
	orphans, err := list(ctx, tx, text, `SELECT DISTINCT "table" FROM pragma_foreign_key_check`)
	if err != nil {
		return err
	}
	for _, table := range orphans {
		faults = append(faults, fmt.Errorf("table %s speaks of a jug that is not there", table))
	}
	jugs, err := list(ctx, tx, readJug, jugColumns+`ORDER BY made_ms, id`)
	if err != nil {
		return err
	}
	for _, j := range jugs {
		if err := checkJug(ctx, tx, j); err != nil {
			faults = append(faults, fmt.Errorf("jug %q: %w", j.Name, err))
		}
	}
	return errors.Join(faults...)
}

func checkJug(ctx context.Context, tx *sql.Tx, j Jug) error {
	all, err := events(ctx, tx, j.ID)
	if err != nil {
		return err
	}
	for i, e := range all {
		if e.Seq != i+1 {
			return fmt.Errorf("event %d is missing", i+1)
		}
	}
	if j.Seq > len(all) {
		return fmt.Errorf("event %d is missing", j.Seq)
	}
	state, err := batch.Fold(all)
	if err != nil {
		return err
	}
	lots, err := lotsOf(ctx, tx, j.ID)
	if err != nil {
		return err
	}
	var kept []batch.Lot
	for _, l := range lots {
		kept = append(kept, l.Lot)
	}
	if want := jugOf(state); j != want || !reflect.DeepEqual(kept, state.Shelf) {
		return errors.New("the list of jugs or bottles does not agree with its events")
	}
	if state.Overdrawn != nil {
		return state.Overdrawn
	}
	return nil
}
