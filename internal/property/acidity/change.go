package acidity

import (
	"math"

	"skep/internal/measure"
	"skep/internal/property"
)

// Titration returns the titratable acidity, as tartaric acid, of a sample that so much
// lye of a molarity, mol/L, has brought to pH 8.2.
//
// CO2 counts as acid: stir or warm it out of the sample first. In what holds honey the
// lactone opens while one titrates, and the end point creeps: stop at the first that stays
// half a minute.
//
// Valid:  lye and sample to 1 L, sample not nothing; molarity 0.001 to 2 mol/L; an answer
// to 50 g/L.
// Check:  equals the printed g/L of 7 acids for 1 meq/L (TestTitration).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [masses].
func Titration(lye measure.Litres, molarity float64, sample measure.Litres) (measure.GramsPerLitre, error) {
	const call = "acidity.Titration"
	if err := property.Within(call, "lye", float64(lye), 0, 1, "L"); err != nil {
		return 0, err
	}
	if err := property.Within(call, "molarity", molarity, 0.001, 2, "mol/L"); err != nil {
		return 0, err
	}
	if err := property.Within(call, "sample", float64(sample), 1e-4, 1, "L"); err != nil {
		return 0, err
	}
	ta := float64(lye) * molarity / float64(sample) * tartaric.Equivalent()
	if err := property.Within(call, "titratable acidity", ta, 0, 50, "g/L"); err != nil {
		return 0, err
	}
	return measure.GramsPerLitre(ta), nil
}

// Composed returns what of one acid, and what strong cations beside it, meq/L, have a
// titratable acidity, as tartaric, and a pH: a liquid that is known by two measurements.
//
// Valid:  pH 2.5 to 5, as much acidity as this pH takes, ethanol 0 to 15 % vol, an answer
// to 50 g/L. Above pH 4.5 other things than the acid begin to hold the pH.
// Check:  PH and Titratable give both back (TestComposedRoundTrip).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [textbook] charge balance; constants as PH [aqion].
func Composed(a Acid, titratable measure.GramsPerLitre, ph float64, ethanol measure.PercentVol) (Amount, float64, error) {
	const call = "acidity.Composed"
	if err := property.Within(call, "pH", ph, 2.5, 5, ""); err != nil {
		return Amount{}, 0, err
	}
	if err := property.Within(call, "strength", float64(ethanol), 0, 15, "% vol"); err != nil {
		return Amount{}, 0, err
	}
	hydrogen := protons(math.Pow(10, -ph))
	given := a.at(ph, ethanol) / float64(len(a.PKa))
	perMeq := tartaric.Equivalent() / 1000 // g as tartaric
	if err := property.Within(call, "titratable acidity", float64(titratable), perMeq*hydrogen/given, 50, "g/L"); err != nil {
		return Amount{}, 0, err
	}
	free := float64(titratable) / perMeq
	cation := neutralised(free, hydrogen, given)
	gl := (free + cation) / 1000 * a.Equivalent()
	if err := property.Within(call, a.Name+" acid", gl, 0, 50, "g/L"); err != nil {
		return Amount{}, 0, err
	}
	return Amount{a, measure.GramsPerLitre(gl)}, cation, nil
}

// neutralised returns the cations that go with so much free acid, where h protons are
// about and the acid has given off a share of its own: (free + cation) given = cation + h.
func neutralised(free, h, given float64) float64 {
	return max(0, (free*given-h)/(1-given))
}

// protons is [H⁺], h in mol/L, less [OH⁻], in meq/L.
func protons(h float64) float64 { return 1000 * (h - 1e-14/h) }

// AcidForPH returns how much of an acid brings acids dissolved together to a pH; less
// than nothing where they are there without it.
//
// Valid:  pH 2.5 to 5; the rest as PH. In a must, things that are not modelled hold the pH
// too, so that it may take more.
// Check:  PH of the acids with it is that pH (TestForPHRoundTrip).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: as PH [aqion].
func AcidForPH(a Acid, ph float64, amounts []Amount, cation float64, ethanol measure.PercentVol) (measure.GramsPerLitre, error) {
	over, err := overAt("acidity.AcidForPH", ph, amounts, cation, ethanol)
	if err != nil {
		return 0, err
	}
	return measure.GramsPerLitre(over / 1000 * a.MolarMass / a.at(ph, ethanol)), nil
}

// CationForPH returns what strong cations, meq/L, bring acids dissolved together to a pH;
// less than nothing where they are there without. A Carbonate brings them.
//
// Valid:  as AcidForPH.
// Check:  PH of the acids with them is that pH (TestForPHRoundTrip).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: as PH [aqion].
func CationForPH(ph float64, amounts []Amount, cation float64, ethanol measure.PercentVol) (float64, error) {
	over, err := overAt("acidity.CationForPH", ph, amounts, cation, ethanol)
	return 0 - over, err
}

// overAt checks the arguments of PH and returns the positive charge, meq/L, that would be
// over at a pH.
func overAt(call string, ph float64, amounts []Amount, cation float64, ethanol measure.PercentVol) (float64, error) {
	if err := property.Within(call, "pH", ph, 2.5, 5, ""); err != nil {
		return 0, err
	}
	excess, err := balance(call, amounts, cation, ethanol)
	if err != nil {
		return 0, err
	}
	return excess(ph), nil
}

// Carbonate is a salt that takes acid away: its cations stay, and the rest leaves as CO2.
type Carbonate struct {
	Name      string
	MolarMass float64 // g/mol
	Cations   float64 // equivalents in a mole
}

// The carbonates; molar masses [masses].
var (
	PotassiumBicarbonate = Carbonate{"potassium bicarbonate", 100.115, 1}
	PotassiumCarbonate   = Carbonate{"potassium carbonate", 138.205, 2}
	CalciumCarbonate     = Carbonate{"calcium carbonate", 100.087, 2}
)

// Equivalent returns the grams of the carbonate that neutralise one mole of acid.
//
// In grape wine tartrate falls out besides and takes as much acid again with it, for
// potassium: the doses of grape wine are half of what mead, which has none, needs.
//
// Valid:  a carbonate of this package, in what holds no tartaric acid.
// Check:  equals 3 computed rows per g/L as tartaric (TestCarbonates).
// Source: [masses].
func (c Carbonate) Equivalent() float64 { return c.MolarMass / c.Cations }

// Gas returns the CO2 that a gram of the carbonate lets go of, g.
//
// Valid:  a carbonate of this package, when all its CO2 leaves.
// Check:  0.44, 0.32 and 0.44 g, as computed elsewhere (TestCarbonates).
// Source: [masses].
func (c Carbonate) Gas() measure.Grams {
	return measure.Grams(44.0095 / c.MolarMass) // one carbon in each
}
