package calc

import (
	"errors"

	"skep/internal/measure"
	"skep/internal/must"
)

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

// sugarLitre is a litre, at 20 °C, of so much sugar in water.
func sugarLitre(sugar *known, kind string) (must.Must, error) {
	s, err := solution(&known{}, sugar, kind)
	if err != nil {
		return must.Must{}, err
	}
	return litreOf(s)
}
