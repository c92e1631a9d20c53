package density

import (
	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/solve"
)

// Gravity returns the specific gravity 20/20 of a liquid from its density at 20 °C.
//
// Valid:  any density.
// Source: [definition] of the scale; [tanaka2001] water.
func Gravity(at20 measure.Density) measure.Gravity {
	return measure.Gravity(float64(at20) / waterAt20)
}

// FromGravity returns the density at 20 °C of a liquid of specific gravity 20/20.
//
// Valid:  any gravity.
// Source: [definition] of the scale; [tanaka2001] water.
func FromGravity(sg measure.Gravity) measure.Density {
	return measure.Density(float64(sg) * waterAt20)
}

// SucroseFromGravity returns the sucrose in a solution in water of that gravity: times
// 100 it is °Brix and °Plato, which differ by less than 0.02 below 20.
//
// In a must that holds alcohol it is apparent: the sugar of a liquid as dense as this.
//
// Valid:  sg 1 to 1.3499, which is 70 % mass.
// Check:  within 0.002 % mass of 25 rows (TestConversions); there and back within 1e-9.
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [icumsa-sps4] at 20 °C, solved for w.
func SucroseFromGravity(sg measure.Gravity) (measure.MassFraction, error) {
	if err := property.Within("density.SucroseFromGravity", "gravity", float64(sg), 1, heaviest, "SG"); err != nil {
		return 0, err
	}
	rho := min(float64(FromGravity(sg)), sucrose(sucroseLimit/100., 20)) // rounding may pass the end
	// The error asked for shrinks with what is found, so that weak musts are as exact as strong.
	tolerance := 1e-13 * (rho - waterAt20) / spsRise[0][0]
	w, err := solve.Root(func(w float64) float64 { return sucrose(w, 20) - rho }, 0, sucroseLimit/100., tolerance)
	return measure.MassFraction(w), err
}

var heaviest = sucrose(sucroseLimit/100., 20) / waterAt20

// GravityFromSucrose returns the specific gravity 20/20 of sucrose in water.
//
// Valid:  w 0 to 0.70.
// Check:  within 0.00002 of 25 rows (TestConversions).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [icumsa-sps4] at 20 °C.
func GravityFromSucrose(w measure.MassFraction) (measure.Gravity, error) {
	if err := share("density.GravityFromSucrose", "sucrose", w, 0, sucroseLimit); err != nil {
		return 0, err
	}
	return Gravity(measure.Density(sucrose(float64(w), 20))), nil
}

// Extract returns the grams of sucrose in a litre, at 20 °C, of a solution in water of
// that gravity. For a must without alcohol it is the total dry extract.
//
// Valid:  sg 1 to 1.3499.
// Check:  within 0.25 g/L of 30 rows of [oiv-as2-03b] as remembered (logged, decides
// nothing) and 0.1 g/L of 25 computed rows (TestConversions).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [icumsa-sps4] at 20 °C.
func Extract(sg measure.Gravity) (measure.GramsPerLitre, error) {
	w, err := SucroseFromGravity(sg)
	return measure.GramsPerLitre(float64(w) * float64(FromGravity(sg))), err
}

// Oechsle returns degrees Oechsle, 1000 (SG 20/20 − 1).
//
// Valid:  any gravity.
// Source: [definition] of the scale.
func Oechsle(sg measure.Gravity) float64 { return 1000 * (float64(sg) - 1) }

// FromOechsle returns the specific gravity 20/20 of degrees Oechsle.
//
// Valid:  any number of degrees.
// Source: [definition] of the scale.
func FromOechsle(degrees float64) measure.Gravity { return measure.Gravity(1 + degrees/1000) }

// The modulus of the heavy Baumé scale in US practice. Older use has 144.32 at 15.5 °C.
const baumeModulus = 145

// Baume returns degrees Baumé of a liquid heavier than water, 145 − 145/SG, with
// the SG 20/20 as weighed in air.
//
// Valid:  any gravity above 0.
// Check:  within 0.01 degree of 25 rows (TestConversions).
// Source: [baume-145] for the modulus.
func Baume(sg measure.Gravity) float64 { return baumeModulus - baumeModulus/Apparent(sg) }

// FromBaume returns the specific gravity 20/20 (in vacuum) of degrees Baumé.
//
// Valid:  degrees below 145.
// Errors: *property.RangeError at 145 and above, and below −145.
// Source: [baume-145] for the modulus.
func FromBaume(degrees float64) (measure.Gravity, error) {
	if err := property.Within("density.FromBaume", "degrees", degrees, -baumeModulus, baumeModulus-1, "°Bé"); err != nil {
		return 0, err
	}
	return FromApparent(baumeModulus / (baumeModulus - degrees)), nil
}

// Density of air, kg/m³, by which weights in air are reduced: a convention, from memory, unverified.
const air = 1.2

// Apparent returns the ratio of weights in air at 20 °C, which older tables print as
// specific gravity.
//
//	(ρ − 1.2)/(ρ_water − 1.2)
//
// Valid:  any gravity.
// Check:  within 0.00002 of 25 rows (TestConversions).
// Source: [definition] of the scale; 1.2 kg/m³ for air is a convention.
func Apparent(sg measure.Gravity) float64 {
	return (float64(FromGravity(sg)) - air) / (waterAt20 - air)
}

// FromApparent returns the specific gravity 20/20 in vacuum of one weighed in air.
//
// Valid:  any gravity.
// Source: [definition] as Apparent.
func FromApparent(inAir float64) measure.Gravity {
	return Gravity(measure.Density(inAir*(waterAt20-air) + air))
}

// SixtyF is 60 °F, the other temperature at which hydrometers are adjusted.
const SixtyF measure.Celsius = (60 - 32) / 1.8

// Gravity60F returns the specific gravity 60/60 °F of a must, both liquids at 60 °F.
//
// Valid:  as Must.
// Check:  within 0.00002 of 25 rows of sucrose in water (TestConversions).
// Errors: as Must.
// Source: Must and [tanaka2001].
func Gravity60F(s Solution) (float64, error) {
	rho, err := Must(s, SixtyF)
	return float64(rho) / water(float64(SixtyF)), err
}
