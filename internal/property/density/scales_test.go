package density

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
	"skep/internal/reference/tables"
)

func TestConversions(t *testing.T) {
	// One last digit of each column, from rounding on both sides of the inversion.
	tolerance := map[string]float64{
		"density_20C_kg_per_m3": computedTolerance, "sg_20C_20C_in_vacuo": 0.00002, "sg_20C_20C_apparent_in_air": 0.00002,
		"sg_60F_60F_in_vacuo": 0.00002, "oechsle_degrees": 0.01, "baume_modulus_145": 0.01, "sucrose_g_per_L_at_20C": 0.1,
	}
	worsts := map[string]*worst{}
	var brix worst
	for _, r := range tables.Read("density/gravity_conversions_computed.csv") {
		w := r.Share("sucrose_mass_percent_brix_plato")
		where := fmt.Sprintf("%.4g %%", 100*w)
		sg, err := GravityFromSucrose(w)
		if err != nil {
			t.Fatal(err)
		}
		at60, err := Gravity60F(Solution{Sucrose: w})
		if err != nil {
			t.Fatal(err)
		}
		extract, err := Extract(sg)
		if err != nil {
			t.Fatal(err)
		}
		for column, got := range map[string]float64{
			"density_20C_kg_per_m3": float64(FromGravity(sg)), "sg_20C_20C_in_vacuo": float64(sg),
			"sg_20C_20C_apparent_in_air": Apparent(sg), "sg_60F_60F_in_vacuo": at60,
			"oechsle_degrees": Oechsle(sg), "baume_modulus_145": Baume(sg), "sucrose_g_per_L_at_20C": float64(extract),
		} {
			if worsts[column] == nil {
				worsts[column] = &worst{}
			}
			off := got - r.Number(column)
			worsts[column].note(off, where)
			if math.Abs(off) > tolerance[column] {
				t.Errorf("%s of %s = %.5f, want %.5f", column, where, got, r.Number(column))
			}
		}
		// The printed gravity, to 0.00001, is 0.0026 % mass: half of it is rounding.
		back, err := SucroseFromGravity(measure.Gravity(r.Number("sg_20C_20C_in_vacuo")))
		off := 100 * float64(back-w)
		brix.note(off, where)
		if err != nil || math.Abs(off) > 0.002 {
			t.Errorf("SucroseFromGravity of %s is off by %.5f %% mass, %v", where, off, err)
		}
	}
	for column, w := range worsts {
		w.log(t, column)
	}
	brix.log(t, "% mass")
}

// Fits by others to older tables, each with the difference from the present formula that
// was measured for it: they must stay as near as that, and its rounding.
func TestPublishedPolynomials(t *testing.T) {
	rows := tables.Read("density/gravity_polynomials_published.csv")
	for i, tt := range []struct{ to, tolerance float64 }{{40, 0.023}, {20, 0.013}, {20, 0.010}} {
		r := rows[i]
		var w worst
		for percent := 0.0; percent <= tt.to; percent++ {
			sg, err := GravityFromSucrose(measure.MassFraction(percent / 100))
			if err != nil {
				t.Fatal(err)
			}
			s := Apparent(sg)
			theirs := r.Number("c0") + s*(r.Number("c1")+s*(r.Number("c2")+s*r.Number("c3")))
			if i == 2 {
				theirs = (463 - 205*s) * (s - 1)
			}
			w.note(theirs-percent, fmt.Sprintf("%g", percent))
		}
		w.log(t, "°Brix: "+r.Text("name"))
		if w.off > tt.tolerance {
			t.Errorf("%s is off by %.4f °Brix, want at most %g", r.Text("name"), w.off, tt.tolerance)
		}
	}
}

// The official wine tables of old Germany, 15/15 °C, printed to 0.01 g/100 mL: rounding,
// and an older measurement of sucrose.
func TestExtractAgainstOldWineTables(t *testing.T) {
	var w worst
	for _, r := range tables.Read("density/dry_extract_german_table_15C.csv") {
		relative := r.Number("relative_density_15C_15C")
		// The sucrose that has this relative density at 15 °C, by bisection on Sucrose.
		low, high := 0.0, 0.3
		for range 60 {
			middle := (low + high) / 2
			rho, err := Sucrose(measure.MassFraction(middle), 15)
			if err != nil {
				t.Fatal(err)
			}
			if float64(rho)/water(15) < relative {
				low = middle
			} else {
				high = middle
			}
		}
		got := low * relative * water(15) / 10 // g/100 mL
		want := r.Number("extract_g_per_100mL_printed")
		w.note(got-want, fmt.Sprint(relative))
		if math.Abs(got-want) > 0.015 {
			t.Errorf("extract at %.4f = %.4f g/100 mL, printed %.2f", relative, got, want)
		}
	}
	w.log(t, "g/100 mL")
}

// One printed row [gost14251]: 1.1040 is 27.15 g/100 mL. The method lies 0.02 above, as
// it does in the older tables.
func TestExtractAgainstOneRow(t *testing.T) {
	got, err := Extract(1.1040)
	if err != nil || math.Abs(float64(got)-271.5) > 0.3 {
		t.Errorf("Extract(1.1040) = %.2f g/L, %v; printed 271.5", got, err)
	}
}

// The table of the international method was written from memory: it decides nothing.
func TestExtractAgainstRememberedTable(t *testing.T) {
	var w worst
	for _, r := range tables.Read("density/dry_extract_oiv_table.csv") {
		sg := r.Number("relative_density_20C_20C")
		got, err := Extract(measure.Gravity(sg))
		if err != nil {
			t.Fatal(err)
		}
		w.note(float64(got)-r.Number("total_dry_extract_g_per_L"), fmt.Sprint(sg))
	}
	w.log(t, "g/L (from memory, decides nothing)")
}

func near(got, want float64) bool { return math.Abs(got-want) <= 1e-9*math.Abs(want) }

func TestGravityRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(0, 0.70).Draw(t, "w")
		sg, err := GravityFromSucrose(measure.MassFraction(w))
		if err != nil {
			t.Fatal(err)
		}
		back, err := SucroseFromGravity(sg)
		// A gravity has 16 digits of which sugar is what exceeds 1: 1e-15 of it are lost for good.
		if err != nil || math.Abs(float64(back)-w) > 1e-9*w+1e-15 {
			t.Fatalf("SucroseFromGravity(GravityFromSucrose(%g)) = %g, %v", w, back, err)
		}
		again, err := GravityFromSucrose(back)
		if err != nil || !near(float64(again), float64(sg)) {
			t.Fatalf("GravityFromSucrose(SucroseFromGravity(%g)) = %g, %v", sg, again, err)
		}
		bé, err := FromBaume(Baume(sg))
		if err != nil || !near(float64(bé), float64(sg)) {
			t.Fatalf("FromBaume(Baume(%g)) = %g, %v", sg, bé, err)
		}
		for name, got := range map[string]measure.Gravity{
			"density": Gravity(FromGravity(sg)), "Oechsle": FromOechsle(Oechsle(sg)), "apparent": FromApparent(Apparent(sg)),
		} {
			if !near(float64(got), float64(sg)) {
				t.Fatalf("%s of %g and back = %g", name, sg, got)
			}
		}
	})
}

func TestStrengthRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.Float64Range(0, 100).Draw(t, "q")
		p, err := MassFromPercentVol(measure.PercentVol(q))
		if err != nil {
			t.Fatal(err)
		}
		back, err := PercentVol(p)
		if err != nil || !near(float64(back), q) {
			t.Fatalf("PercentVol(MassFromPercentVol(%g)) = %g, %v", q, back, err)
		}
	})
	for q, want := range map[measure.PercentVol]float64{0: 0, 100: 1} {
		if p, err := MassFromPercentVol(q); err != nil || float64(p) != want {
			t.Errorf("MassFromPercentVol(%g) = %g, %v, want %g", q, p, err, want)
		}
	}
}

// Of the printed factors one belongs here, rounded to 0.0001: grams of ethanol in a litre
// for each % vol. The others are stoichiometry and yields.
func TestEthanolAt20(t *testing.T) {
	rows := tables.Read("density/potential_alcohol_factors.csv")
	if got, want := EthanolAt20/100, rows[3].Number("value"); math.Abs(got-want) > 0.00005 {
		t.Errorf("EthanolAt20/100 = %.5f g/L, want %.4f", got, want)
	}
	if math.Abs(pureAt20-EthanolAt20) > 0.0005 { // the constant as printed, and the formula's own
		t.Errorf("EthanolWater(1, 20 °C) = %.5f kg/m³, want %.3f", pureAt20, EthanolAt20)
	}
}

func ExampleSucroseFromGravity() {
	w, err := SucroseFromGravity(1.083)
	fmt.Printf("%.1f °Brix, %v\n", 100*w, err)
	// Output: 20.0 °Brix, <nil>
}
