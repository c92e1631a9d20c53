package calc

import (
	"errors"
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/solve"
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

// wine is a litre, at 20 °C, of wine of so much alcohol and that gravity; what is
// dissolved in it counts as sucrose, as analysts count extract.
//
// Errors: *contradictionError; *property.RangeError.
func wine(g measure.Gravity, strength float64) (must.Must, error) {
	rho := float64(density.FromGravity(g))
	s := density.Solution{Ethanol: measure.MassFraction(strength / 100 * density.EthanolAt20 / rho)}
	off := func(w float64) float64 {
		s.Other = measure.MassFraction(w)
		d, err := density.Must(s, 20)
		if err != nil {
			return math.NaN()
		}
		return float64(d) - rho
	}
	most := 1 - float64(s.Ethanol)
	if lightest := off(0); lightest > 0 {
		return must.Must{}, &contradictionError{fmt.Sprintf("%.4f is lighter than water with %.1f %% vol in it, %.4f", g, strength,
			density.Gravity(measure.Density(lightest+rho)))}
	} else if math.IsNaN(lightest) {
		_, err := density.Must(s, 20)
		return must.Must{}, err
	}
	w, err := solve.Root(off, 0, min(mostHexose, most), 1e-12)
	if err != nil {
		return must.Must{}, err
	}
	s.Other = measure.MassFraction(w)
	return litreOf(s)
}

// contradictionError says that two of the things said cannot both be.
type contradictionError struct{ why string }

func (e *contradictionError) Error() string { return e.why }

// asked makes a contradiction the asker's.
func asked(name, words string, err error) error {
	if beyond := new(contradictionError); errors.As(err, &beyond) {
		return ask(name, words, "check both", err)
	}
	return err
}

var calcSweeten = Calculation{
	Name:     "sweeten",
	Question: "How much honey or sugar brings a wine to a gravity?",
	Inputs: []Input{
		{Name: "volume", Help: `wine: "4.5 L"`},
		{Name: "from-sg", Help: "its gravity: 0.998"},
		{Name: "to-sg", Help: "the gravity wanted: 1.010"},
		{Name: "ethanol", Help: `its alcohol: "12 %vol"`},
		{Name: "with", Help: "what to sweeten with", Choices: []string{"honey", "sucrose"}},
	},
	Examples: []string{`--volume "4.5 L" --from-sg 0.998 --to-sg 1.010 --ethanol "12 %vol" --with honey`},
	Method:   "Grams are added until the mixture has the gravity wanted; what the wine holds already counts as dry extract.",
	Sources:  []string{"oiml-r22", "icumsa-sps4", "crc102-wolf", "white1962"},
	Valid:    "0.95 to 1.2 SG; ethanol to 30 % mass",
	reckon: func(r *reckoning) error {
		with, err := r.choice("with")
		if err != nil {
			return err
		}
		volume, err := r.litres("volume")
		if err != nil {
			return err
		}
		from, err := r.needed("from-sg", measure.SG, measure.Brix)
		if err != nil {
			return err
		}
		to, err := r.needed("to-sg", measure.SG, measure.Brix)
		if err != nil {
			return err
		}
		ethanol, err := r.needed("ethanol", measure.Strength)
		if err != nil {
			return err
		}
		// A wish has no spread.
		to.low, to.high = to.is, to.is
		i, err := must.Find(map[string]string{"honey": "honey", "sucrose": "white sugar"}[with], nil)
		if err != nil {
			return err
		}
		factor := r.constant(1, i.SugarSD)
		sweetened := func() ([]float64, error) {
			g0, err := gravityOf(from)
			if err != nil {
				return nil, err
			}
			g1, err := gravityOf(to)
			if err != nil {
				return nil, err
			}
			if g1 < g0 {
				return nil, &contradictionError{fmt.Sprintf("%.4f is not sweeter than %.4f", g1, g0)}
			}
			m, err := wine(g0, ethanol.is)
			if err != nil {
				return nil, err
			}
			m = m.Scaled(volume.is)
			per := sweeter(i.PerGram, factor.is, must.Water)
			grams, err := gramsTo(m, per, g1)
			if err != nil {
				return nil, err
			}
			m = m.Plus(per.Scaled(grams))
			v, err := m.Volume(20)
			if err != nil {
				return nil, err
			}
			after, err := m.PercentVol()
			return []float64{grams, float64(v), float64(after), per.Hexose(must.SlowShare) * grams / float64(v)}, err
		}
		central, err := sweetened()
		if err != nil {
			return asked("from-sg", r.said("from-sg"), err)
		}
		r.step("the wine: %.3f L with %.2f %% vol and dry extract that bring it to its gravity [oiml-r22, icumsa-sps4]", volume.is, ethanol.is)
		r.step("%.1f g of %s bring the mixture to the gravity wanted, in %.3f L [crc102-wolf, white1962]", central[0], i.Name, central[1])
		r.note("Yeast will ferment it unless the wine has been stabilised: sweeten after that, and not before.")
		return r.give(sweetened, output{"add", i.Name + " to add", "g"}, output{"volume", "volume after", "L"},
			output{"ethanol", "alcohol after", "% vol"}, output{"sugar_added", "sugar added, as hexose", "g/L"})
	},
}

// gramsTo is how many grams of what brings m to a gravity above its own.
//
// Errors: *property.RangeError when what is not dense enough, or out of the tables.
func gramsTo(m, what must.Must, to measure.Gravity) (float64, error) {
	var beyond error
	off := func(grams float64) float64 {
		g, err := m.Plus(what.Scaled(grams)).Gravity()
		if err != nil {
			beyond = err
			return math.NaN()
		}
		return float64(g - to)
	}
	if off(0) >= 0 && beyond == nil {
		return 0, nil
	}
	high := 0.01 * float64(m.Mass())
	for off(high) < 0 && beyond == nil {
		high *= 1.5
	}
	if beyond != nil {
		return 0, beyond
	}
	return solve.Root(off, 0, high, 1e-9*float64(m.Mass()))
}

var calcBlend = Calculation{
	Name:     "blend",
	Question: "What do several wines, musts or waters make together?",
	Inputs: []Input{
		{Name: "part", Many: true, Help: `volume or mass, alcohol and gravity: "5 L 12 %vol 1.010"; water is "1 L"`},
	},
	Examples: []string{`--part "5 L 12 %vol 1.010" --part "1 L 0 %vol 1.098"`},
	Method:   "Each part is grams of water, ethanol and dry extract; grams are added, and the mixture's volume is worked out. Volumes do not add.",
	Sources:  []string{"oiml-r22", "icumsa-sps4", "tanaka2001"},
	Valid:    "volumes at 20 °C; gravity to 1.2; ethanol to 30 % mass, to 100 % vol without extract",
	reckon: func(r *reckoning) error {
		if len(r.words["part"]) < 2 {
			return ask("part", "", `write --part "5 L 12 %vol 1.010" --part "1 L"`, errors.New("is needed twice or more"))
		}
		type part struct{ amount, strength, gravity *known }
		var parts []part
		for _, words := range r.words["part"] {
			said, err := measure.ParseParts(words, r.sys)
			if err != nil {
				return ask("part", words, "", err)
			}
			var p part
			for _, q := range said {
				place, ok := map[measure.Kind]**known{
					measure.Volume: &p.amount, measure.Mass: &p.amount,
					measure.Strength: &p.strength, measure.SG: &p.gravity, measure.Brix: &p.gravity,
				}[q.Kind]
				if !ok || *place != nil {
					return ask("part", words, `write "5 L 12 %vol 1.010"`, fmt.Errorf("%q is one too many", q.Words))
				}
				*place = r.quantity(q)
			}
			if p.amount == nil {
				return ask("part", words, `write "5 L 12 %vol 1.010"`, errors.New("has no volume or mass"))
			}
			if p.strength == nil {
				p.strength = &known{}
			}
			if p.gravity == nil && p.strength.is > 0 {
				return ask("part", words, `write "5 L 12 %vol 1.010"`, errors.New("has no gravity"))
			} else if p.gravity == nil {
				p.gravity = &known{is: 1}
			}
			parts = append(parts, p)
		}
		grams := func(p part) (must.Must, error) {
			g, err := gravityOf(p.gravity)
			if err != nil {
				return must.Must{}, err
			}
			litre, err := wine(g, p.strength.is)
			if err != nil {
				return must.Must{}, err
			}
			if p.amount.kind == measure.Mass {
				return litre.Scaled(p.amount.is / float64(litre.Mass())), nil
			}
			return litre.Scaled(p.amount.is), nil
		}
		together := func() (must.Must, error) {
			var all must.Must
			for n, p := range parts {
				m, err := grams(p)
				if err != nil {
					return all, asked("part", r.words["part"][n], err)
				}
				all = all.Plus(m)
			}
			return all, nil
		}
		m, err := together()
		if err != nil {
			return err
		}
		if m.Mass() <= 0 {
			return ask("part", r.said("part"), "", errors.New("there is nothing to blend"))
		}
		for n, p := range parts {
			one, err := grams(p)
			if err != nil {
				return err
			}
			r.step("%s: %.1f g water, %.1f g ethanol, %.1f g extract", r.words["part"][n], one[must.Water], one[must.Ethanol], one[must.OtherSolids])
		}
		r.step("together %.1f g water, %.1f g ethanol, %.1f g extract [oiml-r22, icumsa-sps4]", m[must.Water], m[must.Ethanol], m[must.OtherSolids])
		return r.give(func() ([]float64, error) {
			m, err := together()
			if err != nil {
				return nil, err
			}
			v, err := m.Volume(20)
			if err != nil {
				return nil, err
			}
			strength, err := m.PercentVol()
			if err != nil {
				return nil, err
			}
			g, err := m.Gravity()
			return []float64{float64(v), float64(strength), float64(g)}, err
		}, output{"volume", "volume at 20 °C", "L"}, output{"ethanol", "alcohol", "% vol"}, sg)
	},
}
