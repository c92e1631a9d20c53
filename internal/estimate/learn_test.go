package estimate_test

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"skep/internal/estimate"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
)

// How jugs are pooled: nothing told changes nothing; what ten agree on is followed, one odd
// one is not; what a jug hardly tells counts for hardly anything.
func TestLearn(t *testing.T) {
	told := func(means ...float64) []estimate.Habits {
		var all []estimate.Habits
		for _, m := range means {
			all = append(all, estimate.Habits{estimate.YeastSpeed: {Mean: m, SD: 0.3}})
		}
		return all
	}
	of := func(jugs []estimate.Habits) estimate.Told { return estimate.Learn(jugs)[estimate.YeastSpeed] }
	if got := estimate.Learn(nil); len(got) != 0 {
		t.Errorf("Learn(nothing) = %v, want nothing", got)
	}
	if got := estimate.Learn([]estimate.Habits{{estimate.YeastSpeed: {Mean: 0, SD: 1}}}); len(got) != 0 {
		t.Errorf("Learn(a jug that tells nothing) = %v, want nothing", got)
	}
	one, ten := of(told(1)), of(told(1, 0.9, 1.1, 1, 0.8, 1.2, 1, 0.9, 1.1, 1))
	if !(one.Mean > 0.2 && one.Mean < 0.8 && one.SD < 1) {
		t.Errorf("after one jug of 1: %+v, want part of the way", one)
	}
	if !(ten.Mean > 0.9 && ten.Mean < 1.15 && ten.SD < one.SD && ten.SD > 0.7) {
		t.Errorf("after ten jugs about 1: %+v, want 1, narrower, and with what is new in each jug", ten)
	}
	odd := of(told(1, 0.9, 1.1, 1, 0.8, 1.2, 1, 0.9, 1.1, -3))
	if moved := ten.Mean - odd.Mean; !(moved > 0 && moved < 0.25) {
		t.Errorf("an odd jug among ten moved it by %.3f, want little", moved)
	}
	vague := append(told(1), estimate.Habits{estimate.YeastSpeed: {Mean: -0.3, SD: 0.95}})
	if got := of(vague); math.Abs(got.Mean-one.Mean) > 0.15 {
		t.Errorf("a jug that hardly tells moved it from %.3f to %.3f", one.Mean, got.Mean)
	}
	if a, b := of(told(1, -0.5, 0.2)), of(told(0.2, 1, -0.5)); math.Abs(a.Mean-b.Mean) > 1e-9 {
		t.Errorf("another order of jugs: %.12f and %.12f", a.Mean, b.Mean)
	}
}

// learnt is a mead as one maker makes it, with a seed of its own.
func learnt(t *testing.T, seed uint64, learned estimate.Habits) estimate.Situation {
	t.Helper()
	yeast, err := kinetics.YeastNamed("white wine yeast")
	if err != nil {
		t.Fatal(err)
	}
	return estimate.Situation{
		Seed: seed, Must: must.Must{
			must.Water: 3950, must.Glucose: 335, must.Fructose: 400, must.Sucrose: 10, must.SlowSugar: 60,
			must.OtherSolids: 15, must.Acid: 3, must.Nitrogen: 0.9,
		},
		SugarSD: 0.03, VolumeSD: 0.02, NitrogenSD: 0.4, Yeast: yeast, YeastGrams: 5,
		Course: []estimate.TemperaturePoint{{T: 19}}, TemperatureSD: 1.5, Until: 120 * 24, Learned: learned,
	}
}

// maker has a fast yeast and a small lock; the spreads are what is new in each of her jugs.
var maker = estimate.Habits{
	estimate.YeastSpeed: {Mean: 1.2, SD: math.Sqrt(0.5)}, estimate.Lock: {Mean: -1.3, SD: math.Sqrt(0.2)},
}

// watched draws a jug of a maker's, and what she sees of it on some days.
func watched(t *testing.T, maker estimate.Habits, seed uint64, random *rand.Rand, bubbles, gravity []float64) (seen []estimate.Observation, later float64) {
	t.Helper()
	truth, err := estimate.Sampler{Draws: 20, Members: 20}.Estimate(learnt(t, seed, maker), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range bubbles {
		seen = append(seen, estimate.Observation{ID: fmt.Sprint("b", d), At: measure.Hours(24 * d), Sense: estimate.SawBubbles})
	}
	for _, d := range gravity {
		seen = append(seen, estimate.Observation{ID: fmt.Sprint("g", d), At: measure.Hours(24 * d), Sense: estimate.SawGravity, SD: 0.001})
	}
	shown, err := truth.Foresee(seen)
	if err != nil {
		t.Fatal(err)
	}
	const member = 7
	for i := range seen {
		o := &seen[i]
		if o.Value = shown[i][member]; o.Sense == estimate.SawBubbles {
			o.Value = math.Round(o.Value * math.Exp(0.3*random.NormFloat64()))
			o.SD = math.Sqrt(max(1, o.Value))
			continue
		}
		o.Value += 0.001 * random.NormFloat64()
	}
	return seen, truth.Members(foretold)[member].Gravity
}

// foretold is the hour that a jug is foretold for: two days after its looks, most of them at
// work. Once they are over, their gravity tells of the sugar, and habits tell nothing of it.
const foretold = 5 * 24

// A maker with a fast yeast and a small lock: what is foretold of the gravity and the end of
// her tenth jug, from three counts of bubbles, is narrower after nine jugs than without them,
// and holds as often as it says.
func TestTenthJug(t *testing.T) {
	if testing.Short() {
		t.Skip("some hundred estimates")
	}
	random := rand.New(rand.NewPCG(4, 4))
	var jugs []estimate.Habits
	for k := range uint64(9) {
		seen, _ := watched(t, maker, 100+k, random, []float64{1, 2, 3, 4, 5, 6, 8, 10, 13, 16}, []float64{0, 3, 6, 10, 20, 40})
		p, err := estimate.NewSampler().Estimate(learnt(t, 200+k, nil), seen)
		if err != nil {
			t.Fatal(err)
		}
		jugs = append(jugs, p.Habits())
	}
	learned := estimate.Learn(jugs)
	delete(learned, estimate.CupOfHoney) // hers is weighed
	if speed, lock := learned[estimate.YeastSpeed], learned[estimate.Lock]; !(speed.Mean > 0.4 && lock.Mean < -0.6 && lock.SD < 0.75) {
		t.Errorf("learned speed %+v and lock %+v; the maker's are 1.2 and -1.3", speed, lock)
	}
	width := func(r measure.Range) float64 { return r.High - r.Low }
	var before, after, longer, shorter float64
	held := 0
	for k := range uint64(tenthJugs) {
		seen, truth := watched(t, maker, 300+k, random, []float64{1, 2, 3}, nil)
		blind, err := estimate.NewSampler().Estimate(learnt(t, 400+k, nil), seen)
		if err != nil {
			t.Fatal(err)
		}
		taught, err := estimate.NewSampler().Estimate(learnt(t, 400+k, learned), seen)
		if err != nil {
			t.Fatal(err)
		}
		told := taught.At(foretold).Gravity
		before, after = before+width(blind.At(foretold).Gravity), after+width(told)
		longer, shorter = longer+width(blind.Finish()), shorter+width(taught.Finish())
		if truth >= told.Low && truth <= told.High {
			held++
		}
	}
	t.Logf("%v: %d of %d held; gravity %.4f wide after %.4f, end %.1f h after %.1f",
		learned, held, tenthJugs, after/tenthJugs, before/tenthJugs, shorter/tenthJugs, longer/tenthJugs)
	if !(after < 0.75*before && shorter < 0.75*longer) {
		t.Errorf("ranges are %.4f and %.1f h wide on average and were %.4f and %.1f; want them narrower by a quarter or more",
			after/tenthJugs, shorter/tenthJugs, before/tenthJugs, longer/tenthJugs)
	}
	// Four in five, within 2.6 standard deviations of the binomial.
	if far := 2.6 * math.Sqrt(0.16*tenthJugs); math.Abs(float64(held)-0.8*tenthJugs) > far {
		t.Errorf("%d of %d ranges held the truth, want %.0f ± %.0f", held, tenthJugs, 0.8*tenthJugs, far)
	}
}

const tenthJugs = 60

// Makers as different as is thought, each with four finished jugs: the range that is
// foretold of the fifth of each holds as often as it says.
func TestFifthJugOfManyMakers(t *testing.T) {
	if testing.Short() {
		t.Skip("some hundred estimates")
	}
	const makers = 60
	// The share of a habit that is the maker's own, as the pooling has it.
	own := map[estimate.Habit]float64{
		estimate.YeastSpeed: 0.5, estimate.YeastGrowth: 0.5, estimate.YeastCells: 0.3, estimate.YeastHarm: 0.5,
		estimate.YeastLimit: 0.5, estimate.YeastLag: 0.3, estimate.Lock: 0.8, estimate.Drying: 0.7, estimate.Room: 0.5,
	}
	random := rand.New(rand.NewPCG(5, 5))
	held := 0
	for m := range uint64(makers) {
		maker := estimate.Habits{}
		for _, h := range slices.Sorted(maps.Keys(own)) {
			maker[h] = estimate.Told{Mean: math.Sqrt(own[h]) * random.NormFloat64(), SD: math.Sqrt(1 - own[h])}
		}
		var jugs []estimate.Habits
		for k := range uint64(4) {
			seen, _ := watched(t, maker, 1000+10*m+k, random, []float64{1, 2, 3, 5, 8, 12}, []float64{0, 4, 10, 40})
			p, err := estimate.NewSampler().Estimate(learnt(t, 2000+10*m+k, nil), seen)
			if err != nil {
				t.Fatal(err)
			}
			jugs = append(jugs, p.Habits())
		}
		learned := estimate.Learn(jugs)
		delete(learned, estimate.CupOfHoney) // hers is weighed
		seen, truth := watched(t, maker, 1000+10*m+9, random, []float64{1, 2, 3}, nil)
		fifth, err := estimate.NewSampler().Estimate(learnt(t, 2000+10*m+9, learned), seen)
		if err != nil {
			t.Fatal(err)
		}
		if told := fifth.At(foretold).Gravity; truth >= told.Low && truth <= told.High {
			held++
		}
	}
	t.Logf("%d of %d held", held, makers)
	// Four in five, within 2.6 standard deviations of the binomial.
	if far := 2.6 * math.Sqrt(0.16*makers); math.Abs(float64(held)-0.8*makers) > far {
		t.Errorf("%d of %d ranges held the truth, want %.0f ± %.0f", held, makers, 0.8*makers, far)
	}
}

// Nothing learned is nothing changed, to the bit.
func TestNothingLearned(t *testing.T) {
	seen, _ := watched(t, maker, 1, rand.New(rand.NewPCG(1, 1)), []float64{1, 3}, []float64{0, 5})
	var all []estimate.Outlook
	for _, learned := range []estimate.Habits{nil, {}, {estimate.YeastSpeed: {Mean: 0, SD: 1}}, {estimate.YeastSpeed: {Mean: 1, SD: 0.8}}} {
		p, err := estimate.NewSampler().Estimate(learnt(t, 2, learned), seen)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, p.Outlook())
	}
	if !reflect.DeepEqual(all[0], all[1]) || !reflect.DeepEqual(all[0], all[2]) {
		t.Error("an empty lesson changes the answer")
	}
	if reflect.DeepEqual(all[0], all[3]) {
		t.Error("a lesson changes nothing")
	}
}
