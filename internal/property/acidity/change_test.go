package acidity

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/reference/tables"
)

// 0.1 mL of 0.1 mol/L lye in 10 mL is 1 meq/L, for which the table prints g/L of each
// acid to 0.00001; of gluconic acid's 0.196155 the half is cut off.
func TestTitration(t *testing.T) {
	rows := tables.Read("acidity/acids_pka_equivalents.csv")
	for i, a := range All() {
		ta, err := Titration(0.0001, 0.1, 0.010)
		got, want := float64(Convert(ta, tartaric, a)), rows[i].Number("g_per_L_of_acid_for_1_meq_per_L")
		if err != nil || math.Abs(got-want) > 0.0000051 {
			t.Errorf("1 meq/L is %.6f g/L of %s acid, %v; want %.5f", got, a.Name, err, want)
		}
	}
	for _, tt := range []struct {
		lye      measure.Litres
		molarity float64
		sample   measure.Litres
	}{{-0.001, 0.1, 0.01}, {0.01, 0, 0.01}, {0.01, 3, 0.01}, {0.01, 0.1, 0}, {0.1, 1, 0.01}, {measure.Litres(math.NaN()), 0.1, 0.01}} {
		ta, err := Titration(tt.lye, tt.molarity, tt.sample)
		var outside *property.RangeError
		if !errors.As(err, &outside) || ta != 0 {
			t.Errorf("Titration(%g, %g, %g) = %g, %v, want a *property.RangeError", tt.lye, tt.molarity, tt.sample, ta, err)
		}
	}
}

// What is made of two measurements has both.
func TestComposedRoundTrip(t *testing.T) {
	found, drawn := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		drawn++
		a := rapid.SampledFrom(All()).Draw(t, "acid")
		ta := measure.GramsPerLitre(rapid.Float64Range(0.5, 12).Draw(t, "ta"))
		ph := rapid.Float64Range(2.8, 4.5).Draw(t, "pH")
		ethanol := measure.PercentVol(rapid.Float64Range(0, 15).Draw(t, "ethanol"))
		amount, cation, err := Composed(a, ta, ph, ethanol)
		if err != nil {
			return // no such liquid: TestComposedRefuses
		}
		found++
		got, err := PH([]Amount{amount}, cation, ethanol)
		if err != nil || math.Abs(got-ph) > 1e-6 {
			t.Errorf("PH of Composed(%s, %g, %g, %g) = %.8f, %v", a.Name, ta, ph, ethanol, got, err)
		}
		back, err := Titratable([]Amount{amount}, cation)
		if err != nil || math.Abs(float64(back-ta)) > 1e-9 {
			t.Errorf("Titratable of it = %.10f g/L, %v, want %g", back, err, ta)
		}
	})
	if found < drawn/2 { // about four in five are such liquids
		t.Errorf("only %d of %d liquids were found", found, drawn)
	}
}

func TestComposedRefuses(t *testing.T) {
	malic := named(t, "malic")
	for _, tt := range []struct{ ta, ph, ethanol float64 }{
		{0.05, 2.8, 0}, // too little acid to be so sour
		{45, 4.9, 0},   // more than 50 g/L with the salts
		{5, 2.4, 0}, {5, 5.1, 0}, {5, math.NaN(), 0}, {math.NaN(), 3.5, 0}, {5, 3.5, 16}, {-1, 3.5, 0},
	} {
		amount, cation, err := Composed(malic, measure.GramsPerLitre(tt.ta), tt.ph, measure.PercentVol(tt.ethanol))
		var outside *property.RangeError
		if !errors.As(err, &outside) || amount.GL != 0 || cation != 0 {
			t.Errorf("Composed(%+v) = %+v, %g, %v, want a *property.RangeError", tt, amount, cation, err)
		}
	}
}

// What is asked for, put in, gives the pH that was wanted.
func TestForPHRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amounts := []Amount{
			{gluconic, measure.GramsPerLitre(rapid.Float64Range(0.5, 5).Draw(t, "gluconic"))},
			{tartaric, measure.GramsPerLitre(rapid.Float64Range(0.5, 5).Draw(t, "tartaric"))},
		}
		cation := rapid.Float64Range(0, 6).Draw(t, "cation")
		ethanol := measure.PercentVol(rapid.Float64Range(0, 15).Draw(t, "ethanol"))
		now, err := PH(amounts, cation, ethanol)
		if err != nil {
			t.Fatal(err)
		}
		by := rapid.Float64Range(0.02, 0.4).Draw(t, "by")
		a := rapid.SampledFrom(All()).Draw(t, "acid")
		if goal := now - by; goal > 2.5 {
			gl, err := AcidForPH(a, goal, amounts, cation, ethanol)
			if err != nil || gl <= 0 {
				t.Fatalf("AcidForPH(%s, %g) = %g, %v from pH %g", a.Name, goal, gl, err, now)
			}
			if gl <= 50 { // a weak acid may not reach it
				got, err := PH(append(amounts[:2:2], Amount{a, gl}), cation, ethanol)
				if err != nil || math.Abs(got-goal) > 1e-6 {
					t.Errorf("with %g g/L of %s acid pH %.8f, %v, want %g", gl, a.Name, got, err, goal)
				}
			}
		}
		if goal := now + by; goal > 2.5 && goal < 5 {
			more, err := CationForPH(goal, amounts, cation, ethanol)
			if err != nil || more <= 0 {
				t.Fatalf("CationForPH(%g) = %g, %v from pH %g", goal, more, err, now)
			}
			got, err := PH(amounts, cation+more, ethanol)
			if err != nil || math.Abs(got-goal) > 1e-6 {
				t.Errorf("with %g meq/L of cations pH %.8f, %v, want %g", more, got, err, goal)
			}
			if less, err := AcidForPH(a, goal, amounts, cation, ethanol); err != nil || less >= 0 {
				t.Errorf("AcidForPH(%s, %g) = %g, %v from pH %g, want less than nothing", a.Name, goal, less, err, now)
			}
		}
	})
	for _, goal := range []float64{2.4, 5.1, math.NaN()} {
		var outside *property.RangeError
		if _, err := CationForPH(goal, nil, 0, 0); !errors.As(err, &outside) {
			t.Errorf("CationForPH(%g) = %v, want a *property.RangeError", goal, err)
		}
		if gl, err := AcidForPH(tartaric, goal, nil, 0, 0); !errors.As(err, &outside) || gl != 0 {
			t.Errorf("AcidForPH(%g) = %g, %v, want a *property.RangeError", goal, gl, err)
		}
	}
}

// Computed elsewhere from the reactions, to 0.001 g/L; CO2 likewise, to 0.01 g/g. Tartrate
// of potassium that falls out takes as much acid again, that of calcium none besides.
func TestCarbonates(t *testing.T) {
	notes := tables.Find("acidity/deacidification_notes.csv", "item", "CO2 released").Figures("what")
	gas := map[string]float64{"potassium bicarbonate": notes[0], "calcium carbonate": notes[1], "potassium carbonate": notes[2]}
	carbonates := []Carbonate{PotassiumBicarbonate, PotassiumCarbonate, CalciumCarbonate}
	for i, r := range tables.Read("acidity/deacidification.csv") {
		c := carbonates[i]
		if c.Name != r.Text("agent") || c.MolarMass != r.Number("formula_mass_g_per_mol") || c.Cations != r.Number("acid_neutralised_only_eq_per_mol") {
			t.Errorf("%s is %+v", r.Text("agent"), c)
		}
		perGram := c.Equivalent() / tartaric.Equivalent()
		if want := r.Number("g_per_L_for_1_g_per_L_as_tartaric_neutralise_only"); math.Abs(perGram-want) > 0.0005 {
			t.Errorf("%s: %.4f g/L for 1 g/L as tartaric, want %.3f", c.Name, perGram, want)
		}
		half := perGram * r.Number("acid_neutralised_only_eq_per_mol") / r.Number("acid_removed_with_KHT_or_CaT_precipitation_eq_per_mol")
		if want := r.Number("g_per_L_for_1_g_per_L_as_tartaric_with_precipitation"); math.Abs(half-want) > 0.0006 {
			t.Errorf("%s, with tartrate falling out: %.4f g/L, want %.3f", c.Name, half, want)
		}
		if got := float64(c.Gas()); math.Abs(got-gas[c.Name]) > 0.005 {
			t.Errorf("a gram of %s lets go of %.4f g CO2, want %.2f", c.Name, got, gas[c.Name])
		}
	}
}

// The trade's gram for gram lies between what tartrate that falls out needs and what wine
// without any does, as the notes print both, to 0.01.
func TestTradeRuleLiesBetween(t *testing.T) {
	row := tables.Find("acidity/deacidification_notes.csv", "item", "Trade rule 1 g/L bicarbonate")
	notes, rule := row.Figures("what"), row.Figures("value")
	without := PotassiumBicarbonate.Equivalent() / tartaric.Equivalent()
	if math.Abs(without-notes[1]) > 0.005 || math.Abs(without/2-notes[0]) > 0.005 {
		t.Errorf("%.4f and %.4f g/L of bicarbonate, the notes print %g and %g", without/2, without, notes[0], notes[1])
	}
	for _, r := range rule {
		if r <= without/2 || r >= without {
			t.Errorf("the trade's %g g/L is not between %.3f and %.3f", r, without/2, without)
		}
	}
}

func ExampleComposed() {
	// A mead of 2.6 g/L, as tartaric, that a meter shows at pH 3.2: how much potassium
	// bicarbonate takes it to 3.5?
	amount, cation, err := Composed(gluconic, 2.6, 3.2, 12)
	if err != nil {
		fmt.Println(err)
		return
	}
	more, err := CationForPH(3.5, []Amount{amount}, cation, 12)
	fmt.Printf("%.1f g/L, %v\n", more/1000*PotassiumBicarbonate.Equivalent(), err)
	// Output: 0.4 g/L, <nil>
}
