package estimate

import (
	"math"

	"skep/internal/kinetics"
	"skep/internal/measure"
)

// Habit is something that stays, in part, from one of a maker's jugs to the next.
type Habit string

// The habits, by what they belong to: a kind of yeast in this kitchen, the kitchen, or
// honey by the cup.
const (
	YeastSpeed  Habit = "speed of the yeast"
	YeastGrowth Habit = "growth of the yeast"
	YeastCells  Habit = "yeast grown on nitrogen"
	YeastHarm   Habit = "harm by alcohol"
	YeastLimit  Habit = "strength at which the yeast stops"
	YeastLag    Habit = "time to start"
	Lock        Habit = "size of a bubble"
	Drying      Habit = "drying of the lock"
	Room        Habit = "warmth beside the thermometer"
	CupOfHoney  Habit = "sugar in a cup"
	Losses      Habit = "wine left behind at bottling" // no unknown of a jug: told by whoever counts bottles
)

// habits are the unknowns that stay in part. own is the share of their variance that is
// the maker's own; the rest is new with each jug. Assumed, no source.
var habits = []struct {
	name Habit
	k    unknown
	own  float64
}{
	{YeastSpeed, use, 0.5},
	{YeastGrowth, growth, 0.5},
	{YeastCells, cellsPerNitrogen, 0.3},
	{YeastHarm, damage, 0.5},
	{YeastLimit, limit, 0.5},
	{YeastLag, lag, 0.3},
	{Lock, bubbleSize, 0.8},
	{Drying, evaporation, 0.7},
	{Room, warmth, 0.5},
	{CupOfHoney, sugar, 0.6},
	{Losses, unknowns, 0.6},
}

// Value is what a habit comes to in a jug, z standard deviations from the usual middle, in
// a unit that a person knows.
func (h Habit) Value(z float64, s Situation) (value float64, unit string) {
	switch h {
	case YeastSpeed:
		return math.Exp(useSD * z), "times"
	case YeastGrowth:
		return math.Exp(growthSD * z), "times"
	case YeastCells:
		return math.Exp(cellsSD * z), "times"
	case YeastHarm:
		return math.Exp(damageSD * z), "times"
	case YeastLimit:
		middle, spread := strengthOf(s.Yeast)
		return min(mostStrength, middle*math.Exp(spread/middle*z)), "% vol"
	case YeastLag:
		return float64(kinetics.Typical(0, s.Yeast).Lag) * math.Exp(lagSD*z), "h"
	case Lock:
		return bubbleMiddle * math.Exp(bubbleSD*z), "mL"
	case Drying:
		return airing * math.Exp(airingSD*z), "g/day"
	case Room:
		return s.TemperatureSD * z, "K"
	case CupOfHoney:
		return math.Exp(s.SugarSD * z), "times"
	}
	return z, ""
}

// strengthOf is where most jugs of a yeast stop, % vol, with one standard deviation.
func strengthOf(y kinetics.YeastKind) (middle, spread float64) {
	// Low to high is read as the range of four jugs in five.
	half := float64(y.ToleranceHigh-y.ToleranceLow) / 2
	return float64(y.ToleranceHigh+y.ToleranceLow)/2 + passBy, math.Hypot(half/1.28, passBySD)
}

// Range is a habit as four jugs in five will have it.
func (t Told) Range(h Habit, s Situation) measure.Range {
	const fourInFive = 1.2816
	middle, unit := h.Value(t.Mean, s)
	low, _ := h.Value(t.Mean-fourInFive*t.SD, s)
	high, _ := h.Value(t.Mean+fourInFive*t.SD, s)
	return measure.Range{Value: middle, Low: low, High: high, Unit: unit}
}

// Told is how far from its usual middle something lies, and how surely, both in standard
// deviations of what is thought of it before any jug. The zero value is no knowledge.
type Told struct {
	Mean float64 `json:"mean"`
	SD   float64 `json:"sd"`
}

// alone is what a jug itself says, without what was thought before it, of mean 0 and
// variance 1: its value and the precision of that, 0 or less where it says nothing.
func (t Told) alone() (value, precision float64) {
	if !(t.SD > 0) {
		return 0, 0
	}
	precision = 1/(t.SD*t.SD) - 1
	return t.Mean / (t.SD * t.SD) / precision, precision
}

// Habits are told by a jug, or by all jugs together. What is missing is not known.
type Habits map[Habit]Told

// Habits returns what the evidence of this jug tells of habits; of what is missing it tells
// no more than chance might. The jug must have been estimated without what others told, else they
// would count again.
func (p *Posterior) Habits() Habits {
	told := Habits{}
	n := float64(len(p.drawn))
	for _, h := range habits {
		if h.k == unknowns {
			continue
		}
		var mean, square float64
		for i := range p.drawn {
			mean += p.drawn[i][h.k] / n
		}
		for i := range p.drawn {
			d := p.drawn[i][h.k] - mean
			square += d * d / n
		}
		one := Told{Mean: mean, SD: math.Sqrt(square)}
		if _, precision := one.alone(); precision > leastTold {
			told[h.name] = one
		}
	}
	return told
}

// How jugs are pooled. Assumed, no source.
const (
	leastTold   = 0.2 // of the prior's precision, by an ensemble: 500 members tell 0.06 by chance, one standard deviation
	oddJugs     = 4   // degrees of freedom of what jugs tell: the fewer, the less an odd jug counts
	reweighings = 50  // of weighing jugs anew; the weights stand still long before
)

// Learn returns what is thought of the next jug after so many. Of each habit, a jug's own
// value is normal about the maker's with the part of the variance that is new with each
// jug, and the maker's about the usual middle with the rest; what jugs tell has the tails
// of Student's t, so that an odd one among many moves it little.
//
// Correlations within a jug are not kept: its speed and its harm by alcohol, say, are
// told apart less surely than both are taken for.
//
// Check: nothing told, nothing changed; ten that agree are followed and one odd one is not
// (TestLearn); a tenth jug's range is narrower and holds (TestTenthJug).
func Learn(jugs []Habits) Habits {
	next := Habits{}
	for _, h := range habits {
		var y, variance []float64
		for _, jug := range jugs {
			if value, precision := jug[h.name].alone(); precision > 0 {
				y = append(y, value)
				variance = append(variance, 1-h.own+1/precision)
			}
		}
		if len(y) > 0 {
			next[h.name] = pool(y, variance, h.own)
		}
	}
	return next
}

// pool is the next jug's value after those seen.
func pool(y, variance []float64, own float64) Told {
	var middle, precision float64
	weight := make([]float64, len(y))
	for i := range weight {
		weight[i] = 1
	}
	for range reweighings {
		middle, precision = 0, 1/own
		for i := range y {
			middle += weight[i] * y[i] / variance[i]
			precision += weight[i] / variance[i]
		}
		middle /= precision
		for i := range y {
			off := y[i] - middle
			weight[i] = (oddJugs + 1) / (oddJugs + off*off/variance[i])
		}
	}
	// The weights of jugs that agree pass one; they tell no more than they would without tails.
	precision = 1 / own
	for i := range y {
		precision += min(1, weight[i]) / variance[i]
	}
	return Told{Mean: middle, SD: math.Sqrt(1/precision + 1 - own)}
}

// taught turns numbers that are normal with mean 0 and variance 1 into what they are after
// what earlier jugs told.
func (w *world) taught(z *drawn) *drawn {
	if len(w.Learned) == 0 {
		return z
	}
	after := *z
	for _, h := range habits {
		if told, known := w.Learned[h.name]; known && h.k < unknowns {
			after[h.k] = told.Mean + told.SD*z[h.k]
		}
	}
	return &after
}
