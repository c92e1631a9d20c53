package estimate

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/property/nutrient"
)

// Kind is one thing that may lie behind what is seen of a jug.
type Kind string

// The kinds. Of a stall the cause is told with it.
const (
	Beginning       Kind = "beginning"      // it has not begun yet, and will
	AtWork          Kind = "working"        // it ferments
	Leaking         Kind = "leak"           // it ferments, and its gas goes by the airlock
	ColdPause       Kind = "cold pause"     // it rests, for it stands too cold
	OutOfNitrogen   Kind = "nitrogen"       // stalled for want of it
	Chilled         Kind = "cold"           // stalled after cold, though it may be warm again
	Overheated      Kind = "heat"           // stalled after heat
	TooSour         Kind = "pH"             // stalled in too sour a must
	DeadYeast       Kind = "dead yeast"     // never really began
	StrengthLimit   Kind = "strength limit" // stopped sweet, at what its yeast bears
	UnknownStall    Kind = "unknown stall"  // stalled, and nothing on record says why
	AllFermented    Kind = "finished"       // over, with nothing to speak of left
	kindsOfStalling      = 7
)

// Stalled says that the jug stands still with sugar that other yeast, or better treated
// yeast, would have eaten; one at its limit of strength does not count.
func (k Kind) Stalled() bool {
	switch k {
	case OutOfNitrogen, Chilled, Overheated, TooSour, DeadYeast, UnknownStall:
		return true
	}
	return false
}

// Explanation is one Kind, how likely it is, and what speaks for it.
type Explanation struct {
	Kind   Kind          `json:"kind"`
	Chance float64       `json:"chance"` // 0 to 1; all together make 1
	Why    []string      `json:"why"`    // the facts it rests on, two at most
	Since  measure.Hours `json:"-"`      // of a stall: from when on; 0 not told
}

// Clues are what is known of a jug that no model of its sugar can use.
type Clues struct {
	PH      float64         // lowest that was read; 0 not known
	Pitched measure.Celsius // temperature of the must when the yeast went in; 0 not known
	Eggs    bool            // it smelled of rotten eggs
}

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
	stillRate  = 0.5        // g/L of CO2 in a day: less counts as rest
	lockFresh  = 5 * 24     // h for which a silence at the airlock speaks of now
	lockFast   = 1.0        // bubbles a minute: more, without a leak, would have been seen
	resolve    = 48         // h, longest time in which one time of stopping may stand for all
	firstTries = 6          // times of stopping, before they are tried closer
)

// stop is a jug whose yeast stops at one time: how well that fits, and what it was then.
type stop struct {
	at       measure.Hours
	before   float64 // ln of its chance before evidence
	evidence float64 // ln
	causes   [kindsOfStalling]float64
	strength float64 // % vol then
	left     float64 // g/L
}

var causes = [kindsOfStalling]Kind{OutOfNitrogen, Chilled, Overheated, TooSour, DeadYeast, StrengthLimit, UnknownStall}

// Explanations returns what may lie behind all that was seen by a time, hours from
// pitching, the likeliest first.
//
// Two kinds of jug are weighed by the evidence of each, p(seen | kind) p(kind): one that
// follows the model all the way, and one whose yeast stops at some time for a reason that
// the model does not have. The first is split by what its members do at that time; the
// second by what is on record of the causes. The evidence is Laplace's: the fit at the top
// and the room about it, every look taken for one that may be wrong (tails of a Student
// distribution), so that no slip of the pen decides.
//
// Check:  the truth is the likeliest in jugs made of each kind (TestTruthIsLikeliest).
// Errors: as Estimate.
// Repeats: as Estimate.
// Source: our choice, with its widths assumed; docs/decisions/0010.
func (p *Posterior) Explanations(at measure.Hours, clues Clues) ([]Explanation, error) {
	at = min(max(at, 0), p.until)
	looks := slices.Clone(p.looks)
	looks = slices.DeleteFunc(looks, func(l look) bool { return l.At > at })
	follows, stops, err := p.weighStops(looks, at, clues)
	if err != nil {
		return nil, err
	}

	chance, since := map[Kind]float64{}, map[Kind]*stop{}
	best := follows
	for _, s := range stops {
		best = max(best, s.before+s.evidence)
	}
	p.split(chance, looks, at, math.Exp(follows-best), clues)
	for i, s := range stops {
		weight := math.Exp(s.before + s.evidence - best)
		if s.left < sweetGL { // there was nothing more to do
			chance[AllFermented] += weight
			continue
		}
		for c, share := range s.causes {
			kind := causes[c]
			chance[kind] += weight * share
			if old := since[kind]; old == nil || weight*share > math.Exp(old.before+old.evidence-best)*old.causes[c] {
				since[kind] = &stops[i]
			}
		}
	}
	sum := 0.0
	for _, kind := range kinds {
		sum += chance[kind]
	}
	var all []Explanation
	for _, kind := range kinds {
		if chance[kind] == 0 {
			continue
		}
		e := Explanation{Kind: kind, Chance: chance[kind] / sum}
		if s := since[kind]; s != nil {
			e.Since = s.at
		}
		e.Why = p.why(kind, since[kind], looks, at, clues)
		all = append(all, e)
	}
	slices.SortStableFunc(all, func(a, b Explanation) int { return cmp.Compare(b.Chance, a.Chance) })
	return all, nil
}

// kinds in the order in which equal ones are told: the careful ones first.
var kinds = []Kind{
	Beginning, AtWork, Leaking, ColdPause, OutOfNitrogen, Chilled, Overheated, TooSour, DeadYeast, UnknownStall, StrengthLimit, AllFermented,
}

// Kinds are all of them.
func Kinds() []Kind { return slices.Clone(kinds) }

// StoppedAt is the same jug if its yeast stopped at a time.
func (s Situation) StoppedAt(at measure.Hours) Situation {
	s.Changes = append(slices.Clip(s.Changes), Change{At: max(at, soonestStop), Lost: 1})
	return s
}

// StopsAt is when the yeast of a jug made by StoppedAt stops; 0 it does not.
func (p *Posterior) StopsAt() measure.Hours {
	for _, c := range p.world.Changes {
		if c.Lost == 1 {
			return c.At
		}
	}
	return 0
}

// soonestStop is when yeast that was dead from the start stops.
const soonestStop = measure.Hours(1)

// weighStops returns ln of the weight of the jug that follows the model, and the stops.
func (p *Posterior) weighStops(looks []look, at measure.Hours, clues Clues) (follows float64, stops []stop, err error) {
	run, err := p.world.again(p.world.Situation, looks, p.firstMass)
	if err != nil {
		return 0, nil, err
	}
	tops := []*top{{}}
	if len(looks) > 0 {
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
		s, err := p.world.conditions(p.world.Situation, &tops[0].z, last, clues)
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
		begin, end := measure.Hours(0), last
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

	coldest, hottest, before := math.Inf(1), math.Inf(-1), math.Inf(-1)
	course := path.jug.course
	for h := measure.Hours(0); h <= at; h += 6 {
		t := float64(course.At(h))
		hottest = max(hottest, t)
		if h >= at-coldDays*24 {
			coldest = min(coldest, t)
			before = max(before, t)
		}
	}
	now := float64(course.At(at))
	coldest = min(coldest, now)
	share, err := s.fedShare(at)
	if err != nil {
		return c, err
	}
	weigh := func(kind Kind, weight float64) { c.causes[slices.Index(causes[:], kind)] = weight }
	weigh(UnknownStall, 1)
	hungry := shown * math.Exp(-share/fed)
	if clues.Eggs {
		hungry *= 3
	}
	weigh(OutOfNitrogen, max(notSeen, hungry))
	weigh(Chilled, notSeen)
	switch {
	case coldest < float64(s.Yeast.TemperatureLow):
		weigh(Chilled, shown)
	case before-now >= coldFall:
		weigh(Chilled, shown/3)
	}
	weigh(Overheated, notSeen)
	if over := hottest - float64(s.Yeast.TemperatureTop); over > 0 {
		weigh(Overheated, max(notSeen, shown*(1-math.Exp(-over/3))))
	}
	switch {
	case clues.PH == 0:
		weigh(TooSour, 3*notSeen)
	case clues.PH < 3:
		weigh(TooSour, shown)
	case clues.PH < 3.2:
		weigh(TooSour, shown/4)
	default:
		weigh(TooSour, notSeen)
	}
	weigh(DeadYeast, notSeen)
	switch {
	case gone < soonStop && clues.Pitched >= hotPitch:
		weigh(DeadYeast, 2*shown)
	case gone < soonStop:
		weigh(DeadYeast, shown)
	}
	short := float64(s.Yeast.ToleranceLow) - c.strength // % vol under what most jugs reach
	weigh(StrengthLimit, max(notSeen/10, shown*math.Exp(-max(0, short)*max(0, short))))
	return c, nil
}

// split shares the weight of the jug that follows the model among what its members do.
func (p *Posterior) split(chance map[Kind]float64, looks []look, at measure.Hours, weight float64, clues Clues) {
	silent := lastSilence(looks, at)
	each := weight / float64(len(p.paths))
	for m := range p.paths {
		chance[p.kind(m, at, silent, clues)] += each
	}
}

// lastSilence is the last count at the airlock, if it was of nothing and lately.
func lastSilence(looks []look, at measure.Hours) *look {
	for i := len(looks) - 1; i >= 0; i-- {
		l := &looks[i]
		if l.Sense != SawBubbles {
			continue
		}
		if l.Value > lockFast/4 || at-l.At > lockFresh {
			return nil
		}
		return l
	}
	return nil
}

// kind is what one member does at a time.
func (p *Posterior) kind(member int, at measure.Hours, silent *look, clues Clues) Kind {
	v := p.view(member, at)
	path := p.paths[member]
	phase := p.phase(member, at, &v)
	_, levels := p.at(path, at)
	cold := path.jug.course.At(at) < p.world.Yeast.TemperatureLow && v.RateGLDay < stillRate && v.EventualHexose > sweetGL
	switch {
	case phase == dry:
		return AllFermented
	case cold:
		return ColdPause
	case phase == starting:
		return Beginning
	case phase == stopped:
		switch limit := path.jug.p.EthanolLimit; {
		case levels.Ethanol > 0.9*limit: // less than half of the work is left there
			return StrengthLimit
		case levels.Active < 0.2*levels.Cells && p.hottest(path, at) > p.world.Yeast.TemperatureTop:
			return Overheated
		case v.made < startedGL:
			return DeadYeast
		}
		return OutOfNitrogen // too few cells ever grew, and alcohol got the better of them
	}
	if silent != nil {
		span, then := p.at(path, silent.At)
		g := path.gas(span, &then)
		millilitres := bubbleMiddle * math.Exp(bubbleSD*p.drawn[member][bubbleSize])
		if g.flow*gasMillilitre/60/millilitres > lockFast {
			return Leaking
		}
	}
	return AtWork
}

func (p *Posterior) hottest(path *path, until measure.Hours) measure.Celsius {
	top := path.jug.course.At(until)
	for _, point := range path.jug.course {
		if point.At <= until {
			top = max(top, point.T)
		}
	}
	return top
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

// why tells the facts that speak for a kind; s is the stop that it rests on, if any.
func (p *Posterior) why(kind Kind, s *stop, looks []look, at measure.Hours, clues Clues) []string {
	var facts []string
	say := func(format string, args ...any) { facts = append(facts, fmt.Sprintf(format, args...)) }
	state, yeast := p.At(at), p.world.Yeast
	if moves := lastMoves(looks); moves != "" && kind != Leaking && kind != ColdPause {
		say("%s", moves)
	} else if kind == Leaking {
		say("the airlock is silent")
	}
	switch kind {
	case Beginning:
		say("on %s it should have made less than half a gram of gas a litre", dayOf(at))
	case AtWork, Leaking:
		say("by the estimate it gives off %.2g g/L of gas a day", state.Rate.Value)
	case ColdPause:
		say("it stands at %.0f °C", float64(kinetics.Course(p.world.Course).At(at)))
		say("this yeast works from %.0f °C", float64(yeast.TemperatureLow))
	case AllFermented:
		say("by the estimate %.1f g/L of fermentable sugar is left, most likely under %.1f", state.Hexose.Value, state.Hexose.High)
	case StrengthLimit:
		strength := state.Ethanol.Value
		if s != nil {
			strength = s.strength
		}
		say("it holds %.1f %% vol; this yeast mostly stops between %.0f and %.0f", strength, float64(yeast.ToleranceLow), float64(yeast.ToleranceHigh))
	case OutOfNitrogen:
		if share, err := p.world.fedShare(at); err == nil {
			say("it had about %.0f %% of the nitrogen that its yeast asks for", 100*share)
		}
		if clues.Eggs {
			facts[len(facts)-1] += ", and it smelled of rotten eggs"
		}
	case Chilled:
		say("before it stopped it was too cold for its yeast, or cooled fast")
	case Overheated:
		say("it was warmer than the %.0f °C that this yeast bears", float64(yeast.TemperatureTop))
	case TooSour:
		if clues.PH == 0 {
			say("its pH was never read")
		} else {
			say("its pH was %.1f; under 3.2 yeast suffers", clues.PH)
		}
	case DeadYeast:
		if clues.Pitched >= hotPitch {
			say("the yeast went into a must of %.0f °C", float64(clues.Pitched))
		} else {
			say("it never really began")
		}
	case UnknownStall:
		say("nothing on record says why it should")
	}
	return facts
}

// lastMoves tells what the last two gravities or weights say, "" where there are no two.
func lastMoves(looks []look) string {
	for i := len(looks) - 1; i >= 0; i-- {
		late := &looks[i]
		if late.Sense != SawGravity && late.Sense != SawMass {
			continue
		}
		for k := i - 1; k >= 0; k-- {
			early := &looks[k]
			if early.Sense != late.Sense || late.At-early.At < 12 {
				continue
			}
			return fmt.Sprintf("%s on %s, %s on %s", early.show(early.Value), dayOf(early.At), late.show(late.Value), dayOf(late.At))
		}
	}
	return ""
}

func dayOf(h measure.Hours) string { return fmt.Sprintf("day %.0f", math.Floor(float64(h)/24)) }

// Explain estimates a jug and what may lie behind what is seen of it. Where it is likelier
// than not that its yeast stopped for a reason that the model does not have, the posterior is
// that of a jug whose yeast stopped, when it most likely did.
//
// Errors: as Estimate.
func Explain(e Estimator, s Situation, seen []Observation, at measure.Hours, clues Clues) (*Posterior, []Explanation, error) {
	p, err := e.Estimate(s, seen)
	if err != nil {
		return nil, nil, err
	}
	all, err := p.Explanations(at, clues)
	if err != nil {
		return nil, nil, err
	}
	stalled, since := 0.0, measure.Hours(0)
	for _, x := range all {
		if !x.Kind.Stalled() {
			continue
		}
		stalled += x.Chance
		if since == 0 {
			since = x.Since
		}
	}
	if stalled <= 0.5 || since == 0 {
		return p, all, nil
	}
	stopped, err := e.Estimate(s.StoppedAt(since), seen)
	if err != nil {
		return nil, nil, err
	}
	if stopped.Contradicted != "" && p.Contradicted == "" {
		return p, all, nil
	}
	return stopped, all, nil
}
