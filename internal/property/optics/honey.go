package optics

import (
	"math"

	"skep/internal/measure"
	"skep/internal/property"
)

// The table of [wedmore] goes from the one to the other, n at 20 °C.
const driestHoney, wettestHoney = 1.5044, 1.4740

// HoneyWater returns the water in a honey from its refractive index at t.
//
//	W = (−0.26810 − log₁₀(n₂₀ − 1)) / 0.002243,   n₂₀ = n + 0.00023 (t − 20)
//
// W is g per 100 g. The first number is often printed as 1.73190, having lost the bar
// over its 1.
//
// Valid:  n at 20 °C from 1.4740 to 1.5044, which is 25 to 13 % water; t 15 to 40 °C, our choice.
// Check:  within 0.03 g/100 g of 37 printed rows (TestHoneyWater).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [wedmore] formula, table and temperature.
func HoneyWater(n float64, t measure.Celsius) (measure.MassFraction, error) {
	const call = "optics.HoneyWater"
	if err := property.Within(call, "temperature", float64(t), 15, 40, "°C"); err != nil {
		return 0, err
	}
	at20 := n + 0.00023*(float64(t)-20)
	if err := property.Within(call, "refractive index at 20 °C", at20, wettestHoney, driestHoney, "nD"); err != nil {
		return 0, err
	}
	return measure.MassFraction((-0.26810 - math.Log10(at20-1)) / 0.002243 / 100), nil
}
