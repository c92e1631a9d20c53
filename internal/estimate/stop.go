package estimate

import (
	"cmp"
	"math"
	"slices"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/property/nutrient"
)

// StoppedAt is the same jug if its yeast stopped at a time.
func (s Situation) StoppedAt(at measure.Hours) Situation {
	s.Stops = max(at, soonestStop)
	return s
}

// Stopped is the share of jugs whose yeast stopped of its own accord.
func (p *Posterior) Stopped() float64 {
	n := 0
	for _, path := range p.paths {
		if path.world.Stops > 0 {
			n++
		}
	}
	return float64(n) / float64(len(p.paths))
}

// soonestStop is when yeast that was dead from the start stops.
const soonestStop = measure.Hours(1)

// How often yeast stops work of its own accord, and why. All are assumed, no source: with
// nothing against it one jug in ten in thirty days, and by what is on record more often. A
// cause that is not on record weighs little, so that what is on record decides.
const (
	stopRate   = 0.04 / 720 // in an hour, for each unit of weight; usual weights make 2.5
	mostStops  = 0.6        // chance of a stop before there is evidence
	notSeen    = 0.1        // weight of a cause that the record speaks against
	shown      = 10.0       // and of one that it plainly shows
	fed        = 0.4        // share of the nitrogen asked for at which want of it weighs a third as at none
	soonStop   = 0.05       // share of the sugar gone: less, and it never really began
	coldDays   = 3          // before it stopped, in which cold counts
	coldFall   = 5.0        // K, of the temperature in those days that shocks
	hotPitch   = 38.0       // °C at which yeast is harmed in must
	resolve    = 48         // h, longest time in which one time of stopping may stand for all
	firstTries = 6          // times of stopping, before they are tried closer
)

// stop is a jug whose yeast stops at one time: how well that fits, and what it was then.
type stop struct {
	at       measure.Hours
	before   float64              // ln of its chance before evidence
	evidence float64              // ln
	causes   [len(causes)]float64 // shares
	strength float64              // % vol then
	left     float64              // g/L
	chance   float64              // with the evidence
	run      *run                 // of looks from before it ends; nil: no look is later than the stop
	top      *top                 // the likeliest jug of that run
}

// causes are why yeast stops of its own accord.
var causes = [...]Kind{OutOfNitrogen, Chilled, Overheated, TooSour, DeadYeast, StrengthLimit, UnknownStall}

// weighStops returns ln of the weight of the jug that follows the model, and the stops.
func (p *Posterior) weighStops(looks []look, at measure.Hours, clues Clues) (follows float64, stops []stop, err error) {
	run, err := p.world.again(p.world.Situation, looks, p.firstMass)
	if err != nil {
		return 0, nil, err
	}
	tops := []*top{{}}
	switch {
	case len(looks) > 0 && len(looks) == len(p.looks):
		tops = p.doubted
	case len(looks) > 0:
		if tops, err = run.tops(p.drawn, true); err != nil {
			return 0, nil, err
		}
	}
	follows, err = run.laplace(tops)
	if err != nil {
		return 0, nil, err
	}
	// A stop after the last look is seen by none.
	last := measure.Hours(0)
	if n := len(looks); n > 0 {
		last = looks[n-1].At
	}
	if unseen := p.worked(last, at); unseen > 0 {
		s, err := p.world.conditions(p.world.Situation, &tops[0].z, last+measure.Hours(unseen/2), clues)
		if err != nil {
			return 0, nil, err
		}
		s.evidence = follows
		stops = append(stops, s.standsFor(unseen))
	}
	if len(looks) > 0 && last > 0 {
		seen, err := p.seenStops(looks, tops[0], clues)
		if err != nil {
			return 0, nil, err
		}
		stops = append(stops, seen...)
	}
	stopped := 0.0
	for _, s := range stops {
		stopped += math.Exp(s.before)
	}
	if stopped > mostStops {
		for i := range stops {
			stops[i].before += math.Log(mostStops / stopped)
		}
		stopped = mostStops
	}
	return follows + math.Log(1-stopped), stops, nil
}

// seenStops tries times of stopping before the last look: a few over all of it, then closer
// and closer about the best of them. Each stands for the time halfway to its neighbours.
func (p *Posterior) seenStops(looks []look, follows *top, clues Clues) ([]stop, error) {
	w, last := p.world, looks[len(looks)-1].At
	var times []measure.Hours
	from := measure.Hours(0)
	for _, l := range looks {
		gap := l.At - from
		parts := math.Ceil(float64(gap) / resolve)
		for k := range int(parts) {
			t := max(soonestStop, from+gap*measure.Hours(float64(k)/parts))
			// What the model holds to be over by then cannot stop any more.
			if p.Contradicted != "" || p.worked(t, t+1) > 0.05 {
				times = append(times, t)
			}
		}
		from = l.At
	}
	tried := make([]*stop, len(times))
	z := follows.z
	try := func(k int) error {
		if tried[k] != nil {
			return nil
		}
		situation := w.StoppedAt(times[k])
		run, err := w.again(situation, looks, p.firstMass)
		if err != nil {
			return err
		}
		t, err := run.climb(z, true)
		if err != nil {
			return err
		}
		s, err := w.conditions(situation, &t.z, times[k], clues)
		if err != nil {
			return err
		}
		if s.evidence, err = run.laplace([]*top{t}); err != nil {
			return err
		}
		s.run, s.top = run, t
		tried[k], z = &s, t.z
		return nil
	}
	stride := max(1, (len(times)+firstTries-1)/firstTries)
	for k := len(times) - 1; k >= 0; k -= stride {
		if err := try(k); err != nil {
			return nil, err
		}
	}
	for stride > 1 {
		stride = (stride + 1) / 2
		best := -1
		for k, s := range tried {
			if s != nil && (best < 0 || s.evidence > tried[best].evidence) {
				best = k
			}
		}
		for _, k := range []int{best - stride, best + stride} {
			if k < 0 || k >= len(times) {
				continue
			}
			if err := try(k); err != nil {
				return nil, err
			}
		}
		if stride == 1 {
			break
		}
	}
	var stops []stop
	for k := range tried {
		if tried[k] == nil {
			continue
		}
		begin, end := measure.Hours(0), min(last, times[len(times)-1]+resolve)
		for i := k - 1; i >= 0; i-- {
			if tried[i] != nil {
				begin = (times[i] + times[k]) / 2
				break
			}
		}
		for i := k + 1; i < len(times); i++ {
			if tried[i] != nil {
				end = (times[i] + times[k]) / 2
				break
			}
		}
		stops = append(stops, tried[k].standsFor(float64(end-begin)))
	}
	return stops, nil
}

// standsFor is the stop with its chance before evidence, for so many hours.
func (s stop) standsFor(hours float64) stop {
	weight := 0.0
	for _, c := range s.causes {
		weight += c
	}
	for c := range s.causes {
		s.causes[c] /= weight
	}
	s.before = math.Log(-math.Expm1(-stopRate * weight * hours))
	return s
}

// worked is for how many hours the jug is thought to have worked between two times.
func (p *Posterior) worked(from, to measure.Hours) float64 {
	sum := 0.0
	for _, e := range p.ends {
		sum += float64(max(0, min(to, e.at)-from))
	}
	return sum / float64(len(p.ends))
}

// again is a run of the same looks in another situation.
func (w *world) again(s Situation, looks []look, firstMass *Observation) (*run, error) {
	var seen []Observation
	for _, l := range looks {
		seen = append(seen, l.Observation)
	}
	if firstMass != nil {
		seen = append(seen, *firstMass)
		slices.SortStableFunc(seen, func(a, b Observation) int { return cmp.Compare(a.At, b.At) })
	}
	other, err := ready(s, seen)
	if err != nil {
		return nil, err
	}
	return newRun(other, slices.Clone(looks), firstMass, seen), nil
}

// laplace is ln of the evidence as the tops have it, but for what is the same in every run
// of the same looks.
func (r *run) laplace(tops []*top) (float64, error) {
	if len(r.looks) == 0 {
		return 0, nil
	}
	all := make([]float64, len(tops))
	for k, t := range tops {
		weights := make([]float64, len(r.looks))
		for i := range weights {
			sd := r.looks[i].sd
			d := r.off(i, &t.z, t.want) / sd
			weights[i] = (tails + 1) / (tails + d*d) / (sd * sd)
		}
		var p picture
		if !p.factor.Factorize(t.curve(weights)) {
			return 0, errCurve
		}
		all[k] = -t.cost - p.factor.LogDet()/2
	}
	_, mean, _ := weights(all)
	return mean + math.Log(float64(len(all))), nil
}

// conditions are those in a jug when its yeast stopped, and the weight of each cause by them.
func (w *world) conditions(s Situation, z *drawn, at measure.Hours, clues Clues) (stop, error) {
	c := stop{at: at}
	other, err := ready(s, nil)
	if err != nil {
		return c, err
	}
	r := newRun(other, nil, nil, []Observation{{At: at}})
	var path path
	if err := other.follow(r.workers[0].f, z, r.clock, &path); err != nil {
		return c, err
	}
	m, err := path.moment(r.clock.span[0], &path.levels[0])
	if err != nil {
		return c, err
	}
	litres, err := m.must.Volume(20)
	if err != nil {
		return c, err
	}
	gone := 1 - m.open/path.jug.must.Hexose(1)
	c.left = m.open / float64(litres)
	c.strength = 100 * m.must[must.Ethanol] / density.EthanolAt20 / float64(litres)

	share, err := s.fedShare(at)
	if err != nil {
		return c, err
	}
	c.weighCauses(s, path.jug.course, gone, share, clues)
	return c, nil
}

// weighCauses fills in how much each cause weighs, by what was the case when the yeast
// stopped: the course of temperature, the share of the sugar gone, that of the nitrogen
// asked for which was there, and the clues.
func (c *stop) weighCauses(s Situation, course kinetics.Course, gone, nitrogen float64, clues Clues) {
	hottest := float64(course.At(c.at))
	coldest, before := hottest, hottest
	for h := measure.Hours(0); h <= c.at; h += 6 {
		t := float64(course.At(h))
		hottest = max(hottest, t)
		if h >= c.at-coldDays*24 {
			coldest, before = min(coldest, t), max(before, t)
		}
	}
	weight := map[Kind]float64{UnknownStall: 1, OutOfNitrogen: shown * math.Exp(-nitrogen/fed), Chilled: notSeen, TooSour: notSeen, DeadYeast: notSeen}
	if clues.Eggs {
		weight[OutOfNitrogen] *= 3
	}
	switch {
	case coldest < float64(s.Yeast.TemperatureLow):
		weight[Chilled] = shown
	case before-float64(course.At(c.at)) >= coldFall:
		weight[Chilled] = shown / 3
	}
	over := hottest - float64(s.Yeast.TemperatureTop)
	weight[Overheated] = shown * (1 - math.Exp(-max(0, over)/3))
	switch {
	case clues.PH == 0: // it may be
		weight[TooSour] = 3 * notSeen
	case clues.PH < 3:
		weight[TooSour] = shown
	case clues.PH < 3.2:
		weight[TooSour] = shown / 4
	}
	switch {
	case gone < soonStop && clues.Pitched >= hotPitch:
		weight[DeadYeast] = 2 * shown
	case gone < soonStop:
		weight[DeadYeast] = shown
	}
	middle := float64(s.Yeast.ToleranceLow+s.Yeast.ToleranceHigh) / 2
	short := max(0, middle-c.strength) // % vol under what the yeast is said to bear
	weight[StrengthLimit] = shown * math.Exp(-short*short)
	for i, kind := range causes {
		least := notSeen
		if kind == StrengthLimit {
			least /= 10 // strength is known well
		}
		c.causes[i] = max(least, weight[kind])
	}
}

// fedShare is the nitrogen that was in the must by a time, as a share of what its yeast asks
// for with so much sugar.
func (s Situation) fedShare(by measure.Hours) (float64, error) {
	all := s.Must
	for _, change := range s.Changes {
		if change.At <= by {
			all = all.Plus(change.Added)
		}
	}
	litres, err := all.Volume(20)
	if err != nil {
		return 0, err
	}
	sugar := measure.GramsPerLitre(all.Hexose(1) / float64(litres))
	low, high, err := nutrient.Need(nutrient.Demand(s.Yeast.Demand), sugar)
	return 1000 * all[must.Nitrogen] / float64(litres) / (float64(low+high) / 2), err
}
