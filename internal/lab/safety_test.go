package lab

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"skep/internal/lab/safety"
)

func TestSafetyRun(t *testing.T) {
	for _, tt := range []struct {
		name           string
		args           []string
		exit           int
		stdout, stderr string // must contain; "" means must be empty
	}{
		{"the story of a jug", []string{"safety", "--seed", "3", "--jug", "0"}, 0, "truly", ""},
		{"no jugs", []string{"safety", "--jugs", "0"}, 2, "", "one is the least"},
		{"a jug and a table", []string{"safety", "--jug", "1", "--json"}, 2, "", "none of the others can be"},
	} {
		var stdout, stderr bytes.Buffer
		if exit := Run(tt.args, &stdout, &stderr); exit != tt.exit {
			t.Errorf("%s: exit status %d, want %d: %s", tt.name, exit, tt.exit, &stderr)
		}
		for out, want := range map[string]string{stdout.String(): tt.stdout, stderr.String(): tt.stderr} {
			if !strings.Contains(out, want) || want == "" && out != "" {
				t.Errorf("%s: %q, want %q", tt.name, out, want)
			}
		}
	}
	if exit := exitStatus(&unsafeError{[]safety.Claim{{What: "x"}}}, true); exit != 3 {
		t.Errorf("a claim not met: exit status %d, want 3", exit)
	}
}

const (
	safetyPage  = "../../docs/safety.md"
	storedRun   = "testdata/safety.json" // skep-lab safety --json > internal/lab/testdata/safety.json
	safetyBegin = "<!-- run: printed by go test ./internal/lab -update, from " + storedRun + " -->\n"
	safetyEnd   = "<!-- end of run -->\n"
)

// The page shows the run that is stored.
func TestSafetyPageIsTrue(t *testing.T) {
	body, err := os.ReadFile(storedRun)
	if err != nil {
		t.Fatal(err)
	}
	var report safety.Report
	if err := json.Unmarshal(body, &report); err != nil {
		t.Fatal(err)
	}
	var want bytes.Buffer
	if err := report.WriteMarkdown(&want); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(safetyPage)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, found := strings.Cut(string(text), safetyBegin)
	got, after, closed := strings.Cut(rest, safetyEnd)
	if !found || !closed {
		t.Fatalf("%s has no place for the run", safetyPage)
	}
	if *update {
		if err := os.WriteFile(safetyPage, []byte(before+safetyBegin+want.String()+safetyEnd+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if got != want.String() {
		t.Errorf("%s is not the run of %s: go test ./internal/lab -update", safetyPage, storedRun)
	}
}
