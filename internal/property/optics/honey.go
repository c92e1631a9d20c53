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

// Printed rows of [crc102-wolf], sucrose in % mass and n at 20 °C.
var syrup = [3][2]float64{{50, 1.4201}, {70, 1.4654}, {84, 1.5010}}

// SyrupIndex returns the refractive index at 20 °C that a honey refractometer marks as so
// much sucrose: the curve of second degree through three printed rows.
//
// Valid:  w 0.70 to 0.84.
// Check:  so drawn through its neighbours, a curve gives each of two printed rows within
// 0.0001, which is 0.05 g of water in 100 g of honey (TestSyrupIndex). Allow twice that here,
// where no row is printed.
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [crc102-wolf].
func SyrupIndex(w measure.MassFraction) (float64, error) {
	if err := percent("optics.SyrupIndex", "sucrose", w, syrup[1][0], syrup[2][0]); err != nil {
		return 0, err
	}
	return parabola(syrup, 100*float64(w)), nil
}

// parabola is y at x of the curve of second degree through three points.
func parabola(points [3][2]float64, x float64) float64 {
	sum := 0.0
	for i, p := range points {
		y := p[1]
		for j, q := range points {
			if j != i {
				y *= (x - q[0]) / (p[0] - q[0])
			}
		}
		sum += y
	}
	return sum
}
