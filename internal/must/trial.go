package must

import (
	"errors"
	"math"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/property/density"
)

// Trial is a glass of wine that tasted or cleared best, and what had been put into it.
type Trial struct {
	What  Must           // a gram of what is dosed: as PerGram of an ingredient
	Glass measure.Litres // wine in the glass, before the dose
	Dose  measure.Litres // of a dosing solution; zero: Grams was weighed in
	Holds float64        // g of what is dosed in a litre of that solution
	Grams measure.Grams  // weighed into the glass, without a solution
}

// PerLitre returns the grams that a litre of wine in the jug needs, put in as they are.
//
// In the glass it was dissolved in wine and the water of the solution; in the jug it is in
// wine alone, which it swells by its own volume. What is wanted is as much in a litre of
// what is drunk:
//
//	g = c V(g),   c = Dose·Holds/(Glass + Dose),   V(g) litres of one litre with g in it
//
// The volumes of wine and solution in the glass are added (0.1 % at most), and V is that
// of water in place of wine.
//
// Valid:  as Must.Density: sugars to 48 % mass; a dose up to as much as there is wine.
// Check:  puts into the jug what was in the glass, within 1e-9 (TestTrialRoundTrip).
// Errors: *property.RangeError, also for a glass or dose out of proportion.
func (t Trial) PerLitre() (float64, error) {
	const call = "must.Trial.PerLitre"
	if err := property.Within(call, "glass", float64(t.Glass), 0.001, 100, "L"); err != nil {
		return 0, err
	}
	if t.Dose == 0 {
		return float64(t.Grams / measure.Grams(t.Glass)), property.Within(call, "dose", float64(t.Grams/measure.Grams(t.Glass)), 0, 1000, "g/L")
	}
	if err := property.Within(call, "dose", float64(t.Dose/t.Glass), 0, 1, "of the glass"); err != nil {
		return 0, err
	}
	tasted := float64(t.Dose) * t.Holds / float64(t.Glass+t.Dose)
	grams := tasted
	for range 200 { // each round is nearer by what it swells, a third and less
		swollen, err := Must{Water: float64(density.FromGravity(1))}.Plus(t.What.Scaled(grams)).Volume(20)
		if err != nil {
			return 0, err
		}
		next := tasted * float64(swollen)
		if math.Abs(next-grams) <= 1e-12*grams {
			return next, nil
		}
		grams = next
	}
	return 0, errors.New("must.Trial: no dose was found")
}

// SolutionHolds returns the grams of what in a litre, at 20 °C, of its solution in water
// that is so much of it by mass.
//
// Errors: as Density.
func SolutionHolds(what Must, share measure.MassFraction) (float64, error) {
	m := what.Scaled(float64(share))
	m[Water] += 1 - float64(share)
	rho, err := m.Density(20)
	return float64(rho) * float64(share), err
}
