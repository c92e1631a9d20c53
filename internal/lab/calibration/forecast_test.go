package calibration

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"skep/internal/estimate"
	"skep/internal/measure"
)

// The aims, from half of the readings of musts that others fermented and measured: a
// density at the end within 0.003 and the hour of 95 % of the drop within 15 %, by the
// median; and bands that do not hold less than 70 % of what comes.
func TestRedlab(t *testing.T) {
	if testing.Short() {
		t.Skip("45 forecasts; they are made in the long run")
	}
	folder, err := Read(redlab)
	if err != nil {
		t.Fatal(err)
	}
	calls := 0
	report := folder.Calibrate(func(done, of int) {
		if calls++; done != calls || of != 10 {
			t.Errorf("progress %d of %d at call %d of 10", done, of, calls)
		}
	})
	if len(report.LeftOut) != 0 || len(report.Series) != 15 || report.Forecasts != 45 || calls != 10 {
		t.Fatalf("%d series, %d forecasts, %d calls, left out %v, want 15 (five by sugar, ten by weight), 45, 10 and none",
			len(report.Series), report.Forecasts, calls, report.LeftOut)
	}
	var half []*forecast
	for _, s := range folder.series {
		forecasts, err := s.forecasts(bySugar)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range forecasts {
			if f.share == 0.5 {
				half = append(half, f)
			}
		}
	}
	s := score(half)
	t.Logf("%d vessels from half: covered %.2f, density %.4f, hour %.3f", len(half), *s.Coverage, *s.DensityError, *s.TimeError)
	if len(half) != 5 || *s.Coverage < 0.7 || *s.DensityError > 0.003 || *s.TimeError > 0.15 {
		t.Errorf("from half: %d vessels, covered %.2f, density %.4f, hour %.3f; want 5, 0.7 or more, 0.003 and 0.15 or less", len(half), *s.Coverage, *s.DensityError, *s.TimeError)
	}
}

// A forecast must be the same whatever the readings it does not know of say.
func TestNothingLeaks(t *testing.T) {
	folder, err := Read(redlab)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []kind{bySugar, byWeight} {
		s := *folder.series[0]
		before, err := s.trial(k)
		if err != nil || before == nil {
			t.Fatal(before, err)
		}
		known := knownOf(0.5, len(before.readings.looks))
		last := before.readings.looks[known-1].At
		shown, _, err := before.shown(known)
		if err != nil {
			t.Fatal(err)
		}
		other := s
		other.seen = append([]seen(nil), s.seen...)
		changed := 0
		for i := range other.seen {
			if measure.Hours(other.seen[i].at) > last {
				other.seen[i].value *= 0.9
				changed++
			}
		}
		after, err := other.trial(k)
		if err != nil || changed == 0 {
			t.Fatal(changed, err)
		}
		if reflect.DeepEqual(values(before.readings.looks), values(after.readings.looks)) {
			t.Errorf("by %s: the later readings were not changed", k)
		}
		again, _, err := after.shown(known)
		if err != nil || !reflect.DeepEqual(shown, again) {
			t.Errorf("by %s: what comes later changes the forecast, %v", k, err)
		}
		more, _, err := before.shown(known + 1)
		if err != nil || reflect.DeepEqual(shown, more) {
			t.Errorf("by %s: one reading more changes nothing, %v", k, err)
		}
	}
}

// simulated are jugs that do as the model says, drawn from what calibrate itself takes to
// be known of them, and read with the spread it takes, times a factor.
func simulated(t *testing.T, jugs int, k kind, noisier float64) Folder {
	t.Helper()
	var folder Folder
	for number := range jugs {
		s := &series{id: fmt.Sprintf("made_%03d", number), dataset: "made", yeast: "cerevisiae wine yeast", litres: 1, sugar: 210, nitrogen: 180, celsius: 21}
		quantity := map[kind]string{byDensity: "specific_gravity", byCO2: "co2_cumulated"}[k]
		for _, at := range []float64{24, 48, 72, 108, 156, 240, 360} {
			s.seen = append(s.seen, seen{at: at, quantity: quantity, value: 1})
		}
		trial, err := s.trial(k)
		if err != nil {
			t.Fatal(err)
		}
		situation := trial.situation
		situation.Seed = uint64(number) + 1 // another draw than the forecast's own
		situation.Course, situation.TemperatureSD = s.warmth(0)
		var start []estimate.Observation
		if trial.readings.reference != nil {
			start = append(start, *trial.readings.reference)
		}
		prior, err := estimate.NewSampler().Estimate(situation, start)
		if err != nil {
			t.Fatal(err)
		}
		shown, err := prior.Foresee(trial.readings.looks)
		if err != nil {
			t.Fatal(err)
		}
		noise := rand.New(rand.NewPCG(uint64(number), 3))
		for i, look := range trial.readings.looks {
			v := shown[i][number] + noisier*look.SD*noise.NormFloat64()
			if k == byCO2 {
				v = (trial.readings.reference.Value - v) / s.litres
			}
			s.seen[i].value = v
		}
		folder.series = append(folder.series, s)
	}
	return folder
}

// Of jugs that follow the model the bands hold 80 %, within three binomial standard
// deviations if the readings of a jug were one; and with readings four times as noisy as
// is thought, visibly less: the score can tell.
func TestSimulated(t *testing.T) {
	few := min(12, jugs)
	margin := 3 * math.Sqrt(0.8*0.2/float64(jugs))
	for _, k := range []kind{byDensity, byCO2} {
		fair := simulated(t, jugs, k, 1).Calibrate(nil)
		t.Logf("by %s: %.3f of %d readings; density %.4f, hour %.3f", k, *fair.Coverage, fair.Readings, *fair.DensityError, *fair.TimeError)
		if math.Abs(*fair.Coverage-0.8) > margin {
			t.Errorf("by %s: the bands hold %.3f of %d readings, want 0.8 ± %.3f", k, *fair.Coverage, fair.Readings, margin)
		}
		if fair.Forecasts != 3*jugs || len(fair.LeftOut) != 0 {
			t.Errorf("by %s: %d forecasts, left out %v, want %d and none", k, fair.Forecasts, fair.LeftOut, 3*jugs)
		}
		if few < 12 {
			continue // too few to tell noise by
		}
		noisy := simulated(t, few, k, 4).Calibrate(nil)
		if *noisy.Coverage > *fair.Coverage-0.1 {
			t.Errorf("by %s: of readings four times as noisy the bands hold %.3f, of fair ones %.3f", k, *noisy.Coverage, *fair.Coverage)
		}
	}
}

// The band is of a reading, not of the state alone: readings of 0.05 spread have bands of
// 2 × 1.2816 × 0.05 at least, less three standard deviations, 4 % each, of a quantile of 500.
func TestBandOfAReading(t *testing.T) {
	s := read(t, "1,cerevisiae", "0 specific_gravity 1.090 1", "48 specific_gravity 1.050 1", "96 specific_gravity 1.010 1", "200 specific_gravity 1.000 1")
	trial, err := s.trial(byDensity)
	if err != nil {
		t.Fatal(err)
	}
	const spread = 0.05
	for i := 2; i < 4; i++ {
		trial.readings.looks[i].SD = spread
	}
	f, err := trial.from(0.5)
	if err != nil || len(f.widths) != 2 {
		t.Fatalf("%d bands, %v, want 2", len(f.widths), err)
	}
	for _, w := range f.widths {
		if least := 0.88 * 2 * 1.2816 * spread; w < least {
			t.Errorf("a band %.3f wide, want %.3f or more", w, least)
		}
	}
}

func TestHourOfDrop(t *testing.T) {
	for _, tt := range []struct {
		times, values []float64
		want          float64
	}{
		{[]float64{0, 100}, []float64{1.100, 1.000}, 95},
		{[]float64{0, 50, 100}, []float64{1.100, 1.000, 1.000}, 47.5},
		{[]float64{0, 50, 60, 100}, []float64{1.100, 0.995, 1.003, 1.000}, 50 * 95 / 105.}, // the first time
	} {
		if got := hourOfDrop(tt.times, tt.values); math.Abs(got-tt.want) > 1e-9 {
			t.Errorf("hourOfDrop(%v, %v) = %g, want %g", tt.times, tt.values, got, tt.want)
		}
	}
}

func TestKnownOf(t *testing.T) {
	for _, tt := range []struct {
		share   float64
		n, want int
	}{{0.25, 4, 1}, {0.25, 3, 1}, {0.5, 5, 2}, {0.75, 4, 3}, {0.75, 2, 1}} {
		if got := knownOf(tt.share, tt.n); got != tt.want {
			t.Errorf("knownOf(%g, %d) = %d, want %d", tt.share, tt.n, got, tt.want)
		}
	}
}

// What cannot be forecast is named, and the rest goes on.
func TestLeftOut(t *testing.T) {
	meta := "series_id,dataset\na,made\nalone,made\nsilent,made\nwater,made\n"
	rows := "series_id,time_h,quantity,value,unit\na,0,brix,20,degBrix\na,48,brix,9,degBrix\na,96,brix,0,degBrix\n" +
		"alone,0,brix,20,degBrix\nsilent,0,temperature,20,degC\nwater,0,brix,0,degBrix\nwater,50,brix,0,degBrix\n"
	folder, err := Read(written(t, meta, rows))
	if err != nil {
		t.Fatal(err)
	}
	report := folder.Calibrate(nil)
	var left []string
	for _, l := range report.LeftOut {
		left = append(left, l.ID)
	}
	if !reflect.DeepEqual(left, []string{"alone", "silent", "water"}) || len(report.Series) != 1 {
		t.Errorf("left out %v of four, %d told of; want alone, silent and water, and one", report.LeftOut, len(report.Series))
	}
}

// Nothing compared is null, not 0 and not a fault.
func TestEmptyScore(t *testing.T) {
	var out bytes.Buffer
	if err := (Report{Score: score(nil)}).WriteJSON(&out); err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"coverage80", "density_error_median", "time_error_median"} {
		if v, found := got[key]; !found || v != nil {
			t.Errorf("%s of nothing is %v, want null", key, v)
		}
	}
}
