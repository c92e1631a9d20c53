package calibration

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/must"
)

// shares of the readings that a forecast knows.
var shares = []float64{0.25, 0.50, 0.75}

// mostOfDrop is the drop whose hour is compared.
const mostOfDrop = 0.95

// forecast is what came of one: errors are forecast minus reading.
type forecast struct {
	trial        *trial
	share        float64
	known        int // readings
	within       int // later readings that the band of a reading holds
	below, above int // later readings under it, and over it
	widths       []float64
	density      float64 // error of the last reading, SG
	hour         float64 // relative error of the hour of 95 % of the drop; NaN where it is no forecast
	contradicted bool
}

// trial is one series by one kind of reading.
type trial struct {
	series     *series
	readings   readings
	situation  estimate.Situation
	evidence   int     // the first look that is evidence
	perGravity float64 // SG that a unit of the look is worth
}

var errTooFew = errors.New("fewer than two readings")

// trial makes a series ready; nil without readings of that kind.
func (s *series) trial(k kind) (*trial, error) {
	r, err := s.of(k)
	if err != nil {
		return nil, err
	}
	switch {
	case len(r.looks) == 0:
		return nil, nil
	case len(r.looks) < 2:
		return nil, errTooFew
	}
	t := &trial{series: s, readings: r, perGravity: 1}
	if t.situation, t.evidence, err = s.setting(&r); err != nil {
		return nil, err
	}
	if r.reference != nil {
		t.perGravity, err = fallPerGram(&t.situation.Must)
	}
	return t, err
}

// fallPerGram is by how much the gravity of a must falls for each gram of CO2 it loses.
func fallPerGram(m *must.Must) (float64, error) {
	done, err := m.Fermented(m.Hexose(0), 0, must.EthanolYield, 0)
	if err != nil {
		return 0, err
	}
	gas := done[must.CarbonDioxide]
	done[must.CarbonDioxide] = 0
	start, err := m.Gravity()
	if err != nil {
		return 0, err
	}
	end, err := done.Gravity()
	return float64(start-end) / gas, err
}

// knownOf is how many of n readings a share is: never more than it, but one.
func knownOf(share float64, n int) int { return max(1, int(share*float64(n)+1e-9)) }

// from forecasts a series from a share of its readings.
func (t *trial) from(share float64) (*forecast, error) {
	looks := t.readings.looks
	f := &forecast{trial: t, share: share, known: knownOf(share, len(looks)), hour: math.NaN()}
	shown, contradicted, err := t.shown(f.known)
	if err != nil {
		return nil, fmt.Errorf("from %d readings: %w", f.known, err)
	}
	f.contradicted = contradicted
	noise := rand.New(rand.NewPCG(t.situation.Seed, uint64(f.known)))
	read := make([]float64, len(shown[0]))
	for i := f.known; i < len(looks); i++ {
		for m, v := range shown[i] {
			read[m] = v + looks[i].SD*noise.NormFloat64()
		}
		band := measure.RangeOf(read, "")
		switch v := looks[i].Value; {
		case v < band.Low:
			f.below++
		case v > band.High:
			f.above++
		default:
			f.within++
		}
		f.widths = append(f.widths, (band.High-band.Low)*t.perGravity)
	}
	last := len(looks) - 1
	f.density = (measure.RangeOf(shown[last], "").Value - looks[last].Value) * t.perGravity
	f.hour = t.hourError(shown, f.known)
	return f, nil
}

// shown is what each jug of the ensemble would show at every look, given the first of them.
func (t *trial) shown(known int) (shown [][]float64, contradicted bool, err error) {
	situation := t.situation
	situation.Course, situation.TemperatureSD = t.series.warmth(t.readings.looks[known-1].At)
	evidence := slices.Clone(t.readings.looks[t.evidence:max(known, t.evidence)])
	if t.readings.reference != nil {
		evidence = append(evidence, *t.readings.reference)
	}
	posterior, err := estimate.NewSampler().Estimate(situation, evidence)
	if err != nil {
		return nil, false, err
	}
	shown, err = posterior.Foresee(t.readings.looks)
	return shown, posterior.Contradicted != "", err
}

// leastDrop is a fall of gravity below which its hours mean little.
const leastDrop = 0.010

// hourError compares the hour at which 95 % of the drop was read with the hour at which
// the jugs of the ensemble would have shown it, seen at the same times and joined by the
// same straight lines. NaN where it had been read by then, or there was hardly a drop.
func (t *trial) hourError(shown [][]float64, known int) float64 {
	looks := t.readings.looks
	var times, read, jug []float64
	if r := t.readings.reference; r != nil {
		times, read = append(times, float64(r.At)), append(read, r.Value)
	}
	for _, l := range looks {
		times, read = append(times, float64(l.At)), append(read, l.Value)
	}
	if (read[0]-read[len(read)-1])*t.perGravity < leastDrop {
		return math.NaN()
	}
	truth := hourOfDrop(times, read)
	if truth <= float64(looks[known-1].At) {
		return math.NaN()
	}
	var hours []float64
	for m := range shown[0] {
		jug = append(jug[:0], read[:len(read)-len(looks)]...)
		for i := range looks {
			jug = append(jug, shown[i][m])
		}
		if jug[0] > jug[len(jug)-1] {
			hours = append(hours, hourOfDrop(times, jug))
		}
	}
	if len(hours) == 0 {
		return math.NaN()
	}
	return measure.RangeOf(hours, "h").Value/truth - 1
}

// hourOfDrop is when the straight lines through the values first have 95 % of the fall
// from the first to the last of them.
func hourOfDrop(times, values []float64) float64 {
	first, last := values[0], values[len(values)-1]
	level := first - mostOfDrop*(first-last)
	for i := 1; i < len(values); i++ {
		if values[i] <= level {
			share := (values[i-1] - level) / (values[i-1] - values[i])
			return times[i-1] + share*(times[i]-times[i-1])
		}
	}
	return times[len(times)-1]
}
