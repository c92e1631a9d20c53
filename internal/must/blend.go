package must

import (
	"fmt"
	"math"
	"slices"

	"skep/internal/measure"
	"skep/internal/property/density"
	"skep/internal/solve"
)

// BlendWish is what is wanted of a blend. Zero means "not asked".
type BlendWish struct {
	Strength measure.PercentVol
	Gravity  measure.Gravity
	Acidity  measure.GramsPerLitre // titratable, as tartaric acid
	Sour     *SourWish             // a pH
	Volume   measure.Litres        // at 20 °C; zero: as much as there is
}

// SourWish is a pH that is wanted: where the charges of a blend balance, which are the sum of
// those of its parts.
type SourWish struct {
	PH    float64
	Lacks []float64 // strong cations that each must on hand lacks of it, meq; less than nothing where it has too many
	Sees  float64   // meq/L that shift it by what an instrument just sees
}

// Blended is how much of each must goes into a blend.
type Blended struct {
	Shares []float64 // of what is on hand, 0 to 1
	Must   Must      // what they make together
	Volume measure.Litres
	Missed []Missed // what was wanted and cannot be had
	Short  bool     // less than the volume wanted: more there is not, or it would miss a goal
}

// Missed is a goal that a blend does not meet, and how near it comes.
type Missed struct {
	What        string // "strength"
	Unit        string // "% vol"
	Wanted, Got float64
	Low, High   float64 // of the musts themselves: what is wanted lies outside, or it does not go with the rest
}

// blendGoal is something in a must, per litre of it, that is wanted.
type blendGoal struct {
	what, unit string
	wanted     float64
	counts     float64   // a difference that kitchen instruments just see
	of         []float64 // of each must, all of it
}

// held is what a blend holds, per litre.
func (g blendGoal) held(b Blended) float64 {
	sum := 0.
	for i, share := range b.Shares {
		sum += share * g.of[i]
	}
	return sum / float64(b.Volume)
}

// A goal that is off by what an instrument just sees costs as much as a million times the
// volume that is off: so a goal is met to a millionth of that before volume counts.
const volumeCounts = 1e-6

// firstCounts is how much more, in parts of volume, the first must counts than one that
// stands after the last: so that of equally good blends it is always the same.
const firstCounts = 1e-4

// missedBy is when a goal counts as missed, in what an instrument just sees.
const missedBy = 0.1

// Blend returns how much of each must on hand goes into a blend.
//
// Grams add, and so does each goal, charges for a pH, held against the volume of the blend. That is the sum
// of partial volumes, which shift little with composition: for given ones everything is a
// straight line, and a linear programme finds the best corner. Its partial volumes are
// taken and it is asked again, until both agree. Of several such blends it is one of few
// musts, of those that stand first.
//
// All goals are met if they can be, and then the volume as nearly as there is enough on
// hand. If they cannot, the sum of what they are off is the least, counted in what
// instruments just see (0.1 % vol, 0.001 SG, 0.1 g/L): most are met and one gives way. A pH
// that is missed is told in meq/L.
//
// Shapes: Shares has one for each of onHand, and so has Sour.Lacks.
// Valid:  as Density, for each must and for all blends of them.
// Check:  two against a bracketed root; of blends known to exist 499 in 500 are met to a
// hundred-thousandth of what instruments see, all to a tenth; no other misses by less, but
// for what they just see (TestBlendOfTwo, TestBlendFindsWhatThereIs, TestNoBlendIsBetter).
// Errors: ErrEmpty; as Density.
func Blend(onHand []Must, wish BlendWish) (Blended, error) {
	b := blend{musts: onHand, goals: wish.goals(onHand), volume: float64(wish.Volume), apart: make([]float64, len(onHand))}
	for i, m := range onHand {
		if !(m.Mass() > 0) {
			continue
		}
		v, err := m.Volume(20)
		if err != nil {
			return Blended{}, err
		}
		b.apart[i] = float64(v)
		b.all += float64(v)
	}
	if b.all == 0 {
		return Blended{}, ErrEmpty
	}
	// First a drop, of which there is enough whatever it is made of.
	drop := b.all
	for _, v := range append(b.apart, b.volume) {
		if v > 1e-5*b.all { // less than that does not matter
			drop = min(drop, v/2)
		}
	}
	found, partial, err := b.nearest(drop)
	if err != nil {
		return Blended{}, err
	}
	if len(found.Missed) > 0 && b.volume > 0 {
		found, _, err = b.nearest(b.volume)
	} else {
		found, err = b.enlarged(found, partial)
	}
	found.Short = float64(found.Volume) < b.volume*(1-volumeCounts)
	return found, err
}

// nearest is so much of a blend that misses the goals by the least. Gravity may fall and
// then rise as one must is added to another, so it is looked for twice: from the musts as
// they are apart, and from all together.
func (b *blend) nearest(volume float64) (Blended, []float64, error) {
	counts := b.worstRatio()
	found, partial, err := b.settle(b.apart, volume, counts)
	if err != nil || b.off(found) < missedBy {
		return found, partial, err
	}
	all := Blended{}
	for _, m := range b.musts {
		all.Must = all.Must.Plus(m)
		all.Shares = append(all.Shares, 1)
	}
	if all.Volume, err = all.Must.Volume(20); err != nil {
		return Blended{}, nil, err
	}
	if partial, err = b.partial(all); err != nil {
		return Blended{}, nil, err
	}
	again, partial, err := b.settle(partial, volume, counts)
	if err == nil && b.off(again) < b.off(found) {
		return again, partial, nil
	}
	return found, partial, err
}

// off is the sum of what a blend misses goals by, in what instruments just see.
func (b *blend) off(of Blended) float64 {
	sum := 0.
	for _, g := range b.goals {
		sum += math.Abs(g.held(of)-g.wanted) / g.counts
	}
	return sum
}

// enlarged makes as much of a drop as there is, or as was wanted. If it meets all goals
// other shares that do may make more.
func (b *blend) enlarged(drop Blended, partial []float64) (Blended, error) {
	most := 1 / slices.Max(drop.Shares)
	if b.volume > 0 {
		most = min(most, b.volume/float64(drop.Volume))
	}
	same := Blended{Must: drop.Must.Scaled(most), Volume: drop.Volume * measure.Litres(most), Missed: drop.Missed}
	for _, share := range drop.Shares {
		same.Shares = append(same.Shares, most*share)
	}
	if len(drop.Missed) > 0 {
		return same, nil
	}
	// A goal at the edge of what can be had is met by nothing, or by all within the slack.
	for _, b.slack = range []float64{0, missedBy / 2} {
		larger, _, err := b.settle(partial, b.volume, volumeCounts)
		if err != nil || len(larger.Missed) == 0 && larger.Volume >= same.Volume*(1-volumeCounts) {
			return larger, err
		}
	}
	return same, nil
}

func (w BlendWish) goals(onHand []Must) []blendGoal {
	each := func(of func(Must) float64) []float64 {
		all := make([]float64, len(onHand))
		for i, m := range onHand {
			all[i] = of(m)
		}
		return all
	}
	var goals []blendGoal
	if w.Strength != 0 {
		goals = append(goals, blendGoal{"strength", "% vol", float64(w.Strength), 0.1, each(func(m Must) float64 { return 100 * m[Ethanol] / density.EthanolAt20 })})
	}
	if w.Gravity != 0 {
		water := float64(density.FromGravity(1))
		goals = append(goals, blendGoal{"gravity", "SG 20/20", float64(w.Gravity), 0.001, each(func(m Must) float64 { return (float64(m.LiquidMass()) - m[CarbonDioxide]) / water })})
	}
	if w.Acidity != 0 {
		goals = append(goals, blendGoal{"acidity", "g/L", float64(w.Acidity), 0.1, each(func(m Must) float64 { return m[Acid] })})
	}
	if w.Sour != nil {
		goals = append(goals, blendGoal{"pH", "meq/L", 0, w.Sour.Sees, w.Sour.Lacks})
	}
	return goals
}

// blend is what is on hand and what is wanted.
type blend struct {
	musts  []Must
	apart  []float64 // L of each, alone at 20 °C
	all    float64   // their sum
	volume float64   // wanted, L; 0: as much as there is
	goals  []blendGoal
	slack  float64 // that a goal may be off for nothing, in what an instrument just sees
}

// settle goes round until the blend found with partial volumes has these: it is the
// best of as near volume litres as there are, 0 for all, when volume counts so much.
//
// Where two blends are about as good, each may be the better one by the partial volumes of
// the other. After a while the steps become smaller, so that it ends between the two.
func (b *blend) settle(partial []float64, volume, counts float64) (Blended, []float64, error) {
	const straight, most = 20, 200 // rounds; 3 to 5 are usual
	var y []float64
	for round := range most {
		next, err := b.corner(partial, volume, counts)
		if err != nil {
			return Blended{}, nil, err
		}
		if round < straight {
			y = next
		} else {
			for i := range y {
				y[i] += (next[i] - y[i]) * 2 / float64(round-straight+3)
			}
		}
		found := Blended{Shares: slices.Clone(y)}
		taken := 0.
		for i, share := range y {
			found.Must = found.Must.Plus(b.musts[i].Scaled(share))
			taken += share * partial[i]
		}
		if taken < 1e-12*b.all {
			return found, partial, nil // nothing of it
		}
		if found.Volume, err = found.Must.Volume(20); err != nil {
			return Blended{}, nil, err
		}
		if math.Abs(taken-float64(found.Volume)) < 1e-12*taken || round == most-1 {
			found.Missed = b.missed(found)
			return found, partial, nil
		}
		if partial, err = b.partial(found); err != nil {
			return Blended{}, nil, err
		}
	}
	panic("must: a blend after the last round")
}

// partial is by how many litres a blend would grow for each must on hand if it took all of
// it, as a drop tells. That they sum to its volume is made exact.
func (b *blend) partial(of Blended) ([]float64, error) {
	partial := make([]float64, len(b.musts))
	sum := 0.
	for i, m := range b.musts {
		if b.apart[i] == 0 {
			continue
		}
		drop := 1e-4 * float64(of.Volume) / b.apart[i]
		with, err := of.Must.Plus(m.Scaled(drop)).Volume(20)
		if err != nil {
			return nil, err
		}
		partial[i] = float64(with-of.Volume) / drop
		sum += of.Shares[i] * partial[i]
	}
	short := (float64(of.Volume) - sum) / float64(of.Must.Mass())
	for i, m := range b.musts {
		partial[i] += short * float64(m.Mass())
	}
	return partial, nil
}

// missed says which goals a blend does not meet.
func (b *blend) missed(found Blended) []Missed {
	var missed []Missed
	for _, g := range b.goals {
		m := Missed{What: g.what, Unit: g.unit, Wanted: g.wanted, Got: g.held(found), Low: math.Inf(1), High: math.Inf(-1)}
		if math.Abs(m.Got-m.Wanted) < missedBy*g.counts {
			continue
		}
		for i, of := range g.of {
			if b.apart[i] > 0 {
				is := of / b.apart[i]
				m.Low, m.High = min(m.Low, is), max(m.High, is)
			}
		}
		missed = append(missed, m)
	}
	return missed
}

// worstRatio is what volume must count that it is met before goals are: a litre less spares
// no more than twice what the must is off that is furthest from them.
func (b *blend) worstRatio() float64 {
	worst := 1.
	for i := range b.musts {
		if b.apart[i] == 0 {
			continue
		}
		off := 1.
		for _, g := range b.goals {
			off += 2 * math.Abs(g.of[i]/b.apart[i]-g.wanted) / g.counts
		}
		worst = max(worst, off)
	}
	return worst
}

// corner is the shares that make volume times what it counts, less what the goals are off,
// the largest. Volumes are in parts of all there is; a goal that is off by what an
// instrument just sees, in all of it, is 1. The variables are the shares, then how far
// each goal is off.
func (b *blend) corner(partial []float64, volume, counts float64) ([]float64, error) {
	n := len(b.musts)
	worth := make([]float64, n+len(b.goals))
	var rows [][]float64
	var bounds []float64
	row := func(bound float64) []float64 {
		r := make([]float64, len(worth))
		rows, bounds = append(rows, r), append(bounds, bound)
		return r
	}
	for i := range n {
		first := firstCounts * float64(n-i) / float64(n)
		worth[i] = (counts + first*min(counts, 1)) * partial[i] / b.all
		row(1)[i] = 1
	}
	for k, g := range b.goals {
		worth[n+k] = -1
		over, under := row(0), row(0)
		over[n+k], under[n+k] = -1, -1
		for i, of := range g.of {
			off := (of - g.wanted*partial[i]) / g.counts / b.all
			slack := b.slack * partial[i] / b.all
			over[i], under[i] = off-slack, -off-slack
		}
	}
	if volume > 0 {
		whole := row(volume / b.all)
		for i := range n {
			whole[i] = partial[i] / b.all
		}
	}
	x, err := solve.Largest(worth, rows, bounds)
	if err != nil {
		return nil, fmt.Errorf("must.Blend: %w", err)
	}
	for i := range n {
		x[i] = min(x[i], 1) // but for rounding
	}
	return x[:n], nil
}
