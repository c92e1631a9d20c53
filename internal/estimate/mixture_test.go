package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"skep/internal/measure"
	"skep/internal/must"
)

// stopsAt draws when the yeast of a jug stops by the rates that stops are given before
// evidence; 0 it works to its end.
func (j *truth) stopsAt(t *testing.T, random *rand.Rand) measure.Hours {
	t.Helper()
	end := j.posterior(t).ends[0].at
	const step = 12
	for at := measure.Hours(step); at < end; at += step {
		s, err := j.world.conditions(j.world.Situation, &j.z, at, Clues{})
		if err != nil {
			t.Fatal(err)
		}
		weight := 0.0
		for _, c := range s.causes {
			weight += c
		}
		if random.Float64() < -math.Expm1(-stopRate*weight*step) {
			return at
		}
	}
	return 0
}

// Of jugs whose yeast stops as often as is thought before evidence, as many hold more than 5
// g/L that could ferment as the members say, within three standard deviations, and the 80 %
// range of what is left holds it in four of five; a sample fermented out makes it surer.
func TestWhatMayBeLeft(t *testing.T) {
	jugs := 120
	if testing.Short() {
		jugs = 12
	}
	const until = measure.Hours(24 * 25)
	for _, spent := range []bool{false, true} {
		foretold, variance, sweet, held, doubt := 0.0, 0.0, 0, 0, 0.0
		for number := range jugs {
			s := mead(t)
			s.Seed = uint64(number)
			j := madeUp(t, s, uint64(1000+number))
			random := rand.New(rand.NewPCG(uint64(number), 5))
			if at := j.stopsAt(t, random); at > 0 {
				j.world.Stops = at
			}
			seen := j.honest(t, SawGravity, 0.001, 0, 24*8, 24*17, until)
			if spent {
				seen = append(seen, j.honest(t, SawSpent, 0.001, until)...)
			}
			p, _, err := Explain(NewSampler(), s, seen, until, Clues{})
			if err != nil {
				t.Fatal(err)
			}
			left := j.posterior(t).Members(until)[0].EventualHexose
			chance := 0.0
			for _, m := range p.Members(until) {
				if m.EventualHexose > 5 {
					chance += 1 / float64(len(p.paths))
				}
			}
			foretold += chance
			variance += chance * (1 - chance)
			doubt += chance * (1 - chance) / float64(jugs)
			if left > 5 {
				sweet++
			}
			if r := p.At(until).Hexose; left >= r.Low-restGL && left <= r.High+restGL {
				held++
			}
		}
		t.Logf("fermented out %t: %d of %d sweet, %.1f ± %.1f foretold; %d in the range; doubt %.4f", spent, sweet, jugs, foretold, math.Sqrt(variance), held, doubt)
		if off := math.Abs(float64(sweet) - foretold); off > 3*math.Sqrt(variance)+1 {
			t.Errorf("fermented out %t: %d of %d jugs hold more than 5 g/L, %.1f were foretold", spent, sweet, jugs, foretold)
		}
		if least := 0.8*float64(jugs) - 3*math.Sqrt(0.16*float64(jugs)); float64(held) < least {
			t.Errorf("fermented out %t: %d of %d ranges hold the truth, want %.0f", spent, held, jugs, least)
		}
	}
}

// A wine of some 10 % vol that stands still at 1.001 may be dry or not. A sample that ferments
// out to the same gravity says dry, one that falls by 0.008 that some 19 g/L are left: a gram of
// sugar in a litre weighs 0.00039 in gravity and the half gram of alcohol that it becomes takes
// 0.00004 to 0.00007 more (tables of sucrose and ethanol). A hydrometer's fault is the same in
// both; that one of them was misread stays possible.
func TestSampleFermentedOut(t *testing.T) {
	s := mead(t)
	s.Must[must.Glucose], s.Must[must.Fructose], s.SugarSD = 300, 360, 0.05
	look := func(sense Sense, at measure.Hours, value float64) Observation {
		return Observation{ID: string(sense), At: at, Sense: sense, Value: value, SD: 0.0007, Sample: 20, Calibrated: 20}
	}
	const now = measure.Hours(24 * 40)
	still := []Observation{look(SawGravity, 24*30, 1.001), look(SawGravity, now, 1.001)}
	for seed := range uint64(3) {
		s.Seed = seed
		left := func(seen []Observation) (measure.Range, float64) {
			p, _, err := Explain(NewSampler(), s, seen, now, Clues{})
			if err != nil {
				t.Fatal(err)
			}
			sweet := 0.0
			for _, m := range p.Members(now) {
				if m.EventualHexose > 5 {
					sweet += 1 / float64(len(p.paths))
				}
			}
			return p.At(now).Hexose, sweet
		}
		_, doubt := left(still)
		_, same := left(append(still, look(SawSpent, now, 1.001)))
		fell, sweet := left(append(still, look(SawSpent, now, 0.993)))
		t.Logf("more than 5 g/L left: %.3f without the sample, %.3f if it stays, %.3f if it falls, then %v", doubt, same, sweet, fell)
		if same > doubt/2 {
			t.Errorf("seed %d: fermented out to the same gravity, more than 5 g/L is left with a chance of %.3f, without the sample %.3f", seed, same, doubt)
		}
		if sweet < 0.8 || fell.Value < 16.5 || fell.Value > 20.5 || fell.High > 24 {
			t.Errorf("seed %d: fermented out by 0.008 more, %v is left, more than 5 g/L with a chance of %.3f; want some 19 g/L", seed, fell, sweet)
		}
	}
}
