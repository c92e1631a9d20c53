//go:build unix

package store

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// Nothing is read-only to root, so root lets a program without rights look: the test
// program itself, copied to where that one may run it.
func TestAReadOnlyFolderIsNamed(t *testing.T) {
	dir := t.TempDir()
	for _, d := range []string{dir, filepath.Dir(dir)} {
		if err := os.Chmod(d, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	body, err := os.ReadFile(self)
	if err != nil {
		t.Fatal(err)
	}
	program := filepath.Join(dir, "program")
	if err := os.WriteFile(program, body, 0o755); err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(dir, "cellar")
	path := filepath.Join(folder, "skep.db")
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(folder, 0o755) // so that the folder can be cleared away
	for _, tt := range []struct {
		name         string
		folder, file os.FileMode
		open         string
	}{
		{"a record in a read-only folder", 0o555, 0o444, path},
		{"a new record in a read-only folder", 0o555, 0o444, filepath.Join(folder, "new.db")},
		{"a new folder in a read-only folder", 0o555, 0o444, filepath.Join(folder, "new", "new.db")},
		{"a record that others may write to in a folder where they may not", 0o555, 0o666, path},
		{"a read-only record", 0o777, 0o444, path},
		{"a secret record", 0o777, 0o000, path},
	} {
		if err := os.Chmod(folder, tt.folder); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(path, tt.file); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(program)
		cmd.Env = append(os.Environ(), "SKEP_TEST_OPEN="+tt.open)
		if os.Geteuid() == 0 {
			cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		}
		said, err := cmd.CombinedOutput()
		if want := "open record " + tt.open + ": " + ErrReadOnly.Error(); err != nil || strings.TrimSpace(string(said)) != want {
			t.Errorf("%s: said %q, %v, want %q", tt.name, said, err, want)
		}
	}
}
