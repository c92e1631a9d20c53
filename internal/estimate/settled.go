package estimate

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property"
	"skep/internal/property/density"
)

// Settled is a wine that came ready made, a blend, and how surely it is known. Nobody knows
// how much yeast is in it, so it is not followed in time.
type Settled struct {
	Seed       uint64
	Must       must.Must // as it is, g
	StrengthSD float64   // % vol
	SugarSD    float64   // g/L of what yeast could take
	SolidsSD   float64   // g/L of what else is dissolved
	Over       float64   // chance that what is left to ferment has stopped fermenting, 0 to 1
}

const (
	settledMembers = 500
	// scaleSD is the fault of a hydrometer's scale, shared by its readings (assumed).
	scaleSD = 0.001
	// fewestFit is the least number of members' worth that readings may leave.
	fewestFit = 25
)

// Read returns what is known of it after hydrometer readings: members drawn around its
// composition, each with a scale of its own fault, and taken by how well they fit. Other
// looks tell nothing here. All sugar that yeast could take counts as what may still ferment.
//
// Valid:  as must.Density.
// Errors: must.ErrEmpty; *property.RangeError; a sample too hot or cold to be understood.
// Repeats: the same wine and looks give the same bits.
func (w Settled) Read(seen []Observation) (State, []Member, Outlook, error) {
	none := func(err error) (State, []Member, Outlook, error) { return State{}, nil, Outlook{}, err }
	litres, err := w.Must.Volume(20)
	if err != nil {
		return none(err)
	}
	if err := errors.Join(
		property.Within("estimate.Settled", "spread of strength", w.StrengthSD, 0, 20, "% vol"),
		property.Within("estimate.Settled", "spread of sugar", w.SugarSD, 0, 500, "g/L"),
		property.Within("estimate.Settled", "spread of solids", w.SolidsSD, 0, 500, "g/L"),
		property.Within("estimate.Settled", "chance that it is over", w.Over, 0, 1, ""),
	); err != nil {
		return none(err)
	}
	random := rand.New(rand.NewPCG(w.Seed, 0x536b6571))
	members, weights := make([]Member, settledMembers), make([]float64, settledMembers)
	best := math.Inf(-1)
	for i := range members {
		m := w.Must
		m[must.Ethanol] = max(0, m[must.Ethanol]+random.NormFloat64()*w.StrengthSD/100*density.EthanolAt20*float64(litres))
		solids := max(-m[must.OtherSolids], random.NormFloat64()*w.SolidsSD*float64(litres))
		m[must.OtherSolids] += solids
		m[must.Water] -= solids
		m = sweeter(m, random.NormFloat64()*w.SugarSD*float64(litres))
		fault := scaleSD * random.NormFloat64()
		if members[i], err = member(m); err != nil {
			return none(err)
		}
		for _, o := range seen {
			z, read, err := off(m, o, fault)
			if err != nil {
				return none(err)
			}
			if read {
				weights[i] -= z * z / 2
			}
		}
		best = max(best, weights[i])
	}
	contradicted := ""
	if best < -8 { // four standard deviations: none of them could have shown that
		contradicted = "the hydrometer does not show what was blended comes to: it ferments again, or other amounts went in"
	} else {
		sum, squares := 0.0, 0.0
		for i := range weights {
			weights[i] = math.Exp(weights[i] - best)
			sum, squares = sum+weights[i], squares+weights[i]*weights[i]
		}
		if fit := sum * sum / squares; fit < fewestFit {
			contradicted = fmt.Sprintf("of %d blends as told, no more than %.0f would read so: other amounts may have gone in", settledMembers, fit)
		} else {
			members = chosen(members, weights, sum)
		}
	}
	s := w.state(members)
	// Over as soon as it is there: that is when gas begins to leave it.
	outlook := Outlook{States: []State{s}, Finish: measure.Exact(0.01, "h"), Final: s, Contradicted: contradicted}
	return s, members, outlook, nil
}

// sweeter is a must with more sugar, or less as far as it goes, in place of water.
func sweeter(m must.Must, grams float64) must.Must {
	for _, sugar := range []must.Component{must.Fructose, must.Glucose, must.Sucrose} {
		give := max(grams, -m[sugar])
		m[sugar] += give
		m[must.Water] -= give
		if grams -= give; grams >= 0 {
			break
		}
	}
	return m
}

func member(m must.Must) (Member, error) {
	rho, err := m.Density(20)
	if err != nil {
		return Member{}, err
	}
	litres, err := m.Volume(20)
	if err != nil {
		return Member{}, err
	}
	v := float64(litres)
	return Member{
		HexoseGL: m.Hexose(0) / v, SlowGL: m[must.SlowSugar] / v, SugarGL: allSugar(&m) / v,
		EthanolPct: 100 * m[must.Ethanol] / density.EthanolAt20 / v,
		Gravity:    float64(density.Gravity(rho)), EventualHexose: m.Hexose(1) / v,
	}, nil
}

// off is how many standard deviations a reading lies from what the must would show on a
// scale with a fault; read is false for what is no hydrometer.
func off(m must.Must, o Observation, fault float64) (z float64, read bool, err error) {
	if o.Sense != SawGravity || !(o.SD > 0) {
		return 0, false, nil
	}
	rho, err := m.Density(o.Sample)
	if err != nil {
		return 0, false, err
	}
	shows, err := density.HydrometerReading(rho, o.Sample, o.Calibrated)
	return (o.Value - float64(shows) - fault) / o.SD, true, err
}

// chosen takes each member as often as its weight says, evenly.
func chosen(members []Member, weights []float64, sum float64) []Member {
	all := make([]Member, 0, len(members))
	step, reached, i := sum/float64(len(members)), 0.0, 0
	for k := range members {
		for at := (float64(k) + 0.5) * step; i < len(members)-1 && reached+weights[i] < at; i++ {
			reached += weights[i]
		}
		all = append(all, members[i])
	}
	return all
}

// state reads the members off. One that could still ferment has stopped with chance Over.
func (w Settled) state(members []Member) State {
	var s State
	share := 1 / float64(len(members))
	over := func(unit string, of func(Member) float64) measure.Range {
		values := make([]float64, len(members))
		for i, m := range members {
			values[i] = of(m)
		}
		return measure.RangeOf(values, unit)
	}
	for _, m := range members {
		if m.EventualHexose < sweetGL {
			s.Phases.Dry += share
		} else {
			s.Phases.Stopped += share * w.Over
			s.Phases.Working += share * (1 - w.Over)
		}
	}
	s.Hexose = over("g/L", func(m Member) float64 { return m.EventualHexose })
	s.Sugar = over("g/L", func(m Member) float64 { return m.SugarGL })
	s.Gravity = over("SG", func(m Member) float64 { return m.Gravity })
	s.Ethanol = over("% vol", func(m Member) float64 { return m.EthanolPct })
	s.WeightLost, s.Rate = measure.Exact(0, "g"), measure.Exact(0, "g/L/day")
	s.Nitrogen = measure.RangeOf(nil, "mg/L")
	return s
}
