package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"skep/internal/measure"
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

// A strong wine that stands still at 1.004 may be dry or not. A sample that ferments out to
// the same gravity says dry, one that falls by 0.008 that some 19 g/L are left, for a gram of
// sugar in a litre weighs 0.00039 in gravity and the half gram of alcohol that it becomes takes
// 0.00004 to 0.00007 more (tables of sucrose and ethanol). A hydrometer's fault is the same in both.
func TestSampleFermentedOut(t *testing.T) {
	s := mead(t)
	s.SugarSD = 0.1
	look := func(sense Sense, at measure.Hours, value float64) Observation {
		return Observation{ID: string(sense), At: at, Sense: sense, Value: value, SD: 0.0007, Sample: 20, Calibrated: 20}
	}
	const now = measure.Hours(24 * 40)
	still := []Observation{look(SawGravity, 24*30, 1.004), look(SawGravity, now, 1.004)}
	left := func(seen []Observation) measure.Range {
		p, _, err := Explain(NewSampler(), s, seen, now, Clues{})
		if err != nil {
			t.Fatal(err)
		}
		return p.At(now).Hexose
	}
	without, same, fell := left(still), left(append(still, look(SawSpent, now, 1.004))), left(append(still, look(SawSpent, now, 0.996)))
	t.Logf("without %v, the same %v, fell %v", without, same, fell)
	if same.High > 4 || width(same) > width(without)/2 {
		t.Errorf("fermented out to the same gravity: %v left, without the sample %v", same, without)
	}
	if fell.Value < 17 || fell.Value > 21 || width(fell) > 8 {
		t.Errorf("fermented out by 0.008 more: %v left, want some 19 g/L", fell)
	}
}
