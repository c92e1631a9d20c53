package density

import "skep/internal/measure"

// What each solute adds to water is written ρ(w, t) = ρ_water(t) + w·rise(w, t). The
// rise never divides by w, so nothing is singular in plain water.

// spsRise[i][k] is c(i, k+1) of [icumsa-sps4], belonging to uⁱ w^(k+1), u = (t − 20)/100.
// Written from memory, agreeing with two public transcriptions; what decides is
// that the printed tables are met.
var spsRise = [5][6]float64{
	{385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890},
	{-46.2720, -7.1720, 1.1597, 5.1126, 17.5254},
	{59.7712, 7.2491, 12.3630, -35.4791},
	{-47.2207, -21.6977, 27.6301},
	{18.3184, 12.3081},
}

// Cubic fits to the printed rows of [crc102-wolf] at 20 °C, up to the range in the
// name: largest residual 0.119, 0.068 and 0.059 kg/m³.
var (
	glucoseRise48  = [3]float64{379.2019, 137.9242, 8.0148}
	fructoseRise48 = [3]float64{390.6227, 124.3076, 39.4408}
	glycerolRise20 = [3]float64{228.0763, 39.6538, 63.3944}
)

// How far each may be used, % mass.
const (
	sucroseLimit  = 70
	hexoseLimit   = 48
	glycerolLimit = 20
)

// sucroseRise returns the rise of sucrose, at 20 °C and what it gains away from it.
func sucroseRise(w, t float64) (at20, shift float64) {
	u := (t - 20) / 100
	for i := len(spsRise) - 1; i > 0 && u != 0; i-- { // at 20 °C, asked for most, there is no shift
		shift = (shift + polynomial(spsRise[i][:], w)) * u
	}
	return polynomial(spsRise[0][:], w), shift
}

// Sucrose returns the density of sucrose dissolved in water.
//
//	ρ(w, t) = ρ_water(t) + Σᵢ uⁱ Σₖ cᵢₖ wᵏ,   u = (t − 20)/100
//
// w is grams of sucrose per gram of solution.
//
// Valid:  w 0 to 0.70, t 0 to 40 °C. The source goes further; our checks do not.
// Check:  within 0.10 kg/m³ of 50 printed values at 15 and 20 °C to 36 % mass
// (TestSucroseAgainstPrintedTable).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [icumsa-sps4] formula and coefficients cᵢₖ; [tanaka2001] water.
func Sucrose(w measure.MassFraction, t measure.Celsius) (measure.Density, error) {
	if err := check("density.Sucrose", "sucrose", w, sucroseLimit, t); err != nil {
		return 0, err
	}
	return measure.Density(sucrose(float64(w), float64(t))), nil
}

func sucrose(w, t float64) float64 {
	at20, shift := sucroseRise(w, t)
	return water(t) + w*(at20+shift)
}

// Glucose returns the density of glucose (anhydrous) dissolved in water.
//
// At 20 °C a cubic in w fitted to the printed table. Away from 20 °C it is moved as
// much as sucrose of the same w: an approximation, unverified.
//
// Valid:  w 0 to 0.48, t 0 to 40 °C.
// Check:  within 0.15 kg/m³ of the 17 printed values at 20 °C it was fitted to (TestSolutesAgainstPrintedTables).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [crc102-wolf] at 20 °C, [icumsa-sps4] for the shift with temperature.
func Glucose(w measure.MassFraction, t measure.Celsius) (measure.Density, error) {
	if err := check("density.Glucose", "glucose", w, hexoseLimit, t); err != nil {
		return 0, err
	}
	return likeSucrose(&glucoseRise48, w, t), nil
}

// Fructose returns the density of fructose dissolved in water, in the manner of Glucose.
//
// Valid:  w 0 to 0.48, t 0 to 40 °C.
// Check:  within 0.15 kg/m³ of the 17 printed values at 20 °C it was fitted to (TestSolutesAgainstPrintedTables).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [crc102-wolf] at 20 °C, [icumsa-sps4] for the shift with temperature.
func Fructose(w measure.MassFraction, t measure.Celsius) (measure.Density, error) {
	if err := check("density.Fructose", "fructose", w, hexoseLimit, t); err != nil {
		return 0, err
	}
	return likeSucrose(&fructoseRise48, w, t), nil
}

// Invert returns the density of invert sugar, equal masses of glucose and fructose, in water.
//
// It is not that of sucrose at the same w, and inverting sucrose gains 5.26 % of mass.
//
// Valid:  w 0 to 0.48, t 0 to 40 °C.
// Check:  between Glucose and Fructose, and their volumes add (TestInvert).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [crc102-wolf] through Glucose and Fructose; volumes added.
func Invert(w measure.MassFraction, t measure.Celsius) (measure.Density, error) {
	if err := check("density.Invert", "invert sugar", w, hexoseLimit, t); err != nil {
		return 0, err
	}
	return Must(Solution{Glucose: w / 2, Fructose: w / 2}, t)
}

// Glycerol returns the density of glycerol in water, in the manner of Glucose.
//
// Valid:  w 0 to 0.20, t 0 to 40 °C.
// Check:  within 0.15 kg/m³ of the 8 printed values at 20 °C it was fitted to (TestSolutesAgainstPrintedTables).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [crc102-wolf] at 20 °C, [icumsa-sps4] for the shift with temperature.
func Glycerol(w measure.MassFraction, t measure.Celsius) (measure.Density, error) {
	if err := check("density.Glycerol", "glycerol", w, glycerolLimit, t); err != nil {
		return 0, err
	}
	return likeSucrose(&glycerolRise20, w, t), nil
}

// likeSucrose is a cubic at 20 °C, moved with temperature as sucrose is.
func likeSucrose(rise *[3]float64, mass measure.MassFraction, temp measure.Celsius) measure.Density {
	w, t := float64(mass), float64(temp)
	_, shift := sucroseRise(w, t)
	return measure.Density(water(t) + w*(polynomial(rise[:], w)+shift))
}

func check(call, what string, w measure.MassFraction, limit float64, t measure.Celsius) error {
	if err := share(call, what, w, 0, limit); err != nil {
		return err
	}
	return temperature(call, t)
}
