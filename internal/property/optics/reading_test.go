package optics

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/reference/tables"
)

const corrected = "optics/refractometer_temperature_correction_oiv.csv"

// The printed rows are met. That reading between them is good to tableGive: each inner
// line of temperature is met from the lines around it.
func TestCorrectBrix(t *testing.T) {
	var w, between worst
	rows := map[[2]float64]float64{}
	for _, r := range tables.Read(corrected) {
		reading, at := r.Share("reading_mass_percent_sucrose"), r.Celsius("temperature_C")
		want := r.Number("correction_to_add_mass_percent")
		rows[[2]float64{float64(at), r.Number("reading_mass_percent_sucrose")}] = want
		got, give, err := CorrectBrix(reading, at)
		off := 100*float64(got-reading) - want
		where := fmt.Sprintf("%.3g %% at %g °C", 100*reading, at)
		w.note(off, where)
		if err != nil || math.Abs(off) > 1e-9 || math.Abs(100*float64(give)-tableGive) > 1e-12 {
			t.Errorf("CorrectBrix(%s) adds %.4f ± %.4f %% mass, %v; printed %.2f", where, 100*float64(got-reading), 100*give, err, want)
		}
	}
	w.log(t, "% mass")
	lines := correctedAt
	for at := range lines[1 : len(lines)-1] {
		low, middle, high := lines[at], lines[at+1], lines[at+2]
		for reading := firstReading; reading <= lastReading; reading += readingStep {
			below, ok := rows[[2]float64{low, reading}]
			if !ok {
				continue
			}
			share := (middle - low) / (high - low)
			line := (1-share)*below + share*rows[[2]float64{high, reading}] // 20 °C is in no row: 0
			off := line - rows[[2]float64{middle, reading}]
			between.note(off, fmt.Sprintf("%g %% at %g °C", reading, middle))
			if math.Abs(off) > tableGive {
				t.Errorf("%g %% at %g °C: a line between its neighbours is %.3f %% mass off", reading, middle, off)
			}
		}
	}
	between.log(t, "% mass between lines")
}

// What is not printed has a wide give, nothing jumps, and what is not known is refused.
func TestCorrectBrixOutsideTheTable(t *testing.T) {
	at := func(reading measure.MassFraction, c measure.Celsius) (float64, float64) {
		t.Helper()
		got, give, err := CorrectBrix(reading, c)
		if err != nil {
			t.Fatal(err)
		}
		return 100 * float64(got), 100 * float64(give)
	}
	if got, give := at(0.12, 20); math.Abs(got-12) > 1e-9 || give > tableGive+1e-9 {
		t.Errorf("at 20 °C 12 %% becomes %g ± %g", got, give)
	}
	if got, give := at(0.05, 15); math.Abs(got-4.68) > 1e-9 || give < 0.09 {
		t.Errorf("at 15 °C 5 %% becomes %g ± %g, want 4.68 and a wide give", got, give)
	}
	if got, give := at(0.12, 25); math.Abs(got-12.35) > 1e-9 || give < 0.1 {
		t.Errorf("at 25 °C 12 %% becomes %g ± %g, want 12.35 and a wide give", got, give)
	}
	if got, _ := at(0.001, 5); got != 0 {
		t.Errorf("at 5 °C 0.1 %% becomes %g, want 0: water is the least", got)
	}
	for _, reading := range []measure.MassFraction{0, 0.05, 0.0999, 0.1, 0.2, 0.299} {
		last := math.NaN()
		for c := measure.Celsius(5); c <= 30; c += 0.01 {
			got, _ := at(reading, c)
			if math.Abs(got-last) > 0.005 {
				t.Errorf("%g at %g °C: jumps from %g to %g", reading, c, last, got)
			}
			last = got
		}
	}
	for _, bad := range []struct {
		reading measure.MassFraction
		at      measure.Celsius
	}{{0.41, 15}, {0.31, 9}, {-0.01, 15}, {0.1, 4.9}, {0.1, 30.1}, {measure.MassFraction(math.NaN()), 15}, {0.1, measure.Celsius(math.NaN())}} {
		got, give, err := CorrectBrix(bad.reading, bad.at)
		if outside := new(property.RangeError); !errors.As(err, &outside) || got != 0 || give != 0 {
			t.Errorf("CorrectBrix(%g, %g °C) = %g ± %g, %v, want a RangeError", bad.reading, bad.at, got, give, err)
		}
	}
}

// n is printed to 0.0001, of which half is 0.02 g of water in 100 g; 0.01 more for the
// rounding of the formula's constants.
func TestHoneyWater(t *testing.T) {
	const tolerance = 0.03 // g/100 g
	var w worst
	for _, r := range tables.Read("optics/honey_refractive_index_moisture.csv") {
		n, want := r.Number("refractive_index_20C"), r.Number("water_g_per_100g")
		got, err := HoneyWater(n, 20)
		w.note(100*float64(got)-want, r.Text("refractive_index_20C"))
		if err != nil || math.Abs(100*float64(got)-want) > tolerance {
			t.Errorf("HoneyWater(%.4f) = %.3f %%, %v; printed %g", n, 100*got, err, want)
		}
		warm, err := HoneyWater(n-0.00023*15, 35) // the same honey, 15 K warmer
		if err != nil || math.Abs(float64(warm-got)) > 1e-12 {
			t.Errorf("HoneyWater(%.5f at 35 °C) = %g, %v, want %g as at 20 °C", n-0.00023*15, warm, err, got)
		}
	}
	w.log(t, "g/100 g")
	for _, bad := range []struct {
		n  float64
		at measure.Celsius
	}{{1.5045, 20}, {1.4739, 20}, {1.49, 14}, {1.49, 41}, {math.NaN(), 20}, {1.49, measure.Celsius(math.NaN())}} {
		got, err := HoneyWater(bad.n, bad.at)
		if outside := new(property.RangeError); !errors.As(err, &outside) || got != 0 {
			t.Errorf("HoneyWater(%g, %g °C) = %g, %v, want a RangeError", bad.n, bad.at, got, err)
		}
	}
}
