package calc

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"skep/internal/measure"
	"skep/internal/property/density"
)

var sugarKinds = []string{"sucrose", "invert", "glucose", "fructose"}

var calcDensity = Calculation{
	Name:     "density",
	Question: "How dense is alcohol, sugar or both in water?",
	Inputs: []Input{
		{Name: "ethanol", Help: `alcohol: "12 %vol" or "10 %mass" (default none)`},
		{Name: "sugar", Help: `sugar: "200 g/L" or "20 %mass" (default none)`},
		{Name: "sugar-kind", Help: "which sugar", Choices: sugarKinds},
		{Name: "at", Help: `temperature: "20 C", "68 F" (default 20 C)`},
	},
	Examples: []string{`--sugar "20 %mass" --at "20 C"`, `--ethanol "12 %vol" --sugar "50 g/L" --sugar-kind invert`},
	Method: "Volumes of water with alcohol and of each sugar as it lies in water are added. " +
		"% vol and g/L are in the liquid at 20 °C.",
	Sources: []string{"tanaka2001", "oiml-r22", "icumsa-sps4", "crc102-wolf"},
	Valid:   "0 to 40 °C; sucrose to 70 % mass, other sugars to 48; ethanol to 100 % vol alone, to 30 % mass with sugar",
	reckon: func(r *reckoning) error {
		kind, err := r.choice("sugar-kind")
		if err != nil {
			return err
		}
		ethanol, err := r.or("ethanol", 0, measure.Strength, measure.Fraction)
		if err != nil {
			return err
		}
		sugar, err := r.or("sugar", 0, measure.Concentration, measure.Fraction)
		if err != nil {
			return err
		}
		at, err := r.or("at", 20, measure.Temperature)
		if err != nil {
			return err
		}
		s, err := solution(ethanol, sugar, kind)
		if err != nil {
			return err
		}
		r.step("in 100 g: %.3f g ethanol, %.3f g %s", 100*s.Ethanol, 100*(s.Sucrose+s.Glucose+s.Fructose), kind)
		r.step("density of the whole at %.2f °C [tanaka2001, oiml-r22, icumsa-sps4, crc102-wolf]", at.is)
		r.step("gravity: its density at 20 °C over that of water, %.3f kg/m3 [tanaka2001]", density.FromGravity(1))
		return r.give(func() ([]float64, error) {
			s, err := solution(ethanol, sugar, kind)
			if err != nil {
				return nil, err
			}
			rho, err := density.Must(s, measure.Celsius(at.is))
			if err != nil {
				return nil, err
			}
			at20, err := density.Must(s, 20)
			return []float64{float64(rho), float64(density.Gravity(at20))}, err
		}, output{"density", "density", "kg/m3"}, sg)
	},
}

// solution finds mass fractions from ethanol in % vol or g/g and sugar in g/L or g/g.
// What was said by volume needs the density, which needs the mass fractions: found by
// going round, since each round brings it nearer by a factor of three or more.
//
// Errors: *property.RangeError.
func solution(ethanol, sugar *known, kind string) (density.Solution, error) {
	var s density.Solution
	if ethanol.kind == measure.Strength && sugar.is == 0 {
		p, err := density.MassFromPercentVol(measure.PercentVol(ethanol.is))
		return density.Solution{Ethanol: p}, err
	}
	rho := 998.2 // a guess that is near the answer
	if sugar.kind == measure.Concentration {
		rho += 0.385 * sugar.is
	}
	if ethanol.kind == measure.Strength {
		rho -= 1.25 * ethanol.is
	}
	for range 100 {
		p, w := ethanol.is, sugar.is
		if ethanol.kind == measure.Strength {
			p *= density.EthanolAt20 / 100 / rho
		}
		if sugar.kind == measure.Concentration {
			w /= rho
		}
		s = dissolved(p, w, kind)
		next, err := density.Must(s, 20)
		if err != nil {
			return s, err
		}
		if math.Abs(float64(next)-rho) < 1e-9 {
			return s, nil
		}
		rho = float64(next)
	}
	return s, errors.New("no density was found for so much sugar and ethanol")
}

// dissolved is p ethanol and w sugar, g/g.
func dissolved(p, w float64, kind string) density.Solution {
	s := density.Solution{Ethanol: measure.MassFraction(p)}
	sugar := measure.MassFraction(w)
	switch kind {
	case "sucrose":
		s.Sucrose = sugar
	case "glucose":
		s.Glucose = sugar
	case "fructose":
		s.Fructose = sugar
	case "invert":
		s.Glucose, s.Fructose = sugar/2, sugar/2
	default:
		panic("calc: no sugar is called " + kind)
	}
	return s
}

var calcConvertGravity = Calculation{
	Name:     "convert-gravity",
	Question: "What is a gravity on the other scales, and how much sugar is that?",
	Inputs: []Input{
		{Name: "sg", Help: "specific gravity 20/20: 1.098"},
		{Name: "brix", Help: "g sucrose in 100 g: 23.3"},
		{Name: "plato", Help: "the same: 23.3"},
		{Name: "oechsle", Help: "thousandths above water: 98"},
		{Name: "baume", Help: "degrees Baumé, modulus 145: 13"},
	},
	Examples: []string{"--sg 1.098", "--oechsle 85"},
	Method:   "The scale gives the density at 20 °C; Brix, Plato and g/L are of sucrose in water as dense as that.",
	Sources:  []string{"icumsa-sps4", "tanaka2001", "baume-145", "definition"},
	Valid:    "1 to 1.3499 SG (70 % mass); in what has alcohol in it, Brix and sugar are only apparent",
	reckon: func(r *reckoning) error {
		scale, err := r.oneOf("sg", "brix", "plato", "oechsle", "baume")
		if err != nil {
			return err
		}
		reading, err := r.onScale(scale)
		if err != nil {
			return err
		}
		gravity := func() (measure.Gravity, error) {
			switch scale {
			case "oechsle":
				return density.FromOechsle(reading.is), nil
			case "baume":
				return density.FromBaume(reading.is)
			}
			return gravityOf(reading)
		}
		central, err := gravity()
		if err != nil {
			return err
		}
		r.step("%s %g is SG %.5f, %.2f kg/m3 at 20 °C", scale, reading.is, central, density.FromGravity(central))
		r.step("sucrose in water as dense as that, found from its density [icumsa-sps4]: Brix, Plato, g/L")
		r.step("Oechsle 1000 (SG - 1); Baumé 145 - 145/SG, SG as weighed in air [baume-145]")
		return r.give(func() ([]float64, error) {
			g, err := gravity()
			if err != nil {
				return nil, err
			}
			w, err := density.SucroseFromGravity(g)
			if err != nil {
				return nil, err
			}
			rho := float64(density.FromGravity(g))
			brix := 100 * float64(w)
			return []float64{float64(g), brix, brix, density.Oechsle(g), density.Baume(g), float64(w) * rho, rho}, nil
		}, sg, output{"brix", "Brix", "°Bx"}, output{"plato", "Plato", "°P"}, output{"oechsle", "Oechsle", "°Oe"},
			output{"baume", "Baumé", "°Bé"}, output{"sugar", "sugar", "g/L"}, output{"density", "density at 20 °C", "kg/m3"})
	},
}

// scaleUnits are ways to write a unit that measure does not know, and how well an
// instrument with that scale tells: a thousandth of gravity, assumed.
var scaleUnits = map[string]struct {
	names []string
	sd    float64
}{
	"oechsle": {[]string{"oechsle", "oe"}, 1},
	"baume":   {[]string{"baume", "baumé", "be", "bé"}, 0.15},
}

// onScale understands a reading on the scale that the input is named for, which is a
// unit in itself.
func (r *reckoning) onScale(name string) (*known, error) {
	switch name {
	case "sg":
		return r.needed(name, measure.SG)
	case "brix", "plato":
		return r.needed(name, measure.Brix)
	}
	unit := scaleUnits[name]
	words := strings.TrimSpace(strings.ReplaceAll(strings.ToLower(r.said(name)), "°", ""))
	for _, u := range unit.names {
		if rest, ok := strings.CutSuffix(words, u); ok {
			words = strings.TrimSpace(rest)
			break
		}
	}
	x, err := number(words)
	if err != nil || math.Abs(x) > 1000 {
		return nil, ask(name, r.said(name), fmt.Sprintf("write --%s %g", name, 12.), errors.New("is no reading on that scale"))
	}
	return r.constant(x, unit.sd), nil
}

var calcHydrometer = Calculation{
	Name:     "hydrometer",
	Question: "What is the gravity, when the sample was not at the hydrometer's temperature?",
	Inputs: []Input{
		{Name: "reading", Help: `what it showed: 1.098, "23 Bx", "1.032 at 72 F"`},
		{Name: "at", Help: `temperature of the sample: "72 F"`},
		{Name: "calibrated", Help: `temperature that the hydrometer is made for: "20 C", "60 F" (default 20 C)`},
		{Name: "ethanol", Help: `alcohol in the sample: "8 %vol" (default none)`},
	},
	Examples: []string{`--reading 1.098 --at "30 C"`, `--reading "1.032 at 72 F" --calibrated "60 F" --ethanol "8 %vol"`},
	Method: "The reading is a density at the sample's temperature, the glass being wider when warm. The sugar that " +
		"would be as dense there, beside the alcohol given, tells the density at 20 °C.",
	Sources: []string{"iso1768", "icumsa-sps4", "oiml-r22", "tanaka2001"},
	Valid:   "0 to 40 °C; readings of 0.95 to 1.35 SG; ethanol to 30 % mass",
	reckon: func(r *reckoning) error {
		reading, at, err := r.reading("reading")
		if err != nil {
			return err
		}
		switch {
		case at != nil && r.said("at") != "":
			return ask("at", r.said("at"), "leave one of them out", errors.New("the reading has a temperature already"))
		case at == nil:
			if at, err = r.needed("at", measure.Temperature); err != nil {
				return err
			}
		}
		calibrated, err := r.or("calibrated", 20, measure.Temperature)
		if err != nil {
			return err
		}
		ethanol, err := r.or("ethanol", 0, measure.Strength)
		if err != nil {
			return err
		}
		corrected := func() ([]float64, error) {
			p, err := density.MassFromPercentVol(measure.PercentVol(ethanol.is))
			if err != nil {
				return nil, err
			}
			shown, err := shownSG(reading, calibrated)
			if err != nil {
				return nil, err
			}
			g, rho, err := density.CorrectHydrometer(shown, measure.Celsius(at.is), measure.Celsius(calibrated.is), p)
			return []float64{float64(g), float64(rho), float64(g - shown)}, err
		}
		shown, err := shownSG(reading, calibrated)
		if err != nil {
			return err
		}
		r.step("the hydrometer showed SG %.5f on a scale for %.2f °C", shown, calibrated.is)
		r.step("density at %.2f °C: SG times water at %.2f °C [tanaka2001], less 25e-6 for each K of warmth of the glass [iso1768]", at.is, calibrated.is)
		r.step("sugar that is as dense there, beside %.2f %% vol; its density at 20 °C [icumsa-sps4, oiml-r22]", ethanol.is)
		return r.give(corrected, sg, output{"density", "density at 20 °C", "kg/m3"}, output{"correction", "correction", gravityUnit})
	},
}

// shownSG is a reading as SG at the hydrometer's own temperature.
func shownSG(reading, calibrated *known) (measure.Gravity, error) {
	if reading.kind != measure.Brix {
		return measure.Gravity(reading.is), nil
	}
	t := measure.Celsius(calibrated.is)
	rho, err := density.Sucrose(measure.MassFraction(reading.is/100), t)
	if err != nil {
		return 0, err
	}
	water, err := density.Water(t)
	return measure.Gravity(rho / water), err
}

// reading understands what a hydrometer showed, and the temperature if it was said.
func (r *reckoning) reading(name string) (reading, at *known, err error) {
	words := r.said(name)
	if words == "" {
		return nil, nil, r.missing(name)
	}
	q, sample, err := measure.ParseReading(words, r.sys)
	if err != nil {
		return nil, nil, ask(name, words, "", err)
	}
	if q.Kind != measure.SG && q.Kind != measure.Brix {
		return nil, nil, ask(name, words, "", fmt.Errorf("that is a %s, not a %s", q.Kind, measure.SG))
	}
	reading = r.quantity(q)
	if sample != nil {
		at = r.quantity(*sample)
	}
	return reading, at, nil
}
