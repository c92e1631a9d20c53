package heat

import (
	"skep/internal/measure"
	"skep/internal/property"
)

// PerHexose is the heat of fermentation, kJ per gram of hexose: about 100 kJ/mol
// [colombie2007] over 180.156 g/mol. Formation enthalpies give 1 % more.
const PerHexose = 100 / 180.156

// Power returns the watts given off while so many grams of hexose ferment in an hour.
//
// Valid:  any rate.
// Check:  1.4 W at 9 g/h (TestHeatOfFermentation).
// Source: [colombie2007].
func Power(gramsPerHour float64) float64 { return gramsPerHour * PerHexose * 1000 / 3600 }

// Rise returns by how many K a working must stays above its surroundings when it has
// come to rest, if each litre ferments so many grams of hexose an hour.
//
// Valid:  contents 0.1 to 1000 L, rate 0 to 10 g/(L h).
// Check:  within the rounding of two computed rows (TestHeatOfFermentation).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [colombie2007] heat, [heat-transfer-assumed] loss, hence ±40 % in the loss.
func (v Vessel) Rise(contents measure.Litres, rate float64) (measure.Range, error) {
	const call = "heat.Vessel.Rise"
	if err := litres(call, contents); err != nil {
		return measure.Range{}, err
	}
	if err := property.Within(call, "rate", rate, 0, 10, "g/(L h)"); err != nil {
		return measure.Range{}, err
	}
	k := Power(rate*float64(contents)) / v.loss(contents)
	return measure.Range{Value: k, Unit: "K", Low: k / (1 + spreadUA), High: k / (1 - spreadUA)}, nil
}
