package acidity

import (
	"fmt"
	"slices"
	"strings"

	"skep/internal/measure"
	"skep/internal/property"
)

// Acid is a weak acid of must or wine.
type Acid struct {
	Name      string
	MolarMass float64   // g/mol
	PKa       []float64 // at 25 °C in water; as many as protons are titrated to pH 8.2
	Source    string    // of the constants, a key of the register
}

// Molar masses [masses].
var acids = []Acid{
	{"tartaric", 150.087, []float64{2.98, 4.34}, "aqion"},
	{"malic", 134.087, []float64{3.40, 5.20}, "aqion"},
	{"citric", 192.124, []float64{3.13, 4.76, 6.40}, "libretexts-e1"},
	{"lactic", 90.078, []float64{3.86}, "aqion"},
	{"succinic", 118.088, []float64{4.21, 5.64}, "aqion"},
	{"acetic", 60.052, []float64{4.756}, "libretexts-e1"},
	{"gluconic", 196.155, []float64{3.92}, "talanta1998"}, // printed values spread from 3.3 to 3.92
}

var tartaric, gluconic = acids[0], acids[6]

// All returns the acids there are.
func All() []Acid { return slices.Clone(acids) }

// Named returns an acid by its name, "citric" or "citric acid".
//
// Errors: no such acid; the message lists those there are.
func Named(name string) (Acid, error) {
	plain := strings.TrimSuffix(strings.ToLower(strings.TrimSpace(name)), " acid")
	var names []string
	for _, a := range acids {
		if a.Name == plain {
			return a, nil
		}
		names = append(names, a.Name)
	}
	return Acid{}, fmt.Errorf("no acid is called %q; there are %s", name, strings.Join(names, ", "))
}

// Equivalent returns the grams of the acid that neutralise one mole of base.
//
// Valid:  an acid of this package.
// Check:  within 0.001 g of 7 rows (TestEquivalents).
// Source: [masses].
func (a Acid) Equivalent() float64 { return a.MolarMass / float64(len(a.PKa)) }

// Convert returns as much of one acid as neutralises like an amount of another.
//
// Valid:  any amount; acids of this package.
// Check:  within 0.0001 of 7 rows for tartaric (TestEquivalents).
// Source: [masses].
func Convert(amount measure.GramsPerLitre, from, to Acid) measure.GramsPerLitre {
	return amount * measure.GramsPerLitre(to.Equivalent()/from.Equivalent())
}

// Amount is so much of an acid in a litre.
type Amount struct {
	Acid Acid
	GL   measure.GramsPerLitre
}

// Titratable returns the titratable acidity to pH 8.2, as tartaric acid: the acids'
// equivalents less those that cations have neutralised already.
//
// cation is strong cations, as potassium, less strong anions, meq/L.
//
// Valid:  each acid 0 to 50 g/L, cation 0 meq/L to as much as the acids.
// Check:  as Convert (TestEquivalents).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [masses].
func Titratable(amounts []Amount, cation float64) (measure.GramsPerLitre, error) {
	const call = "acidity.Titratable"
	left, err := free(call, amounts, cation)
	return measure.GramsPerLitre(left / 1000 * tartaric.Equivalent()), err
}

// free returns the equivalents of acid that cations have not neutralised, meq/L.
func free(call string, amounts []Amount, cation float64) (float64, error) {
	all := 0.0
	for _, a := range amounts {
		if err := property.Within(call, a.Acid.Name+" acid", float64(a.GL), 0, 50, "g/L"); err != nil {
			return 0, err
		}
		all += 1000 * float64(a.GL) / a.Acid.Equivalent()
	}
	if err := property.Within(call, "cation", cation, 0, all, "meq/L"); err != nil {
		return 0, err
	}
	return all - cation, nil
}
