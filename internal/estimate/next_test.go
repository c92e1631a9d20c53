package estimate

import (
	"math"
	"testing"
	"time"

	"skep/internal/measure"
)

// Soundness as a wine's that may go into a bottle.
func nearlyDry(m Member) bool { return m.EventualHexose < 5 }

// What a look is expected to tell must be what it tells: the spread of the finish date that is
// left after it, summed over jugs. The two sums part by chance; by how much is read off the
// jugs themselves, and three times that is allowed.
func TestWorthIsWhatComes(t *testing.T) {
	jugs := 40
	if testing.Short() {
		jugs = 8
	}
	for _, c := range []struct {
		sense Sense
		sd    float64
		in    measure.Hours
	}{{SawGravity, 0.001, 24}, {SawMass, 2, 72}, {SawBubbles, 0.5, 24}} {
		var before, said, came, square float64
		var took time.Duration
		for number := range uint64(jugs) {
			s := mead(t)
			s.Seed = number
			j := madeUp(t, s, number)
			const now = 72
			seen := j.see(t, SawGravity, 0.001, 0, now)
			p := estimate(t, s, seen)
			begin := time.Now()
			worths, err := p.Worths(now, []Observation{{At: now + c.in, Sense: c.sense, SD: c.sd}}, nearlyDry)
			took += time.Since(begin)
			if err != nil {
				t.Fatal(err)
			}
			spread := spreadOfEnds(p, now)
			left := spread
			if len(worths) > 0 {
				left *= 1 - worths[0].Finish
			}
			found := spreadOfEnds(estimate(t, s, append(seen, j.see(t, c.sense, c.sd, now+c.in)...)), now)
			before, said, came = before+spread, said+left, came+found
			square += (found - left) * (found - left)
		}
		chance := math.Sqrt(square)
		t.Logf("%s in %g h: of %.0f h of spread %.0f should be left, %.0f are, ± %.0f by chance; %v each",
			c.sense, c.in, before, said, came, chance, took/time.Duration(jugs))
		if math.Abs(said-came) > 3*chance || chance > before/4 && !testing.Short() {
			t.Errorf("%s in %g h leaves %.0f h of spread, %.0f was expected, ± %.0f by chance", c.sense, c.in, came, said, chance)
		}
	}
}

func spreadOfEnds(p *Posterior, now measure.Hours) float64 {
	var ends []float64
	for _, e := range p.ends {
		ends = append(ends, float64(max(now, e.at)))
	}
	return math.Sqrt(spreadOver(ends, nil))
}

// The better the look, the more it is worth; one that says nothing is not named, nor is one
// of what is known already.
func TestWorthOrders(t *testing.T) {
	s := mead(t)
	p := estimate(t, s, madeUp(t, s, 5).see(t, SawGravity, 0.001, 0, 72))
	of := func(looks ...Observation) []Worth {
		t.Helper()
		all, err := p.Worths(72, looks, nearlyDry)
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	last := 1.0
	for _, sd := range []float64{1, 4, 16, 64, 256} {
		said := 0.0
		if all := of(Observation{At: 120, Sense: SawMass, SD: sd}); len(all) > 0 {
			said = all[0].says()
		}
		if said > last+0.02 {
			t.Errorf("a scale of %g g is worth %.3f, a better one %.3f", sd, said, last)
		}
		last = said
	}
	if last > leastSay {
		t.Errorf("a scale of 256 g is worth %.3f", last)
	}
	all := of(Observation{At: 73, Sense: SawGravity, SD: 0.001}, Observation{At: 120, Sense: SawGravity, SD: 0.001}, Observation{At: 168, Sense: SawMass, SD: 2},
		Observation{At: 72, Sense: SawTemperature, SD: 0.5}, Observation{At: 96, Sense: SawTaste, SD: 0.25})
	if len(all) < 2 || all[0].says() < all[1].says() {
		t.Errorf("worths %+v, want the most telling first", all)
	}
	for i, w := range all {
		for _, o := range all[:i] {
			if o.Sense == w.Sense {
				t.Errorf("%s is named twice", w.Sense)
			}
		}
		if !(w.Finish >= 0 && w.Finish <= 1 && w.Bottling >= 0 && w.Bottling <= 1) {
			t.Errorf("%+v is no share", w)
		}
	}
}
