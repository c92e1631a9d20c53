package acidity

import (
	"math"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/solve"
)

// Rise of an acid's pK per % vol of ethanol: 0.17 at 12 % vol for lactic and the first
// of succinic acid, 0.16 for the second [prenesti2012]; a straight line between.
const perStrength = 0.17 / 12

// PH returns the pH of acids dissolved together.
//
//	[H⁺] + cation = Σ cᵢ αᵢ(pH) + K_w/[H⁺]
//
// αᵢ is the mean charge of acid i. cation is strong cations, as potassium, less strong
// anions, meq/L.
//
// Valid:  each acid 0 to 50 g/L, cation 0 meq/L to as much as the acids, ethanol 0 to 15 %
// vol (measured at 0 and 12). See the package for what is left out.
// Check:  equals the closed form for one acid of one proton (TestPHOfOneAcid); the shift
// with alcohol is met within 0.02 (TestConstantsInEthanol).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [aqion], [libretexts-e1], [talanta1998] constants; [prenesti2012] alcohol.
func PH(amounts []Amount, cation float64, ethanol measure.PercentVol) (float64, error) {
	excess, err := balance("acidity.PH", amounts, cation, ethanol)
	if err != nil {
		return 0, err
	}
	return solve.Root(excess, 0, 14, 1e-10)
}

// balance checks the arguments of PH and returns the positive charge that is over at a
// pH, meq/L.
func balance(call string, amounts []Amount, cation float64, ethanol measure.PercentVol) (func(ph float64) float64, error) {
	if _, err := free(call, amounts, cation); err != nil {
		return nil, err
	}
	if err := property.Within(call, "strength", float64(ethanol), 0, 15, "% vol"); err != nil {
		return nil, err
	}
	constants := make([][]float64, len(amounts))
	for i, a := range amounts {
		constants[i] = a.Acid.constants(ethanol)
	}
	return func(ph float64) float64 {
		h := math.Pow(10, -ph)
		sum := protons(h) + cation
		for i, a := range amounts {
			sum -= 1000 * float64(a.GL) / a.Acid.MolarMass * charge(constants[i], h)
		}
		return sum
	}, nil
}

// constants are the acid's, mol/L, in so much alcohol.
func (a Acid) constants(ethanol measure.PercentVol) []float64 {
	all := make([]float64, len(a.PKa))
	for i, k := range a.PKa {
		all[i] = math.Pow(10, -k-perStrength*float64(ethanol))
	}
	return all
}

// charge is the mean number of protons that a molecule has given off where [H⁺] is h.
func charge(constants []float64, h float64) float64 {
	weight, sum, mean := 1.0, 1.0, 0.0
	for i, k := range constants {
		weight *= k / h
		sum += weight
		mean += float64(i+1) * weight
	}
	return mean / sum
}

// at is the mean number of protons that a molecule of the acid has given off at a pH.
func (a Acid) at(ph float64, ethanol measure.PercentVol) float64 {
	return charge(a.constants(ethanol), math.Pow(10, -ph))
}

// Honey returns what acid, as gluconic, and how many cations a kilogram of honey holds,
// meq, from its pH and free acidity, as laboratories print them.
//
// The pH is that of 10 g in 75 mL of water. Free acidity is what base neutralises from
// there; the cations are what had been neutralised before. Above pH 4.5 other things
// than gluconic acid hold the pH, and the answer would be more salt than honey has.
//
// Valid:  pH 3 to 4.5, free acidity up to 100 meq/kg and at least what this pH takes.
// Check:  PH of that acid and those cations in the same water is the pH again (TestHoneyRoundTrip).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [talanta1998] for the constant; [textbook] charge balance.
func Honey(ph, freeAcidity float64) (acid, cation float64, err error) {
	const call = "acidity.Honey"
	if err := property.Within(call, "pH", ph, 3, 4.5, ""); err != nil {
		return 0, 0, err
	}
	hydrogen := 1000 * math.Pow(10, -ph) / honeyInWater // meq of H⁺ per kg of honey
	given := gluconic.at(ph, 0)
	if err := property.Within(call, "free acidity", freeAcidity, hydrogen/given, 100, "meq/kg"); err != nil {
		return 0, 0, err
	}
	cation = neutralised(freeAcidity, hydrogen, given)
	return freeAcidity + cation, cation, nil
}

// UsualHoneyPH is the mean pH of 490 American honeys [white1962]; ordinary ones lie
// between 3.4 and 4.5.
const UsualHoneyPH = 3.91

// Kilograms of honey per litre of the liquid whose pH is taken: 10 g fill 7 mL, in 75 mL.
const honeyInWater = 10. / (75 + 7)
