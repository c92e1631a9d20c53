package calc

import (
	"errors"
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/solve"
)

// wine is a litre, at 20 °C, of wine of so much alcohol and that gravity; what is
// dissolved in it counts as sucrose, as analysts count extract.
//
// Errors: *contradictionError; *property.RangeError.
func wine(g measure.Gravity, strength float64) (must.Must, error) {
	rho := float64(density.FromGravity(g))
	s := density.Solution{Ethanol: measure.MassFraction(strength / 100 * density.EthanolAt20 / rho)}
	off := func(w float64) float64 {
		s.Other = measure.MassFraction(w)
		d, err := density.Must(s, 20)
		if err != nil {
			return math.NaN()
		}
		return float64(d) - rho
	}
	most := 1 - float64(s.Ethanol)
	if lightest := off(0); lightest > 0 {
		return must.Must{}, &contradictionError{fmt.Sprintf("%.4f is lighter than water with %.1f %% vol in it, %.4f", g, strength,
			density.Gravity(measure.Density(lightest+rho)))}
	} else if math.IsNaN(lightest) {
		_, err := density.Must(s, 20)
		return must.Must{}, err
	}
	w, err := solve.Root(off, 0, min(mostHexose, most), 1e-12)
	if err != nil {
		return must.Must{}, err
	}
	s.Other = measure.MassFraction(w)
	return litreOf(s)
}

// contradictionError says that two of the things said cannot both be.
type contradictionError struct{ why string }

func (e *contradictionError) Error() string { return e.why }

// asked makes a contradiction the asker's.
func asked(name, words string, err error) error {
	if beyond := new(contradictionError); errors.As(err, &beyond) {
		return ask(name, words, "check both", err)
	}
	return err
}
