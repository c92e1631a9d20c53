package calc_test

import (
	"fmt"
	"math"
	"testing"

	"skep/internal/must"
)

// A must of honey fermented in package must is read by both instruments; what the
// calculation makes of it is what went in. Readings are said to 1e-9.
func TestRefractometerFindsTheMust(t *testing.T) {
	honey, err := must.Find("honey", nil)
	if err != nil {
		t.Fatal(err)
	}
	brix := func(m must.Must) float64 {
		w, err := m.Refractometer()
		if err != nil {
			t.Fatal(err)
		}
		return 100 * float64(w)
	}
	for _, share := range []float64{0.15, 0.28, 0.40} {
		original := honey.PerGram.Scaled(1000 * share)
		original[must.Water] += 1000 * (1 - share)
		for _, gone := range []float64{0, 0.3, 0.99} {
			left := (1 - gone) * original.Hexose(must.SlowShare)
			now, err := original.FermentedTo(left, must.SlowShare, must.EthanolYield)
			if err != nil {
				t.Fatal(err)
			}
			strength, err := now.PercentVol()
			if err != nil {
				t.Fatal(err)
			}
			litres, err := now.Volume(20)
			if err != nil {
				t.Fatal(err)
			}
			before, err := original.Gravity()
			if err != nil {
				t.Fatal(err)
			}
			after, err := now.Gravity()
			if err != nil {
				t.Fatal(err)
			}
			for _, first := range []string{fmt.Sprintf("original-brix=%.9f", brix(original)), fmt.Sprintf("original-sg=%.9f", before)} {
				said := fmt.Sprintf("brix=%.9f; made-with=honey; %s", brix(now), first)
				a := answer(t, "refractometer", said)
				for key, want := range map[string]float64{
					"ethanol": float64(strength), "sugar": left / float64(litres), "sg_20_20": float64(after),
				} {
					if got := result(t, a, key).Value; math.Abs(got-want) > 1e-6*max(1, want) {
						t.Errorf("refractometer(%s) %s = %.7f, want %.7f", said, key, got, want)
					}
				}
			}
		}
	}
}

// A reading that a must could give by chance is taken as the nearest that can be; one that
// none could give is refused (TestRefusals).
func TestRefractometerNearDry(t *testing.T) {
	dry := answer(t, "refractometer", "brix=7.2; original-brix=23")
	low := answer(t, "refractometer", "brix=6.9; original-brix=23")
	if a, b := result(t, dry, "ethanol"), result(t, low, "ethanol"); a.Value != b.Value || b.Value < 13 || b.Low >= b.Value {
		t.Errorf("dry is %+v, a little below %+v", a, b)
	}
	if s := result(t, low, "sugar"); s.Value != 0 || !(s.High > 0) {
		t.Errorf("sugar a little below dry is %+v", s)
	}
}
