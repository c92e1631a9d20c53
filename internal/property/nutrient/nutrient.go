package nutrient

import (
	"fmt"

	"skep/internal/measure"
	"skep/internal/property"
)

// Demand is how much nitrogen a kind of yeast asks for.
type Demand string

// The demands.
const (
	Low    Demand = "low"
	Medium Demand = "medium"
	High   Demand = "high"
)

// perSugar is mg of assimilable nitrogen per gram of sugar: for a low demand 0.75 to 0.80;
// for others 0.9 to 1.2 after [bisson2000], which we part between medium and high, and
// begin at 0.8. All from memory, unverified.
var perSugar = map[Demand]struct{ low, high float64 }{
	Low:    {0.75, 0.80},
	Medium: {0.80, 1.05},
	High:   {0.95, 1.20},
}

// Need returns the nitrogen that yeast of a demand asks for in a must of so much sugar: it
// lies between low and high.
//
// Valid:  sugar 0 to 600 g/L, the sweetest must there is. From memory, unverified.
// Check:  from the least of medium to the most of high spans the four rows of [bisson2000]
// as remembered (TestNeed logs it; it decides nothing).
// Errors: *property.RangeError outside the valid range; no such demand.
// Source: [bisson2000] for medium and high; low as commonly taught, no source read.
func Need(d Demand, sugar measure.GramsPerLitre) (low, high measure.MgPerLitre, err error) {
	per, ok := perSugar[d]
	if !ok {
		return 0, 0, fmt.Errorf("nutrient.Need: demand %q is none of low, medium and high", d)
	}
	if err := property.Within("nutrient.Need", "sugar", float64(sugar), 0, 600, "g/L"); err != nil {
		return 0, 0, err
	}
	return measure.MgPerLitre(per.low * float64(sugar)), measure.MgPerLitre(per.high * float64(sugar)), nil
}

// Salt is an ammonium salt that feeds yeast.
type Salt struct {
	Name     string
	Nitrogen measure.MassFraction // N in the salt
}

// The salts, (NH4)2HPO4 and (NH4)2SO4; shares from molar masses [masses].
var (
	Phosphate = Salt{"diammonium phosphate", 2 * 14.007 / 132.06}
	Sulphate  = Salt{"ammonium sulphate", 2 * 14.007 / 132.14}
)

// MostSalt is the most ammonium salt that Dose gives: the ceiling of the United States for
// diammonium phosphate, 8 lb in 1000 US gallons (from memory, unverified), which is below
// the 1 g/L of the European Union for phosphate and sulphate together.
const MostSalt measure.GramsPerLitre = 0.96

// Dose returns the salt that gives what is lacking, and what remains lacking where the
// ceiling allows no more.
//
// Valid:  0 to 1000 mg N/L lacking.
// Check:  1 g/L is 212.1 and 212.0 mg N/L, as computed from atomic masses (TestDose).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [masses]; [cfr27-24-246] and [eu-643-2006] for the ceiling.
func (s Salt) Dose(lacking measure.MgPerLitre) (dose measure.GramsPerLitre, remains measure.MgPerLitre, err error) {
	if err := property.Within("nutrient.Salt.Dose", "nitrogen", float64(lacking), 0, 1000, "mg/L"); err != nil {
		return 0, 0, err
	}
	perGram := 1000 * float64(s.Nitrogen) // mg N
	all := measure.GramsPerLitre(float64(lacking) / perGram)
	dose = min(all, MostSalt)
	return dose, measure.MgPerLitre(float64(all-dose) * perGram), nil
}

// LastSugarGone is the share of the sugar that may be gone when the last nutrient is
// given: near the end of that yeast stops taking it up (from memory, unverified; common
// teaching). Salt given later feeds what one does not want.
const LastSugarGone = 1. / 3

// Portion is a part of the nutrient and when to give it.
type Portion struct {
	SugarGone float64 // share of the sugar at the start, 0 to 1
	Share     float64 // of the whole dose, 0 to 1
}

// Portions parts a dose into n equal portions: the first when the must comes to life, the
// last when a third of the sugar is gone, evenly between. One portion is given at the start.
//
// Valid:  n 1 to 6.
// Errors: *property.RangeError outside the valid range.
// Source: [policy], on what is commonly taught.
func Portions(n int) ([]Portion, error) {
	if err := property.Within("nutrient.Portions", "count", float64(n), 1, 6, "portions"); err != nil {
		return nil, err
	}
	all := make([]Portion, n)
	for i := range all {
		all[i] = Portion{SugarGone: LastSugarGone * float64(i) / float64(max(n-1, 1)), Share: 1 / float64(n)}
	}
	return all, nil
}
