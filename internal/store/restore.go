package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// ErrInUse says that a record cannot be put in the place of another that a program has open.
var ErrInUse = errors.New("another program has the record open: close it first, skep serve too")

// Restore puts a backup in the place of the record at path: checked first, and brought up
// to date, on a copy, so that the backup stays as it is. A record that is there is not
// written over: it is an error, or with replace it is kept beside, under a name with the
// time now, which is returned. When it fails, what was there is there.
//
// Errors: fs.ErrNotExist; fs.ErrExist without replace; ErrInUse; as Open and Check, of the
// backup; of the file system.
func Restore(ctx context.Context, backup, path string, replace bool, now time.Time) (kept string, err error) {
	if kept, err = restore(ctx, backup, path, replace, now); err != nil {
		return "", fmt.Errorf("restore %s: %w", backup, err)
	}
	return kept, nil
}

func restore(ctx context.Context, backup, path string, replace bool, now time.Time) (kept string, err error) {
	from, err := os.Stat(backup)
	if err != nil {
		return "", fileFault(err)
	}
	if log, err := os.Stat(backup + "-wal"); err == nil && log.Size() > 0 {
		return "", errors.New("it is a record in use and no backup: make one of it with skep backup")
	}
	there, err := os.Stat(path)
	switch {
	case err == nil && os.SameFile(from, there):
		return "", errors.New("it is the record itself")
	case err == nil && !replace:
		return "", fmt.Errorf("%s: %w", path, fs.ErrExist)
	case err == nil:
	case !errors.Is(err, fs.ErrNotExist):
		return "", err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", explain(err)
	}
	part := path + ".part"
	if err := copyFile(part, backup); err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			for _, name := range []string{part, part + "-wal", part + "-shm"} {
				os.Remove(name) // it may not be there
			}
		}
	}()
	if err := sound(ctx, part); err != nil {
		return "", err
	}
	if there != nil {
		if kept, err = setAside(ctx, path, now); err != nil {
			return "", err
		}
	}
	if err := os.Rename(part, path); err != nil {
		if kept != "" {
			err = errors.Join(err, os.Rename(kept, path))
		}
		return "", err
	}
	return kept, nil
}

// fileFault is an error of a file without its path, which is told already.
func fileFault(err error) error {
	var of *fs.PathError
	if errors.As(err, &of) {
		return of.Err
	}
	return err
}

// copyFile writes a copy that is on disk when it returns. Only its owner may read it.
func copyFile(to, from string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return explain(err)
	}
	defer in.Close() // it was only read
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return explain(err)
	}
	_, err = io.Copy(out, in)
	if err = errors.Join(err, out.Sync(), out.Close()); err != nil {
		err = errors.Join(err, os.Remove(to))
	}
	return err
}

// sound says whether a file is a whole record, and leaves it in one file, up to date.
func sound(ctx context.Context, path string) error {
	// An empty file would be made a record of.
	if info, err := os.Stat(path); err != nil || info.Size() == 0 {
		return errors.Join(err, ErrNotARecord)
	}
	s, err := open(path, "")
	if err != nil {
		return err
	}
	err = s.Check(ctx)
	if err == nil {
		err = s.alone(ctx)
	}
	return errors.Join(err, s.Close())
}

// alone brings all that is in the write-ahead log into the file, and takes the log away.
//
// Errors: ErrInUse.
func (s *Store) alone(ctx context.Context) error {
	_, err := s.db.ExecContext(ctx, `PRAGMA journal_mode = DELETE`)
	if err = explain(err); errors.Is(err, ErrBusy) {
		return ErrInUse
	}
	return err
}

// setAside gives the record at path another name beside it, with all that belongs to it.
func setAside(ctx context.Context, path string, now time.Time) (string, error) {
	s, err := open(path, "&_pragma=busy_timeout(500)")
	if err == nil {
		err = errors.Join(s.alone(ctx), s.Close())
	}
	// One that is damaged is what a backup is restored for.
	if errors.Is(err, ErrInUse) || errors.Is(err, ErrBusy) {
		return "", ErrInUse
	}
	kept := strings.TrimSuffix(path, filepath.Ext(path)) + now.Format(".2006-01-02-150405") + filepath.Ext(path)
	if _, err := os.Stat(kept); err == nil {
		return "", fmt.Errorf("%s: %w", kept, fs.ErrExist)
	}
	for _, end := range []string{"-wal", "-shm", ""} {
		if err := os.Rename(path+end, kept+end); err != nil && (end == "" || !errors.Is(err, fs.ErrNotExist)) {
			return "", err
		}
	}
	return kept, nil
}
