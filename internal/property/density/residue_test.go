package density

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

// The table's own rule for the density of a wine and ours part by 0.13 kg/m³ to 14 % vol, by
// 0.5 at 18 (TestMustAgainstTabarie). Its extract of a gravity is from memory, 0.25 g/L from
// ours, which is 0.1 kg/m³ more. 1 % vol is worth 1.1 kg/m³.
func TestStrengthByResidue(t *testing.T) {
	var w worst
	for _, r := range tables.Read("density/tabarie_check_computed.csv") {
		want := r.Number("ethanol_percent_vol_20C")
		tolerance := 0.23 / 1.1
		if want > 14 {
			tolerance = 0.6 / 1.1
		}
		got, extract, err := StrengthByResidue(measure.Gravity(r.Number("wine_sg_20C_20C_tabarie")), measure.Gravity(r.Number("alcohol_free_relative_density_dr")))
		where := fmt.Sprintf("%g %% vol, %g g/L", want, r.Number("total_dry_extract_g_per_L"))
		w.note(float64(got)-want, where)
		if err != nil || math.Abs(float64(got)-want) > tolerance || math.Abs(float64(extract)-r.Number("total_dry_extract_g_per_L")) > 0.25 {
			t.Errorf("StrengthByResidue(%s) = %.3f %% vol, %.1f g/L, %v", where, got, extract, err)
		}
	}
	w.log(t, "% vol")
	if w.count != 16 {
		t.Errorf("%d rows, want 16", w.count)
	}
}

// A wine made up, boiled off on paper and made up again tells its own strength.
func TestResidueRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(0.001, 0.2).Draw(t, "ethanol")
		w := rapid.Float64Range(0, 0.2).Draw(t, "extract")
		rho, err := Must(Solution{Ethanol: measure.MassFraction(p), Other: measure.MassFraction(w)}, 20)
		if err != nil {
			t.Fatal(err)
		}
		grams := w * float64(rho) // in a litre
		residue := 1000.0         // its density, found by going round
		for range 60 {
			d, err := Sucrose(measure.MassFraction(grams/residue), 20)
			if err != nil {
				t.Fatal(err)
			}
			residue = float64(d)
		}
		got, extract, err := StrengthByResidue(Gravity(rho), Gravity(measure.Density(residue)))
		want := 100 * p * float64(rho) / EthanolAt20
		if err != nil || math.Abs(float64(got)-want) > 1e-9*max(1, want) || math.Abs(float64(extract)-grams) > 1e-9*max(1, grams) {
			t.Errorf("%.12g %% vol, %.12g g/L came back as %.12g, %.12g, %v", want, grams, got, extract, err)
		}
	})
}

func TestStrengthByResidueWithoutAlcohol(t *testing.T) {
	for sg := measure.Gravity(1); sg <= 1.2; sg += 0.0007 {
		if got, _, err := StrengthByResidue(sg, sg); got > 1e-9 || err != nil {
			t.Errorf("StrengthByResidue(%g, %g) = %g, %v, want 0", sg, sg, got, err)
		}
	}
}

func TestStrengthByResidueRefuses(t *testing.T) {
	nan := measure.Gravity(math.NaN())
	for _, tt := range [][2]measure.Gravity{{1.01, 1.005}, {0.9, 1.01}, {0.99, 0.999}, {1.19, 1.21}, {nan, 1.01}, {1, nan}} {
		strength, extract, err := StrengthByResidue(tt[0], tt[1])
		if outside := new(property.RangeError); !errors.As(err, &outside) || strength != 0 || extract != 0 {
			t.Errorf("StrengthByResidue(%g, %g) = %g, %g, %v, want a RangeError", tt[0], tt[1], strength, extract, err)
		}
	}
}
