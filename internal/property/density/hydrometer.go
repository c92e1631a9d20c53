package density

import (
	"math"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/solve"
)

// GlassExpansion is how much a glass hydrometer grows for each K, as a share of its volume:
// the conventional value of [iso1768].
const GlassExpansion = 25e-6

// The readings a hydrometer for must and wine may show.
const lightestReading, heaviestReading = 0.95, 1.35

// HydrometerReading returns what a glass hydrometer shows in a liquid of density rho
// at temperature t. Its scale is SG calibrated/calibrated: in water at the calibrated
// temperature it shows 1.
//
//	reading = ρ [1 + 25·10⁻⁶ (t − calibrated)] / ρ_water(calibrated)
//
// Read at the level surface. Foam, bubbles on the glass and the meniscus are left out.
//
// Valid:  t and calibrated 0 to 40 °C.
// Check:  CorrectHydrometer takes it back within 1e-9 (TestHydrometerRoundTrip).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [iso1768] for the glass; [tanaka2001] for the water.
func HydrometerReading(rho measure.Density, t, calibrated measure.Celsius) (measure.Gravity, error) {
	const call = "density.HydrometerReading"
	if err := temperature(call, t); err != nil {
		return 0, err
	}
	if err := temperature(call, calibrated); err != nil {
		return 0, err
	}
	return measure.Gravity(float64(rho) * glass(t, calibrated) / water(float64(calibrated))), nil
}

// glass is how much larger the hydrometer is at t than when it was calibrated.
func glass(t, calibrated measure.Celsius) float64 {
	return 1 + GlassExpansion*float64(t-calibrated)
}

// CorrectHydrometer returns specific gravity 20/20 and density at 20 °C of a sample
// that a hydrometer read at temperature t. A warm must that holds alcohol expands more
// than one that does not, hence ethanol, a mass fraction; 0 for a fresh must.
//
// The reading gives the density at t (see HydrometerReading). Then the sucrose is
// found that, with the given ethanol, is as dense at t, and its density at 20 °C is the
// answer. A sample lighter than its ethanol and water alone, which only a wrong reading
// or wrong ethanol explains, is taken to expand as those. A Brix or Plato hydrometer
// is one for SG with other figures on its paper: turn its reading into SG by GravityFromSucrose.
//
// Valid:  reading 0.95 to 1.35 if it means at most 70 % mass of sugar; t and
// calibrated 0 to 40 °C; ethanol 0 to 0.30.
// Check:  within 0.0001 of 84 computed rows (TestHydrometerAgainstTable), 0.002 °Brix of
// 28 computed rows (TestBrixHydrometerAgainstTable).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [iso1768] for the glass; densities as Must.
func CorrectHydrometer(reading measure.Gravity, t, calibrated measure.Celsius, ethanol measure.MassFraction) (measure.Gravity, measure.Density, error) {
	const call = "density.CorrectHydrometer"
	if err := temperature(call, t); err != nil {
		return 0, 0, err
	}
	if err := temperature(call, calibrated); err != nil {
		return 0, 0, err
	}
	if err := share(call, "ethanol", ethanol, 0, sweetEthanolLimit); err != nil {
		return 0, 0, err
	}
	if err := property.Within(call, "reading", float64(reading), lightestReading, heaviestReading, "SG"); err != nil {
		return 0, 0, err
	}
	rho := float64(reading) * water(float64(calibrated)) / glass(t, calibrated)
	s := Solution{Ethanol: ethanol}
	excess := func(w float64) float64 {
		s.Sucrose = measure.MassFraction(w)
		return s.density(float64(t)) - rho
	}
	most := math.Min(sucroseLimit/100., 1-float64(ethanol))
	var at20 float64
	switch {
	case excess(0) >= 0:
		s.Sucrose = 0
		at20 = rho * s.density(20) / s.density(float64(t))
	case excess(most) < 0:
		high := s.density(float64(t)) * glass(t, calibrated) / water(float64(calibrated))
		return 0, 0, property.Within(call, "reading", float64(reading), lightestReading, high, "SG")
	default:
		w, err := solve.Root(excess, 0, most, 1e-14)
		if err != nil {
			return 0, 0, err
		}
		s.Sucrose = measure.MassFraction(w)
		at20 = s.density(20)
	}
	return Gravity(measure.Density(at20)), measure.Density(at20), nil
}
