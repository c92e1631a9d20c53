// Package house tests the house itself: which room may use which, that every method
// says where it comes from, and that no file tells of the machine it was written on.
package house

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// mayImport is the plan of the house: what each room under internal may import of the
// others. The path of the data is the order of the lines.
var mayImport = map[string][]string{
	"measure":   {},
	"solve":     {},
	"reference": {"measure"},
	"property":  {"measure", "solve", "reference"},
	"must":      {"measure", "solve", "reference", "property"},
	"kinetics":  {"measure", "solve", "property", "must"},
	"estimate":  {"measure", "solve", "property", "must", "kinetics"},
	"batch":     {"measure", "must", "estimate"}, // of estimate, Observation and Sense only
	"advice":    {"measure", "property", "estimate", "batch"},
	"store":     {"measure", "batch"},
	"app":       {"measure", "solve", "reference", "property", "must", "kinetics", "estimate", "batch", "advice", "store"},
	"paper":     {"app", "batch", "measure"},
	"exchange":  {"app", "batch", "measure"},
	"cli":       doorsMay,
	"web":       doorsMay,
	"sensor":    doorsMay,
	"lab":       {"measure", "solve", "reference", "property", "must", "kinetics", "estimate", "batch", "advice", "store", "app", "paper", "exchange"},
	"house":     {"reference"}, // its tests read the register
}

// doorsMay is what terminal, pages and instruments may use: they parse, call and render.
var doorsMay = []string{"app", "paper", "exchange", "batch", "measure"}

func TestImportsGoOneWay(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "skep/internal/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	packages := 0
	for line := range strings.Lines(string(out)) {
		paths := strings.Fields(line)
		from := room(paths[0])
		allowed, known := mayImport[from]
		if !known {
			t.Errorf("%s is in no room of the plan", paths[0])
		}
		packages++
		for _, path := range paths[1:] {
			if to := room(path); to != "" && to != from && !slices.Contains(allowed, to) {
				t.Errorf("%s imports %s", paths[0], path)
			}
		}
	}
	if packages < 10 {
		t.Errorf("%d packages seen, want them all", packages)
	}
}

// The plan itself goes one way: no room reaches itself through others.
func TestPlanHasNoCircle(t *testing.T) {
	var reach func(room string, seen []string)
	reach = func(room string, seen []string) {
		if slices.Contains(seen, room) {
			t.Fatalf("a circle in the plan: %v, %s", seen, room)
		}
		for _, next := range mayImport[room] {
			reach(next, append(slices.Clone(seen), room))
		}
	}
	for room := range mayImport {
		reach(room, nil)
	}
}

// room returns which room of the house a package is in, "" for none:
// skep/internal/property/gas is in "property".
func room(path string) string {
	inside, ok := strings.CutPrefix(path, "skep/internal/")
	if !ok {
		return ""
	}
	name, _, _ := strings.Cut(inside, "/")
	return name
}
