package must_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property"
	"skep/internal/property/density"
)

// A dose of a thin solution is a proportion: 1 mL of 100 g/L in 50 mL is 0.1 g in 51 mL,
// 1.961 g/L; sugar swells a litre by some 0.62 mL a gram (0.0012 of it here).
func TestTrial(t *testing.T) {
	sugar := must.Must{must.Sucrose: 1}
	for _, tt := range []struct {
		trial        must.Trial
		want, within float64
	}{
		{must.Trial{What: sugar, Glass: 0.050, Grams: 0.1}, 2, 1e-12},
		{must.Trial{What: sugar, Glass: 0.050, Dose: 0.001, Holds: 100}, 0.1 / 0.051 * (1 + 0.62e-3*0.1/0.051), 1e-4},
		{must.Trial{What: sugar, Glass: 0.050, Dose: 0.001, Holds: 0}, 0, 0},
	} {
		if got, err := tt.trial.PerLitre(); err != nil || math.Abs(got-tt.want) > tt.within {
			t.Errorf("PerLitre of %+v = %.6f g/L, %v, want %.6f", tt.trial, got, err, tt.want)
		}
	}
	beyond := new(property.RangeError)
	for _, bad := range []must.Trial{
		{},
		{What: sugar, Glass: 0.05, Dose: 0.06, Holds: 100},
		{What: sugar, Glass: 0.05, Grams: 60},
		{What: sugar, Glass: 0.05, Dose: 0.05, Holds: 3000},
		{What: sugar, Glass: measure.Litres(math.NaN()), Grams: 1},
	} {
		if got, err := bad.PerLitre(); !errors.As(err, &beyond) {
			t.Errorf("PerLitre of %+v = %g, %v, want a range error", bad, got, err)
		}
	}
	// 20 % mass of sucrose is 1081.0 kg/m³ [crc102-wolf].
	if got, err := must.SolutionHolds(sugar, 0.20); err != nil || math.Abs(got-216.2) > 0.02 {
		t.Errorf("SolutionHolds(sucrose, 20 %% mass) = %.3f g/L, %v, want 216.20", got, err)
	}
}

// What the jug then holds in a litre is what the glass held.
func TestTrialRoundTrip(t *testing.T) {
	honey, err := must.Find("honey", nil)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		trial := must.Trial{
			What: honey.PerGram, Glass: measure.Litres(rapid.Float64Range(0.02, 0.2).Draw(t, "glass")),
			Holds: rapid.Float64Range(1, 700).Draw(t, "g/L"),
		}
		trial.Dose = trial.Glass * measure.Litres(rapid.Float64Range(0.001, 1).Draw(t, "dose"))
		g, err := trial.PerLitre()
		if err != nil {
			t.Fatal(err)
		}
		v, err := must.Must{must.Water: float64(density.FromGravity(1))}.Plus(honey.PerGram.Scaled(g)).Volume(20)
		if err != nil {
			t.Fatal(err)
		}
		tasted := trial.Holds * float64(trial.Dose/(trial.Glass+trial.Dose))
		if got := g / float64(v); math.Abs(got/tasted-1) > 1e-9 {
			t.Fatalf("the jug has %.9f g/L, the glass had %.9f", got, tasted)
		}
	})
}
