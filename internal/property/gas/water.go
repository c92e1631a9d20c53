package gas

import (
	"math"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/property/density"
)

const (
	kelvin = 273.15
	molar  = 44.0095   // g/mol of CO2, [masses]
	r      = 0.0831446 // gas constant, L bar/(mol K)

	// Atmosphere is 1 atm.
	Atmosphere measure.Bar = 1.01325
)

// The temperatures of this package, °C: those of the density of water.
const coldest, warmest = 0, 40

// Volumes returns litres of CO2, at 0 °C and 1 atm, in a litre.
//
// Valid:  any concentration.
// Check:  1.977 g/L is one volume (TestVolumes).
// Source: [srd106] molar volume 22.2605 L/mol; [masses].
func Volumes(c measure.GramsPerLitre) float64 { return float64(c) / perVolume }

// FromVolumes returns g/L of CO2 from litres, at 0 °C and 1 atm, in a litre.
//
// Valid:  any number of volumes.
// Source: [srd106] as Volumes; [masses].
func FromVolumes(v float64) measure.GramsPerLitre { return measure.GramsPerLitre(v * perVolume) }

const perVolume = molar / 22.2605 // g/L

// InWater returns the CO2 in pure water under the given partial pressure of CO2.
//
//	ln(H/MPa) = −6.8346 + 12817/T − 3.7668·10⁶/T² + 2.997·10⁸/T³,  x = fugacity/H
//
// x is the mole fraction; the fugacity is p exp(Bp/RT) with the second virial coefficient B.
//
// Valid:  p 0 to 10 bar, t 0 to 40 °C.
// Check:  within 0.3 % of 12 printed mole fractions, to 50 °C (TestCO2InWater).
// Water itself is known to 2 %: measurements of others, walked there too, differ by that.
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [carroll1991] for H, [weiss1974] for B, both from memory and tested; [tanaka2001].
func InWater(p measure.Bar, t measure.Celsius) (measure.GramsPerLitre, error) {
	const call = "gas.InWater"
	if err := property.Within(call, "pressure", float64(p), 0, 10, "bar"); err != nil {
		return 0, err
	}
	if err := temperature(call, t); err != nil {
		return 0, err
	}
	rho, err := density.Water(t)
	if err != nil {
		return 0, err
	}
	x := moleFraction(float64(p), float64(t))
	const waterMolar = 18.01528 // g/mol, [masses]
	return measure.GramsPerLitre(x / (1 - x) * float64(rho) / waterMolar * molar), nil
}

func moleFraction(p, t float64) float64 {
	kelvins := t + kelvin
	// B in cm³/mol; R in cm³ bar/(mol K)
	b := -1636.75 + kelvins*(12.0408+kelvins*(-3.27957e-2+kelvins*3.16528e-5))
	fugacity := p * math.Exp(b*p/(1000*r*kelvins))
	return fugacity / henry(t)
}

// henry returns fugacity over mole fraction, bar.
func henry(t float64) float64 {
	k := t + kelvin
	return 10 * math.Exp(-6.8346+1.2817e4/k-3.7668e6/(k*k)+2.997e8/(k*k*k))
}

// WaterVapour returns the pressure of water vapour over water. Over wine it is a little
// less; the difference is left out.
//
//	ln(p/p_c) = (T_c/T)(a₁τ + a₂τ^1.5 + a₃τ³ + a₄τ^3.5 + a₅τ⁴ + a₆τ^7.5),  τ = 1 − T/T_c
//
// Valid:  t 0 to 40 °C.
// Check:  within 0.0001 bar of 4 rows (TestClosedBottleChain).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [wagner2002], from memory and tested.
func WaterVapour(t measure.Celsius) (measure.Bar, error) {
	if err := temperature("gas.WaterVapour", t); err != nil {
		return 0, err
	}
	return measure.Bar(waterVapour(float64(t))), nil
}

func waterVapour(t float64) float64 {
	const critical, criticalBar = 647.096, 220.64 // K, bar
	k := t + kelvin
	tau := 1 - k/critical
	root := math.Sqrt(tau)
	return criticalBar * math.Exp(critical/k*tau*(-7.85951783+1.84408259*root+
		tau*tau*(-11.7866497+22.6807411*root-15.9618719*tau)+
		1.80122502*math.Pow(tau, 6)*root))
}

func temperature(call string, t measure.Celsius) error {
	return property.Within(call, "temperature", float64(t), coldest, warmest, "°C")
}
