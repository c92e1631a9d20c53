package must

import (
	"math"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/property/density"
	"skep/internal/property/optics"
	"skep/internal/solve"
)

// Refractometer returns what a refractometer shows of the degassed liquid at 20 °C, as
// sucrose in water: times 100 it is °Brix.
//
// Valid:  as optics.Index. With alcohol in it the scale is known within optics.MixtureSpread.
// Errors: ErrEmpty; *property.RangeError.
func (m Must) Refractometer() (measure.MassFraction, error) {
	n, err := m.index()
	if err != nil {
		return 0, err
	}
	return optics.SucroseFromIndex(n)
}

// RefractometerSpread returns how well Refractometer is taken to know it, one standard deviation.
//
// Valid:  as Refractometer.
// Errors: ErrEmpty.
// Source: optics.MixtureSpread of the liquid.
func (m Must) RefractometerSpread() (measure.MassFraction, error) {
	s, err := m.solution()
	return optics.MixtureSpread(s), err
}

// index is the refractive index of the degassed liquid at 20 °C.
func (m Must) index() (float64, error) {
	s, err := m.solution()
	if err != nil {
		return 0, err
	}
	return optics.Index(s)
}

// ByRefractometer returns the must that original has become, degassed, when a
// refractometer shows brix of it. Nothing was added or taken away on the way.
//
// Valid:  brix from what the must shows when all sugar that yeast can take is gone to what
// it showed at first.
// Check:  takes back the sugar gone within 1e-9 (TestRefractometerRoundTrip).
// Errors: *property.RangeError, with what brix could be; as Fermented and Refractometer.
func ByRefractometer(original Must, brix measure.MassFraction, slowShare, yield float64) (Must, error) {
	first, err := original.Refractometer()
	if err != nil {
		return original, err
	}
	dry, err := original.Dry(slowShare, yield)
	if err != nil {
		return original, err
	}
	last, err := dry.Refractometer()
	if err != nil {
		return original, err
	}
	const rounding = 1e-12 // of what was reckoned before
	if err := property.Within("must.ByRefractometer", "refractometer", 100*float64(brix), 100*(float64(last)-rounding), 100*(float64(first)+rounding), "% mass"); err != nil {
		return original, err
	}
	n, err := optics.Index(density.Solution{Sucrose: brix})
	if err != nil {
		return original, err
	}
	left, err := original.leftAtIndex(n, slowShare, yield)
	if err != nil {
		return original, err
	}
	return original.FermentedTo(left, slowShare, yield)
}

// leftAtIndex returns the hexose that is left when the degassed must has the refractive
// index n, or comes nearest to it: all of it, or none.
func (m Must) leftAtIndex(n, slowShare, yield float64) (float64, error) {
	all := m.Hexose(slowShare)
	above := func(left float64) float64 {
		now, err := m.FermentedTo(left, slowShare, yield)
		if err != nil {
			return math.NaN()
		}
		got, err := now.index()
		if err != nil {
			return math.NaN()
		}
		return got - n
	}
	switch {
	case above(all) <= 0:
		return all, nil
	case above(0) >= 0:
		return 0, nil
	}
	return solve.Root(above, 0, all, 1e-13*all)
}
