package app

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/acidity"
)

const (
	// titrationSD is how well an acidity is titrated in a kitchen, g/L: a drop of the lye (assumed).
	titrationSD = 0.25
	// sourDays is how old readings of pH and acidity may be to foretell from, and how far apart. Our policy.
	sourDays = 30
	// bufferSpread is how far a measured pH may move otherwise than that of one acid with its
	// salts would, as a share: assumed, as in skep calc acid.
	bufferSpread = 0.2
	// mostParts are those of a blend of which each combination of acids is reckoned: 4096.
	mostParts = 6
	// seesPH is a difference that a pH strip or a kitchen meter just sees.
	seesPH = 0.1
)

// mainAcids are those of which most of the acid of a mead or country wine may be: nobody
// tells which, so that what is foretold spans them all.
var mainAcids = []string{"gluconic", "citric", "malic", "tartaric"}

// sourness is how sour a wine was read to be, and what it may be made of: one acid with
// strong cations, by its charge balance [textbook], for each of mainAcids that can be it.
type sourness struct {
	pH, ta *measure.Quantity // nil where not read, or not as it is now
	made   map[string]salted
	why    error // why it cannot be made of any
}

// salted is an acid with its strong cations, meq/L, in so much alcohol.
type salted struct {
	acids   []acidity.Amount
	cation  float64
	ethanol measure.PercentVol
}

func (s salted) ph() (float64, error) { return acidity.PH(s.acids, s.cation, s.ethanol) }

// known says that what something would do to its pH can be told.
func (s sourness) known() bool { return len(s.made) > 0 }

// sourOf reads how sour a wine is that stands as now says, which is not nil: by the readings
// of the last weeks, of pH and acidity both, taken since anything went in that is acid or
// takes acid away.
func sourOf(state batch.State, now *estimate.State, at time.Time) sourness {
	s := sourness{made: map[string]salted{}}
	since := laterOf(state.Start(), at.AddDate(0, 0, -sourDays))
	for _, b := range state.Blends {
		since = laterOf(since, b.At)
	}
	for _, a := range state.Additions {
		for _, p := range a.What.Parts {
			if p.Adds[must.Acid] > 0 || strings.Contains(strings.ToLower(p.Ingredient), "carbonate") {
				since = laterOf(since, a.At)
			}
		}
	}
	for _, l := range state.Looks {
		if !l.At.After(since) || l.At.After(at) {
			continue
		}
		if l.What.PH != nil {
			s.pH = l.What.PH
		}
		if l.What.TA != nil {
			s.ta = l.What.TA
		}
	}
	if s.pH == nil || s.ta == nil {
		return s
	}
	for _, name := range mainAcids {
		a, err := acidity.Named(name)
		if err != nil {
			panic("app: " + err.Error())
		}
		ethanol := measure.PercentVol(now.Ethanol.Value)
		amount, cation, err := acidity.Composed(a, measure.GramsPerLitre(s.ta.Value), s.pH.Value, ethanol)
		if err != nil {
			s.why = err
			continue
		}
		s.made[name] = salted{[]acidity.Amount{amount}, cation, ethanol}
	}
	return s
}

// ask is what to read before a pH can be foretold.
func (s sourness) ask(jug string) string {
	switch {
	case s.known():
		return ""
	case s.pH == nil || s.ta == nil:
		return "to have its pH foretold, read both pH and acidity, as it is now: skep look " + strconv.Quote(jug) + ` "pH 3.6" --ta "5.5 g/L"`
	}
	return "its pH cannot be foretold: " + s.why.Error()
}

// with is the pH with so much of an acid, g/L of one of kinds, in it: the range spans the acids
// that it may be made of and those that go in, how stiffly it may hold its pH, and the reading.
func (s sourness) with(kinds []acidity.Acid, grams func(acidity.Acid) measure.GramsPerLitre) measure.Range {
	if !s.known() {
		return measure.RangeOf(nil, "pH")
	}
	var shifts []float64
	for _, name := range mainAcids {
		made, is := s.made[name]
		if !is {
			continue
		}
		for _, kind := range kinds {
			for _, buffer := range []float64{1 - bufferSpread, 1 / (1 - bufferSpread)} {
				more := made
				more.acids = append(made.acids[:1:1], acidity.Amount{Acid: kind, GL: grams(kind) / measure.GramsPerLitre(buffer)})
				ph, err := more.ph()
				if err != nil {
					return measure.RangeOf(nil, "pH")
				}
				shifts = append(shifts, ph-s.pH.Value)
			}
		}
	}
	return spanned(s.pH.Value, shifts, s.pH.SD)
}

// toPH is what should bring a litre of it to a pH, g of an acid; not Known where that cannot
// be told. The range is as in with.
func (s sourness) toPH(ph float64, kind acidity.Acid) measure.Range {
	low, high := math.Inf(1), math.Inf(-1)
	for _, made := range s.made {
		gl, err := acidity.AcidForPH(kind, ph, made.acids, made.cation, made.ethanol)
		if err != nil {
			return measure.RangeOf(nil, "g")
		}
		low, high = min(low, float64(gl)*(1-bufferSpread)), max(high, float64(gl)/(1-bufferSpread))
	}
	if !s.known() || low <= 0 {
		return measure.RangeOf(nil, "g")
	}
	return measure.Range{Value: (low + high) / 2, Unit: "g", Low: low, High: high}
}

// spanned is a pH and where it lies: anywhere among shifts from it, and as surely as it was read.
func spanned(from float64, shifts []float64, sd float64) measure.Range {
	if len(shifts) == 0 {
		return measure.RangeOf(nil, "pH")
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, shift := range shifts {
		low, high = min(low, shift), max(high, shift)
	}
	middle, half := from+(low+high)/2, math.Hypot((high-low)/2, eighty*sd)
	return measure.Range{Value: middle, Unit: "pH", Low: middle - half, High: middle + half}
}

// poured is a share, by volume, of a wine so sour.
type poured struct {
	sourness
	share float64
}

// shared are wines of so many litres as shares of all.
func shared(parts []poured) []poured {
	all := 0.0
	for _, p := range parts {
		all += p.share
	}
	parts = slices.Clone(parts)
	for i := range parts {
		parts[i].share /= all
	}
	return parts
}

// pouredTA is the titratable acidity of wines poured together, g/L: it adds up. Not Known
// unless each was read.
func pouredTA(parts []poured) measure.Range {
	sum, variance := 0.0, 0.0
	for _, p := range parts {
		if p.ta == nil {
			return measure.RangeOf(nil, "g/L")
		}
		sum += p.share * p.ta.Value
		variance += p.share * p.share * p.ta.SD * p.ta.SD
	}
	return measure.Normal(sum, math.Sqrt(variance), "g/L")
}

// asRead is a reading with its spread; not Known if there is none.
func asRead(q *measure.Quantity, unit string) measure.Range {
	if q == nil {
		return measure.RangeOf(nil, unit)
	}
	return measure.Normal(q.Value, q.SD, unit)
}

// pouredPH is the pH of wines poured together: their acids and cations add up, and the
// charges balance anew. Not Known unless each was read, and of more than mostParts. The range
// spans all that each may be made of.
func pouredPH(parts []poured) measure.Range {
	if len(parts) > mostParts {
		return measure.RangeOf(nil, "pH")
	}
	var all []float64
	variance := 0.0
	var add func(salted, []poured)
	add = func(mixed salted, more []poured) {
		if len(more) == 0 {
			if ph, err := mixed.ph(); err == nil {
				all = append(all, ph)
			}
			return
		}
		for _, name := range mainAcids {
			if made, is := more[0].made[name]; is {
				add(mixed.plus(made, more[0].share), more[1:])
			}
		}
	}
	add(salted{}, parts)
	for _, p := range parts {
		if p.pH != nil {
			variance += p.share * p.share * p.pH.SD * p.pH.SD
		}
	}
	return spanned(0, all, math.Sqrt(variance))
}

// plus is the liquid with a share of another poured in.
func (s salted) plus(other salted, share float64) salted {
	for _, a := range other.acids {
		s.acids = append(s.acids[:len(s.acids):len(s.acids)], acidity.Amount{Acid: a.Acid, GL: a.GL * measure.GramsPerLitre(share)})
	}
	s.cation += share * other.cation
	s.ethanol += other.ethanol * measure.PercentVol(share)
	return s
}

// lacks is what strong cations a litre of it lacks of a pH, meq, in the middle of what it may be
// made of.
//
// Errors: *property.RangeError.
func (s sourness) lacks(ph float64) (float64, error) {
	sum := 0.0
	for _, name := range mainAcids {
		made, is := s.made[name]
		if !is {
			continue
		}
		cation, err := acidity.CationForPH(ph, made.acids, made.cation, made.ethanol)
		if err != nil {
			return 0, err
		}
		sum += cation
	}
	return sum / float64(len(s.made)), nil
}
