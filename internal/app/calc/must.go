package calc

import (
	"errors"
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/must"
)

var calcMust = Calculation{
	Name:     "must",
	Question: "What must do honey, sugar and water make?",
	Inputs: []Input{
		{Name: "honey", Help: `"1.2 kg", "2 1/2 cups", "3 lb heather honey"`},
		{Name: "moisture", Help: `water in the honey, if measured: "18.4 %mass"`},
		{Name: "sugar", Help: `"500 g", "2 cups", "500 g dextrose" (default white sugar)`},
		{Name: "water", Help: `"3.5 L"`},
		{Name: "to", Help: `or the volume it is made up to: "4.5 L", "1 gal"`},
		{Name: "at", Help: "temperature of the must (default 20 C)"},
	},
	Examples: []string{`--honey "3 lb" --to "1 US gal"`, `--honey "2 1/2 cups" --moisture "18 %mass" --water "3 L" --at "25 C"`},
	Method: "Grams are added, part by part; volume, gravity and strength are worked out from them. " + fermentMethod +
		" Half of the slow sugar of honey is taken to ferment (assumed).",
	Sources: []string{"white1962", "crc102-wolf", "icumsa-sps4", "oiml-r22", "tanaka2001", "masses"},
	Valid:   "0 to 40 °C; to 48 % mass of sugars and other solids",
	reckon:  (*reckoning).mixMust,
}

func (r *reckoning) mixMust() error {
	honey, err := r.portion("honey", "honey", must.Honey)
	if err != nil {
		return err
	}
	sugar, err := r.portion("sugar", "white sugar", must.Sugar)
	if err != nil {
		return err
	}
	if honey == nil && sugar == nil {
		return ask("honey", "", `write --honey "1.2 kg"`, errors.New("is needed, or sugar"))
	}
	if err := r.moisture(honey); err != nil {
		return err
	}
	at, err := r.or("at", 20, measure.Temperature)
	if err != nil {
		return err
	}
	way, err := r.oneOf("water", "to")
	if err != nil {
		return err
	}
	var water, to *known
	if way == "water" {
		w, err := r.portion("water", "water", must.Liquid)
		if err != nil {
			return err
		}
		water = w.grams
	} else if to, err = r.litres("to"); err != nil {
		return err
	}
	yield := r.constant(must.EthanolYield, must.EthanolYieldSD)
	slow := r.constant(must.SlowShare, must.SlowShareSD)

	mixed := func() (must.Must, error) {
		m := honey.now().Plus(sugar.now())
		if water != nil {
			m[must.Water] += water.is
			return m, nil
		}
		return madeUp(m, to.is, at.is)
	}
	figures := func() ([]float64, error) {
		m, err := mixed()
		if err != nil {
			return nil, err
		}
		g, err := m.Gravity()
		if err != nil {
			return nil, err
		}
		v, err := m.Volume(measure.Celsius(at.is))
		if err != nil {
			return nil, err
		}
		dry, err := m.StrengthWhenDry(slow.is, yield.is)
		added := m[must.Water] - honey.now()[must.Water] - sugar.now()[must.Water]
		return []float64{float64(g), float64(v), float64(m.Mass()), float64(dry), added}, err
	}
	m, err := mixed()
	if err != nil {
		return asked("to", r.said("to"), err)
	}
	for _, p := range []*portioned{honey, sugar} {
		if p != nil {
			r.step("%s is %.0f g of %s", p.of.Said.Words, p.of.Grams, p.of.Ingredient.Name)
		}
	}
	r.step("together %.0f g: %.0f g of water, %.0f g of sugar, %.0f g of other solids and acid", m.Mass(), m[must.Water],
		m[must.Glucose]+m[must.Fructose]+m[must.Sucrose]+m[must.SlowSugar], m[must.OtherSolids]+m[must.Acid])
	r.step("its density at 20 °C, over that of water, is the gravity; its mass over its density the volume [crc102-wolf, icumsa-sps4, tanaka2001]")
	return r.give(figures, sg, output{"volume", "volume", "L"}, output{"mass", "mass", "g"},
		output{"ethanol_if_dry", "alcohol if dry", "% vol"}, output{"water", "water to add", "g"})
}

// portioned is an ingredient of a calculation: its grams and how sweet it is are known
// with a spread.
type portioned struct {
	of            must.Portion
	grams, factor *known
}

// portion understands "3 lb heather honey"; an amount alone is of the usual ingredient.
// nil if nothing was said.
func (r *reckoning) portion(name, usual string, class must.Class) (*portioned, error) {
	words := r.said(name)
	if words == "" {
		return nil, nil
	}
	amount, called, err := measure.ParseIngredient(words, r.sys)
	if err != nil {
		return nil, ask(name, words, "", err)
	}
	if called == "" {
		called = usual
	}
	i, err := must.Find(called, nil)
	if err != nil {
		return nil, ask(name, words, "", err)
	}
	if i.Class != class {
		return nil, ask(name, words, "", fmt.Errorf("%s is no %s", i.Name, class))
	}
	p, err := must.Measured(i, amount)
	if err != nil {
		return nil, ask(name, words, "", err)
	}
	grams := r.constant(float64(p.Grams), float64(p.SD))
	grams.low = max(grams.low, 0)
	return &portioned{p, grams, r.constant(1, i.SugarSD)}, nil
}

// moisture puts a measured moisture into the honey.
func (r *reckoning) moisture(honey *portioned) error {
	said := r.said("moisture")
	if said == "" {
		return nil
	}
	if honey == nil {
		return ask("moisture", said, "", errors.New("is that of a honey, and there is none"))
	}
	q, err := measure.Parse(said, r.sys)
	if err != nil {
		return ask("moisture", said, `write "18.4 %mass"`, err)
	}
	if q.Kind != measure.Fraction {
		return ask("moisture", said, `write "18.4 %mass"`, fmt.Errorf("that is a %s", q.Kind))
	}
	i, err := must.WithMoisture(honey.of.Ingredient, measure.MassFraction(q.Value))
	if err != nil {
		return err
	}
	p, err := must.Measured(i, honey.of.Said)
	if err != nil {
		return ask("honey", r.said("honey"), "", err)
	}
	grams, factor := honey.grams, honey.factor
	*grams = known{is: float64(p.Grams), low: max(0, float64(p.Grams)-eighty*float64(p.SD)), high: float64(p.Grams) + eighty*float64(p.SD)}
	*factor = known{is: 1, low: 1 - eighty*i.SugarSD, high: 1 + eighty*i.SugarSD}
	honey.of = p
	return nil
}

// now is what the portion brings, as its variables stand.
func (p *portioned) now() must.Must {
	if p == nil {
		return must.Must{}
	}
	return sweeter(p.of.Ingredient.PerGram.Scaled(p.grams.is), p.factor.is, must.Water)
}

// madeUp adds water to m until it fills so many litres at t. Water is added in rounds,
// each ten times nearer.
//
// Errors: *contradictionError; *property.RangeError.
func madeUp(m must.Must, litres, t float64) (must.Must, error) {
	dry := m
	if litre := 1450.; float64(dry.Mass()) > litre*litres { // the heaviest honey, so sure to be too much
		return m, &contradictionError{fmt.Sprintf("more than %.2f L of honey and sugar do not go into it", float64(dry.Mass())/litre)}
	}
	// Enough that the first round is within the tables of density if the last is.
	m[must.Water] += max(0, 1000*litres-0.62*float64(dry.Mass()))
	for range 100 {
		rho, err := m.Density(measure.Celsius(t))
		if err != nil {
			return m, err
		}
		water := float64(rho)*litres - float64(dry.Mass())
		if water < 0 {
			return m, &contradictionError{fmt.Sprintf("without any water it is %.2f L already", float64(dry.Mass())/float64(rho))}
		}
		before := m[must.Water]
		m[must.Water] = dry[must.Water] + water
		if math.Abs(m[must.Water]-before) < 1e-9*litres*1000 {
			return m, nil
		}
	}
	return m, errors.New("no amount of water was found for that volume")
}
