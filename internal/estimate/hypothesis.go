package estimate

import (
	"cmp"
	"math"
	"slices"

	"skep/internal/measure"
)

// Kind is one thing that may lie behind what is seen of a jug.
type Kind string

// The kinds. Of a stall the cause is told with it.
const (
	Beginning     Kind = "beginning"      // it has not begun yet, and will
	AtWork        Kind = "working"        // it ferments
	Leaking       Kind = "leak"           // it ferments, and its gas goes by the airlock
	ColdPause     Kind = "cold pause"     // it rests, for it stands too cold
	OutOfNitrogen Kind = "nitrogen"       // stalled for want of it
	Chilled       Kind = "cold"           // stalled after cold, though it may be warm again
	Overheated    Kind = "heat"           // stalled after heat
	TooSour       Kind = "pH"             // stalled in too sour a must
	DeadYeast     Kind = "dead yeast"     // never really began
	StrengthLimit Kind = "strength limit" // stopped sweet, at what its yeast bears
	UnknownStall  Kind = "unknown stall"  // stalled, and nothing on record says why
	AllFermented  Kind = "finished"       // over, with nothing to speak of left
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
	all, _, err := p.explanations(at, clues)
	return all, err
}

// explanations are Explanations, and beside them the stops with their chances.
func (p *Posterior) explanations(at measure.Hours, clues Clues) ([]Explanation, []stop, error) {
	at = min(max(at, 0), p.until)
	looks := slices.Clone(p.looks)
	looks = slices.DeleteFunc(looks, func(l look) bool { return l.At > at })
	follows, stops, err := p.weighStops(looks, at, clues)
	if err != nil {
		return nil, nil, err
	}

	chance, since := map[Kind]float64{}, map[Kind]*stop{}
	best := follows
	for _, s := range stops {
		best = max(best, s.before+s.evidence)
	}
	p.split(chance, looks, at, math.Exp(follows-best))
	for i, s := range stops {
		weight := math.Exp(s.before + s.evidence - best)
		stops[i].chance = weight
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
	for i := range stops {
		stops[i].chance /= sum
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
	return all, stops, nil
}

// kinds in the order in which equal ones are told: the careful ones first.
var kinds = []Kind{
	Beginning, AtWork, Leaking, ColdPause, OutOfNitrogen, Chilled, Overheated, TooSour, DeadYeast, UnknownStall, StrengthLimit, AllFermented,
}

// Kinds are all of them.
func Kinds() []Kind { return slices.Clone(kinds) }

// What tells rest, and a leak, from work. Assumed, no source.
const (
	stillRate = 0.5    // g/L of CO2 in a day: less counts as rest
	lockFresh = 5 * 24 // h for which a silence at the airlock speaks of now
	lockFast  = 1.0    // bubbles a minute: more, without a leak, would have been seen
)

// split shares the weight of the jug that follows the model among what its members do.
func (p *Posterior) split(chance map[Kind]float64, looks []look, at measure.Hours, weight float64) {
	silent := lastSilence(looks, at)
	each := weight / float64(len(p.paths))
	for m := range p.paths {
		chance[p.kind(m, at, silent)] += each
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
func (p *Posterior) kind(member int, at measure.Hours, silent *look) Kind {
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
		case levels.Ethanol > 0.9*limit: // about half of the work is left there
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

// Explain estimates a jug and what may lie behind what is seen of it. The jugs of the
// posterior are of both kinds: as many of those whose yeast stopped, at each time, as the
// explanations give it a chance.
//
// Errors: as Estimate.
func Explain(e Estimator, s Situation, seen []Observation, at measure.Hours, clues Clues) (*Posterior, []Explanation, error) {
	p, err := e.Estimate(s, seen)
	if err != nil {
		return nil, nil, err
	}
	all, stops, err := p.explanations(at, clues)
	if err != nil {
		return nil, nil, err
	}
	p, err = p.mixed(stops)
	return p, all, err
}
