package gas

import (
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/property/density"
)

// Law is how the solubility of CO2 in wine follows temperature away from 20 °C.
type Law int

// The laws. Beyond 15 % vol and 100 g/L of sugar the formula of [oiv-as314-01] is not
// printed as valid, and Steep and Flat refuse. Least goes on along its straight lines,
// to 20 % vol and 250 g/L, and Most stops at the last printed value: solubility falls
// with sugar and alcohol but ever less (from memory, unverified), so that the two stay
// bounds and are no values.
const (
	Least Law = iota // the lower of both: the most pressure, for judging a closed bottle
	Most             // the higher of both: the most gas kept, for judging what is dissolved
	Steep            // dissolution enthalpy of champagne, 2983 K
	Flat             // as CO2 in water
)

func (l Law) String() string {
	if l < Least || l > Flat {
		return fmt.Sprintf("law %d", int(l))
	}
	return [...]string{"least", "most", "steep", "flat"}[l]
}

// What the formula is printed for, and how far Least goes on.
const (
	printedStrength, boundStrength = 15, 20   // % vol
	printedSugar, boundSugar       = 100, 250 // g/L
)

// Liquid is what decides how much gas a wine can hold.
type Liquid struct {
	Ethanol measure.PercentVol
	Sugar   measure.GramsPerLitre // all that is dissolved and stays
}

// Solubility returns the g/L of CO2 in wine per bar of CO2.
//
//	c/p = 1.951·10⁻⁵ Pa⁻¹ (0.86 − 0.01 A)(1 − 0.00144 S) φ(t)
//	steep: φ = exp[2983 (1/T − 1/293.15)]    flat: φ = H(20) ρ(t) / (H(t) ρ(20))
//
// A is % vol and S sugar in g/L. H and ρ are those of water.
//
// Valid:  t 0 to 40 °C; A 0 to 15 and S 0 to 100, for Least and Most to 20 and 250.
// Check:  within 0.0001 g/L of 64 computed rows at 20 °C (TestWineAt20). Away from 20 °C
// steep and flat enclose a printed pressure in champagne (TestChampagneBottle).
// Errors: *property.RangeError outside the valid range; never NaN. Panics on an unknown law.
// Source: [oiv-as314-01] at 20 °C; [dissolution-heat] steep, from memory and tested; [carroll1991] flat.
func Solubility(l Liquid, t measure.Celsius, law Law) (float64, error) {
	const call = "gas.Solubility"
	strength, sugar := float64(l.Ethanol), float64(l.Sugar)
	maxStrength, maxSugar := float64(printedStrength), float64(printedSugar)
	if law == Least || law == Most {
		maxStrength, maxSugar = boundStrength, boundSugar
	}
	if err := property.Within(call, "strength", strength, 0, maxStrength, "% vol"); err != nil {
		return 0, err
	}
	if err := property.Within(call, "sugar", sugar, 0, maxSugar, "g/L"); err != nil {
		return 0, err
	}
	if err := temperature(call, t); err != nil {
		return 0, err
	}
	if law == Most {
		strength, sugar = min(strength, printedStrength), min(sugar, printedSugar)
	}
	const perBar = 1.951e-5 * 1e5
	at20 := perBar * (0.86 - 0.01*strength) * (1 - 0.00144*sugar)
	steep := math.Exp(2983 * (1/(float64(t)+kelvin) - 1/(20+kelvin)))
	flat, err := flatFactor(t)
	if err != nil {
		return 0, err
	}
	switch law {
	case Least:
		return at20 * min(steep, flat), nil
	case Most:
		return at20 * max(steep, flat), nil
	case Steep:
		return at20 * steep, nil
	case Flat:
		return at20 * flat, nil
	}
	panic("gas: unknown " + law.String())
}

func flatFactor(t measure.Celsius) (float64, error) {
	rho, err := density.Water(t)
	if err != nil {
		return 0, err
	}
	at20, err := density.Water(20)
	if err != nil {
		return 0, err
	}
	return henry(20) / henry(float64(t)) * float64(rho) / float64(at20), nil
}

// Dissolved returns the CO2 in a wine under a partial pressure of CO2, absolute.
//
// Valid:  p 0 to 20 bar; else as Solubility. The formula is for sparkling and
// semi-sparkling wine, in practice to about 7 bar.
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [oiv-as314-01] as Solubility.
func Dissolved(p measure.Bar, l Liquid, t measure.Celsius, law Law) (measure.GramsPerLitre, error) {
	if err := property.Within("gas.Dissolved", "pressure", float64(p), 0, 20, "bar"); err != nil {
		return 0, err
	}
	k, err := Solubility(l, t, law)
	return measure.GramsPerLitre(k * float64(p)), err
}

// Pressure returns the partial pressure of CO2, absolute, that keeps c in solution: the
// inverse of Dissolved.
//
// Valid:  c 0 to 40 g/L; else as Solubility.
// Check:  Dissolved takes it back within 1e-12 (TestPressureRoundTrip).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [oiv-as314-01] as Solubility.
func Pressure(c measure.GramsPerLitre, l Liquid, t measure.Celsius, law Law) (measure.Bar, error) {
	if err := property.Within("gas.Pressure", "CO2", float64(c), 0, 40, "g/L"); err != nil {
		return 0, err
	}
	k, err := Solubility(l, t, law)
	if err != nil {
		return 0, err
	}
	return measure.Bar(float64(c) / k), nil
}

// Saturated returns the CO2 in a wine that stands open under its own gas at 1 atm.
//
// Valid:  as Solubility.
// Check:  within 0.006 g/L of 40 computed values (TestSaturation).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [oiv-as314-01] as Solubility; [wagner2002].
func Saturated(l Liquid, t measure.Celsius, law Law) (measure.GramsPerLitre, error) {
	k, err := Solubility(l, t, law)
	if err != nil {
		return 0, err
	}
	return measure.GramsPerLitre(k * (float64(Atmosphere) - waterVapour(float64(t)))), nil
}
