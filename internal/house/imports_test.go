// Package house tests the house itself: which room may use which, that every method
// says where it comes from, and that no file tells of the machine it was written on.
package house

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// plan is the plan of the house: what each room under internal may import of the others.
// The path of the data is the order of the lines.
var plan = []struct {
	room string
	may  []string
}{
	{"measure", nil},
	{"solve", nil},
	{"reference", []string{"measure"}},
	{"property", []string{"measure", "solve", "reference"}},
	{"must", []string{"measure", "solve", "reference", "property"}},
	{"kinetics", []string{"measure", "solve", "property", "must"}},
	{"estimate", []string{"measure", "solve", "property", "must", "kinetics"}},
	{"batch", []string{"measure", "must", "estimate"}}, // of estimate, Observation and Sense only
	{"advice", []string{"measure", "property", "must", "kinetics", "estimate", "batch"}},
	{"store", []string{"measure", "batch"}},
	{"app", []string{"measure", "solve", "reference", "property", "must", "kinetics", "estimate", "batch", "advice", "store"}},
	{"chart", []string{"app", "measure"}},
	{"paper", []string{"app", "chart", "batch", "measure"}},
	{"exchange", []string{"app", "batch", "measure"}},
	{"web", doorsMay},
	{"cli", append([]string{"web"}, doorsMay...)}, // the terminal opens the pages: skep serve
	{"sensor", doorsMay},
	{"lab", []string{"measure", "solve", "reference", "property", "must", "kinetics", "estimate", "batch", "advice", "store", "app", "paper", "exchange"}},
	{"house", []string{"reference"}}, // its tests read the register
}

// doorsMay is what terminal, pages and instruments may use: they parse, call and render.
var doorsMay = []string{"app", "chart", "paper", "exchange", "batch", "measure"}

func TestImportsGoOneWay(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "skep/internal/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	packages := 0
	for line := range strings.Lines(string(out)) {
		paths := strings.Fields(line)
		from := room(paths[0])
		allowed, known := mayImport(from)
		if !known {
			t.Errorf("%s is in no room of the plan", paths[0])
		}
		packages++
		for _, path := range paths[1:] {
			if to := room(path); to != "" && to != from && !slices.Contains(allowed, to) {
				t.Errorf("%s imports %s", paths[0], path)
			}
			if path == "skep/internal/reference/tables" && from != "lab" {
				t.Errorf("%s imports %s, which is for tests and evaluations", paths[0], path)
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
		may, known := mayImport(room)
		if !known {
			t.Errorf("%s is in no line of the plan", room)
		}
		for _, next := range may {
			reach(next, append(slices.Clone(seen), room))
		}
	}
	for _, line := range plan {
		reach(line.room, nil)
	}
}

// mayImport returns what a room may import, and whether there is such a room.
func mayImport(room string) ([]string, bool) {
	for _, line := range plan {
		if line.room == room {
			return line.may, true
		}
	}
	return nil, false
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
