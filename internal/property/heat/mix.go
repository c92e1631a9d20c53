package heat

import (
	"errors"

	"skep/internal/measure"
	"skep/internal/property"
)

// Specific heats for parts of a mixture, kJ/(kg K); both from memory, unverified.
const (
	WaterHeat = 4.182 // at 20 °C
	GlassHeat = 0.84  // soda-lime
)

// SpecificHeat returns the specific heat of sugar in water, kJ/(kg K). Alcohol is not
// counted: 5 to 15 % of it leaves that of water about as it is (from memory, unverified).
//
//	c = 4.1868 − B (0.0297 − 4.6·10⁻⁵ P) + 7.5·10⁻⁵ B t
//
// B is % mass of sugar, P its purity, here 100.
//
// Valid:  solids 0 to 0.85, t 0 to 100 °C.
// Check:  two figures printed for honey lie 1 and 7 % above it, which is what is known of
// honey (TestSpecificHeat).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [bubnik1995], from memory; honey [honey-heat].
func SpecificHeat(solids measure.MassFraction, t measure.Celsius) (float64, error) {
	const call = "heat.SpecificHeat"
	if err := property.Within(call, "sugar", 100*float64(solids), 0, 85, "% mass"); err != nil {
		return 0, err
	}
	if err := temperature(call, t); err != nil {
		return 0, err
	}
	b := 100 * float64(solids)
	return 4.1868 - b*(0.0297-4.6e-5*100) + 7.5e-5*b*float64(t), nil
}

// Part is one thing that goes into a mixture; the vessel can be one.
type Part struct {
	Mass         measure.Grams
	Temperature  measure.Celsius
	SpecificHeat float64 // kJ/(kg K)
}

// ErrNothing says that there was nothing to mix.
var ErrNothing = errors.New("heat.Mix: nothing with a mass to mix")

// Mix returns the temperature of parts stirred together, when no heat is lost. The
// small heat of dilution is left out.
//
//	t = Σ mᵢ cᵢ tᵢ / Σ mᵢ cᵢ
//
// Valid:  masses 0 or more, 0 to 100 °C, specific heats 0 to 5 kJ/(kg K).
// Check:  equal parts give the mean; order does not matter (TestMix).
// Errors: ErrNothing; *property.RangeError outside the valid range; never NaN.
// Source: [textbook] conservation of energy.
func Mix(parts []Part) (measure.Celsius, error) {
	const call = "heat.Mix"
	capacity, heat := 0.0, 0.0
	for _, p := range parts {
		if err := temperature(call, p.Temperature); err != nil {
			return 0, err
		}
		if err := property.Within(call, "mass", float64(p.Mass), 0, 1e9, "g"); err != nil {
			return 0, err
		}
		if err := property.Within(call, "specific heat", p.SpecificHeat, 0, 5, "kJ/(kg K)"); err != nil {
			return 0, err
		}
		capacity += float64(p.Mass) * p.SpecificHeat
		heat += float64(p.Mass) * p.SpecificHeat * float64(p.Temperature)
	}
	if capacity == 0 {
		return 0, ErrNothing
	}
	return measure.Celsius(heat / capacity), nil
}

func temperature(call string, t measure.Celsius) error {
	return property.Within(call, "temperature", float64(t), 0, 100, "°C")
}
