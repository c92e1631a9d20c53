package cli_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"skep/internal/app/calc"
	"skep/internal/cli"
)

var update = flag.Bool("update", false, "renew the golden files")

// runCalc carries out one calculation. No record may be opened: its file cannot be.
func runCalc(args ...string) (exit int, stdout, stderr string) {
	var out, err bytes.Buffer
	exit = cli.Run(append([]string{"--cellar", filepath.Join("no", "such", "folder", "cellar.db"), "calc"}, args...), strings.NewReader(""), &out, &err)
	return exit, out.String(), err.String()
}

// split parts an example as a shell would: at spaces that are not in quotation marks.
func split(example string) []string {
	var args []string
	for i, part := range strings.Split(example, `"`) {
		if i%2 == 1 {
			args = append(args, part)
		} else {
			args = append(args, strings.Fields(part)...)
		}
	}
	return args
}

// What scripts rely on: the first example of each calculation, as JSON. Machines differ
// in the last digits of a number.
func TestCalcJSON(t *testing.T) {
	for _, c := range calc.All() {
		exit, stdout, stderr := runCalc(append([]string{c.Name, "--json"}, split(c.Examples[0])...)...)
		if exit != 0 || stderr != "" {
			t.Errorf("%s %s: exit %d, %s", c.Name, c.Examples[0], exit, stderr)
			continue
		}
		path := filepath.Join("testdata", "calc", c.Name+".json")
		if *update {
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(stdout), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		golden, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		var got, want map[string]any
		if err := json.Unmarshal([]byte(stdout), &got); err != nil {
			t.Errorf("%s: %v in\n%s", c.Name, err, stdout)
		}
		if err := json.Unmarshal(golden, &want); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got, cmpopts.EquateApprox(1e-6, 1e-9)); diff != "" {
			t.Errorf("%s %s (-golden +got; go test -update renews it):\n%s", c.Name, c.Examples[0], diff)
		}
	}
}

func TestCalcCommand(t *testing.T) {
	for _, tt := range []struct {
		name, args     string
		exit           int
		stdout, stderr string // must contain; "" means must be empty
	}{
		{"answer with its unit", `density --sugar "20 %mass" --at "20 C"`, 0, "1081.0 kg/m3", ""},
		{"strength with its range", "abv --og 1.098 --fg 1.004", 0, "12.68 % vol  (12.3", ""},
		{"the way there", "abv --og 1.098 --fg 1.004 --explain", 0, "[crc102-wolf] CRC Handbook", ""},
		{"kitchen units", `must --honey "3 lb" --to "1 gal" --units us`, 0, "or 9 lb 4 oz", ""},
		{"a bottle that does not hold", `bottle-pressure --residual-sugar "8 g/L" --bottle swing-top`, 0, "no rating was found", ""},
		{"list", "--list", 0, "bottle-pressure", ""},
		{"list as JSON", "--list --json", 0, `"name": "bottle-pressure"`, ""},
		{"help has an example", "heat --help", 0, `skep calc heat --part "2 L 95 C"`, ""},
		{"a quantity needs its unit", "density --sugar 20", 2, "", `sugar "20": "20" has no unit`},
		{"a slip of the point", "abv --og 10.98 --fg 1.000", 2, "", `did you mean "1.098"?`},
		{"absurd strength", `density --ethanol "140 %vol"`, 2, "", "outside 0 to 100 % vol"},
		{"not a number", "abv --og NaN --fg 1.000", 2, "", `og "NaN"`},
		{"contradiction", "abv --og 1.050 --fg 0.970", 2, "", "when all its sugar has gone"},
		{"said twice", "abv --og 1.050 --og 1.060 --fg 1.000", 2, "", "was said twice"},
		{"nothing said", "abv", 2, "", "og: is needed"},
		{"beyond the table", `density --sugar "83 %mass"`, 1, "", "outside 0 to 70 % mass"},
		{"liquid-full", `bottle-pressure --residual-sugar "5 g/L" --headspace "5 mL" --at "38 C"`, 1, "", "fills the bottle"},
		{"error as JSON", "density --sugar 20 --json", 2, `"field":"sugar"`, ""},
		{"no such calculation", "densty", 2, "", `did you mean "skep calc density"?`},
		{"no such flag", "density --salt 3", 2, "", "unknown flag"},
		{"no words after it", "density 20", 2, "", "one word too many"},
		{"no such units", "density --units roman", 2, "", "no system of units"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			exit, stdout, stderr := runCalc(split(tt.args)...)
			if exit != tt.exit || !holds(stdout, tt.stdout) || !holds(stderr, tt.stderr) {
				t.Errorf("calc %s: exit %d\n%s\n%s\nwant exit %d, %q and %q", tt.args, exit, stdout, stderr, tt.exit, tt.stdout, tt.stderr)
			}
		})
	}
	var out, err bytes.Buffer
	cli.Run([]string{"__complete", "calc", "bottle-pressure", "--bottle", ""}, strings.NewReader(""), &out, &err)
	if !strings.Contains(out.String(), "sparkling-wine glass\n") {
		t.Errorf("completion of --bottle gives\n%s", out.String())
	}
}

// Whatever is said of whichever input: no panic, an exit status that means something,
// and one JSON object whose numbers are numbers.
func FuzzCalc(f *testing.F) {
	all := calc.All()
	for n, c := range all {
		for _, example := range c.Examples {
			said := make([]string, len(c.Inputs))
			args := split(example)
			for a := 0; a+1 < len(args); a += 2 {
				for i := range c.Inputs {
					if "--"+c.Inputs[i].Name == args[a] {
						said[i] += args[a+1] + ";"
					}
				}
			}
			f.Add(uint8(n), strings.Join(said, "|"))
		}
	}
	f.Fuzz(func(t *testing.T, n uint8, said string) {
		c := all[int(n)%len(all)]
		args := []string{c.Name, "--json"}
		for i, words := range strings.SplitN(said, "|", len(c.Inputs)) {
			for _, one := range strings.Split(words, ";") {
				if one != "" {
					args = append(args, "--"+c.Inputs[i].Name+"="+one)
				}
			}
		}
		exit, stdout, stderr := runCalc(args...)
		var object map[string]any
		if err := json.Unmarshal([]byte(stdout), &object); err != nil {
			t.Fatalf("calc %q: exit %d, %v in %q, %q", args, exit, err, stdout, stderr)
		}
		fault, refused := object["error"].(map[string]any)
		switch exit {
		case 0:
			if refused {
				t.Errorf("calc %q: exit 0 and an error", args)
			}
			for key, v := range object {
				if r, ok := v.(map[string]any); ok {
					value, ok1 := r["value"].(float64)
					low, ok2 := r["low"].(float64)
					high, ok3 := r["high"].(float64)
					if !ok1 || !ok2 || !ok3 || !(low <= value && value <= high) {
						t.Errorf("calc %q: %s is %v", args, key, r)
					}
				}
			}
		case 1, 2:
			if message, _ := fault["message"].(string); message == "" || strings.Contains(message, "NaN") && !strings.Contains(said, "NaN") {
				t.Errorf("calc %q: exit %d, %s", args, exit, stdout)
			}
		default:
			t.Errorf("calc %q: exit %d", args, exit)
		}
	})
}
