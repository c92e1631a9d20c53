package must

import (
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/property/density"
	"skep/internal/property/optics"
	"skep/internal/solve"
)

// TwoReadings are a hydrometer's and a refractometer's of the same degassed liquid, both
// brought to 20 °C, each with one standard deviation.
type TwoReadings struct {
	Gravity   measure.Gravity
	GravitySD float64
	Brix      measure.MassFraction
	BrixSD    measure.MassFraction
}

// Unrecorded is a jug of which two readings now tell what it was at first.
type Unrecorded struct {
	Original Must          // 1000 g of it
	Now      Must          // what they have become, degassed
	Strength measure.Range // % vol
	Sugar    measure.Range // g/L of hexose that yeast can take
	First    measure.Range // the gravity before fermentation
	Edge     bool          // the readings lie a little beyond what can be: all sugar, or none, was taken as left
}

const (
	// strongestOriginal is the share of solids to which an original must is looked for, g/g.
	strongestOriginal = 0.45
	// densitySpread is how well the gravity of a mixture is known, one standard deviation:
	// between the 0.15 and 0.5 kg/m³ of docs/decisions/0004.
	densitySpread = 0.0003
	// contradiction is how many standard deviations readings may be beyond what can be (our policy).
	contradiction = 3
)

// Solve returns the must of which both readings are true, when the first reading was
// forgotten: water and sugars, of whatever strength, of which yeast has taken whatever part.
//
// sugars is what was dissolved in it, in any amount: equal glucose and fructose for a honey
// or fruit, sucrose for white sugar. Ranges come from the readings' own spreads, that of
// optics.MixtureSpread, 0.0003 in gravity and the spread of the yield, through the matrix
// of first derivatives.
//
// Valid:  Brix 1 to 40 % mass; spreads to 0.02 in gravity and 5 % mass; an original must to
// 45 % mass of solids; nothing added since.
// Check:  takes back strength within 1e-9 of it (TestTwoReadingsRoundTrip); ranges as wide as
// those of 400 drawn pairs of readings within 12 % (TestTwoReadingsRange).
// Errors: *property.RangeError where the readings contradict each other, with what the
// gravity could be at that Brix; as Fermented, Gravity and Refractometer.
func (r TwoReadings) Solve(sugars Must, slowShare, yield float64) (Unrecorded, error) {
	const call = "must.TwoReadings.Solve"
	if err := property.Within(call, "refractometer", 100*float64(r.Brix), 1, 40, "% mass"); err != nil {
		return Unrecorded{}, err
	}
	if err := property.Within(call, "gravity", float64(r.Gravity), 0.95, 1.3, "SG"); err != nil {
		return Unrecorded{}, err
	}
	if err := property.Within(call, "spread of gravity", r.GravitySD, 0, 0.02, "SG"); err != nil {
		return Unrecorded{}, err
	}
	if err := property.Within(call, "spread of refractometer", 100*float64(r.BrixSD), 0, 5, "% mass"); err != nil {
		return Unrecorded{}, err
	}
	if !(sugars.Hexose(slowShare) > 0) {
		return Unrecorded{}, ErrEmpty
	}
	f := family{sugars.Scaled(1 / float64(sugars.Mass())), slowShare, yield}
	if _, err := f.original(strongestOriginal).Dry(slowShare, yield); err != nil { // a yield that cannot be
		return Unrecorded{}, err
	}
	solids, left, edge, err := r.find(f)
	if err != nil {
		return Unrecorded{}, err
	}
	u, err := r.ranges(f, solids, left)
	u.Edge = edge
	return u, err
}

// family is every must of water and these sugars, and what can become of it.
type family struct {
	sugars           Must // 1 g
	slowShare, yield float64
}

func (f family) original(solids float64) Must {
	m := f.sugars.Scaled(1000 * solids)
	m[Water] += 1000 * (1 - solids)
	return m
}

// at returns the hexose left, and the gravity, when the member of so much solids, g/g at
// first, shows n or comes nearest to it.
func (f family) at(solids, n float64) (left, gravity float64, err error) {
	original := f.original(solids)
	if left, err = original.leftAtIndex(n, f.slowShare, f.yield); err != nil {
		return 0, 0, err
	}
	now, err := original.FermentedTo(left, f.slowShare, f.yield)
	if err != nil {
		return 0, 0, err
	}
	g, err := now.Gravity()
	return left, float64(g), err
}

// edges returns the least and the most solids of which the family can show n: in the one
// nothing has fermented, in the other all that can.
func (f family) edges(n float64) (least, most float64, err error) {
	solidsOf := func(left func(Must) float64) (float64, error) {
		above := func(solids float64) float64 {
			m := f.original(solids)
			now, err := m.FermentedTo(left(m), f.slowShare, f.yield)
			if err != nil {
				return math.NaN()
			}
			got, err := now.index()
			if err != nil {
				return math.NaN()
			}
			return got - n
		}
		if above(strongestOriginal) < 0 {
			return strongestOriginal, nil
		}
		return solve.Root(above, 0, strongestOriginal, 1e-14)
	}
	if least, err = solidsOf(func(m Must) float64 { return m.Hexose(f.slowShare) }); err != nil {
		return 0, 0, err
	}
	most, err = solidsOf(func(Must) float64 { return 0 })
	return least, most, err
}

// find returns the solids at first, g/g, and the hexose left now of 1000 g, that both
// readings are true of.
func (r TwoReadings) find(f family) (solids, left float64, edge bool, err error) {
	n, err := optics.Index(density.Solution{Sucrose: r.Brix})
	if err != nil {
		return 0, 0, false, err
	}
	least, most, err := f.edges(n)
	if err != nil {
		return 0, 0, false, err
	}
	above := func(solids float64) float64 {
		_, g, err := f.at(solids, n)
		if err != nil {
			return math.NaN()
		}
		return g - float64(r.Gravity)
	}
	heaviest, lightest := above(least), above(most)
	switch {
	case heaviest > 0 && lightest < 0:
		solids, err = solve.Root(above, least, most, 1e-14)
	case heaviest <= 0:
		solids, edge = least, heaviest < 0
	default:
		solids, edge = most, lightest > 0
	}
	if err != nil {
		return 0, 0, false, err
	}
	left, g, err := f.at(solids, n)
	if err != nil {
		return 0, 0, false, err
	}
	// A degree Brix is 0.004 in gravity when it is sugar, less when it is alcohol.
	slack := contradiction * math.Hypot(math.Hypot(r.GravitySD, densitySpread), 0.4*float64(r.BrixSD))
	if math.Abs(g-float64(r.Gravity)) > slack {
		gravity := float64(r.Gravity)
		return 0, 0, false, property.Within("must.TwoReadings.Solve", fmt.Sprintf("at %.4g °Brix a gravity of", 100*float64(r.Brix)),
			gravity, gravity+lightest-slack, gravity+heaviest+slack, "SG")
	}
	return solids, left, edge, nil
}

// views are the two readings, then what is asked: strength, sugar in g/L, first gravity.
func (f family) views(solids, left float64) (v [5]float64, original, now Must, err error) {
	original = f.original(solids)
	if now, err = original.FermentedTo(left, f.slowShare, f.yield); err != nil {
		return v, original, now, err
	}
	gravity, err := now.Gravity()
	if err != nil {
		return v, original, now, err
	}
	brix, err := now.Refractometer()
	if err != nil {
		return v, original, now, err
	}
	strength, err := now.PercentVol()
	if err != nil {
		return v, original, now, err
	}
	litres, err := now.Volume(20)
	if err != nil {
		return v, original, now, err
	}
	first, err := original.Gravity()
	return [5]float64{float64(gravity), float64(brix), float64(strength), left / float64(litres), float64(first)}, original, now, err
}

// ranges carries the spreads of readings and yield to what is asked.
func (r TwoReadings) ranges(f family, solids, left float64) (Unrecorded, error) {
	v, original, now, err := f.views(solids, left)
	if err != nil {
		return Unrecorded{}, err
	}
	// First derivatives, each by a step to the side where there is a must.
	const step = 1e-5
	slope := func(f family, solids, left, by float64) (d [5]float64, err error) {
		w, _, _, err := f.views(solids, left)
		for i := range d {
			d[i] = (w[i] - v[i]) / by
		}
		return d, err
	}
	bySolids, err := slope(f, solids+step, left, step)
	if err != nil {
		return Unrecorded{}, err
	}
	gram := 1000 * step
	if left+gram > original.Hexose(f.slowShare) {
		gram = -gram
	}
	byLeft, err := slope(f, solids, left+gram, gram)
	if err != nil {
		return Unrecorded{}, err
	}
	other := f
	other.yield -= step
	byYield, err := slope(other, solids, left, -step)
	if err != nil {
		return Unrecorded{}, err
	}
	// What a change of the readings does to solids and left, and so to what is asked.
	determinant := bySolids[0]*byLeft[1] - byLeft[0]*bySolids[1]
	answers := func(gravity, brix float64) (a [5]float64) {
		dSolids := (gravity*byLeft[1] - byLeft[0]*brix) / determinant
		dLeft := (bySolids[0]*brix - gravity*bySolids[1]) / determinant
		for i := range a {
			a[i] = bySolids[i]*dSolids + byLeft[i]*dLeft
		}
		return a
	}
	solution, err := now.solution()
	if err != nil {
		return Unrecorded{}, err
	}
	ofGravity := answers(math.Hypot(r.GravitySD, densitySpread), 0)
	ofBrix := answers(0, math.Hypot(float64(r.BrixSD), float64(optics.MixtureSpread(solution))))
	ofYield := answers(-byYield[0], -byYield[1]) // the readings stay as they are
	ask := func(i int, least float64, unit string) measure.Range {
		sd := math.Hypot(math.Hypot(ofGravity[i], ofBrix[i]), EthanolYieldSD*(ofYield[i]+byYield[i]))
		known := measure.Normal(v[i], sd, unit)
		known.Low = max(known.Low, least)
		return known
	}
	return Unrecorded{
		Original: original, Now: now,
		Strength: ask(2, 0, "% vol"), Sugar: ask(3, 0, "g/L"), First: ask(4, 1, "SG"),
	}, nil
}
