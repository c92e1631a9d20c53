package advice

import (
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/property/gas"
)

// Sealing is what becomes of a jug that is closed tight while it works.
type Sealing struct {
	Hours  measure.Range `json:"hours"`  // until the limit is passed, over those members that pass it; not known if none does
	Chance float64       `json:"chance"` // that it is ever passed, 0 to 1
}

// SealedGain returns the pressure, bar, that a jug of must gains when it is sealed now and
// left until later, by the simulation: now and later are the same members at both times,
// and what each ferments between them stays in. headspace is above the must at 20 °C.
//
// The must is taken to be saturated when it is sealed, and the yeast not to mind the
// pressure: careful for the first days, too high once the gain is tens of bar.
//
// Valid:  as gas.ClosedBottle.
// Errors: *property.RangeError outside the valid range. Panics on unequal lengths.
func SealedGain(now, later []estimate.Member, volume, headspace measure.Litres, t measure.Celsius) (measure.Range, error) {
	if len(now) != len(later) {
		panic("advice: members now and later differ in length")
	}
	gains := make([]float64, len(now))
	for i, m := range now {
		perGram, err := sealed(m, volume, headspace).PerGram(t)
		if err != nil {
			return measure.Range{}, err
		}
		gains[i] = float64(perGram) * max(0, m.HexoseGL-later[i].HexoseGL)
	}
	return measure.RangeOf(gains, "bar"), nil
}

// sealed is a jug of must as a closed bottle.
func sealed(m estimate.Member, volume, headspace measure.Litres) gas.ClosedBottle {
	return gas.ClosedBottle{
		Volume: volume, Headspace: headspace, Yield: gas.CarefulYield, Law: gas.Least,
		Liquid: gas.Liquid{Ethanol: measure.PercentVol(m.EthanolPct), Sugar: measure.GramsPerLitre(m.SugarGL)},
	}
}

// SealedJug reckons how long a jug of must, sealed now, takes to gain limit bar: at the
// present rate of each member, on the careful side. headspace is above the must at 20 °C.
//
// The gas in the headspace is CO2 at 1 atm when it is closed and the must is saturated,
// so each gram of sugar adds what ClosedBottle.PerGram says. The rate is held: pressure
// to a few bar does not stop yeast, and the time is short.
//
// Valid:  as gas.ClosedBottle; limit above 0. No published glass strength was found: a
// jug is trusted with 0 bar, and what limit to ask about is up to the caller.
// Errors: *property.RangeError outside the valid range.
func SealedJug(members []estimate.Member, volume, headspace measure.Litres, limit measure.Bar, t measure.Celsius) (Sealing, error) {
	var hours []float64
	for _, m := range members {
		perGram, err := sealed(m, volume, headspace).PerGram(t)
		if err != nil {
			return Sealing{}, err
		}
		need := float64(limit / perGram) // g/L of sugar
		perHour := m.RateGLDay / gas.CarefulYield / 24
		if perHour > 0 && m.HexoseGL >= need {
			hours = append(hours, need/perHour)
		}
	}
	s := Sealing{Hours: measure.RangeOf(hours, "h")}
	if len(members) > 0 {
		s.Chance = float64(len(hours)) / float64(len(members))
	}
	return s, nil
}
