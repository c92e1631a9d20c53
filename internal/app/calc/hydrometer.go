package calc

import (
	"errors"
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/property/density"
)

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

// settle calls reckon, which corrects a reading for the ethanol in the sample and returns
// that ethanol, g/g, until the two agree. Without a temperature nothing is corrected.
func settle(at *known, reckon func(ethanol float64) (float64, error)) error {
	ethanol, err := reckon(0)
	if at == nil || err != nil {
		return err
	}
	for range 20 { // each round is nearer by a factor of five or more
		next, err := reckon(ethanol)
		if err != nil || math.Abs(next-ethanol) < 1e-7 {
			return err
		}
		ethanol = next
	}
	return errors.New("no strength was found that agrees with the reading at its temperature")
}
