package calc

import (
	"errors"
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/property/gas"
	"skep/internal/solve"
)

// fermentMethod is said of every calculation that ferments.
const fermentMethod = "Each gram of sugar, as hexose, becomes 0.47 g of ethanol (0.438 to 0.493: 16 to 18 g/L of sugar " +
	"for each % vol is printed), 0.955 times that of CO2, 0.02 g of yeast (assumed) and for the rest glycerol."

// mostHexose is the limit of density.Must for glucose and fructose, g/g.
const mostHexose = 0.48

// The sugar that a must was read with.
const (
	invertSugar = "invert"
	sucrose     = "sucrose"
)

var calcABV = Calculation{
	Name:     "abv",
	Question: "How strong is it, from two gravities or from the weight it has lost?",
	Inputs: []Input{
		{Name: "og", Help: `gravity before fermentation: 1.098, "23 Bx", "1.098 at 24 C"`},
		{Name: "fg", Help: `gravity now: 1.004, "1.004 at 17 C"`},
		{Name: "original-sugar", Help: `instead of gravities, sugar at the start: "240 g/L"`},
		{Name: "mass-loss", Help: `with it, the weight that has gone: "430 g"`},
		{Name: "volume", Help: `with it, the must at the start: "4.5 L"`},
		{Name: "sugar-kind", Help: "the sugar when the first gravity was taken: invert, as in honey and fruit, or sucrose, as in white sugar", Choices: []string{invertSugar, sucrose}},
	},
	Examples: []string{"--og 1.098 --fg 1.004", `--original-sugar "240 g/L" --mass-loss "430 g" --volume "4.5 L"`},
	Method: "The first gravity gives the sugar. It is fermented on paper, gram by gram, until the gravity is the second, or until " +
		"so much CO2 has left; the alcohol is in the volume of then. " + fermentMethod + " " + lossMethod +
		" The comparison is 131.25 times the fall in gravity: common practice, no source.",
	Sources: []string{"crc102-wolf", "icumsa-sps4", "oiml-r22", "masses", "oiv-as314-01"},
	Valid:   "gravity to 1.2; nothing added or taken away on the way",
	reckon: func(r *reckoning) error {
		way, err := r.oneOf("og", "original-sugar")
		if err != nil {
			return err
		}
		if way == "og" {
			return r.strengthFromGravity()
		}
		return r.strengthFromLoss()
	},
}

func (r *reckoning) strengthFromGravity() error {
	for _, name := range []string{"mass-loss", "volume"} {
		if r.said(name) != "" {
			return ask(name, r.said(name), "", errors.New("goes with original-sugar, not with og"))
		}
	}
	kind, err := r.choice("sugar-kind")
	if err != nil {
		return err
	}
	og, ogAt, err := r.reading("og")
	if err != nil {
		return err
	}
	fg, fgAt, err := r.reading("fg")
	if err != nil {
		return err
	}
	yield := r.constant(must.EthanolYield, must.EthanolYieldSD)

	first := func() (measure.Gravity, error) { return corrected(og, ogAt, 0) }
	// The second reading, too, is corrected, which needs the alcohol that is looked for:
	// a first answer without correction is near enough.
	strength := func() (fermented, error) {
		g0, err := first()
		if err != nil {
			return fermented{}, err
		}
		start, err := sugarMust(g0, kind)
		if err != nil {
			return fermented{}, err
		}
		g1, err := corrected(fg, fgAt, 0)
		if err != nil {
			return fermented{}, err
		}
		f, err := fermentedToGravity(start, g1, yield.is)
		if err != nil || fgAt == nil {
			return f, err
		}
		if g1, err = corrected(fg, fgAt, f.ethanol/float64(f.must.LiquidMass())); err != nil {
			return f, err
		}
		return fermentedToGravity(start, g1, yield.is)
	}
	central, err := strength()
	if err != nil {
		return err
	}
	if err := r.believable(central); err != nil {
		return err
	}
	r.step("SG %.4f is %.1f g/L of sugar as %s, %.1f as hexose [crc102-wolf, icumsa-sps4]", central.from, central.said, kind, central.hexose)
	r.step("from it, %.1f g of hexose ferment until SG is %.4f: %.1f g of ethanol and %.1f g of CO2 a litre of must",
		central.taken, central.to, central.ethanol, central.gas)
	r.step("1 L has become %.4f L [oiml-r22]; %.2f %% vol", central.litres, central.strength)
	err = r.give(func() ([]float64, error) {
		f, err := strength()
		return []float64{f.strength, tradeRule * float64(f.from-f.to)}, err
	}, output{"ethanol", "alcohol", "% vol"}, output{"comparison", "trade formula", "% vol"})
	return err
}

// tradeRule times the fall in gravity is % vol. Common practice, no source.
const tradeRule = 131.25

// corrected is a hydrometer reading as gravity at 20 °C, if the temperature was said.
func corrected(reading, at *known, ethanol float64) (measure.Gravity, error) {
	if at == nil {
		return gravityOf(reading)
	}
	shown, err := shownSG(reading, &known{is: 20})
	if err != nil {
		return 0, err
	}
	g, _, err := density.CorrectHydrometer(shown, measure.Celsius(at.is), 20, measure.MassFraction(ethanol))
	return g, err
}

// sugarMust is a litre, at 20 °C, of a must of that gravity in which all that is
// dissolved is sugar.
//
// Errors: *property.RangeError.
func sugarMust(g measure.Gravity, kind string) (must.Must, error) {
	rho := float64(density.FromGravity(g))
	if kind == sucrose {
		w, err := density.SucroseFromGravity(g)
		return must.Must{must.Water: rho * (1 - float64(w)), must.Sucrose: rho * float64(w)}, err
	}
	w, err := invertFromGravity(g)
	return must.Must{must.Water: rho * (1 - w), must.Glucose: rho * w / 2, must.Fructose: rho * w / 2}, err
}

// invertFromGravity is the invert sugar, g/g, in a solution in water of that gravity.
//
// Errors: *property.RangeError.
func invertFromGravity(g measure.Gravity) (float64, error) {
	if _, err := density.SucroseFromGravity(g); err != nil { // below water
		return 0, err
	}
	rho := float64(density.FromGravity(g))
	return solve.Root(func(w float64) float64 {
		d, _ := density.Must(dissolved(0, w, invertSugar), 20) // w is in its range
		return float64(d) - rho
	}, 0, mostHexose, 1e-12)
}

// fermented is how far a must has come.
type fermented struct {
	from, to measure.Gravity
	dry      measure.Gravity // how low it can go
	said     float64         // g sugar, as it is
	hexose   float64         // g at the start
	taken    float64         // g hexose
	ethanol  float64         // g
	gas      float64         // g CO2
	litres   float64
	strength float64 // % vol
	must     must.Must
}

// fermentedToGravity ferments start until its gravity is to. A reading below the gravity
// when all sugar is gone means that it is gone; believable says whether that can be.
func fermentedToGravity(start must.Must, to measure.Gravity, yield float64) (fermented, error) {
	from, err := start.Gravity()
	if err != nil {
		return fermented{}, err
	}
	hexose := start.Hexose(must.SlowShare)
	off := func(left float64) float64 {
		m, err := start.FermentedTo(left, must.SlowShare, yield)
		if err != nil {
			return math.NaN()
		}
		g, err := m.Gravity()
		if err != nil {
			return math.NaN()
		}
		return float64(g - to)
	}
	left := 0.0
	switch dry := off(0); {
	case math.IsNaN(dry): // say why
		_, err := start.FermentedTo(0, must.SlowShare, yield)
		return fermented{}, err
	case to >= from:
		left = hexose
	case dry < 0:
		if left, err = solve.Root(off, 0, hexose, 1e-8); err != nil {
			return fermented{}, err
		}
	}
	f, err := fermentedTo(start, left, yield)
	f.to, f.dry = to, measure.Gravity(off(0))+to
	return f, err
}

// fermentedTo ferments start until left grams of hexose are left.
func fermentedTo(start must.Must, left, yield float64) (fermented, error) {
	from, err := start.Gravity()
	if err != nil {
		return fermented{}, err
	}
	hexose := start.Hexose(must.SlowShare)
	m, err := start.FermentedTo(left, must.SlowShare, yield)
	if err != nil {
		return fermented{}, err
	}
	to, err := m.Gravity()
	if err != nil {
		return fermented{}, err
	}
	litres, err := m.Volume(20)
	if err != nil {
		return fermented{}, err
	}
	strength, err := m.PercentVol()
	return fermented{
		from: from, to: to, must: m,
		said:   start[must.Glucose] + start[must.Fructose] + start[must.Sucrose] + start[must.SlowSugar],
		hexose: hexose, taken: hexose - left,
		ethanol: m[must.Ethanol], gas: gasPerEthanol * m[must.Ethanol],
		litres: float64(litres), strength: float64(strength),
	}, err
}

// gasPerEthanol is grams of CO2 for each gram of ethanol: one molecule each [masses].
const gasPerEthanol = 44.0095 / 46.068

// readingSlack is how far a hydrometer may be off before its reading is not believed.
const readingSlack = 0.003

// believable refuses gravities that contradict each other.
func (r *reckoning) believable(f fermented) error {
	switch {
	case f.to > f.from:
		return ask("fg", r.said("fg"), "was something added, or were the two swapped?",
			fmt.Errorf("%.4f is above the gravity before fermentation, %.4f", f.to, f.from))
	case f.to < f.dry-readingSlack:
		return ask("fg", r.said("fg"), "check both readings",
			fmt.Errorf("%.4f is below %.4f, where a must of %.4f is when all its sugar has gone", f.to, f.dry, f.from))
	}
	return nil
}

// What the scale loses beside CO2: water and alcohol that the gas carries off, g for
// each gram of CO2. Water vapour at 20 °C is 0.0097, alcohol as measured in closed
// ferments 0.006 to 0.009 if all of it leaves; the lock gives some back, assumed.
const carriedOff, carriedOffSD = 0.015, 0.005

// heldSD is how far what a young wine holds may be from saturation, g/L; assumed.
const heldSD = 0.3

// lossMethod is said of what is reckoned from a weight.
const lossMethod = "The weight lost is CO2, and 1.5 % of it water and alcohol that the gas carried off (assumed, 1 to 2 %); " +
	"CO2 that the wine still holds, as saturated at 20 °C, has been made too."

// fermentedByLoss ferments a litre of must until its jug has lost so many grams a litre.
func fermentedByLoss(start must.Must, lost, yield, carried, held float64) (fermented, error) {
	hexose := start.Hexose(must.SlowShare)
	made := lost/(1+carried) + held
	if lost == 0 {
		made = 0
	}
	taken := made / gasPerEthanol / yield
	if taken > hexose {
		taken = hexose
	}
	return fermentedTo(start, hexose-taken, yield)
}

// lossVariables brings in what every reckoning from a weight needs.
func (r *reckoning) lossVariables() (yield, carried, held *known, err error) {
	// The wine is taken as 10 % vol: between 5 and 15 it holds 6 % more or less.
	saturated, err := gas.Saturated(gas.Liquid{Ethanol: 10}, 20, gas.Most)
	return r.constant(must.EthanolYield, must.EthanolYieldSD), r.constant(carriedOff, carriedOffSD),
		r.constant(float64(saturated), heldSD), err
}

func (r *reckoning) strengthFromLoss() error {
	if r.said("fg") != "" {
		return ask("fg", r.said("fg"), "", errors.New("goes with og, not with original-sugar"))
	}
	kind, err := r.choice("sugar-kind")
	if err != nil {
		return err
	}
	sugar, err := r.needed("original-sugar", measure.Concentration)
	if err != nil {
		return err
	}
	loss, err := r.needed("mass-loss", measure.Mass)
	if err != nil {
		return err
	}
	volume, err := r.litres("volume")
	if err != nil {
		return err
	}
	yield, carried, held, err := r.lossVariables()
	if err != nil {
		return err
	}
	strength := func() (fermented, error) {
		start, err := sugarLitre(sugar, kind)
		if err != nil {
			return fermented{}, err
		}
		return fermentedByLoss(start, loss.is/volume.is, yield.is, carried.is, held.is)
	}
	central, err := strength()
	if err != nil {
		return err
	}
	if err := r.enoughSugar(central, loss); err != nil {
		return err
	}
	r.stepsOfLoss(central, loss, volume)
	return r.give(func() ([]float64, error) {
		f, err := strength()
		return []float64{f.strength, tradeRule * float64(f.from-f.to)}, err
	}, output{"ethanol", "alcohol", "% vol"}, output{"comparison", "trade formula on the gravities this means", "% vol"})
}

// litres is a volume that is divided by.
func (r *reckoning) litres(name string) (*known, error) {
	v, err := r.needed(name, measure.Volume)
	if err != nil {
		return nil, err
	}
	if !(v.low > 0) {
		return nil, ask(name, r.said(name), "", errors.New("is nothing"))
	}
	return v, nil
}

// sugarLitre is a litre, at 20 °C, of so much sugar in water.
func sugarLitre(sugar *known, kind string) (must.Must, error) {
	s, err := solution(&known{}, sugar, kind)
	if err != nil {
		return must.Must{}, err
	}
	return litreOf(s)
}

// litreOf is a litre of a solution at 20 °C.
func litreOf(s density.Solution) (must.Must, error) {
	rho, err := density.Must(s, 20)
	all := float64(rho)
	return must.Must{
		must.Water:   all * float64(1-s.Ethanol-s.Glucose-s.Fructose-s.Sucrose-s.Other),
		must.Ethanol: all * float64(s.Ethanol), must.Glucose: all * float64(s.Glucose),
		must.Fructose: all * float64(s.Fructose), must.Sucrose: all * float64(s.Sucrose),
		must.OtherSolids: all * float64(s.Other),
	}, err
}

// enoughSugar refuses a loss that all the sugar could not make.
func (r *reckoning) enoughSugar(f fermented, loss *known) error {
	if f.taken < f.hexose {
		return nil
	}
	return ask("mass-loss", r.said("mass-loss"), "check the weights, the volume and the sugar",
		fmt.Errorf("is more than %.0f g/L of sugar can lose", f.said))
}

func (r *reckoning) stepsOfLoss(f fermented, loss, volume *known) {
	r.step("%.1f g lost from %.3f L, without what the gas carried off and with what the wine still holds, is %.1f g/L of CO2",
		loss.is, volume.is, f.gas)
	r.step("that comes with %.1f g/L of ethanol [masses] and takes %.1f of the %.1f g/L of hexose", f.ethanol, f.taken, f.hexose)
	r.step("1 L of must has become %.4f L of SG %.4f; %.2f %% vol [oiml-r22]", f.litres, f.to, f.strength)
}

// What a must of known gravity was made with decides how much of it is sugar.
const (
	madeWithHoney = "honey"
	madeWithSugar = "sugar"
	madeWithJuice = "juice"
)

var madeWith = Input{
	Name: "made-with", Choices: []string{madeWithHoney, madeWithSugar, madeWithJuice},
	Help: "what the must was made with; decides how much of what is dissolved is sugar",
}

// maker returns what makes a litre, at 20 °C, of a must of a gravity, and the relative
// sd of its sugar.
func maker(with string) (make func(measure.Gravity) (must.Must, error), sd float64, err error) {
	if with == madeWithJuice {
		usual, err := must.FromJuice("juice", 1.05, 0)
		return func(g measure.Gravity) (must.Must, error) {
			i, err := must.FromJuice("juice", g, 0)
			return i.PerGram.Scaled(float64(density.FromGravity(g))), err
		}, usual.SugarSD, err
	}
	i, err := must.Find(map[string]string{madeWithHoney: "honey", madeWithSugar: "white sugar"}[with], nil)
	if err != nil {
		return nil, 0, err
	}
	return func(g measure.Gravity) (must.Must, error) {
		if _, err := density.SucroseFromGravity(g); err != nil { // below water
			return must.Must{}, err
		}
		mixed := func(share float64) must.Must {
			m := i.PerGram.Scaled(share)
			m[must.Water] += 1 - share
			return m
		}
		// 55 % of honey is 46 % of sugars and other solids: within the tables.
		share, err := solve.Root(func(share float64) float64 {
			is, err := mixed(share).Gravity()
			if err != nil {
				return math.NaN()
			}
			return float64(is - g)
		}, 0, 0.55, 1e-10)
		return mixed(share).Scaled(float64(density.FromGravity(g))), err
	}, i.SugarSD, nil
}

// sweeter is m with its sugars times a factor, at the cost of something else in it: of
// other solids where the gravity is known, of water where the mass is.
func sweeter(m must.Must, factor float64, cost must.Component) must.Must {
	room := m[cost]
	for _, c := range []must.Component{must.Glucose, must.Fructose, must.Sucrose, must.SlowSugar} {
		room += m[c] - m[c]*factor
		m[c] *= factor
	}
	m[cost] = max(0, room)
	return m
}

var calcPotential = Calculation{
	Name:     "potential",
	Question: "How strong can a must become?",
	Inputs: []Input{
		{Name: "sugar", Help: `sugar in it: "240 g/L"`},
		{Name: "sugar-kind", Help: "which sugar", Choices: []string{invertSugar, sucrose, "glucose", "fructose"}},
		{Name: "sg", Help: `or its gravity: 1.098, "23 Bx"`},
		madeWith,
	},
	Examples: []string{`--sugar "240 g/L"`, "--sg 1.098 --made-with honey"},
	Method: "All the sugar that yeast can take is fermented on paper; the alcohol is in the volume that is left. " + fermentMethod +
		" A gravity is taken as honey, white sugar or juice in water. The comparison is 17 g/L of sugar for each % vol: common practice.",
	Sources: []string{"crc102-wolf", "icumsa-sps4", "oiml-r22", "white1962", "masses"},
	Valid:   "to 48 % mass of sugar; no yeast makes what 25 % vol would need, most stop between 12 and 18",
	reckon: func(r *reckoning) error {
		way, err := r.oneOf("sugar", "sg")
		if err != nil {
			return err
		}
		yield := r.constant(must.EthanolYield, must.EthanolYieldSD)
		var start func() (must.Must, error)
		if way == "sugar" {
			if r.said("made-with") != "" {
				return ask("made-with", r.said("made-with"), "", errors.New("goes with sg, not with sugar"))
			}
			kind, err := r.choice("sugar-kind")
			if err != nil {
				return err
			}
			sugar, err := r.needed("sugar", measure.Concentration)
			if err != nil {
				return err
			}
			start = func() (must.Must, error) { return sugarLitre(sugar, kind) }
		} else {
			if r.said("sugar-kind") != "" {
				return ask("sugar-kind", r.said("sugar-kind"), "write --made-with", errors.New("goes with sugar, not with sg"))
			}
			gravity, err := r.needed("sg", measure.SG, measure.Brix)
			if err != nil {
				return err
			}
			if start, err = r.mustVariables(gravity); err != nil {
				return err
			}
		}
		m, err := start()
		if err != nil {
			return err
		}
		central, err := fermentedTo(m, 0, yield.is)
		if err != nil {
			return err
		}
		r.step("1 L of must, SG %.4f, holds %.1f g of sugar, of which yeast can take %.1f g as hexose", central.from, central.said, central.hexose)
		r.step("dry, it gives %.1f g of ethanol in %.4f L of SG %.4f [oiml-r22]", central.ethanol, central.litres, central.to)
		return r.give(func() ([]float64, error) {
			m, err := start()
			if err != nil {
				return nil, err
			}
			f, err := fermentedTo(m, 0, yield.is)
			return []float64{f.strength, f.hexose / sugarPerStrength, float64(f.to)}, err
		}, output{"ethanol", "alcohol if dry", "% vol"}, output{"comparison", "trade formula", "% vol"}, output{"final_sg_20_20", "gravity if dry", gravityUnit})
	},
}

// sugarPerStrength is the g/L of sugar that common practice reckons for each % vol.
const sugarPerStrength = 17

// mustVariables brings in what a must of known gravity was made with, and returns a
// litre of it.
func (r *reckoning) mustVariables(gravity *known) (func() (must.Must, error), error) {
	with, err := r.choice("made-with")
	if err != nil {
		return nil, err
	}
	litre, sd, err := maker(with)
	if err != nil {
		return nil, err
	}
	factor := r.constant(1, sd)
	return func() (must.Must, error) {
		g, err := gravityOf(gravity)
		if err != nil {
			return must.Must{}, err
		}
		m, err := litre(g)
		return sweeter(m, factor.is, must.OtherSolids), err
	}, nil
}

var calcLoss = Calculation{
	Name:     "loss",
	Question: "How far is it, by the weight that the jug has lost?",
	Inputs: []Input{
		{Name: "mass-loss", Help: `weight that has gone since it was full: "180 g"`},
		{Name: "volume", Help: `must at the start: "4.5 L"`},
		{Name: "og", Help: `gravity before fermentation: 1.098, "23 Bx"`},
		madeWith,
	},
	Examples: []string{`--mass-loss "180 g" --volume "4.5 L" --og 1.098`},
	Method:   lossMethod + " " + fermentMethod,
	Sources:  []string{"masses", "oiv-as314-01", "crc102-wolf", "icumsa-sps4", "oiml-r22", "white1962"},
	Valid:    "gravity to 1.2; what was taken out or added is not a loss: reckon it out first",
	reckon: func(r *reckoning) error {
		loss, err := r.needed("mass-loss", measure.Mass)
		if err != nil {
			return err
		}
		volume, err := r.litres("volume")
		if err != nil {
			return err
		}
		og, err := r.needed("og", measure.SG, measure.Brix)
		if err != nil {
			return err
		}
		yield, carried, held, err := r.lossVariables()
		if err != nil {
			return err
		}
		start, err := r.mustVariables(og)
		if err != nil {
			return err
		}
		now := func() (fermented, error) {
			m, err := start()
			if err != nil {
				return fermented{}, err
			}
			return fermentedByLoss(m, loss.is/volume.is, yield.is, carried.is, held.is)
		}
		central, err := now()
		if err != nil {
			return err
		}
		if err := r.enoughSugar(central, loss); err != nil {
			return err
		}
		r.stepsOfLoss(central, loss, volume)
		return r.give(func() ([]float64, error) {
			f, err := now()
			return []float64{f.strength, (f.hexose - f.taken) / f.litres, float64(f.to)}, err
		}, output{"ethanol", "alcohol so far", "% vol"}, output{"sugar_left", "sugar left, as hexose", "g/L"}, sg)
	},
}
