package calc

import (
	"errors"
	"fmt"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property"
)

// strengthFromTwoInstruments goes by a hydrometer and a refractometer now.
func (r *reckoning) strengthFromTwoInstruments() error {
	kind, err := r.choice("sugar-kind")
	if err != nil {
		return err
	}
	fg, fgAt, err := r.reading("fg")
	if err != nil {
		return err
	}
	brix, err := r.needed("refractometer-brix", measure.Brix)
	if err != nil {
		return err
	}
	dissolved := must.Must{must.Glucose: 0.5, must.Fructose: 0.5}
	if kind == sucrose {
		dissolved = must.Must{must.Sucrose: 1}
	}
	readings := must.TwoReadings{GravitySD: fg.sd(), Brix: measure.MassFraction(brix.is / 100), BrixSD: measure.MassFraction(brix.sd() / 100)}
	var found must.Unrecorded
	if err := settle(fgAt, func(ethanol float64) (float64, error) {
		if readings.Gravity, err = corrected(fg, fgAt, ethanol); err != nil {
			return 0, err
		}
		found, err = readings.Solve(dissolved, must.SlowShare, must.EthanolYield)
		return found.Now[must.Ethanol] / float64(found.Now.LiquidMass()), err
	}); err != nil {
		if outside := new(property.RangeError); errors.As(err, &outside) && outside.Value == float64(readings.Gravity) {
			return ask("fg", r.said("fg"), "check both, at 20 °C and without gas",
				fmt.Errorf("%.4f and %.2f °Bx are not of one must: with that Brix it is from %.4f to %.4f", outside.Value, brix.is, outside.Low, outside.High))
		}
		return err
	}
	r.step("musts of every first gravity, fermented until they show %.2f °Bx [crc102-wolf]: the one that is then SG %.4f [oiml-r22] was %.4f",
		brix.is, readings.Gravity, found.First.Value)
	r.step("it has %.2f %% vol, and %.1f g/L of sugar left", found.Strength.Value, found.Sugar.Value)
	if found.Edge {
		r.note("The two readings lie a little beyond what can be: the nearest must that can is taken.")
	}
	r.note("How light bends in alcohol and sugar together is unverified, and counted in the range.")
	r.tell("ethanol", "alcohol", found.Strength)
	trade := func(first float64) float64 { return tradeRule * max(0, first-float64(readings.Gravity)) }
	first := found.First
	r.tell("comparison", "trade formula on the gravities this means", measure.Range{Value: trade(first.Value), Unit: "% vol", Low: trade(first.Low), High: trade(first.High)})
	first.Unit = gravityUnit
	r.tell("original_sg_20_20", "gravity before fermentation", first)
	r.tell("sugar_left", "sugar left, as hexose", found.Sugar)
	return nil
}
