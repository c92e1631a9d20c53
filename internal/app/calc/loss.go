package calc

import (
	"fmt"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/gas"
)

// What the scale loses beside CO2: water and alcohol that the gas carries off, g for
// each gram of CO2. Water vapour at 20 °C is 0.0097, alcohol as measured in closed
// ferments 0.006 to 0.009 if all of it leaves; the lock gives some back, assumed.
const carriedOff, carriedOffSD = 0.015, 0.005

// heldSD is how far what a young wine holds may be from saturation, g/L; assumed.
const heldSD = 0.3

// lossMethod is said of what is reckoned from a weight.
const lossMethod = "The weight lost is CO2, and 1.5 % of it water and alcohol that the gas carried off (assumed, 1 to 2 %); " +
	"CO2 that the wine still holds, as saturated at 20 °C, has been made too."

// weighing is what a reckoning from lost weight goes by.
type weighing struct{ loss, volume, yield, carried, held *known }

func (r *reckoning) weighing() (weighing, error) {
	loss, err := r.needed("mass-loss", measure.Mass)
	if err != nil {
		return weighing{}, err
	}
	volume, err := r.litres("volume")
	if err != nil {
		return weighing{}, err
	}
	// The wine is taken as 10 % vol: between 5 and 15 it holds 6 % more or less.
	saturated, err := gas.Saturated(gas.Liquid{Ethanol: 10}, 20, gas.Most)
	return weighing{
		loss: loss, volume: volume,
		yield:   r.constant(must.EthanolYield, must.EthanolYieldSD),
		carried: r.constant(carriedOff, carriedOffSD),
		held:    r.constant(float64(saturated), heldSD),
	}, err
}

// ferment ferments a litre of must until its jug has lost that weight, or is dry.
func (w weighing) ferment(start must.Must) (fermented, error) {
	made := 0.0
	if lost := w.loss.is / w.volume.is; lost > 0 {
		made = lost/(1+w.carried.is) + w.held.is
	}
	hexose := start.Hexose(must.SlowShare)
	taken := min(hexose, made/gasPerEthanol/w.yield.is)
	return fermentedTo(start, hexose-taken, w.yield.is)
}

// first is ferment for the first time: it refuses what all the sugar could not lose even
// at the ends of the ranges, and tells the steps.
func (r *reckoning) first(w weighing, start must.Must) error {
	f, err := w.ferment(start)
	if err != nil {
		return err
	}
	most := f.hexose * w.yield.high * gasPerEthanol * (1 + w.carried.high)
	if w.loss.low/w.volume.high > most {
		return ask("mass-loss", r.said("mass-loss"), "check the weights, the volume and the sugar",
			fmt.Errorf("is more than the %.0f g/L that %.0f g/L of sugar can lose", most, f.said))
	}
	r.step("%.1f g lost from %.3f L, without what the gas carried off and with what the wine still holds, is %.1f g/L of CO2",
		w.loss.is, w.volume.is, f.gas)
	r.step("that comes with %.1f g/L of ethanol [masses] and takes %.1f of the %.1f g/L of hexose", f.ethanol, f.taken, f.hexose)
	r.step("1 L of must has become %.4f L of SG %.4f; %.2f %% vol [oiml-r22]", f.litres, f.to, f.strength)
	return nil
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
		w, err := r.weighing()
		if err != nil {
			return err
		}
		og, err := r.needed("og", measure.SG, measure.Brix)
		if err != nil {
			return err
		}
		start, err := r.mustVariables(og)
		if err != nil {
			return err
		}
		m, err := start()
		if err != nil {
			return err
		}
		if err := r.first(w, m); err != nil {
			return err
		}
		return r.give(func() ([]float64, error) {
			m, err := start()
			if err != nil {
				return nil, err
			}
			f, err := w.ferment(m)
			return []float64{f.strength, (f.hexose - f.taken) / f.litres, float64(f.to)}, err
		}, output{"ethanol", "alcohol so far", "% vol"}, output{"sugar_left", "sugar left, as hexose", "g/L"}, sg)
	},
}
