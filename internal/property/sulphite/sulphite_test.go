package sulphite

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/reference/tables"
)

// worst keeps the largest deviation and says which row it was.
type worst struct {
	off   float64
	where string
	count int
}

func (w *worst) note(off float64, where string) {
	w.count++
	if off = max(off, -off); off >= w.off {
		w.off, w.where = off, where
	}
}

func (w *worst) log(t *testing.T, unit string) {
	t.Helper()
	t.Logf("worst of %d: %.6f %s at %s", w.count, w.off, unit, w.where)
}

// The table in the code is that of the file to 30 °C, digit for digit, and of the
// thermodynamic constants those to 15 % vol were read.
func TestConstants(t *testing.T) {
	ours := map[[2]float64]constant{}
	for _, line := range constants {
		for _, c := range line.at {
			ours[[2]float64{line.strength, c.celsius}] = c
		}
	}
	read := 0
	for _, r := range tables.Read("sulphite/so2_pk_oiv.csv") {
		at := [2]float64{r.Number("alcohol_percent_vol"), r.Number("t_degC")}
		if at[1] > 30 {
			continue
		}
		want := constant{at[1], r.Number("pkT_thermodynamic"), r.Number("pkM_mixed_I_0.038")}
		if ours[at] != want {
			t.Errorf("%g %% vol at %g °C: %+v, want %+v", at[0], at[1], ours[at], want)
		}
		if strings.Contains(r.Text("status"), "pkT verified") {
			read++
		}
		delete(ours, at)
	}
	if len(ours) > 0 || read != 8 {
		t.Errorf("%v are not in the file; %d rows were read, want 8", ours, read)
	}
}

// The rows were computed with a constant rounded to 0.001: half of that is 0.12 % of the
// share. Shares are rounded to 0.01 %, amounts to 0.1 mg/L.
func TestMolecular(t *testing.T) {
	var w, careful worst
	for _, r := range tables.Read("sulphite/so2_molecular_rows.csv") {
		wine := Wine{PH: r.Number("pH"), Ethanol: measure.PercentVol(r.Number("alcohol_percent_vol")), At: r.Celsius("t_degC")}
		where := fmt.Sprintf("%+v", wine)
		share, err := wine.MolecularShare(Printed)
		want := r.Number("molecular_percent_of_free")
		off := 100*float64(share) - want
		w.note(off, where)
		if err != nil || math.Abs(off) > 0.005+0.0012*want {
			t.Errorf("%s: %.3f %% is molecular, %v; want %.2f", where, 100*share, err, want)
		}
		for goal, column := range map[measure.MgPerLitre]string{0.5: "free_for_0.5_mg_L", 0.8: "free_for_0.8_mg_L"} {
			free, err := wine.FreeFor(goal, Printed)
			if want := r.Number(column); err != nil || math.Abs(float64(free)-want) > 0.05+0.0012*want {
				t.Errorf("%s: %.2f mg/L free for %g, %v; want %.1f", where, free, goal, err, want)
			}
		}
		for goal, columns := range map[measure.MgPerLitre][2]string{
			0.5: {"free_for_0.5_pk1.81", "free_for_0.5_mg_L"}, 0.8: {"free_for_0.8_pk1.81", "free_for_0.8_mg_L"},
		} {
			want := r.Number(columns[0])
			if wine.Ethanol == 0 { // where the chart is not the careful one
				want = r.Number(columns[1])
			}
			free, err := wine.FreeFor(goal, Careful)
			careful.note(float64(free)-want, where)
			if err != nil || math.Abs(float64(free)-want) > 0.05+0.0012*want {
				t.Errorf("%s: careful asks %.2f mg/L for %g, %v; want %.1f", where, free, goal, err, want)
			}
		}
	}
	w.log(t, "% of the free")
	careful.log(t, "mg/L free, careful")
}

func anyWine(t *rapid.T) Wine {
	return Wine{
		PH:      rapid.Float64Range(2.5, 4.5).Draw(t, "pH"),
		Ethanol: measure.PercentVol(rapid.Float64Range(0, 20).Draw(t, "strength")),
		At:      measure.Celsius(rapid.Float64Range(20, 30).Draw(t, "t")),
	}
}

func TestFreeRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wine, goal := anyWine(t), measure.MgPerLitre(rapid.Float64Range(0.001, 1).Draw(t, "goal"))
		law := rapid.SampledFrom([]Law{Careful, Printed}).Draw(t, "law")
		free, err := wine.FreeFor(goal, law)
		if err != nil {
			t.Fatal(err)
		}
		if free > 500 {
			return // more than Molecular is good for
		}
		back, err := wine.Molecular(free, law)
		if err != nil || math.Abs(float64(back-goal)) > 1e-9*float64(goal) {
			t.Errorf("%+v, %v: %g becomes %g, %v", wine, law, goal, back, err)
		}
	})
}

// Careful never asks for less than the table does, and warmth never lets Careful ask for less.
func TestCarefulAsksForMost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wine := anyWine(t)
		careful, err := wine.FreeFor(0.8, Careful)
		if err != nil {
			t.Fatal(err)
		}
		printed, err := wine.FreeFor(0.8, Printed)
		if err != nil || careful < printed*(1-1e-12) {
			t.Errorf("%+v: careful %g, printed %g mg/L, %v", wine, careful, printed, err)
		}
		wine.At = 12
		if cold, err := wine.FreeFor(0.8, Careful); err != nil || cold != careful {
			t.Errorf("%+v: %g mg/L, %v, want %g at any temperature", wine, cold, err, careful)
		}
	})
}

func TestWineRefuses(t *testing.T) {
	sound := Wine{PH: 3.4, Ethanol: 12, At: 20}
	nan := math.NaN()
	for _, wine := range []Wine{
		{2.4, 12, 20},
		{4.6, 12, 20},
		{nan, 12, 20},
		{3.4, -1, 20},
		{3.4, 20.1, 20},
		{3.4, measure.PercentVol(nan), 20},
		{3.4, 12, 19.9},
		{3.4, 12, 30.1},
		{3.4, 12, measure.Celsius(nan)},
	} {
		share, err := wine.MolecularShare(Printed)
		refused(t, fmt.Sprintf("%+v", wine), float64(share), err)
	}
	for _, bad := range []measure.MgPerLitre{-1, 501, measure.MgPerLitre(nan)} {
		got, err := sound.Molecular(bad, Careful)
		refused(t, fmt.Sprintf("Molecular(%g)", bad), float64(got), err)
		got, err = sound.FreeFor(bad, Careful)
		refused(t, fmt.Sprintf("FreeFor(%g)", bad), float64(got), err)
	}
	defer func() {
		if recover() == nil {
			t.Error("an unknown law: no panic")
		}
	}()
	_, _ = sound.MolecularShare(Law(7))
}

func refused(t *testing.T, what string, got float64, err error) {
	t.Helper()
	if outside := new(property.RangeError); !errors.As(err, &outside) || got != 0 {
		t.Errorf("%s = %g, %v, want a RangeError", what, got, err)
	}
}

// Computed to 0.0001 g. The printed table lies below, by 2.5 to 2.7 %: its own 0.03723 g of
// SO2 for 10 mg in each of 3.785 L should be 0.03785.
func TestMetabisulphite(t *testing.T) {
	const gallon = 3.785411784
	var w, printed worst
	for _, r := range tables.Read("sulphite/metabisulfite_addition.csv") {
		so2 := measure.MgPerLitre(r.Number("SO2_ppm"))
		got, err := Metabisulphite(so2, 1, gallon)
		want := r.Number("computed_K2S2O5_g")
		where := fmt.Sprintf("%g mg/L", so2)
		w.note(float64(got)-want, where)
		if err != nil || math.Abs(float64(got)-want) > 0.00006 {
			t.Errorf("Metabisulphite(%s) = %.5f g, %v, want %.4f", where, got, err, want)
		}
		if so2Grams := float64(got) * SO2Share; math.Abs(so2Grams-r.Number("computed_SO2_g")) > 0.00006 {
			t.Errorf("%s: %.5f g of SO2, want %.4f", where, so2Grams, r.Number("computed_SO2_g"))
		}
		less := 100 * (1 - r.Number("printed_K2S2O5_g")/float64(got))
		printed.note(less, where)
		if less < 2.4 || less > 2.8 {
			t.Errorf("%s: the printed table asks %.2f %% less, want 2.6", where, less)
		}
	}
	w.log(t, "g")
	printed.log(t, "% more than printed")
	half, err := Metabisulphite(30, 0.5, 4.5)
	if err != nil || math.Abs(float64(half)*0.5*SO2Share*1000/4.5-30) > 1e-9 {
		t.Errorf("Metabisulphite(30 mg/L, half, 4.5 L) = %g g, %v", half, err)
	}
	for _, bad := range []struct {
		rise   measure.MgPerLitre
		free   measure.MassFraction
		volume measure.Litres
	}{{-1, 0.5, 1}, {501, 0.5, 1}, {30, 0.34, 1}, {30, 1.01, 1}, {30, 0.5, -1}, {30, 0, 1}, {30, measure.MassFraction(math.NaN()), 1}, {30, 0.5, measure.Litres(math.Inf(1))}} {
		got, err := Metabisulphite(bad.rise, bad.free, bad.volume)
		refused(t, fmt.Sprintf("Metabisulphite(%+v)", bad), float64(got), err)
	}
}

// The doses are printed as millilitres of a solution of 30 g/L, which is exact; sorbic acid
// is rounded to 1 mg/L. One dose, at 10 % vol and pH 3.5, is 202 mg/L of it.
func TestSorbate(t *testing.T) {
	capped := 0
	for _, r := range tables.Read("sulphite/sorbate_dose.csv") {
		strength, pH := measure.PercentVol(r.Number("alcohol_percent_vol")), r.Number("pH")
		want := 30 * r.Number("printed_mL_per_L_of_30_g_per_L_solution")
		if math.Abs(want*SorbicShare-r.Number("sorbic_acid_mg_per_L")) > 0.51 {
			t.Errorf("%g mg/L hold %.1f mg/L sorbic acid, want %s", want, want*SorbicShare, r.Text("sorbic_acid_mg_per_L"))
		}
		if want*SorbicShare > 200 {
			want = 200 / SorbicShare
			capped++
		}
		got, err := Sorbate(strength, pH)
		if err != nil || math.Abs(float64(got)-want) > 1e-9 {
			t.Errorf("Sorbate(%g %% vol, pH %g) = %.2f mg/L, %v, want %.2f", strength, pH, got, err, want)
		}
	}
	if capped != 1 {
		t.Errorf("%d rows above the ceiling, want 1", capped)
	}
	// Half way between four rows: their mean.
	if got, err := Sorbate(12.5, 3.2); err != nil || math.Abs(float64(got)-(96+120+78+96)/4.) > 1e-9 {
		t.Errorf("Sorbate(12.5 %% vol, pH 3.2) = %g mg/L, %v, want 97.5", got, err)
	}
	// Beyond the careful edges: the edge.
	if got, err := Sorbate(18, 2.9); err != nil || got != 60 {
		t.Errorf("Sorbate(18 %% vol, pH 2.9) = %g mg/L, %v, want 60", got, err)
	}
	for _, bad := range [][2]float64{{9.9, 3.3}, {20.1, 3.3}, {12, 3.51}, {12, 2.4}, {math.NaN(), 3.3}, {12, math.NaN()}} {
		got, err := Sorbate(measure.PercentVol(bad[0]), bad[1])
		refused(t, fmt.Sprintf("Sorbate(%v)", bad), float64(got), err)
	}
}

// More strength or more acid never asks for more, and no dose passes the ceiling.
func TestSorbateFallsWithStrengthAndAcid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		strength, pH := rapid.Float64Range(10, 20).Draw(t, "strength"), rapid.Float64Range(2.5, 3.5).Draw(t, "pH")
		dose, err := Sorbate(measure.PercentVol(strength), pH)
		if err != nil || float64(dose)*SorbicShare > 200+1e-9 {
			t.Fatalf("Sorbate(%g, %g) = %g, %v", strength, pH, dose, err)
		}
		stronger, err := Sorbate(measure.PercentVol(rapid.Float64Range(strength, 20).Draw(t, "stronger")), rapid.Float64Range(2.5, pH).Draw(t, "sourer"))
		if err != nil || stronger > dose+1e-9 {
			t.Errorf("a stronger, sourer wine than %g %% vol, pH %g asks %g, not %g mg/L, %v", strength, pH, stronger, dose, err)
		}
	})
}

func BenchmarkFreeFor(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := (Wine{3.4, 12, 20}).FreeFor(0.8, Printed); err != nil {
			b.Fatal(err)
		}
	}
}
