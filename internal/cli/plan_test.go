package cli_test

import (
	"bytes"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"skep/internal/cli"
)

// runPlan carries out one command line on a cellar of the test's own.
func runPlan(t *testing.T, cellar string, args ...string) (exit int, stdout, stderr string) {
	t.Helper()
	var out, err bytes.Buffer
	exit = cli.Run(append([]string{"--cellar", cellar, "--clock", "2026-05-03 12:00"}, args...), strings.NewReader(""), &out, &err)
	return exit, out.String(), err.String()
}

func TestPlanCommand(t *testing.T) {
	cellar := filepath.Join(t.TempDir(), "cellar.db")
	for _, tt := range []struct {
		name           string
		args           []string
		exit           int
		stdout, stderr string // must contain; "" means must be empty
	}{
		{"kitchen and metric measures", []string{"plan", "--units", "us", "--jug", "1 gal", "--strength", "12", "--yeast", "champagne"}, 0, "g = 2 lb", ""},
		{"cups", []string{"plan", "--units", "us", "--jug", "1 gal", "--strength", "12", "--yeast", "champagne"}, 0, "cups", ""},
		{"bottles", []string{"plan", "--jug", "5 L", "--use", "1.2 kg", "--yeast", "mead", "--bottle", "500 mL"}, 0, "x 500 mL", ""},
		{"kept", []string{"plan", "heather", "--jug", "4.5 L", "--strength", "11", "--honey", "heather honey", "--yeast", "cider", "--keep"}, 0, "Kept.", ""},
		{"shown again", []string{"plan", "heather"}, 0, "heather honey", ""},
		{"step by step", []string{"plan", "heather", "--sheet"}, 0, "Pitch the yeast", ""},
		{"no such plan", []string{"plan", "blackberry"}, 2, "", "there are: heather"},
		{"a jug is needed", []string{"plan", "--strength", "12"}, 2, "", "which jug"},
		{"too strong", []string{"plan", "--jug", "1 gal", "--strength", "18", "--yeast", "bread"}, 1, "", "cannot be had"},
		{"a slip of the finger", []string{"plan", "--jug", "1 gal", "--strength", "12", "--with", "2 cusp elderflower"}, 2, "", `"cusp" is not a unit`},
		{"keep needs a name", []string{"plan", "--jug", "1 gal", "--strength", "12", "--keep"}, 2, "", "needs a name"},
		{"one name", []string{"plan", "a", "b"}, 2, "", "too many"},
		{"yeasts complete", []string{"__complete", "plan", "--yeast", ""}, 0, "champagne yeast", "Completion"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			exit, stdout, stderr := runPlan(t, cellar, tt.args...)
			if exit != tt.exit || !holds(stdout, tt.stdout) || !holds(stderr, tt.stderr) {
				t.Errorf("%q: exit %d\n%s\n%s\nwant exit %d, %q and %q", tt.args, exit, stdout, stderr, tt.exit, tt.stdout, tt.stderr)
			}
		})
	}
}

// holds says whether text contains part; of "" whether text is empty.
func holds(text, part string) bool {
	if part == "" {
		return text == ""
	}
	return strings.Contains(text, part)
}

// The names under which scripts find a plan's figures.
func TestPlanJSON(t *testing.T) {
	cellar := filepath.Join(t.TempDir(), "cellar.db")
	exit, stdout, stderr := runPlan(t, cellar, "plan", "--json", "--jug", "4.5 L", "--strength", "12", "--yeast", "champagne", "--with", "1 lemon", "--sheet")
	var answer struct {
		Plan  map[string]json.RawMessage `json:"plan"`
		Sheet map[string]json.RawMessage `json:"sheet"`
	}
	if err := json.Unmarshal([]byte(stdout), &answer); err != nil || exit != 0 || stderr != "" {
		t.Fatalf("exit %d, %v\n%s\n%s", exit, err, stdout, stderr)
	}
	for _, key := range []string{"amounts", "prospect", "ph", "yeast", "nutrient", "timeline", "bottles", "fill", "parts"} {
		if _, ok := answer.Plan[key]; !ok {
			t.Errorf("plan has no %q", key)
		}
	}
	if _, ok := answer.Sheet["steps"]; !ok {
		t.Error(`sheet has no "steps"`)
	}
	var gravity struct {
		Gravity struct {
			Value, Low, High float64
			Unit             string
		} `json:"original_gravity"`
	}
	if err := json.Unmarshal(answer.Plan["prospect"], &gravity); err != nil {
		t.Fatal(err)
	}
	if g := gravity.Gravity; !(1.07 < g.Low && g.Low < g.Value && g.Value < g.High && g.High < 1.10) || g.Unit != "SG 20/20" {
		t.Errorf("original gravity %+v", g)
	}
}
