package estimate

import (
	"math"
	"slices"
	"testing"

	"skep/internal/kinetics"
	"skep/internal/measure"
)

// A kitchen scale of 2 g steps, every third day to day 42, and nothing else: when all is
// over, the strength is told to 0.3 % vol in four jugs of five, the 80 % range is no wider in
// the middle, and it holds the truth in four of five. The recipe is known as recipes are,
// sugar to 3 % and volume to 2 %; water goes with the gas and through the lock. Where the
// empty vessel was not weighed, what is lost has to be shared among litres that are known no
// better than the recipe has them: at 2 % of them the aim is missed by a little, at 1 % it is met.
func TestScaleAlone(t *testing.T) {
	const within, step = 0.3, 2.0 // % vol, g
	total := jugs
	if testing.Short() {
		total = min(total, 40)
	}
	for _, c := range []struct {
		name   string
		empty  bool    // the empty vessel was weighed
		litres float64 // how well the volume is known
		met    bool    // the aim is
	}{
		{"vessel weighed empty", true, 0.02, true},
		{"vessel of unknown weight, must measured to 1 %", false, 0.01, true},
		{"vessel of unknown weight", false, 0.02, false},
	} {
		near, held := 0, 0
		var widths, off []float64
		for number := range uint64(total) {
			s := mead(t)
			s.Seed, s.VolumeSD, s.Until = number, c.litres, 60*24
			j := madeUp(t, s, 5000+number)
			var times []measure.Hours
			for day := 0; day <= 42; day += 3 {
				times = append(times, measure.Hours(24*day))
			}
			seen := j.see(t, SawMass, 0.5, times...)
			for i := range seen {
				seen[i].Value = step * math.Round(seen[i].Value/step)
				seen[i].SD = math.Hypot(0.5, step/math.Sqrt(12)) // of the hand, and of the last digit
			}
			if !c.empty {
				s.Tare, s.TareSD = 0, 0
			}
			end := times[len(times)-1]
			told, truth := estimate(t, s, seen).At(end).Ethanol, j.posterior(t).At(end).Ethanol.Value
			widths = append(widths, width(told)/2)
			off = append(off, math.Abs(told.Value-truth))
			if off[number] <= within {
				near++
			}
			if told.Low <= truth && truth <= told.High {
				held++
			}
		}
		slices.Sort(widths)
		slices.Sort(off)
		middle := widths[total/2]
		t.Logf("%s: %d of %d within %g %% vol, error in the middle %.3f, at 80 %% %.3f; half a range is %.3f; %d ranges hold the truth",
			c.name, near, total, within, off[total/2], off[total*4/5], middle, held)
		if c.met && (middle > within || near < total*8/10) {
			t.Errorf("%s: half of a range is %.3f %% vol in the middle and %d of %d jugs are within %g; want that at most, and %d", c.name, middle, near, total, within, total*8/10)
		}
		band := 3 * math.Sqrt(0.8*0.2*float64(total))
		if low, high := 0.8*float64(total)-band, 0.8*float64(total)+band; float64(held) < low || float64(held) > high {
			t.Errorf("%s: %d of %d ranges hold the truth, want %.0f to %.0f", c.name, held, total, low, high)
		}
	}
}

// Water goes as its vapour does: 2.5 times as fast at 35 °C as at 20, 0.5 at 10 (steam
// tables: 5.63, 2.339 and 1.228 kPa).
func TestVapour(t *testing.T) {
	for _, tt := range []struct {
		at   measure.Celsius
		want float64
	}{{20, 1}, {35, 5.63 / 95.70 / (2.339 / 98.986)}, {10, 1.228 / 100.097 / (2.339 / 98.986)}} {
		got, err := vapour(kinetics.Course{{T: tt.at}})
		if err != nil || math.Abs(got/tt.want-1) > 0.002 { // the tables' last digit
			t.Errorf("vapour at %g °C = %.4f, %v; want %.4f", tt.at, got, err, tt.want)
		}
	}
}
