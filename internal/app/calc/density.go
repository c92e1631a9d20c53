package calc

import (
	"errors"
	"math"

	"skep/internal/measure"
	"skep/internal/must"
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
