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
		jug := gas.ClosedBottle{
			Volume: volume, Headspace: headspace, Yield: gas.CarefulYield, Law: gas.Least,
			Liquid: gas.Liquid{Ethanol: measure.PercentVol(m.EthanolPct), Sugar: measure.GramsPerLitre(m.SugarGL)},
		}
		perGram, err := jug.PerGram(t)
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
