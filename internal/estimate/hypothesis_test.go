package estimate

import (
	"math"
	"testing"
	"time"

	"skep/internal/measure"
	"skep/internal/must"
)

// behind is a way for a jug to be, and how it is made up and looked at.
type behind struct {
	kind    Kind
	right   int                // at least so many of 20 jugs must be known for what they are
	change  func(s *Situation) // what everybody knows of it
	stopped measure.Hours      // what nobody knows: its yeast stops; 0 it does not
	fault   func(z *drawn)     // nor this
	until   measure.Hours
	step    measure.Hours
	sense   Sense
	sd      float64
	clues   Clues
}

var truths = []behind{
	{kind: AtWork, right: 18, until: 72, step: 24, sense: SawGravity, sd: 0.001},
	{kind: AtWork, right: 18, until: 96, step: 48, sense: SawMass, sd: 2},
	{kind: AllFermented, right: 16, until: 70 * 24, step: 7 * 24, sense: SawGravity, sd: 0.001},
	{kind: OutOfNitrogen, right: 16, change: func(s *Situation) { s.Must[must.Nitrogen] = 0.1 }, stopped: 150, until: 21 * 24, step: 72, sense: SawGravity, sd: 0.001},
	{kind: OutOfNitrogen, right: 16, change: func(s *Situation) { s.Must[must.Nitrogen] = 0.1 }, stopped: 150, until: 21 * 24, step: 72, sense: SawMass, sd: 2},
	{kind: Overheated, right: 16, change: func(s *Situation) {
		s.Course = []TemperaturePoint{{At: 0, T: 20}, {At: 50, T: 20}, {At: 60, T: 34}, {At: 90, T: 34}, {At: 100, T: 20}}
	}, stopped: 80, until: 14 * 24, step: 48, sense: SawGravity, sd: 0.001},
	{kind: Chilled, right: 16, change: func(s *Situation) {
		s.Course = []TemperaturePoint{{At: 0, T: 20}, {At: 50, T: 20}, {At: 60, T: 7}, {At: 90, T: 7}, {At: 100, T: 20}}
	}, stopped: 80, until: 14 * 24, step: 48, sense: SawGravity, sd: 0.001},
	{kind: ColdPause, right: 16, change: func(s *Situation) { s.Course = []TemperaturePoint{{At: 0, T: 18}, {At: 48, T: 18}, {At: 60, T: 3}} }, until: 14 * 24, step: 48, sense: SawGravity, sd: 0.001},
	{kind: TooSour, right: 16, change: func(s *Situation) { s.Must[must.Nitrogen] = 0.9 }, stopped: 80, until: 14 * 24, step: 48, sense: SawGravity, sd: 0.001, clues: Clues{PH: 2.8}},
	{kind: DeadYeast, right: 16, change: func(s *Situation) { s.Must[must.Nitrogen] = 0.9 }, stopped: 1, until: 8 * 24, step: 48, sense: SawGravity, sd: 0.001},
	{kind: StrengthLimit, right: 16, change: func(s *Situation) {
		s.Must[must.Glucose], s.Must[must.Fructose], s.Must[must.Nitrogen] = 700, 800, 1.2
	}, until: 100 * 24, step: 240, sense: SawGravity, sd: 0.001},
	{kind: Leaking, right: 16, fault: func(z *drawn) { z[leak] = 2.2 }, until: 72, step: 24, sense: SawBubbles, sd: 0.3},
}

// The truth must be the likeliest in most jugs made of each kind, looked at as a maker does.
// Left out are jugs in which there was nothing to tell: those that, but for the kind itself,
// were over when it came.
func TestTruthIsLikeliest(t *testing.T) {
	jugs := 20
	if testing.Short() {
		jugs = 4
	}
	for _, b := range truths {
		right, others := 0, map[Kind]int{}
		var took time.Duration
		number := uint64(0)
		for n := 0; n < jugs; number++ {
			s, seen := b.make(t, number)
			if seen == nil {
				continue
			}
			n++
			p := estimate(t, s, seen)
			begin := time.Now()
			all, err := p.Explanations(b.until, b.clues)
			took += time.Since(begin)
			if err != nil {
				t.Fatal(err)
			}
			sum := 0.0
			for _, e := range all {
				sum += e.Chance
				if len(e.Why) == 0 || len(e.Why) > 2 {
					t.Errorf("%s rests on %q, want one fact or two", e.Kind, e.Why)
				}
			}
			if math.Abs(sum-1) > 1e-9 {
				t.Errorf("chances add to %g", sum)
			}
			if all[0].Kind == b.kind {
				right++
			} else {
				others[all[0].Kind]++
			}
		}
		t.Logf("%s by %s: %d of %d right, else %v; %v each", b.kind, b.sense, right, jugs, others, took/time.Duration(jugs))
		if want := b.right * jugs / 20; right < want {
			t.Errorf("%s by %s: known in %d of %d jugs, want %d; else %v", b.kind, b.sense, right, jugs, want, others)
		}
	}
}

// make makes up a jug and what is seen in it; nil if there is nothing to tell.
func (b behind) make(t *testing.T, number uint64) (Situation, []Observation) {
	s := mead(t)
	s.Seed = number
	if b.change != nil {
		b.change(&s)
	}
	real := s
	if b.stopped > 0 {
		real = s.StoppedAt(b.stopped)
	}
	j := madeUp(t, real, number)
	if b.fault != nil {
		b.fault(&j.z)
	}
	still := j.posterior(t)
	now := still.At(b.until)
	switch b.kind {
	case AllFermented:
		if now.Phases.Dry == 0 {
			return s, nil
		}
	case StrengthLimit:
		if now.Phases.Stopped == 0 || now.Hexose.Value < 10 {
			return s, nil
		}
	case AtWork, Leaking:
		if now.Rate.Value < 3 {
			return s, nil
		}
	default:
		if now.Hexose.Value < 20 || b.kind == ColdPause && now.Rate.Value >= stillRate {
			return s, nil
		}
	}
	var times []measure.Hours
	for h := measure.Hours(0); h <= b.until; h += b.step {
		times = append(times, h)
	}
	if b.sense == SawBubbles {
		times = times[1:]
	}
	seen := j.see(t, b.sense, b.sd, times...)
	if b.kind == Leaking {
		for i := range seen {
			if seen[i].Value > lockFast/4 {
				return s, nil
			}
		}
	}
	return s, seen
}

// With less to go by, nobody is surer that a jug is finished which is not: of jugs that stand
// still or work with sugar left, looked at in full, half as often, or not at all, "finished" is
// held for sure of none. And a jug that nobody looked at is never held for sure to be over.
func TestLessEvidenceIsNoProof(t *testing.T) {
	const sure = 0.9
	jugs := uint64(6)
	if testing.Short() {
		jugs = 2
	}
	asked := 0
	for _, b := range truths {
		if b.kind == AllFermented {
			continue
		}
		for number := range jugs {
			s, seen := b.make(t, number)
			for _, some := range [][]Observation{seen, seen[:(len(seen)+1)/2], nil} {
				if seen == nil {
					continue
				}
				asked++
				all, err := estimate(t, s, some).Explanations(b.until, b.clues)
				if err != nil {
					t.Fatal(err)
				}
				for _, e := range all {
					if e.Kind == AllFermented && e.Chance >= sure {
						t.Errorf("%s, jug %d, %d of %d looks: finished with chance %.3f", b.kind, number, len(some), len(seen), e.Chance)
					}
				}
			}
		}
	}
	if asked < 40 && !testing.Short() {
		t.Errorf("only %d were asked of", asked)
	}
	s := mead(t)
	for _, day := range []measure.Hours{10, 40, 100, 120} {
		all, err := estimate(t, s, nil).Explanations(24*day, Clues{})
		if err != nil {
			t.Fatal(err)
		}
		if all[0].Kind == AllFermented && all[0].Chance >= sure {
			t.Errorf("unseen until day %g: finished with chance %.3f", day, all[0].Chance)
		}
	}
}

// A jug whose yeast stopped is estimated as one: what is left stays, and the finish is past.
func TestExplainFollowsTheStop(t *testing.T) {
	b := truths[3]
	followed := 0
	for number := uint64(0); followed < 4; number++ {
		s, seen := b.make(t, number)
		if seen == nil {
			continue
		}
		followed++
		p, all, err := Explain(NewSampler(), s, seen, b.until, b.clues)
		if err != nil {
			t.Fatal(err)
		}
		now, later := p.At(b.until).Hexose, p.Final().Hexose
		if all[0].Kind != OutOfNitrogen || p.Contradicted != "" || math.Abs(now.Value-later.Value) > 0.5 {
			t.Errorf("jug %d: %s (%q), %v now and %v at the end; want a stall that stays", number, all[0].Kind, p.Contradicted, now, later)
		}
	}
}
