package advice

import (
	"fmt"
	"math"
	"slices"
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
	// SorbatePH is the highest pH that a dose of sorbate is printed for [underhill].
	SorbatePH = 3.5
)

// LeastSorbate returns the potassium sorbate that a wine of this strength and the highest
// printed pH needs, mg/L; between two printed strengths that of the weaker one. Found is
// false where no dose that may be used is known to hold: under 10 % vol, for one.
func LeastSorbate(strength measure.PercentVol) (dose float64, found bool) {
	return sorbateAt(strength, SorbatePH)
}

// sorbateAt is LeastSorbate for a pH; none is found above the highest printed.
func sorbateAt(strength measure.PercentVol, pH float64) (dose float64, found bool) {
	least, err := sulphite.Sorbate(measure.PercentVol(math.Floor(float64(strength))), pH)
	return float64(least), err == nil
}

// StabilisedBy counts what the record says went in to keep the yeast from waking: the
// share of it that has not left the jug, over what is in the jug now, and the sorbate that
// came with wine of other jugs. Nothing counts while the volume is not known, nor what
// went in before the yeast was last pitched. A pH counts until something goes in that may
// raise it: wine of another jug, or a carbonate.
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
	for i, done := range j.Stabilisings {
		if done.At.Before(pitched) || done.At.After(now) {
			continue
		}
		s.At = later(s.At, done.At)
		for _, p := range done.What.Parts {
			mgl := 1000 * p.Grams * j.Stayed[i] / float64(litres)
			switch name := strings.ToLower(p.Ingredient); {
			case strings.Contains(name, "sorbate"):
				s.SorbateMGL += mgl
			case strings.Contains(name, "sulphite") && now.Sub(done.At) <= SulphiteLasts:
				s.SulphiteMGL += sulphite.SO2Share * mgl // sodium metabisulphite holds more, and is counted as if it did not
			}
		}
	}
	for i, b := range j.Blends {
		for _, source := range b.What.Sources {
			if !b.At.Before(pitched) && !b.At.After(now) {
				s.SorbateMGL += 1000 * source.Sorbate * j.BlendStayed[i] / float64(litres)
			}
		}
	}
	s.PH = lastPH(j, now)
	return s
}

// lastPH is the pH as last read, 0 if it was not or if something that may have raised it
// went in since.
func lastPH(j batch.State, now time.Time) float64 {
	since := j.Start()
	for _, b := range j.Blends {
		since = later(since, b.At)
	}
	for _, a := range j.Additions {
		for _, p := range a.What.Parts {
			if strings.Contains(strings.ToLower(p.Ingredient), "carbonate") {
				since = later(since, a.At)
			}
		}
	}
	pH := 0.0
	for _, l := range j.Looks {
		if l.What.PH != nil && !l.At.Before(since) && !l.At.After(now) {
			pH = l.What.PH.Value
		}
	}
	return pH
}

// Stabilises says whether an ingredient keeps yeast from waking: sulphite or sorbate.
func Stabilises(ingredient string) bool {
	name := strings.ToLower(ingredient)
	return strings.Contains(name, "sorbate") || strings.Contains(name, "sulphite")
}

// Bacteria says when malolactic bacteria went in, at the latest; given is false if none
// did, as far as the record tells.
func Bacteria(j batch.State) (at time.Time, given bool) {
	look := func(when time.Time, parts []batch.Part) {
		for _, p := range parts {
			if strings.Contains(strings.ToLower(p.Ingredient), "bacteria") {
				at, given = later(at, when), true
			}
		}
	}
	look(j.Made.At, j.Made.What.Parts)
	for _, a := range j.Additions {
		look(a.At, a.What.Parts)
	}
	for _, b := range j.Blends {
		for _, source := range b.What.Sources {
			if source.Bacteria {
				at, given = later(at, b.At), true
			}
		}
	}
	return at, given
}

// CautionsOn are the cautions that belong to an entry of a jug's record.
func CautionsOn(j batch.State, h batch.Happening) []string {
	var parts []batch.Part
	switch h := h.(type) {
	case batch.Added:
		parts = h.Parts
	case batch.Stabilised:
		parts = h.Parts
	}
	var all []string
	add := func(words string) {
		if !slices.Contains(all, words) {
			all = append(all, words)
		}
	}
	for _, p := range parts {
		name := strings.ToLower(p.Ingredient)
		if strings.Contains(name, "sulphite") {
			add(Caution(Sulphites))
		}
		if strings.Contains(name, "sorbate") {
			if at, given := Bacteria(j); given {
				add(geraniums(at))
			}
		}
	}
	return all
}

// geraniums warns of sorbate after bacteria that went in.
func geraniums(at time.Time) string {
	return fmt.Sprintf("Malolactic bacteria went in on %s: they turn sorbate into a smell of geraniums that nothing takes away.", day(at))
}

// held says that sulphite and sorbate went in, both in full.
func held(e Evidence) bool {
	return e.State.Ethanol.Known() && StabilisedBy(e.Jug, e.Now).lacks(measure.PercentVol(e.State.Ethanol.Value)) == ""
}

// lacks says what is missing of the stabilisers; "" if nothing.
func (s Stabilised) lacks(strength measure.PercentVol) string {
	if _, found := LeastSorbate(strength); !found {
		return fmt.Sprintf("at %.1f %% vol no dose of sorbate is printed that would hold it", float64(strength))
	}
	dose, found := sorbateAt(strength, s.PH)
	switch {
	case s.PH == 0:
		return "the dose of sorbate goes by the pH, and nobody read it: a strip will do"
	case !found:
		return fmt.Sprintf("at pH %.1f no dose of sorbate is printed that would hold it: bring it to %.1f or less with acid", s.PH, SorbatePH)
	case s.SorbateMGL < dose:
		return fmt.Sprintf("it holds %.0f mg/L of potassium sorbate and needs %.0f at %.1f %% vol and pH %.1f", s.SorbateMGL, dose, float64(strength), s.PH)
	case s.SulphiteMGL < LeastSulphite:
		return fmt.Sprintf("%.0f mg/L of sulphur dioxide went in with the sorbate and %.0f are needed", s.SulphiteMGL, LeastSulphite)
	}
	return ""
}
