package density

import (
	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/solve"
)

// StrengthByResidue returns the strength of a wine, and its extract, from two gravities:
// its own and that of its residue, the same sample once its alcohol has been boiled off and
// its volume restored with water at the same temperature.
//
// The residue is extract in water, weighed as sucrose; it holds as many grams in a litre as
// the wine did. The ethanol is found that, beside them, makes the wine as dense as it is.
//
// Valid:  residue 1 to 1.2 SG, no lighter than the wine; strength to 30 % mass.
// Check:  within 0.21 % vol of 12 computed rows to 14 % vol, 0.55 of four at 18; the rules
// part most with much sugar (TestStrengthByResidue).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: ours, from Must; the rule of [oiv-as2-03b], that the extract is that of the residue.
func StrengthByResidue(wine, residue measure.Gravity) (measure.PercentVol, measure.GramsPerLitre, error) {
	const call = "density.StrengthByResidue"
	if err := property.Within(call, "residue", float64(residue), 1, 1.2, "SG"); err != nil {
		return 0, 0, err
	}
	extract, err := Extract(residue)
	if err != nil {
		return 0, 0, err
	}
	rho := float64(FromGravity(wine))
	s := Solution{Other: measure.MassFraction(float64(extract) / rho)}
	heavier := func(p float64) float64 {
		s.Ethanol = measure.MassFraction(p)
		return s.density(20) - rho
	}
	const most = sweetEthanolLimit / 100.
	lightest := (heavier(most) + rho) / waterAt20
	if err := property.Within(call, "wine", float64(wine), lightest, float64(residue), "SG"); err != nil {
		return 0, 0, err
	}
	if heavier(0) <= 0 { // no alcohol, and rounding
		return 0, extract, nil
	}
	p, err := solve.Root(heavier, 0, most, 1e-14)
	return measure.PercentVol(100 * p * rho / EthanolAt20), extract, err
}
