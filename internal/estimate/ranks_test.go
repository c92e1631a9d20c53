package estimate

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"skep/internal/measure"
	"skep/internal/must"
)

// ranked are the ways of looking whose answers are ranked, each alone, then all together.
var ranked = []struct {
	name  string
	sense Sense
	sd    float64
}{
	{"hydrometer", SawGravity, 0.001},
	{"refractometer", SawBrix, 0.2},
	{"scale", SawMass, 2},
	{"bubbles", SawBubbles, 0.01}, // beside the spread of a minute
	{"taste", SawTaste, 0.2},
}

// Simulation-based calibration (Talts et al. 2018): where jugs are drawn from what is known
// beforehand and looked at with honest noise, the truth is as likely to have any rank among
// the members as any other. 1000 jugs, a sixth with each way of looking and a sixth with
// all; the ranks of six quantities in ten bins, by χ². Of 42 such tests, over the ways and
// all jugs, the worst must not be less likely than 0.01/42: by chance one seed in a hundred
// would fail, and this one is fixed. In short, 120 jugs.
func TestRanksAreEven(t *testing.T) {
	const bins = 10
	what := []string{"sugar now", "strength now", "rate now", "final gravity", "final strength", "finish"}
	groups := len(ranked) + 2
	counts := make([][][bins]int, groups)
	for g := range counts {
		counts[g] = make([][bins]int, len(what))
	}
	jugs := manyJugs
	if testing.Short() {
		jugs = min(jugs, 120)
	}
	for number := range uint64(jugs) {
		s := mead(t)
		s.Seed = number
		if number%2 == 1 { // poor, cool, and with yeast that may stop
			s.Must[must.Nitrogen] = 0.2
			s.Course[0].T = 16
		}
		j := madeUp(t, s, number)
		group := int(number) % (len(ranked) + 1)
		times := []measure.Hours{12, 48, 90, 150, 230, 310}[:2+int(number/12)%5]
		var seen []Observation
		for i, way := range ranked {
			if group == i || group == len(ranked) {
				seen = append(seen, j.honest(t, way.sense, way.sd, times...)...)
			}
		}
		told := estimate(t, s, seen)
		now := times[len(times)-1]
		real := j.posterior(t)
		rank := func(q int, truth float64, values []float64) {
			below, same := 0, 0
			for _, v := range values {
				switch {
				case v < truth:
					below++
				case v == truth:
					same++
				}
			}
			u := (float64(below) + j.noise.Float64()*float64(same+1)) / float64(len(values)+1)
			bin := min(bins-1, int(bins*u))
			counts[group][q][bin]++
			counts[groups-1][q][bin]++
		}
		for q, of := range []func(p *Posterior, m int) float64{
			func(p *Posterior, m int) float64 { return p.view(m, now).SugarGL },
			func(p *Posterior, m int) float64 { return p.view(m, now).EthanolPct },
			func(p *Posterior, m int) float64 { return p.view(m, now).RateGLDay },
			func(p *Posterior, m int) float64 { return p.view(m, p.until).Gravity },
			func(p *Posterior, m int) float64 { return p.view(m, p.until).EthanolPct },
			func(p *Posterior, m int) float64 { return float64(p.ends[m].at) },
		} {
			values := make([]float64, len(told.paths))
			for m := range values {
				values[m] = of(told, m)
			}
			rank(q, of(real, 0), values)
		}
	}
	tests := groups * len(what)
	chi := distuv.ChiSquared{K: bins - 1}
	for g := range counts {
		name := "all jugs"
		switch {
		case g < len(ranked):
			name = ranked[g].name
		case g == len(ranked):
			name = "together"
		}
		for q := range what {
			total, square := 0, 0.0
			for _, n := range counts[g][q] {
				total += n
			}
			even := float64(total) / bins
			for _, n := range counts[g][q] {
				square += (float64(n) - even) * (float64(n) - even) / even
			}
			chance := 1 - chi.CDF(square)
			t.Logf("%-13s %-15s %v: chance %.3f", name, what[q], counts[g][q], chance)
			if math.IsNaN(chance) || chance < 0.01/float64(tests) {
				t.Errorf("%s, %s: ranks %v of %d jugs, even ones are so uneven with a chance of %.2g, want %.2g or more", name, what[q], counts[g][q], total, chance, 0.01/float64(tests))
			}
		}
	}
}
