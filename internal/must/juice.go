package must

import (
	"math"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/property/density"
)

// What a juice of unknown fruit is taken to be. Of what is dissolved, sugar is 0.82:
// the mean of apple, grape and pineapple juice in USDA SR26 (0.82, 0.92, 0.73). The rest
// is assumed.
const (
	juiceSugarShare  = 0.82
	juiceSugarSD     = 0.11
	juiceAcidShare   = 0.04   // as tartaric acid
	juiceNitrogen    = 0.0001 // g per g
	juiceNitrogenSD  = 0.7
	juiceLitreSD     = 0.01 // temperature, suspended pulp
	juiceUnknownAcid = "malic"
)

// FromJuice returns an ingredient made of a person's own juice, from its gravity before
// fermentation and, if measured, its pH; pH 0 means not measured.
//
// All that is dissolved weighs as sucrose would; 0.82 of it is taken as sugar, half
// glucose and half fructose, with a relative sd of 0.11. Acid and nitrogen are assumed.
//
// Valid:  gravity 1 to 1.3499; pH 2 to 7, or 0.
// Check:  the gravity of the juice is the gravity given, within 0.0005 to SG 1.1 (TestFromJuice).
// Errors: *property.RangeError.
// Source: [icumsa-sps4] by density.SucroseFromGravity; the shares as above.
func FromJuice(name string, gravity measure.Gravity, ph float64) (Ingredient, error) {
	solids, err := density.SucroseFromGravity(gravity)
	if err != nil {
		return Ingredient{}, err
	}
	if ph != 0 {
		if err := property.Within("must.FromJuice", "pH", ph, 2, 7, ""); err != nil {
			return Ingredient{}, err
		}
	}
	all := float64(solids)
	nitrogen := math.Min(juiceNitrogen, all*(1-juiceSugarShare-juiceAcidShare))
	return Ingredient{
		Name: name, Class: Juice, Measured: true,
		PerGram: Must{
			Water:       1 - all,
			Glucose:     all * juiceSugarShare / 2,
			Fructose:    all * juiceSugarShare / 2,
			Acid:        all * juiceAcidShare,
			Nitrogen:    nitrogen,
			OtherSolids: all*(1-juiceSugarShare-juiceAcidShare) - nitrogen,
		},
		SugarSD: juiceSugarSD, YANSD: juiceNitrogenSD,
		Litre: float64(density.FromGravity(gravity)), CupSD: juiceLitreSD,
		PHLow: ph, PHHigh: ph, MainAcid: juiceUnknownAcid,
		Status: "A", Source: "its own gravity; shares of sugar, acid and nitrogen assumed",
	}, nil
}
