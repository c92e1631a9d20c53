package calc_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"skep/internal/app"
	"skep/internal/measure"
	"skep/internal/property"
)

// portion is a part of a nutrient as a script reads it.
type portion struct {
	When      string        `json:"when"`
	SugarGone measure.Range `json:"sugar_gone"`
	Gravity   measure.Range `json:"sg_20_20"`
	Grams     measure.Range `json:"dap"`
}

// portions reads the schedule of a nutrient.
func portions(t *testing.T, said string) (all []portion) {
	t.Helper()
	text, err := json.Marshal(answer(t, "nutrient", said))
	if err != nil {
		t.Fatal(err)
	}
	var object map[string]json.RawMessage
	if err := json.Unmarshal(text, &object); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(object["schedule"], &all); err != nil {
		t.Fatalf("nutrient(%s): %v in %s", said, err, object["schedule"])
	}
	return all
}

// What is asked for is what the table of demands says of the sugar (from memory: only
// that it comes through is held); the salt is 28.01 g of nitrogen in 132.06 g.
func TestNutrientIsNeedLessWhatIsThere(t *testing.T) {
	for demand, want := range map[string][2]float64{"low": {150, 160}, "medium": {160, 210}, "high": {190, 240}} {
		said := "sugar=200 g/L; volume=5 L; honey-yan=40 mg/L; demand=" + demand
		a := answer(t, "nutrient", said)
		target, gap, dap := result(t, a, "yan_target"), result(t, a, "yan_gap"), result(t, a, "dap")
		middle := (want[0] + want[1]) / 2
		if math.Abs(target.Value-middle) > 1e-6 || math.Abs(target.Low-want[0]) > 0.5 || math.Abs(target.High-want[1]) > 0.5 {
			t.Errorf("nutrient(%s) wants %+v, want %v mg/L", said, target, want)
		}
		if math.Abs(gap.Value-(middle-40)) > 1e-6 {
			t.Errorf("nutrient(%s) lacks %+v, want %g mg/L", said, gap, middle-40)
		}
		if grams := (middle - 40) / 1000 * 132.06 / 28.014 * 5; math.Abs(dap.Value-grams) > 1e-3 {
			t.Errorf("nutrient(%s) = %+v, want %.3f g", said, dap, grams)
		}
	}
}

// By gravity or by sugar, by the kilogram of honey or the litre of must: the same must.
func TestNutrientByEitherWay(t *testing.T) {
	const volume = "; volume=4.5 L"
	usual := answer(t, "nutrient", "sg=1.098"+volume)
	same := answer(t, "nutrient", "sg=1.098; honey-yan=80 mg/kg"+volume) // what a usual honey holds
	if a, b := result(t, usual, "yan_present"), result(t, same, "yan_present"); math.Abs(a.Value-b.Value) > 1e-6 || a.High-a.Low <= b.High-b.Low {
		t.Errorf("a honey of 80 mg/kg brings %+v, the usual %+v: want as much, better known", b, a)
	}
	brings := result(t, usual, "yan_present").Value
	litre := answer(t, "nutrient", fmt.Sprintf("sg=1.098; honey-yan=%.9f mg/L", brings)+volume)
	if got, want := result(t, litre, "dap").Value, result(t, usual, "dap").Value; math.Abs(got-want) > 1e-6 {
		t.Errorf("with %g mg/L said, %g g; want %g", brings, got, want)
	}
	if sugar := answer(t, "nutrient", "sg=1.098; made-with=sugar"+volume); result(t, sugar, "yan_present").Value != 0 {
		t.Error("white sugar brings nitrogen")
	}
	if juice := answer(t, "nutrient", "sg=1.060; made-with=juice; demand=low"+volume); result(t, juice, "yan_present").Value < 2*brings {
		t.Error("a juice brings no more than a honey")
	}
}

// The portions make up the whole, none comes after a third of the sugar is gone, and the
// gravity then is a third of the way down: within 0.003, since ethanol thins a must about
// as evenly as sugar leaves it.
func TestNutrientSchedule(t *testing.T) {
	const said = "sg=1.098; volume=4.5 L"
	all := portions(t, said)
	dry := result(t, answer(t, "potential", "sg=1.098"), "final_sg_20_20").Value
	sum := 0.0
	for i, p := range all {
		sum += p.Grams.Value
		if p.SugarGone.Value > 100./3+1e-9 || i > 0 && p.SugarGone.Value <= all[i-1].SugarGone.Value {
			t.Errorf("portion %d is given when %g %% of the sugar is gone", i+1, p.SugarGone.Value)
		}
		if want := 1.098 - p.SugarGone.Value/100*(1.098-dry); math.Abs(p.Gravity.Value-want) > 0.003 {
			t.Errorf("portion %d is given at %.4f, want near %.4f", i+1, p.Gravity.Value, want)
		}
	}
	if dap := result(t, answer(t, "nutrient", said), "dap").Value; len(all) != 3 || math.Abs(sum-dap) > 1e-9 {
		t.Errorf("%d portions make %g of %g g", len(all), sum, dap)
	}
	if none := portions(t, "sugar=100 g/L; volume=5 L; honey-yan=300 mg/L"); len(none) != 0 {
		t.Errorf("where nothing is lacking there are %d portions", len(none))
	}
}

func TestNutrientKeepsTheCeiling(t *testing.T) {
	a := answer(t, "nutrient", "sg=1.140; volume=10 L; demand=high; made-with=sugar")
	dap := result(t, a, "dap")
	notes := strings.Join(a.Notes, "\n")
	if dap.Value > 9.6+1e-9 || dap.High > 9.6+2e-2*9.6*1.3 { // 960 mg/L in 10 L, which is known to 2 %
		t.Errorf("%+v is above 0.96 g/L in 10 L", dap)
	}
	for _, must := range []string{"the ceiling of 0.96 g/L leaves", "once a third of the sugar is gone", "boiled", "hulls", "960 (United States; from memory, unverified)", "sourer"} {
		if !strings.Contains(notes, must) {
			t.Errorf("nutrient does not say %q in\n%s", must, notes)
		}
	}
}

func TestNutrientRefuses(t *testing.T) {
	for _, tt := range []struct{ said, field, err string }{
		{"volume=4 L", "sg", "is needed, or sugar"},
		{"sg=1.098", "volume", "is needed"},
		{"sg=1.098; sugar=200 g/L; volume=4 L", "sugar", "may contradict"},
		{"sg=1.098; volume=4 L; demand=huge", "demand", "none of the choices"},
		{"sg=1.098; volume=4 L; made-with=sugar; honey-yan=20 mg/L", "honey-yan", "there is none"},
		{"sg=1.098; volume=4 L; honey-yan=20 g", "honey-yan", "that is a mass"},
	} {
		_, err := named(t, "nutrient").Answer(words(tt.said), measure.Metric)
		var asked *app.AskError
		if !errors.As(err, &asked) || asked.Field != tt.field || !strings.Contains(err.Error(), tt.err) {
			t.Errorf("nutrient(%s) = %v, want %q of %s", tt.said, err, tt.err, tt.field)
		}
	}
	_, err := named(t, "nutrient").Answer(words("sugar=900 g/L; volume=4 L"), measure.Metric)
	if beyond := new(property.RangeError); !errors.As(err, &beyond) {
		t.Errorf("nutrient(900 g/L) = %v, want a *property.RangeError", err)
	}
}
