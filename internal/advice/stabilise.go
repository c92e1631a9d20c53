package advice

import (
	"fmt"
	"math"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/property/sulphite"
)

// Stabilising.
const (
	// LeastSulphite is sulphur dioxide to be added along with sorbate, mg/L: what a
	// sulphite tablet gives a gallon. Common practice, no source.
	LeastSulphite = 50.0
	// SulphiteLasts is how long an addition of sulphite counts; it binds and blows off. Our policy.
	SulphiteLasts = 60 * 24 * time.Hour
	// mildest is the pH that the dose of sorbate is taken for when nobody measured: the
	// highest printed.
	mildest = 3.5
)

// LeastSorbate returns the potassium sorbate that a wine of this strength and the highest
// printed pH needs, mg/L; between two printed strengths that of the weaker one. Found is
// false where no dose that may be used is known to hold: under 10 % vol, for one.
func LeastSorbate(strength measure.PercentVol) (dose float64, found bool) {
	least, err := sulphite.Sorbate(measure.PercentVol(math.Floor(float64(strength))), mildest)
	return float64(least), err == nil
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
				s.SulphiteMGL += sulphite.SO2Share * mgl // sodium metabisulphite holds more, and is counted as if it did not
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
