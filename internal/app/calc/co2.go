package calc

import (
	"skep/internal/measure"
	"skep/internal/property/gas"
)

var calcCO2 = Calculation{
	Name:     "co2",
	Question: "How much CO2 does a pressure keep in a wine, or which pressure keeps so much?",
	Inputs: []Input{
		{Name: "pressure", Help: `of CO2, absolute (what a gauge shows and 1.013 bar more): "2.5 bar", "36 psi"`},
		{Name: "co2", Help: `or the CO2 in it: "5 g/L", "2.5 vol"`},
		{Name: "at", Help: `temperature (default 20 C)`},
		{Name: "ethanol", Help: `alcohol: "12 %vol" (default none)`},
		{Name: "sugar", Help: `sugar: "20 g/L" (default none)`},
	},
	Examples: []string{`--pressure "2.5 bar" --at "10 C" --ethanol "12 %vol"`, `--co2 "5 g/L" --ethanol "12 %vol"`},
	Method: "CO2 is proportional to its pressure; alcohol and sugar lower it. The formula is for 20 °C: away from it two laws of " +
		"temperature hold the truth between them, the value is their mean, and the range reaches to both.",
	Sources: []string{"oiv-as314-01", "dissolution-heat", "carroll1991", "srd106"},
	Valid:   "0 to 40 °C; printed to 15 % vol and 100 g/L of sugar, to 20 and 250 only as bounds",
	reckon: func(r *reckoning) error {
		way, err := r.oneOf("pressure", "co2")
		if err != nil {
			return err
		}
		given, err := r.needed(way, map[string][]measure.Kind{
			"pressure": {measure.Pressure}, "co2": {measure.Concentration, measure.Volumes},
		}[way]...)
		if err != nil {
			return err
		}
		ethanol, err := r.or("ethanol", 0, measure.Strength)
		if err != nil {
			return err
		}
		sugar, err := r.or("sugar", 0, measure.Concentration)
		if err != nil {
			return err
		}
		at, err := r.or("at", 20, measure.Temperature)
		if err != nil {
			return err
		}
		liquid := func() gas.Liquid {
			return gas.Liquid{Ethanol: measure.PercentVol(ethanol.is), Sugar: measure.GramsPerLitre(sugar.is)}
		}
		law := r.between(0.5, 0, 1) // from Least to Most
		solubility := func() (float64, error) {
			least, err := gas.Solubility(liquid(), measure.Celsius(at.is), gas.Least)
			if err != nil {
				return 0, err
			}
			most, err := gas.Solubility(liquid(), measure.Celsius(at.is), gas.Most)
			return least + law.is*(most-least), err
		}
		k, err := solubility()
		if err != nil {
			return err
		}
		r.step("at %.2f °C the wine holds %.4f g/L for each bar of CO2 [oiv-as314-01]", at.is, k)
		amounts := func(c, p float64) []float64 {
			return []float64{c, gas.Volumes(measure.GramsPerLitre(c)), p}
		}
		r.step("one volume is %.4f g/L [srd106]", gas.FromVolumes(1))
		return r.give(func() ([]float64, error) {
			k, err := solubility()
			if err != nil {
				return nil, err
			}
			// Least only checks what the mean of both laws does not: how far gas is covered.
			if way == "pressure" {
				_, err := gas.Dissolved(measure.Bar(given.is), liquid(), measure.Celsius(at.is), gas.Least)
				return amounts(k*given.is, given.is), err
			}
			c := dissolvedGL(given)
			_, err = gas.Pressure(measure.GramsPerLitre(c), liquid(), measure.Celsius(at.is), gas.Least)
			return amounts(c, c/k), err
		}, output{"co2", "CO2", "g/L"}, output{"co2_volumes", "CO2", "vol"}, output{"pressure", "pressure of CO2, absolute", "bar"})
	},
}

// dissolvedGL is CO2 in g/L, said so or in volumes.
func dissolvedGL(k *known) float64 {
	if k.kind == measure.Volumes {
		return float64(gas.FromVolumes(k.is))
	}
	return k.is
}
