package advice

import (
	"fmt"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/measure"
)

// Stabilising.
const (
	// LeastSulphite is sulphur dioxide to be added along with sorbate, mg/L: what a
	// sulphite tablet gives a gallon. Common practice, no source.
	LeastSulphite = 50.0
	// SulphiteLasts is how long an addition of sulphite counts; it binds and blows off. Our policy.
	SulphiteLasts = 60 * 24 * time.Hour
	// sulphiteShare is SO2 in potassium metabisulphite, 2 × 64.064/222.32. Sodium
	// metabisulphite holds more, and is counted as if it did not.
	sulphiteShare = 0.5763
)

// sorbateDose is potassium sorbate, mg/L, by strength, in a wine of pH 3.5: the highest
// pH printed. Source: T. Underhill, Making Better Wines, as reprinted by a society of
// amateur wine makers; its highest dose is at the limit of the OIV, 200 mg/L sorbic acid.
// The table begins at 10 % vol.
var sorbateDose = []struct{ strength, dose float64 }{{14, 90}, {13, 120}, {12, 150}, {11, 225}, {10, 270}}

// LeastSorbate returns the potassium sorbate that a wine of this strength needs, mg/L.
// Between two printed strengths it is the dose of the weaker one. Found is false below
// the table: there no dose that may be used is known to hold.
func LeastSorbate(strength measure.PercentVol) (dose float64, found bool) {
	for _, row := range sorbateDose {
		if float64(strength) >= row.strength {
			return row.dose, true
		}
	}
	return 0, false
}

// StabilisedBy counts what the record says went in to keep the yeast from waking, over
// what is in the jug now. Nothing counts while the volume is not known, nor what went in
// before the yeast was last pitched.
func StabilisedBy(j batch.State, now time.Time) Stabilised {
	litres, err := j.Volume()
	if err != nil || litres <= 0 {
		return Stabilised{}
	}
	pitched := j.Start()
	for _, p := range j.Pitches {
		pitched = later(pitched, p.At)
	}
	var s Stabilised
	for _, done := range j.Stabilisings {
		if done.At.Before(pitched) || done.At.After(now) {
			continue
		}
		for _, p := range done.What.Parts {
			mgl := 1000 * p.Grams / float64(litres)
			switch name := strings.ToLower(p.Ingredient); {
			case strings.Contains(name, "sorbate"):
				s.SorbateMGL += mgl
			case strings.Contains(name, "sulphite") && now.Sub(done.At) <= SulphiteLasts:
				s.SulphiteMGL += sulphiteShare * mgl
			}
		}
	}
	return s
}

// lacks says what is missing of the stabilisers; "" if nothing.
func (s Stabilised) lacks(strength measure.PercentVol) string {
	dose, found := LeastSorbate(strength)
	switch {
	case !found:
		return fmt.Sprintf("at %.1f %% vol no dose of sorbate is printed that would hold it", float64(strength))
	case s.SorbateMGL < dose:
		return fmt.Sprintf("it holds %.0f mg/L of potassium sorbate and needs %.0f at %.1f %% vol", s.SorbateMGL, dose, float64(strength))
	case s.SulphiteMGL < LeastSulphite:
		return fmt.Sprintf("%.0f mg/L of sulphur dioxide went in with the sorbate and %.0f are needed", s.SulphiteMGL, LeastSulphite)
	}
	return ""
}
