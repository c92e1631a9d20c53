package density

import (
	"skep/internal/measure"
	"skep/internal/property"
)

// The temperatures every function of this package is made for, °C.
const coldest, warmest = 0, 40

// Water returns the density of air-free water at 1 atm.
//
//	ρ(t) = a₅ [1 − (t + a₁)² (t + a₂) / (a₃ (t + a₄))]
//
// Valid:  t 0 to 40 °C.
// Check:  within 0.0001 kg/m³ of 10 computed values, and 0.004 of an older formula (TestWater).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [tanaka2001] formula and a₁ to a₅.
func Water(t measure.Celsius) (measure.Density, error) {
	if err := temperature("density.Water", t); err != nil {
		return 0, err
	}
	return measure.Density(water(float64(t))), nil
}

func water(t float64) float64 {
	const a1, a2, a3, a4, a5 = -3.983035, 301.797, 522528.9, 69.34881, 999.974950
	return a5 * (1 - (t+a1)*(t+a1)*(t+a2)/(a3*(t+a4)))
}

var waterAt20 = water(20)

func temperature(call string, t measure.Celsius) error {
	return property.Within(call, "temperature", float64(t), coldest, warmest, "°C")
}

// share checks a mass fraction; limits and message are in % mass.
func share(call, what string, w measure.MassFraction, low, high float64) error {
	return property.Within(call, what, 100*float64(w), low, high, "% mass")
}
