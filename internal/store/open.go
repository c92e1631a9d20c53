package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"github.com/pressly/goose/v3"
	"modernc.org/sqlite"
)

// What may be wrong with a record as a whole.
var (
	ErrNewer      = errors.New("it was written by a newer version of Skep: update Skep to open it")
	ErrReadOnly   = errors.New("it cannot be written to: the disk, the folder or the file is read-only, or another person's")
	ErrNotARecord = errors.New("it is not a record of Skep")
	ErrDamaged    = errors.New("the file is damaged: restore the latest backup")
	ErrBusy       = errors.New("another program is writing to it and did not finish within five seconds")
	ErrFull       = errors.New("the disk is full")
)

//go:embed migrations/*.sql
var migrations embed.FS

const (
	schema        = 3          // the latest migration
	applicationID = 1399547248 // see 0001_record.sql
)

// Store is an open record. It may be used from several goroutines.
type Store struct {
	db *sql.DB
}

// Open opens the record at path, and makes it, with its folder, if there is none; only
// its owner may read what it makes. A record of an older version is brought up to date.
//
// Errors: ErrNewer, ErrReadOnly, ErrNotARecord, ErrDamaged, ErrBusy; of the file system.
func Open(path string) (*Store, error) {
	s, err := open(path, "")
	if err != nil {
		return nil, fmt.Errorf("open record %s: %w", path, err)
	}
	return s, nil
}

// open takes more of SQLite's parameters, for tests.
func open(path, more string) (*Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if err := create(path); err != nil {
		return nil, explain(err)
	}
	db, err := sql.Open("sqlite", address(path)+
		"?_pragma=busy_timeout(5000)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)&_txlock=immediate"+more)
	if err != nil {
		return nil, err
	}
	s := &Store{db}
	if err := s.prepare(context.Background()); err != nil {
		return nil, errors.Join(explain(err), db.Close())
	}
	return s, nil
}

// address is a full path as SQLite's URI, in which ?, # and % are letters like others.
func address(path string) string {
	path = filepath.ToSlash(path)
	if path[0] != '/' {
		path = "/" + path // C:/… on Windows
	}
	return (&url.URL{Scheme: "file", Path: path}).String()
}

// create makes an empty file where there is none. One that is there is left for
// SQLite to open: to open and close it here would drop the locks of another Store.
func create(path string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	switch info, err := os.Stat(path); {
	case err == nil && !info.Mode().IsRegular():
		return ErrNotARecord
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return err
	}
	return file.Close()
}

// prepare makes sure that the file is a record, up to date and open to writing. It
// writes to no file that is not one.
func (s *Store) prepare(ctx context.Context) error {
	version, err := s.version(ctx)
	if err != nil {
		return err
	}
	// Reading may work where writing does not: ask now, not when an entry is typed.
	if err := s.writable(ctx); err != nil {
		return err
	}
	// With a write-ahead log readers never wait. The file remembers it, a backup does not.
	// The change needs the file alone, and does not wait for that by itself.
	err = insist(func() error {
		_, err := s.db.ExecContext(ctx, `PRAGMA journal_mode = WAL`)
		return err
	})
	if err != nil {
		return err
	}
	// Looking at the version first spares goose's own queries on every start.
	if version < schema {
		return s.migrate(ctx, schema)
	}
	return nil
}

func (s *Store) writable(ctx context.Context) error {
	conn, err := s.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer conn.Close() // it only goes back to the pool
	return conn.Raw(func(driver any) error {
		readOnly, err := driver.(interface{ IsReadOnly(string) (bool, error) }).IsReadOnly("main")
		if err == nil && readOnly {
			return ErrReadOnly
		}
		return err
	})
}

// version reads up to which migration the file is known to be complete.
func (s *Store) version(ctx context.Context) (int, error) {
	var version, application, tables int
	err := s.db.QueryRowContext(ctx, `SELECT
		(SELECT user_version FROM pragma_user_version), (SELECT application_id FROM pragma_application_id),
		(SELECT count(*) FROM sqlite_schema WHERE name NOT LIKE 'goose%' AND name NOT LIKE 'sqlite%')`).
		Scan(&version, &application, &tables)
	switch {
	case err != nil:
		return 0, err
	case application != applicationID && (application != 0 || version != 0 || tables != 0):
		return 0, ErrNotARecord
	case version > schema:
		return 0, ErrNewer
	}
	return version, nil
}

// migrate brings the file up to a version.
func (s *Store) migrate(ctx context.Context, to int) error {
	files, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	provider, err := goose.NewProvider(goose.DialectSQLite3, s.db, files, goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return err
	}
	// Each migration is one transaction, but two programs may start on a new file at
	// once: the one that comes second fails, and a moment later finds the work done.
	err = insist(func() error {
		_, err := provider.UpTo(ctx, int64(to))
		return err
	})
	if err != nil {
		return err
	}
	return s.write(ctx, func(tx *sql.Tx) error {
		if to == schema {
			if err := derive(ctx, tx); err != nil {
				return err
			}
		}
		_, err := tx.ExecContext(ctx, fmt.Sprintf(`PRAGMA user_version = %d`, to))
		return err
	})
}

// insist does what may fail when two programs start on a new file at once, again for two
// seconds.
func insist(do func() error) (err error) {
	for range 100 {
		if err = do(); err == nil {
			return nil
		}
		time.Sleep(20 * time.Millisecond)
	}
	return err
}

// Close closes the record. Nothing is lost if it is never called.
func (s *Store) Close() error { return s.db.Close() }

// write runs do in one transaction that no other writer can come between.
func (s *Store) write(ctx context.Context, do func(*sql.Tx) error) error {
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return explain(err)
	}
	defer tx.Rollback() // after a commit there is nothing to roll back
	if err := do(tx); err != nil {
		return explain(err)
	}
	return explain(tx.Commit())
}

// explain turns the errors that a person can act upon into their sentence. The codes
// are SQLite's primary result codes, https://sqlite.org/rescode.html.
func explain(err error) error {
	if errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS) {
		return ErrReadOnly
	}
	var of *sqlite.Error
	if !errors.As(err, &of) {
		return err
	}
	switch of.Code() & 0xff {
	case 5, 6: // SQLITE_BUSY, SQLITE_LOCKED
		return ErrBusy
	case 8, 14: // SQLITE_READONLY, SQLITE_CANTOPEN: the file is there, as create saw to
		return ErrReadOnly
	case 11: // SQLITE_CORRUPT
		return ErrDamaged
	case 13: // SQLITE_FULL
		return ErrFull
	case 26: // SQLITE_NOTADB
		return ErrNotARecord
	}
	return err
}
