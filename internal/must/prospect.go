package must

import (
	"errors"
	"math/rand/v2"

	"skep/internal/measure"
)

// Prospect is what a recipe becomes, each with the range that its ingredients, the
// filling mark and the yeast leave open.
type Prospect struct {
	Gravity  measure.Range `json:"original_gravity"`   // SG 20/20 once everything has dissolved and the fruit has given its juice
	IfDry    measure.Range `json:"strength_if_dry"`    // % vol
	Strength measure.Range `json:"strength"`           // % vol, dry or at the yeast's limit, whichever comes first
	Final    measure.Range `json:"final_gravity"`      // SG 20/20, before any sweetening
	Sugar    measure.Range `json:"sugar_left"`         // g/L, fermentable and not
	Sweet    float64       `json:"chance_of_sweet"`    // share of draws in which the yeast stops before the sugar is gone
	Nitrogen measure.Range `json:"nitrogen_present"`   // assimilable, mg N/L
	Acidity  measure.Range `json:"titratable_acidity"` // g/L as tartaric
	Liquid   measure.Range `json:"volume"`             // L of must at 20 °C
	Bottled  measure.Range `json:"into_bottles"`       // L
}

// Losses is what never reaches a bottle.
type Losses struct {
	Rackings int // how often the wine is moved off its lees, one at least
}

// Spread of what a maker does and of what nature leaves. Each is a default that a
// maker's own finished jugs replace.
const (
	LeesLow        = 0.02  // share of volume, light lees: Bogard et al. 2020, Foods 9:865 (abstract)
	LeesHigh       = 0.04  // same
	RackingLow     = 0.005 // share left in hose and heel at each racking (assumed)
	RackingHigh    = 0.02  // (assumed)
	PulpHoldsLow   = 1.0   // g of wine held by a gram of pressed-out petals or fruit tissue (assumed)
	PulpHoldsHigh  = 3.0   // (assumed)
	fillSD         = 0.015 // relative: a mark on a jug, read by eye (assumed)
	prospectDraws  = 400
	prospectStream = 0x6d757374 // keeps these draws apart from other users of the same seed
)

// Prospect draws the uncertain parts of r and returns what it becomes.
//
// Each draw has its own ingredients (how they were measured and what they are made of),
// filling mark, ethanol yield, share of slow sugar and yeast limit, even between low
// and high. Water always fills to the mark, as a maker does. A limit of zero means a
// yeast that never stops.
//
// Repeats: the same recipe and seed give the same numbers on every machine.
// Errors: as Must.Density, for a draw outside the tables.
func (r Recipe) Prospect(seed uint64, low, high measure.PercentVol, losses Losses) (Prospect, error) {
	random := rand.New(rand.NewPCG(seed, prospectStream))
	var gravity, ifDry, strength, final, sugar, nitrogen, acid, liquid, bottled []float64
	sweet := 0
	for range prospectDraws {
		d, err := r.draw(random)
		if err != nil {
			return Prospect{}, err
		}
		slow := between(random.NormFloat64()*SlowShareSD+SlowShare, 0, 1)
		yield := min(EthanolYield+EthanolYieldSD*random.NormFloat64(), mostYield)
		limit := low + measure.PercentVol(random.Float64())*(high-low)
		if high == 0 {
			limit = 100
		}
		dry, err := d.Dry(slow, yield)
		if err != nil {
			return Prospect{}, err
		}
		end, err := d.AtLimit(limit, slow, yield)
		if err != nil {
			return Prospect{}, err
		}
		state, err := describe(d, dry, end)
		if err != nil {
			return Prospect{}, err
		}
		if state.strength < state.ifDry*(1-1e-3) { // not by sugar left: some slow sugar always is
			sweet++
		}
		gravity = append(gravity, state.gravity)
		ifDry = append(ifDry, state.ifDry)
		strength = append(strength, state.strength)
		final = append(final, state.final)
		sugar = append(sugar, state.sugar)
		nitrogen = append(nitrogen, state.nitrogen)
		acid = append(acid, state.acid)
		liquid = append(liquid, state.liquid)
		bottled = append(bottled, losses.bottled(random, end[Pulp], state.finalVolume))
	}
	return Prospect{
		Gravity: measure.RangeOf(gravity, "SG 20/20"), IfDry: measure.RangeOf(ifDry, "% vol"),
		Strength: measure.RangeOf(strength, "% vol"), Final: measure.RangeOf(final, "SG 20/20"),
		Sugar: measure.RangeOf(sugar, "g/L"), Sweet: float64(sweet) / prospectDraws,
		Nitrogen: measure.RangeOf(nitrogen, "mg/L"), Acidity: measure.RangeOf(acid, "g/L"),
		Liquid: measure.RangeOf(liquid, "L"), Bottled: measure.RangeOf(bottled, "L"),
	}, nil
}

// draw is one must that this recipe might really be.
func (r Recipe) draw(random *rand.Rand) (Must, error) {
	fill := float64(r.Takes) * (1 + fillSD*random.NormFloat64())
	m := r.Base.draw(random)
	for _, p := range r.Fixed {
		m = m.Plus(p.draw(random))
	}
	water, err := m.WaterTo(measure.Litres(fill))
	if full := (*ImpossibleError)(nil); errors.As(err, &full) { // juice alone is above this mark
		return m, nil
	}
	m[Water] += float64(water)
	return m, err
}

// draw is one portion as it might really be: its mass, its sugar, its nitrogen. What
// the sugar gains the water loses, so that the mass is that of the portion.
func (p Portion) draw(random *rand.Rand) Must {
	grams := max(0, float64(p.Grams)+float64(p.SD)*random.NormFloat64())
	m := p.Ingredient.PerGram.Scaled(grams)
	room := m[Water]
	for _, c := range []Component{Glucose, Fructose, Sucrose, SlowSugar} {
		room += m[c]
	}
	factor := max(0, 1+p.Ingredient.SugarSD*random.NormFloat64())
	for _, c := range []Component{Glucose, Fructose, Sucrose, SlowSugar} {
		m[c] *= factor
		room -= m[c]
	}
	m[Water] = max(0, room)
	m[Nitrogen] *= lognormal(random, p.Ingredient.YANSD)
	return m
}

type description struct {
	gravity, ifDry, strength, final, sugar, nitrogen, acid, liquid, finalVolume float64
}

func describe(start, dry, end Must) (description, error) {
	var d description
	og, err := start.Gravity()
	if err != nil {
		return d, err
	}
	v, err := start.Volume(20)
	if err != nil {
		return d, err
	}
	dryStrength, err := dry.PercentVol()
	if err != nil {
		return d, err
	}
	strength, err := end.PercentVol()
	if err != nil {
		return d, err
	}
	fg, err := end.Gravity()
	if err != nil {
		return d, err
	}
	endVolume, err := end.Volume(20)
	if err != nil {
		return d, err
	}
	return description{
		gravity: float64(og), ifDry: float64(dryStrength), strength: float64(strength), final: float64(fg),
		sugar:    end.Hexose(1) / float64(endVolume),
		nitrogen: 1000 * start[Nitrogen] / float64(v), acid: start[Acid] / float64(v),
		liquid: float64(v), finalVolume: float64(endVolume),
	}, nil
}

// bottled is the litres that reach the bottles in one draw.
func (l Losses) bottled(random *rand.Rand, pulp, litres float64) float64 {
	even := func(low, high float64) float64 { return low + (high-low)*random.Float64() }
	held := pulp * even(PulpHoldsLow, PulpHoldsHigh)
	shares := []float64{even(LeesLow, LeesHigh)}
	for range max(1, l.Rackings) {
		shares = append(shares, even(RackingLow, RackingHigh))
	}
	return float64(Bottled(measure.Litres(litres), measure.Grams(held), shares...))
}

// Bottled returns the litres that reach bottles, of so many: pulp holds back some grams,
// then lees and each racking a share of what is there. Never less than nothing.
func Bottled(wine measure.Litres, held measure.Grams, shares ...float64) measure.Litres {
	wine -= measure.Litres(held / 1000)
	for _, share := range shares {
		wine *= measure.Litres(1 - share)
	}
	return max(0, wine)
}
