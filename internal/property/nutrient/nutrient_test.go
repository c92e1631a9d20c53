package nutrient

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/property/density"
	"skep/internal/reference"
)

// The rows of [bisson2000] are from memory: they are shown, and decide nothing. What
// decides is that a greater demand asks for more, in proportion to the sugar.
func TestNeed(t *testing.T) {
	for _, row := range []struct{ brix, nitrogen float64 }{{21, 200}, {23, 250}, {25, 300}, {27, 350}} {
		sg, err := density.GravityFromSucrose(measure.MassFraction(row.brix / 100))
		if err != nil {
			t.Fatal(err)
		}
		sugar := measure.GramsPerLitre(row.brix / 100 * float64(density.FromGravity(sg)))
		medium, _, err := Need(Medium, sugar)
		if err != nil {
			t.Fatal(err)
		}
		_, high, err := Need(High, sugar)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%g °Brix: %.0f mg/L as remembered; medium from %.0f, high to %.0f (decides nothing)", row.brix, row.nitrogen, medium, high)
	}
	last := [2]measure.MgPerLitre{}
	for _, d := range []Demand{Low, Medium, High} {
		low, high, err := Need(d, 200)
		if err != nil || low <= last[0] || high <= last[1] || low >= high {
			t.Errorf("Need(%s, 200 g/L) = %g to %g mg/L, %v, after %v", d, low, high, err, last)
		}
		double, _, err := Need(d, 400)
		if err != nil || math.Abs(float64(double-2*low)) > 1e-9 {
			t.Errorf("Need(%s, 400 g/L) = %g, want twice %g", d, double, low)
		}
		last = [2]measure.MgPerLitre{low, high}
	}
	if _, _, err := Need("huge", 200); err == nil {
		t.Error("Need(huge) = no error")
	}
	for _, sugar := range []measure.GramsPerLitre{-1, 601, measure.GramsPerLitre(math.NaN())} {
		_, high, err := Need(Low, sugar)
		if outside := new(property.RangeError); !errors.As(err, &outside) || high != 0 {
			t.Errorf("Need(low, %g g/L) = %g, %v, want a RangeError", sugar, high, err)
		}
	}
}

// From atomic masses: 28.01 g of N in 132.06 and in 132.14 g of salt.
func TestDose(t *testing.T) {
	for salt, want := range map[Salt]float64{Phosphate: 0.2121, Sulphate: 0.2120} {
		if math.Abs(float64(salt.Nitrogen)-want) > 0.00005 {
			t.Errorf("%s holds %.5f of nitrogen, want %.4f", salt.Name, salt.Nitrogen, want)
		}
	}
	if dose, remains, err := Phosphate.Dose(106.06); err != nil || math.Abs(float64(dose)-0.5) > 0.0001 || remains != 0 {
		t.Errorf("Dose(106.06 mg/L) = %.5f g/L, %g mg/L remain, %v; want 0.5 and none", dose, remains, err)
	}
	for _, bad := range []measure.MgPerLitre{-1, 1001, measure.MgPerLitre(math.NaN())} {
		dose, _, err := Phosphate.Dose(bad)
		if outside := new(property.RangeError); !errors.As(err, &outside) || dose != 0 {
			t.Errorf("Dose(%g mg/L) = %g, %v, want a RangeError", bad, dose, err)
		}
	}
}

// What is given and what remains are what was lacking, and no ceiling of a law is passed.
func TestDoseKeepsTheCeiling(t *testing.T) {
	for _, l := range reference.Limits("ammonium salts") {
		if float64(MostSalt) > l.Value/1000 {
			t.Errorf("MostSalt %g g/L is above %g mg/L, %s", MostSalt, l.Value, l.Where)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		lacking := rapid.Float64Range(0, 1000).Draw(t, "lacking")
		salt := rapid.SampledFrom([]Salt{Phosphate, Sulphate}).Draw(t, "salt")
		dose, remains, err := salt.Dose(measure.MgPerLitre(lacking))
		if err != nil || dose > MostSalt || remains < 0 {
			t.Fatalf("Dose(%g) = %g, %g, %v", lacking, dose, remains, err)
		}
		if given := 1000 * float64(dose) * float64(salt.Nitrogen); math.Abs(given+float64(remains)-lacking) > 1e-9*lacking {
			t.Errorf("Dose(%g): %g given and %g remain", lacking, given, remains)
		}
	})
}

func TestPortions(t *testing.T) {
	for n := 1; n <= 6; n++ {
		all, err := Portions(n)
		if err != nil || len(all) != n {
			t.Fatalf("Portions(%d) = %v, %v", n, all, err)
		}
		sum := 0.0
		for i, p := range all {
			sum += p.Share
			if i > 0 && p.SugarGone <= all[i-1].SugarGone {
				t.Errorf("Portions(%d): %v is not later than the last", n, p)
			}
		}
		if math.Abs(sum-1) > 1e-12 || all[0].SugarGone != 0 || n > 1 && all[n-1].SugarGone != LastSugarGone {
			t.Errorf("Portions(%d) = %v: want all of it, from the start to a third", n, all)
		}
	}
	for _, n := range []int{-1, 0, 7} {
		if all, err := Portions(n); err == nil {
			t.Errorf("Portions(%d) = %v, want an error", n, all)
		}
	}
}
