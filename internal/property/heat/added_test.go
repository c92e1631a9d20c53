package heat

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
	"skep/internal/property"
)

func drawParts(t *rapid.T) []Part {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Part {
		return Part{
			Mass:        measure.Grams(rapid.Float64Range(1, 9000).Draw(t, "g")),
			Temperature: measure.Celsius(rapid.Float64Range(1, 99).Draw(t, "t")), SpecificHeat: rapid.Float64Range(0.5, 4.5).Draw(t, "c"),
		}
	}), 1, 4).Draw(t, "parts")
}

// A kilogram of water from 80 °C melts as much ice as it gives heat: by hand 1000 · 4.182 ·
// 80/333.55 = 1003.0 g to 0 °C. Ice of −10 °C takes 21 kJ/kg more.
func TestIce(t *testing.T) {
	hot := []Part{{1000, 80, WaterHeat}}
	for _, tt := range []struct {
		ice, to measure.Celsius
		want    float64
	}{
		{0, 0, 1000 * 4.182 * 80 / 333.55},
		{0, 20, 1000 * 4.182 * 60 / (333.55 + 83.64)},
		{-10, 20, 1000 * 4.182 * 60 / (333.55 + 83.64 + 21)},
		{0, 80, 0},
	} {
		if got, err := Ice(hot, tt.ice, tt.to); err != nil || math.Abs(float64(got)-tt.want) > 1e-9 {
			t.Errorf("Ice of %g °C to %g °C = %.3f g, %v, want %.3f", tt.ice, tt.to, got, err, tt.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		parts := drawParts(t)
		mixed, err := Mix(parts)
		if err != nil {
			t.Fatal(err)
		}
		to := mixed * measure.Celsius(rapid.Float64Range(0.01, 1).Draw(t, "share"))
		ice, err := Ice(parts, 0, to)
		if err != nil {
			t.Fatal(err)
		}
		with, err := Mix(append(parts, Part{ice, 0, WaterHeat}))
		if err != nil {
			t.Fatal(err)
		}
		if got := float64(with) - Melting*float64(ice)/(capacity(parts)+WaterHeat*float64(ice)); math.Abs(got-float64(to)) > 1e-9 {
			t.Fatalf("%.3f g of ice bring %v to %.6f °C, want %.6f", ice, parts, got, to)
		}
	})
}

func TestWater(t *testing.T) {
	if got, err := Water([]Part{{3000, 15, WaterHeat}}, 95, 35); err != nil || math.Abs(float64(got)-1000) > 1e-9 {
		t.Errorf("Water = %.3f g, %v, want 1000", got, err)
	}
	rapid.Check(t, func(t *rapid.T) {
		parts := drawParts(t)
		mixed, err := Mix(parts)
		if err != nil {
			t.Fatal(err)
		}
		water := measure.Celsius(rapid.Float64Range(0, 100).Draw(t, "water"))
		to := mixed + (water-mixed)*measure.Celsius(rapid.Float64Range(0, 0.95).Draw(t, "share"))
		grams, err := Water(parts, water, to)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := Mix(append(parts, Part{grams, water, WaterHeat})); err != nil || math.Abs(float64(got-to)) > 1e-9 {
			t.Fatalf("%.3f g of water of %.2f °C bring %v to %.6f °C, %v, want %.6f", grams, water, parts, got, err, to)
		}
	})
}

func TestAddedRefuses(t *testing.T) {
	cool := []Part{{1000, 20, WaterHeat}}
	beyond := new(property.RangeError)
	for name, call := range map[string]func() (measure.Grams, error){
		"ice warms":            func() (measure.Grams, error) { return Ice(cool, 0, 25) },
		"ice above 0":          func() (measure.Grams, error) { return Ice(cool, 5, 10) },
		"ice below 0":          func() (measure.Grams, error) { return Ice(cool, 0, -1) },
		"not a number":         func() (measure.Grams, error) { return Ice(cool, 0, measure.Celsius(math.NaN())) },
		"hot water cools":      func() (measure.Grams, error) { return Water(cool, 60, 15) },
		"as warm as the water": func() (measure.Grams, error) { return Water(cool, 60, 60) },
		"steam":                func() (measure.Grams, error) { return Water(cool, 120, 60) },
	} {
		if got, err := call(); !errors.As(err, &beyond) {
			t.Errorf("%s: %g g, %v, want a range error", name, got, err)
		}
	}
	if _, err := Ice(nil, 0, 0); !errors.Is(err, ErrNothing) {
		t.Errorf("Ice on nothing = %v, want %v", err, ErrNothing)
	}
}
