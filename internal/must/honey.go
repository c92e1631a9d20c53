package must

import (
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/property"
)

// The specific gravity 20/20 of honey against its water, g per 100 g: from memory,
// unverified, after a table in Crane (ed.), Honey: a comprehensive survey (1975). Second-hand
// prints agree to 0.001 (TestHoneyDensityAgainstPrints).
var honeyGravity = []struct{ water, gravity float64 }{
	{13, 1.4457}, {14, 1.4404}, {15, 1.4350}, {17, 1.4237}, {18, 1.4171}, {20, 1.4027}, {21, 1.3950},
}

const waterLitre = 998.2 // g in a litre of water at 20 °C

// honeyLitre returns the grams in a litre of honey at 20 °C by its water, on straight
// lines between the points of the table; 0, which is not known, outside it.
func honeyLitre(moisture measure.MassFraction) float64 {
	water := 100 * float64(moisture)
	for at, high := range honeyGravity[1:] {
		if low := honeyGravity[at]; water >= low.water && water <= high.water {
			share := (water - low.water) / (high.water - low.water)
			return waterLitre * (low.gravity + share*(high.gravity-low.gravity))
		}
	}
	return 0
}

// moistureSD is one standard deviation of the water of 490 US honeys, g per g, and
// moistureMean their mean (White et al. 1962, second hand).
const (
	moistureSD   = 0.0146
	moistureMean = 0.172
)

// WithMoisture returns a honey whose water was measured, as by a refractometer.
//
// The solids keep their proportions. What the water of unmeasured honeys adds to the
// spread of the sugar, 0.0146 of 0.828, is taken out of SugarSD, once; the refractometer's
// own error, about 0.2 % of water, is small beside what stays. Outside the table of
// densities, 13 to 21 %, a cup of it is no longer known: Litre is 0.
//
// Valid:  moisture 0.13 to 0.25, which is what honey refractometers are made for.
// Errors: not a honey; *property.RangeError.
// Source: [white1962] for the spread.
func WithMoisture(i Ingredient, moisture measure.MassFraction) (Ingredient, error) {
	if i.Class != Honey {
		return i, fmt.Errorf("%s is not a honey: its moisture does not tell its sugar", i.Name)
	}
	if err := property.Within("must.WithMoisture", "moisture", 100*float64(moisture), 13, 25, "% mass"); err != nil {
		return i, err
	}
	before := i.PerGram[Water]
	i.PerGram = i.PerGram.Scaled((1 - float64(moisture)) / (1 - before))
	i.PerGram[Water] = float64(moisture)
	i.Litre = honeyLitre(moisture)
	if !i.Measured {
		const fromWater = moistureSD / (1 - moistureMean)
		i.SugarSD = math.Sqrt(max(0, i.SugarSD*i.SugarSD-fromWater*fromWater))
		i.Measured = true
	}
	return i, nil
}
