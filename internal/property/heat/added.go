package heat

import (
	"skep/internal/measure"
	"skep/internal/property"
)

// What ice takes, from memory, unverified.
const (
	Melting = 333.55 // kJ/kg, at 0 °C
	IceHeat = 2.1    // kJ/(kg K), below it
)

// Ice returns the grams of ice that bring parts to a temperature, all of it melted.
//
//	m [c_ice (0 − t_ice) + L + c_water (t − 0)] = Σ mᵢ cᵢ (tᵢ − t)
//
// Valid:  ice −30 to 0 °C, t 0 °C to the temperature of the parts mixed; parts as Mix.
// Check:  its water at 0 °C mixed in, less the heat of melting, gives t (TestIce).
// Errors: ErrNothing; *property.RangeError outside the valid range; never NaN.
// Source: [textbook] conservation of energy; [ice] its heat.
func Ice(parts []Part, ice, t measure.Celsius) (measure.Grams, error) {
	const call = "heat.Ice"
	mixed, err := Mix(parts)
	if err != nil {
		return 0, err
	}
	if err := property.Within(call, "ice", float64(ice), -30, 0, "°C"); err != nil {
		return 0, err
	}
	if err := property.Within(call, "temperature wanted", float64(t), 0, float64(mixed), "°C"); err != nil {
		return 0, err
	}
	takes := IceHeat*float64(0-ice) + Melting + WaterHeat*float64(t)
	return measure.Grams(capacity(parts) * float64(mixed-t) / takes), nil
}

// Water returns the grams of water of a temperature, hot or cold, that bring parts to
// another.
//
//	m c_water (t_water − t) = Σ mᵢ cᵢ (t − tᵢ)
//
// Valid:  t between the temperature of the parts mixed and that of the water, and not at
// the latter; 0 to 100 °C; parts as Mix.
// Check:  mixed in, it gives t (TestWater).
// Errors: ErrNothing; *property.RangeError outside the valid range; never NaN.
// Source: [textbook] conservation of energy.
func Water(parts []Part, water, t measure.Celsius) (measure.Grams, error) {
	const call = "heat.Water"
	mixed, err := Mix(parts)
	if err != nil {
		return 0, err
	}
	if err := temperature(call, water); err != nil {
		return 0, err
	}
	low, high := min(mixed, water), max(mixed, water)
	if err := property.Within(call, "temperature wanted", float64(t), float64(low), float64(high), "°C"); err != nil {
		return 0, err
	}
	if t == water && t != mixed {
		return 0, &property.RangeError{
			Call: call, What: "temperature wanted", Value: float64(t), Low: float64(low), High: float64(high), Unit: "°C, and not at that of the water",
		}
	}
	if t == mixed {
		return 0, nil
	}
	return measure.Grams(capacity(parts) * float64(t-mixed) / (WaterHeat * float64(water-t))), nil
}

// capacity is J/K.
func capacity(parts []Part) float64 {
	sum := 0.0
	for _, p := range parts {
		sum += float64(p.Mass) * p.SpecificHeat
	}
	return sum
}
