package store

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"
)

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

func TestRestore(t *testing.T) {
	s, path := fresh(t)
	add(t, s, made("j", "heather"), note("j", "one", 1))
	backup := filepath.Join(t.TempDir(), "copy.db")
	if err := s.Backup(t.Context(), backup); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(backup)
	if err != nil {
		t.Fatal(err)
	}
	add(t, s, note("j", "two", 1))
	restore := func(replace bool) (string, error) {
		return Restore(t.Context(), backup, path, replace, noon)
	}
	if _, err := restore(false); !errors.Is(err, fs.ErrExist) {
		t.Errorf("over a record, without replace: %v, want fs.ErrExist", err)
	}
	if _, err := restore(true); !errors.Is(err, ErrInUse) {
		t.Errorf("over a record that is open: %v, want ErrInUse", err)
	}
	if got := len(read(t, s, "j")); got != 3 {
		t.Fatalf("after refusals it has %d events, want 3", got)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	kept, err := restore(true)
	if err != nil || filepath.Dir(kept) != filepath.Dir(path) {
		t.Fatalf("Restore = %q, %v", kept, err)
	}
	for of, want := range map[string]int{path: 2, kept: 3} {
		r := reopen(t, of)
		if err := r.Check(t.Context()); err != nil {
			t.Error(err)
		}
		if got := len(read(t, r, "j")); got != want {
			t.Errorf("%s has %d events, want %d", filepath.Base(of), got, want)
		}
	}
	if after, err := os.ReadFile(backup); err != nil || !bytes.Equal(before, after) {
		t.Errorf("the backup was written to, %v", err)
	}
	empty := filepath.Join(t.TempDir(), "new", "cellar.db")
	if kept, err := Restore(t.Context(), backup, empty, false, noon); err != nil || kept != "" {
		t.Errorf("where there is none: %q, %v", kept, err)
	}
	if got := len(read(t, reopen(t, empty), "j")); got != 2 {
		t.Errorf("the new one has %d events, want 2", got)
	}
}

// What is no whole record is put in no place, and leaves nothing behind.
func TestRestoreChecksFirst(t *testing.T) {
	dir := t.TempDir()
	file := func(name string, content []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, content, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	s, path := fresh(t)
	add(t, s, made("j", "heather"), note("j", "one", 1))
	good := filepath.Join(dir, "good.db")
	if err := s.Backup(t.Context(), good); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	for name, backup := range map[string]string{
		"letter": file("letter", []byte("dear all")), "empty": file("empty", nil), "half": file("half", whole[:len(whole)/2]),
		"none": filepath.Join(dir, "nowhere"), "itself": path, "folder": dir,
	} {
		before := files(t, path)
		if _, err := Restore(t.Context(), backup, path, true, noon); err == nil {
			t.Errorf("%s was restored", name)
		}
		if after := files(t, path); after != before {
			t.Errorf("%s: %d files beside the record, before %d", name, after, before)
		}
	}
	if got := len(read(t, s, "j")); got != 2 {
		t.Errorf("the record has %d events, want 2", got)
	}
	// One that is damaged can be replaced, and is kept.
	damaged := file("damaged.db", whole[:len(whole)/2])
	kept, err := Restore(t.Context(), good, damaged, true, noon)
	if err != nil {
		t.Fatal(err)
	}
	if was, err := os.ReadFile(kept); err != nil || len(was) != len(whole)/2 {
		t.Errorf("of the damaged one %d bytes are kept, %v", len(was), err)
	}
}

// files are how many lie beside a record, but for its log.
func files(t *testing.T, path string) (n int) {
	t.Helper()
	all, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range all {
		if ext := filepath.Ext(f.Name()); ext != ".db-wal" && ext != ".db-shm" {
			n++
		}
	}
	return n
}
