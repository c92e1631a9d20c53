package calc_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/app/calc"
	"skep/internal/measure"
)

func told(a calc.Answer, key string) any {
	for _, r := range a.Results {
		if r.Key == key {
			return r.Value
		}
	}
	return nil
}

// What is said to be taken, blended, is what is wanted; nothing beyond what is on hand.
func TestBlendMeetsItsGoals(t *testing.T) {
	for _, tt := range []struct {
		said, missed string
		want         map[string]float64
	}{
		{"part=5 L 14 %vol 1.000; part=5 L; to-ethanol=10 %vol; volume=3 L", "", map[string]float64{"volume": 3, "ethanol": 10}},
		{"part=5 L 14 %vol 1.000; part=5 L; to-ethanol=10 %vol", "", map[string]float64{"ethanol": 10, "take_1": 5}},
		{"part=5 L 14 %vol 1.000; part=2 L 10 %vol 1.030; to-sg=1.005", "", map[string]float64{"sg_20_20": 1.005, "take_2": 0.999}},
		{
			"part=5 L 14 %vol 1.000 7.5 g/L; part=5 L 10 %vol 0.996 5 g/L; part=5 L; to-ethanol=11 %vol; to-ta=5.8 g/L; volume=4.5 L", "",
			map[string]float64{"volume": 4.5, "ethanol": 11, "ta": 5.8},
		},
		{"part=5 L 14 %vol 1.000; part=5 L; to-ethanol=15 %vol", "strength", map[string]float64{"ethanol": 14, "take_1": 5, "take_2": 0}},
		{"part=2 L 14 %vol 1.000; part=5 L; to-ethanol=10 %vol; volume=4 L", "volume", map[string]float64{"ethanol": 10, "take_1": 2}},
	} {
		a := answer(t, "blend", tt.said)
		for key, want := range tt.want {
			within := 1e-6
			if key == "take_2" && want > 0 {
				within = 0.01 // by gravities averaged by volume, which contraction bends
			}
			if got := result(t, a, key); math.Abs(got.Value-want) > within {
				t.Errorf("blend(%s) %s = %.6f %s, want %.6f", tt.said, key, got.Value, got.Unit, want)
			}
		}
		if met, missed := told(a, "met"), told(a, "missed"); met != (tt.missed == "") || tt.missed != "" && (missed != tt.missed || len(a.Notes) == 0) {
			t.Errorf("blend(%s) met %v, missed %v, notes %q, want %q missed", tt.said, met, missed, a.Notes, tt.missed)
		}
	}
	a := answer(t, "blend", "part=5 L 14 %vol 1.000; part=5 L; to-ethanol=15 %vol")
	if len(a.Notes) != 1 || !strings.Contains(a.Notes[0], "the highest of the parts is 14.00 % vol") {
		t.Errorf("notes of what is too strong: %q", a.Notes)
	}
}

// Water taken from what was diluted leaves what there was: blend and dilute agree.
func TestDiluteAndBlendAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		strength := rapid.Float64Range(5, 18).Draw(t, "strength")
		gravity := rapid.Float64Range(1.000, 1.060).Draw(t, "gravity")
		to := strength * rapid.Float64Range(0.3, 0.99).Draw(t, "share")
		a := answer(t, "dilute", fmt.Sprintf("volume=4 L; sg=%.4f; ethanol=%.4f %%vol; to-ethanol=%.4f %%vol", gravity, strength, to))
		water := result(t, a, "add").Value
		b := answer(t, "blend", fmt.Sprintf("part=4 L %.4f %%vol %.4f; part=%.6f g", strength, gravity, water))
		for _, key := range []string{"volume", "ethanol", "sg_20_20"} {
			if got, want := result(t, a, key).Value, result(t, b, key).Value; math.Abs(got-want) > 1e-4 {
				t.Fatalf("dilute says %s %.6f, blend %.6f", key, got, want)
			}
		}
		if got := result(t, a, "ethanol").Value; math.Abs(got-to) > 1e-3 {
			t.Fatalf("diluted to %.4f %% vol, want %.4f", got, to)
		}
	})
}

// A weighed dose is a proportion; the half step is in the range.
func TestTrialOfAWeighedDose(t *testing.T) {
	a := answer(t, "trial", "what=tannin; dose=0.10 g; glass=50 mL; step=0.05 g; volume=4.5 L")
	got := result(t, a, "add")
	if math.Abs(got.Value-9) > 1e-9 || got.Low > 9-0.4*4.5 || got.High < 9+0.4*4.5 {
		t.Errorf("trial: %+v, want 9 g, and half a step of 4.5 g each way at least to four fifths", got)
	}
	// 1 mL of 100 g/L in 49 mL is 2 g/L as drunk; in the jug, swelling left out, 2 g/L too.
	if got := result(t, answer(t, "trial", "dose=1 mL; solution=100 g/L; glass=49 mL; volume=1 L"), "add"); math.Abs(got.Value-2) > 0.003 {
		t.Errorf("trial by solution: %+v, want 2 g, and 0.12 %% that it swells", got)
	}
}

func TestHeatPlans(t *testing.T) {
	for _, tt := range []struct {
		said, key    string
		want, within float64
	}{
		// 4.182 kJ/(kg K) for all: 2.985 kg of 15 °C and 0.98 kg of 95 °C, by weight
		{"part=3 kg 15 C; to=35 C; with=95 C", "add", 1000, 3},
		{"part=1 kg 20 C; to=0 C; with=ice", "add", 1000 * 4.187 * 20 / (333.55 + 2.1*9), 0.5},
		{"part=4.5 L 20 C; vessel=glass jug in still air; room=20 C; sugar-per-day=48 g/L", "power", 1.39, 0.01}, // the table says 1.4 W of 9 g/h
	} {
		if got := result(t, answer(t, "heat", tt.said), tt.key); math.Abs(got.Value-tt.want) > tt.within {
			t.Errorf("heat(%s) %s = %+v, want %.2f", tt.said, tt.key, got, tt.want)
		}
	}
	// A kilogram of glass is like 0.2 kg of water.
	with, without := result(t, answer(t, "heat", "part=4 kg 30 C; jug=2 kg 30 C; to=20 C; with=ice"), "add").Value,
		result(t, answer(t, "heat", "part=4 kg 30 C; to=20 C; with=ice"), "add").Value
	if want := 1 + 2*0.84/(4*4.187); math.Abs(with/without-want) > 1e-3 {
		t.Errorf("a jug asks for %.4f times the ice, want %.4f", with/without, want)
	}
}

// Of 4.8 L of wine of 12 % vol from 15 to 30 °C grow 3.3 mL a litre by 4.0e-4 per K at 20 °C
// [boulton-expansion] would be 6; ours, by density, must be between water and that.
func TestHeadspace(t *testing.T) {
	a := answer(t, "headspace", "wine=4.5 L; brim=4.8 L; at=15 C; warmest=30 C; sg=0.995; ethanol=12 %vol")
	if got := result(t, a, "headspace"); math.Abs(got.Value-0.3) > 1e-9 {
		t.Errorf("headspace = %+v, want 0.3 L", got)
	}
	water := 4.5 * (999.103/995.649 - 1) // [tanaka2001]
	if got := result(t, a, "expansion"); got.Value < water || got.Value > 4.5*4.0e-4*15 {
		t.Errorf("expansion = %+v, want %.4f to %.4f L", got, water, 4.5*4.0e-4*15)
	}
	if told(a, "fits") != true {
		t.Errorf("0.3 L of room are said not to do")
	}
	if told(answer(t, "headspace", "wine=4.795 L; brim=4.8 L; at=15 C; warmest=30 C"), "fits") != false {
		t.Errorf("5 mL of room are said to do")
	}
	// What was measured counts: a bucket of 30 cm has 0.707 L in a cm.
	if got := result(t, answer(t, "headspace", "jug=bucket; neck=30 cm; body=30 cm; below=2 cm"), "headspace"); math.Abs(got.Value-2*0.706858) > 1e-5 {
		t.Errorf("headspace of a bucket = %+v, want %.4f L", got, 2*0.706858)
	}
	// By weight of water: 4.79 kg are 4.7986 L.
	if got := result(t, answer(t, "headspace", "wine=4.5 L; brim=4.79 kg"), "headspace"); math.Abs(got.Value-(4.79/0.998207-4.5)) > 1e-5 {
		t.Errorf("headspace by weight = %+v, want %.4f L", got, 4.79/0.998207-4.5)
	}
}

func TestBottlesOfAJug(t *testing.T) {
	a := answer(t, "bottles", "volume=4.5 L; size=2 x 750 mL; size=375 mL")
	into := result(t, a, "bottled")
	if want := 4.5 * 0.97 * 0.9875; math.Abs(into.Value-want) > 1e-9 || into.Low > 4.5*0.962*0.9875 || into.High < 4.5*0.978*0.9875 {
		t.Errorf("bottled = %+v, want %.4f L and at least the spread of its lees", into, want)
	}
	if got := told(a, "bottles"); got != "2 of 750 mL, 7 of 375 mL" {
		t.Errorf("bottles are %v", got)
	}
	if left := told(a, "left_over").(measure.Range).Value; math.Abs(left-(into.Value-4.125)) > 1e-3 {
		t.Errorf("left over %.3f L of %.3f", left, into.Value)
	}
}
