package house

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
)

const root = "../.."

// private are marks of one machine: home and work folders, and where its packages come from.
// The pattern is written so that it does not match itself.
var private = regexp.MustCompile(`(^|[^\w.~-])/(home|root|work|Users)/[\w.]|[A-Z]:\\Users\\|proxy[.]golang[.]|registry[.]npmjs[.]|pypi[.]org`)

func TestNoFileTellsOfTheMachine(t *testing.T) {
	files := 0
	walk(t, func(path string, content []byte) {
		files++
		for n, line := range bytes.Split(content, []byte("\n")) {
			if private.Match(line) {
				t.Errorf("%s:%d has a path or host of somebody's machine: %.120s", path, n+1, line)
			}
		}
	})
	if files < 100 {
		t.Errorf("%d files read, want them all", files)
	}
}

// A package is named for what it is about.
func TestNoRoomForEverything(t *testing.T) {
	err := filepath.WalkDir(filepath.Join(root, "internal"), func(path string, entry fs.DirEntry, err error) error {
		if err == nil && entry.IsDir() && slices.Contains([]string{"util", "utils", "common", "helpers", "types", "models"}, entry.Name()) {
			t.Errorf("%s: name it for what it is about", path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// walk reads every text file of the repository that belongs to it.
func walk(t *testing.T, read func(path string, content []byte)) {
	t.Helper()
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() {
			if slices.Contains([]string{".git", ".check", "node_modules"}, entry.Name()) {
				return filepath.SkipDir
			}
			return nil
		}
		if !entry.Type().IsRegular() {
			return nil
		}
		content, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if bytes.IndexByte(content, 0) < 0 { // text
			read(path, content)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
