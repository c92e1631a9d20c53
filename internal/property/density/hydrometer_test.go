package density

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
	"skep/internal/reference/tables"
)

func TestHydrometerConstants(t *testing.T) {
	want := map[string]float64{}
	for _, r := range tables.Read("density/hydrometer_constants.csv") {
		want[r.Text("name")] = r.Number("value")
	}
	for name, tt := range map[string]struct{ got, tolerance float64 }{
		"glass_cubic_expansion":       {GlassExpansion, 0},
		"reference_60F":               {float64(SixtyF), 0.00005},
		"water_density_at_60F":        {water(float64(SixtyF)), 0.00006},
		"water_density_at_20C":        {water(20), 0.00006},
		"water_density_at_15C":        {water(15), 0.00006},
		"air_density_for_apparent_sg": {air, 0},
	} {
		if math.Abs(tt.got-want[name]) > tt.tolerance {
			t.Errorf("%s = %.6g, want %.6g", name, tt.got, want[name])
		}
	}
}

// Computed for sucrose must, printed to 0.0001: one last digit. Rows that came out
// lighter than water were continued below no sugar there, and expand as water here.
func TestHydrometerAgainstTable(t *testing.T) {
	var gravity, sugar worst
	for _, r := range tables.Read("density/hydrometer_sg_temperature_computed.csv") {
		calibrated, at, reading := r.Celsius("calibration_temperature_C"), r.Celsius("must_temperature_C"), r.Number("reading_sg")
		got, rho, err := CorrectHydrometer(measure.Gravity(reading), at, calibrated, 0)
		want := r.Number("true_sg_20C_20C_computed")
		where := fmt.Sprintf("%.3f at %g °C, adjusted at %.4g °C", reading, at, calibrated)
		gravity.note(float64(got)-want, where)
		if err != nil || math.Abs(float64(got)-want) > 0.0001 {
			t.Errorf("CorrectHydrometer(%s) = %.5f, %v, want %.4f", where, got, err, want)
		}
		if Gravity(rho) != got {
			t.Errorf("CorrectHydrometer(%s): density %g and gravity %g disagree", where, rho, got)
		}
		percent := r.Number("sucrose_mass_percent_computed")
		off := brix(t, got) - percent
		sugar.note(off, where)
		if math.Abs(off) > 0.02 { // printed to 0.01
			t.Errorf("CorrectHydrometer(%s) means %.3f %% mass, want %.2f", where, brix(t, got), percent)
		}
	}
	gravity.log(t, "SG")
	sugar.log(t, "% mass")
}

// brix is 100 times the sucrose of a gravity; a little below water it goes on along the
// slope at zero, c₀₁ of the formula, as hydrometer tables do.
func brix(t *testing.T, sg measure.Gravity) float64 {
	t.Helper()
	if sg < 1 {
		return 100 * float64(sg-1) * waterAt20 / spsRise[0][0]
	}
	w, err := SucroseFromGravity(sg)
	if err != nil {
		t.Fatal(err)
	}
	return 100 * float64(w)
}

// The computed column decides, to 0.002 (printed to 0.001, one water for another); where
// the sample comes out lighter than water, to 0.005, which is 0.00002 in gravity: there
// the table goes on below no sugar and we let it expand as water. The column of the old
// circular was written from memory and decides nothing.
func TestBrixHydrometerAgainstTable(t *testing.T) {
	var computed, to30, to40 worst
	for _, r := range tables.Read("density/hydrometer_brix_temperature_correction_20C.csv") {
		at, reading := r.Celsius("temperature_C"), r.Share("reading_brix_hydrometer_20C")
		sg, err := GravityFromSucrose(reading)
		if err != nil {
			t.Fatal(err)
		}
		corrected, _, err := CorrectHydrometer(sg, at, 20, 0)
		if err != nil {
			t.Fatal(err)
		}
		got := brix(t, corrected) - 100*float64(reading)
		where := fmt.Sprintf("%.3g °Brix at %g °C", 100*reading, at)
		off := got - r.Number("correction_to_add_brix_computed")
		computed.note(off, where)
		tolerance := 0.002
		if corrected < 1 {
			tolerance = 0.005
		}
		if math.Abs(off) > tolerance {
			t.Errorf("correction of %s = %+.4f °Brix, want %+.3f", where, got, r.Number("correction_to_add_brix_computed"))
		}
		off = got - r.Number("correction_to_add_brix_table_recalled")
		if at <= 30 {
			to30.note(off, where)
		} else {
			to40.note(off, where)
		}
	}
	computed.log(t, "°Brix")
	to30.log(t, "°Brix to 30 °C (from memory, decides nothing)")
	to40.log(t, "°Brix at 40 °C (from memory, decides nothing)")
}

func TestHydrometerRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Solution{
			Ethanol: measure.MassFraction(rapid.Float64Range(0, 0.18).Draw(t, "ethanol")),
			Sucrose: measure.MassFraction(rapid.Float64Range(0, 0.35).Draw(t, "sucrose")),
		}
		at := measure.Celsius(rapid.Float64Range(0, 40).Draw(t, "t"))
		calibrated := measure.Celsius(rapid.SampledFrom([]float64{15, float64(SixtyF), 20}).Draw(t, "calibrated"))
		warm, err := Must(s, at)
		if err != nil {
			t.Fatal(err)
		}
		want, err := Must(s, 20)
		if err != nil {
			t.Fatal(err)
		}
		reading, err := HydrometerReading(warm, at, calibrated)
		if err != nil {
			t.Fatal(err)
		}
		sg, rho, err := CorrectHydrometer(reading, at, calibrated, s.Ethanol)
		if err != nil || !near(float64(rho), float64(want)) || sg != Gravity(rho) {
			t.Fatalf("CorrectHydrometer(%g, %g °C, %g °C, %g) = %g, %.12g, %v; want %.12g", reading, at, calibrated, s.Ethanol, sg, rho, err, want)
		}
	})
}

// In water at its own temperature a hydrometer shows 1.
func TestHydrometerInWater(t *testing.T) {
	for _, at := range []measure.Celsius{15, SixtyF, 20} {
		rho, err := Water(at)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := HydrometerReading(rho, at, at); err != nil || got != 1 {
			t.Errorf("HydrometerReading(water, %.4g °C, same) = %.17g, %v, want 1", at, got, err)
		}
	}
}

// The alcohol of a finished wine makes warm readings fall further than sugar tables say.
func TestAlcoholMakesWarmReadingsLower(t *testing.T) {
	without, _, err := CorrectHydrometer(1.000, 30, 20, 0)
	if err != nil {
		t.Fatal(err)
	}
	with, _, err := CorrectHydrometer(1.000, 30, 20, 0.10)
	if err != nil {
		t.Fatal(err)
	}
	if with <= without {
		t.Errorf("corrected with alcohol %.5f, without %.5f: want more with", with, without)
	}
}

func TestHydrometerOutside(t *testing.T) {
	for name, err := range map[string]error{
		"reading of a slip":  second(CorrectHydrometer(10.50, 20, 20, 0)),
		"more than syrup":    second(CorrectHydrometer(1.349, 40, 20, 0)),
		"not a number":       second(CorrectHydrometer(measure.Gravity(math.NaN()), 20, 20, 0)),
		"hot sample":         second(CorrectHydrometer(1.05, 60, 20, 0)),
		"odd calibration":    second(CorrectHydrometer(1.05, 20, 60, 0)),
		"spirit":             second(CorrectHydrometer(0.96, 20, 20, 0.5)),
		"reading of too hot": firstError(HydrometerReading(1000, 50, 20)),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func second(_ measure.Gravity, _ measure.Density, err error) error { return err }
func firstError(_ measure.Gravity, err error) error                { return err }
