package lab

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"math"
	"os"
	"strings"
	"testing"

	"skep/internal/reference/tables"
)

var update = flag.Bool("update", false, "renew docs/accuracy.md and the redlab tables of docs/calibration.md")

const page = "../../docs/accuracy.md"

func TestAccuracy(t *testing.T) {
	results, err := Accuracy()
	if err != nil {
		t.Fatal(err)
	}
	if err := faults(results); err != nil {
		t.Error(err)
	}
	named := map[string]bool{}
	rows := 0
	for _, r := range results {
		rows += r.Rows
		if named[r.Quantity+r.Table] {
			t.Errorf("%s of %s stands twice", r.Quantity, r.Table)
		}
		named[r.Quantity+r.Table] = true
		if r.Status == tables.ByRow {
			t.Errorf("%s: the rows compared have no status", r.Quantity)
		}
		if reason := r.Decides || r.Status.Decides(); r.Decides != (r.Tolerance > 0) || reason != (r.Why != "") {
			t.Errorf("%s decides %v, tolerance %g because of %q: what decides has a tolerance with a reason, what is set aside a reason, what is from memory neither", r.Quantity, r.Decides, r.Tolerance, r.Why)
		}
	}
	if rows < 1800 {
		t.Errorf("%d values compared, want at least 1800", rows)
	}
	t.Logf("%d quantities, %d values", len(results), rows)
}

// A table that nothing here walks has its reason.
func TestEveryTableIsWalked(t *testing.T) {
	elsewhere := map[string]string{
		"acidity/acid_constants_vs_ethanol.csv":      "a constant inside acidity; tested there",
		"acidity/deacidification_notes.csv":          "CO2 of carbonates, tested in acidity; words",
		"acidity/honey_acidity.csv":                  "ranges, and values from memory",
		"cellar/closures.csv":                        "sizes; those that Skep quotes are tested in reference",
		"cellar/fining_and_racking.csv":              "doses and lees; those that Skep quotes are tested in must and app",
		"cellar/standard_drinks.csv":                 "conventions and examples; tested in app",
		"cellar/yeast_ph_temperature.csv":            "limits; those that Skep quotes are tested in app",
		"density/gravity_polynomials_published.csv":  "quick fits of others, which Skep does not use",
		"density/hydrometer_constants.csv":           "constants; tested in density",
		"density/potential_alcohol_factors.csv":      "constants; tested in density",
		"density/solute_polynomial_fits_20C.csv":     "coefficients; tested in density",
		"gas/bottle_and_co2_limits.csv":              "limits; those that Skep quotes are tested in reference, advice and gas",
		"gas/co2_room_exposure.csv":                  "limits, tested in advice, and arithmetic, tested in gas",
		"gas/co2_solubility_coefficients.csv":        "coefficients; tested in gas",
		"gas/co2_molar_volume.csv":                   "inside gas; tested there",
		"gas/co2_yield.csv":                          "constants; tested in gas",
		"heat/fermentation_heat.csv":                 "constants and examples; tested in heat",
		"heat/glass_thermal_shock.csv":               "limits; tested in heat",
		"kinetics/recalled_T_law_outcomes.csv":       "rates from memory",
		"kinetics/redlab_series.csv":                 "what glucose and fructose do; tested in kinetics",
		"kinetics/trajectory_parameters.csv":         "what the trajectories start from",
		"ingredients/honey_fermentable_fraction.csv": "sums; tested in must",
		"ingredients/usda_composition.csv":           "copied row by row into ingredients.csv; tested in must",
		"ingredients/usda_household_weights.csv":     "the same",
		"sulphite/so2_pk_oiv.csv":                    "constants; tested in sulphite",
	}
	results, err := Accuracy()
	if err != nil {
		t.Fatal(err)
	}
	walked := map[string]bool{}
	for _, r := range results {
		walked[r.Table] = true
	}
	for _, e := range tables.Index() {
		switch reason := elsewhere[e.Table]; {
		case e.Status == tables.Transcribed:
		case walked[e.Table] && reason != "":
			t.Errorf("%s is walked, and excused: %s", e.Table, reason)
		case !walked[e.Table] && reason == "":
			t.Errorf("%s is not walked", e.Table)
		}
	}
}

// Of the verification, no row is left out but those that are walked in gas (two at 50 °C,
// one of the gas itself) and in calc (two of the balance that brewers use).
func TestVerificationIsWhole(t *testing.T) {
	rows := 0
	for _, c := range verifications() {
		r, err := c.walk()
		if err != nil {
			t.Fatal(err)
		}
		rows += r.Rows
	}
	if all := len(tables.Read("gas/verification.csv")); rows != all-5 {
		t.Errorf("%d of %d rows are walked, want all but five", rows, all)
	}
}

// The walk must be able to fail.
func TestWalkFindsFaults(t *testing.T) {
	right := comparison{
		quantity: "itself", table: "density/sucrose_crc_20C.csv", column: "density_20C_g_per_cm3_printed", key: at("%s %%", "mass_percent"),
		compute:   func(r tables.Row) (float64, error) { return 1000 * r.Number("density_20C_g_per_cm3_printed"), nil },
		scale:     1000,
		unit:      "kg/m³",
		tolerance: 0.1,
		why:       "a test",
	}
	if r, err := right.walk(); err != nil || r.fault() || r.Rows != 20 || r.Deviation > 1e-9 {
		t.Errorf("the table against itself: %+v, %v", r, err)
	}
	off := func(by float64, status tables.Status) comparison {
		c := right
		c.status = status
		c.compute = func(r tables.Row) (float64, error) {
			x, err := right.compute(r)
			if r.Text("mass_percent") == "3" {
				x += by
			}
			return x, err
		}
		return c
	}
	r, err := off(-0.5, "").walk()
	if err != nil || !r.fault() || r.Missed != 1 || r.Where != "3 %" || math.Abs(r.Deviation-0.5) > 1e-9 {
		t.Errorf("one row off by 0.5: %+v, %v, want one miss at 3 %%", r, err)
	}
	missed := faults([]Result{r})
	if missed == nil || exitStatus(missed, true) != 3 || !strings.Contains(missed.Error(), "itself: 0.500 kg/m³ at 3 % (1 of 20 rows)") {
		t.Errorf("faults = %v, exit status %d, want 3", missed, exitStatus(missed, true))
	}
	if r, err := off(-0.5, tables.FromMemory).walk(); err != nil || r.fault() || r.Deviation < 0.4 {
		t.Errorf("one row from memory off: %+v, %v, want it shown, and no fault", r, err)
	}
	aside := off(-0.5, "")
	aside.tolerance, aside.why, aside.aside = 0, "", "of another sugar"
	if r, err := aside.walk(); err != nil || r.fault() || r.Decides || r.Deviation < 0.4 || r.tolerance() != "— of another sugar" {
		t.Errorf("one row set aside off: %+v, %v, want it shown with its reason, and no fault", r, err)
	}
	nothing, refused := right, right
	nothing.only = func(tables.Row) bool { return false }
	refused.compute = func(tables.Row) (float64, error) { return 0, errors.New("out of range") }
	for _, c := range []comparison{nothing, refused, off(math.NaN(), "")} {
		if _, err := c.walk(); err == nil || exitStatus(err, true) != 1 {
			t.Errorf("no rows, a method that refuses or gives no number: error %v, want one, and exit status 1", err)
		}
	}
}

func TestRun(t *testing.T) {
	for _, tt := range []struct {
		name, args     string
		exit           int
		stdout, stderr string // must contain; "" means must be empty
	}{
		{"a table", "accuracy", 0, "density of water", ""},
		{"help", "", 0, "accuracy", ""},
		{"a word unknown", "acuracy", 2, "", "accuracy"},
		{"a flag unknown", "accuracy --xml", 2, "", "--xml"},
		{"a word too many", "accuracy water", 2, "", "water"},
		{"two forms at once", "accuracy --json --markdown", 2, "", "json"},
	} {
		var stdout, stderr bytes.Buffer
		if exit := Run(strings.Fields(tt.args), &stdout, &stderr); exit != tt.exit {
			t.Errorf("%s: exit status %d, want %d", tt.name, exit, tt.exit)
		}
		for out, want := range map[string]string{stdout.String(): tt.stdout, stderr.String(): tt.stderr} {
			if !strings.Contains(out, want) || want == "" && out != "" {
				t.Errorf("%s: %q, want %q", tt.name, out, want)
			}
		}
	}
}

func TestJSON(t *testing.T) {
	var stdout, stderr bytes.Buffer
	if exit := Run([]string{"accuracy", "--json"}, &stdout, &stderr); exit != 0 {
		t.Fatalf("exit status %d: %s", exit, &stderr)
	}
	var got struct {
		Quantities []Result          `json:"quantities"`
		Sources    map[string]string `json:"sources"`
	}
	if err := json.Unmarshal(stdout.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	want, err := Accuracy()
	if err != nil || len(got.Quantities) != len(want) {
		t.Errorf("%d quantities, %v, want %d", len(got.Quantities), err, len(want))
	}
	for _, r := range got.Quantities {
		for _, key := range r.Sources {
			if got.Sources[key] == "" {
				t.Errorf("%s cites %q, of which nothing is said", r.Quantity, key)
			}
		}
	}
}

func TestPageIsTrue(t *testing.T) {
	var want, stderr bytes.Buffer
	if exit := Run([]string{"accuracy", "--markdown"}, &want, &stderr); exit != 0 {
		t.Fatalf("exit status %d: %s", exit, &stderr)
	}
	if *update {
		if err := os.WriteFile(page, want.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want.Bytes()) {
		t.Error("docs/accuracy.md is not what skep-lab accuracy says: go test ./internal/lab -update")
	}
}
