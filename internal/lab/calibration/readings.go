package calibration

import (
	"fmt"
	"math"
	"slices"

	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
)

// kind is a way in which a fermentation was followed.
type kind string

const (
	byDensity kind = "density"
	bySugar   kind = "sugar and ethanol"
	byCO2     kind = "carbon dioxide"
	byWeight  kind = "weight"
)

var kinds = []kind{byDensity, bySugar, byCO2, byWeight}

// Spreads of readings, as standard deviations; assumed from how they were taken, none tuned.
const (
	tankSD     = 0.3    // °Bx: a tank is not mixed; of two readings 4 h apart one was 0.3 higher
	gravitySD  = 0.0015 // written to 0.001, with gas and what is suspended
	sugarSD    = 0.03   // relative, with
	leastSugar = 1.0    // g/L, and
	ethanolSD  = 0.3    // % vol
	co2SD      = 1.0    // g/L: it drifted by 1.1 in a week when all was over, two readings' worth
	handlingSD = 5e-4   // of what stands on the scale, at each weighing, beside the last digit
	pressingSD = 0.01   // of a must on skins, lost from one weighing to the next where they are pressed down
)

// pairHours: weighings nearer than this stand on both sides of a sample.
const pairHours = 0.5

// readings are what one kind saw: looks in order of time, and for weights what they are
// held against.
type readings struct {
	kind      kind
	reference *estimate.Observation
	looks     []estimate.Observation
	juice     bool // the first look is a tank's Brix at hour zero, an analysis of the juice
}

// of returns the readings of a kind; none is no error.
func (s *series) of(k kind) (readings, error) {
	r := readings{kind: k}
	var err error
	switch k {
	case byDensity:
		err = r.densities(s)
	case bySugar:
		err = r.sugars(s)
	case byCO2:
		r.gas(s)
	case byWeight:
		r.weights(s)
	}
	for i := range r.looks {
		r.looks[i].ID = fmt.Sprintf("%s %s %g h", s.id, k, r.looks[i].At)
	}
	return r, err
}

func (r *readings) see(at float64, sense estimate.Sense, value, sd float64) {
	r.looks = append(r.looks, estimate.Observation{At: measure.Hours(at), Sense: sense, Value: value, SD: sd, Sample: 20, Calibrated: 20})
}

// at is what was seen at one time, by quantity; of two values the later in the file.
func (s *series) at(of ...string) (times []float64, values []map[string]float64) {
	for _, o := range s.seen {
		if !slices.Contains(of, o.quantity) {
			continue
		}
		if n := len(times); n == 0 || times[n-1] != o.at {
			times, values = append(times, o.at), append(values, map[string]float64{})
		}
		values[len(values)-1][o.quantity] = o.value
	}
	return times, values
}

// densities takes one reading of each time: Brix, gravity and density of one sample are
// the same reading.
func (r *readings) densities(s *series) error {
	water, err := density.Water(20)
	if err != nil {
		return err
	}
	times, values := s.at("specific_gravity", "density", "brix", "brix_hydrometer")
	for i, of := range values {
		sd := gravitySD
		gravity, found := of["specific_gravity"]
		if !found {
			if gravity, found = of["density"]; found {
				gravity /= float64(water)
			}
		}
		if !found {
			degrees, lab := of["brix"]
			if !lab {
				degrees, sd = of["brix_hydrometer"], tankSD*brixStep()
				r.juice = r.juice || i == 0 && times[i] == 0
			}
			if gravity, err = ofBrix(degrees); err != nil {
				return err
			}
		}
		r.see(times[i], estimate.SawGravity, gravity, sd)
	}
	return nil
}

// ofBrix is the gravity that a Brix hydrometer shows. Below zero its scale goes on in the
// step it has at zero.
func ofBrix(degrees float64) (float64, error) {
	if degrees < 0 {
		return 1 + degrees*brixStep(), nil
	}
	g, err := density.GravityFromSucrose(measure.MassFraction(degrees / 100))
	return float64(g), err
}

// brixStep is the gravity of one degree Brix at zero.
func brixStep() float64 {
	g, err := density.GravityFromSucrose(0.01)
	if err != nil {
		panic("calibration: " + err.Error())
	}
	return float64(g) - 1
}

// sugars turns sugar and ethanol of one sample into its gravity: the density depends on
// both, and on the extract assumed.
func (r *readings) sugars(s *series) error {
	times, values := s.at("sugar", "glucose", "fructose", "ethanol")
	start := math.NaN()
	for i, of := range values {
		sugar, found := of["sugar"]
		if !found {
			glucose, both := of["glucose"]
			fructose, all := of["fructose"]
			sugar, found = glucose+fructose, both && all
		}
		ethanol, both := of["ethanol"]
		if !found || !both {
			continue
		}
		if math.IsNaN(start) {
			start = sugar + ethanol*ethanolGrams/must.EthanolYield
		}
		m, err := grape(1, sugar)
		if err != nil {
			return err
		}
		// At the same volume: what is made takes the room of water.
		used := max(0, start-sugar)
		m[must.Ethanol] = ethanol * ethanolGrams
		m[must.Glycerol] = glycerolShare * used
		if m, err = filled(m, 1); err != nil {
			return err
		}
		gravity, err := m.Gravity()
		if err != nil {
			return err
		}
		sd := math.Hypot(sugarSlope*math.Hypot(leastSugar, sugarSD*sugar), ethanolSlope*ethanolSD)
		r.see(times[i], estimate.SawGravity, float64(gravity), sd)
	}
	return nil
}

// Rough slopes of gravity, to turn spreads into its own: a g/L of sugar, a % vol of ethanol.
const (
	sugarSlope   = 0.00038
	ethanolSlope = 0.0013
	ethanolGrams = density.EthanolAt20 / 100 // g/L in a % vol
	// glycerolShare is what kinetics.Products makes of a g of sugar beside ethanol, gas and
	// cells: glycerol and the rest.
	glycerolShare = 0.06
)

// gas turns cumulated CO2 into a vessel that got lighter by so much. A start that was not
// written is zero, by what cumulated means.
func (r *readings) gas(s *series) {
	litres, _ := s.volume()
	full := litres * litreGrams
	start := 0.0
	for i, o := range s.all("co2_cumulated") {
		if i == 0 && o.at == 0 {
			start = o.value
			continue
		}
		r.see(o.at, estimate.SawMass, full-(o.value-start)*litres, co2SD*litres)
	}
	if len(r.looks) > 0 {
		r.reference = &estimate.Observation{ID: "start", Sense: estimate.SawMass, Value: full, SD: 1e-3 * full * handlingSD}
	}
}

// weights steps over samples: what counts is how much lighter the vessel got from one
// weighing after a sample to the next before one, for each gram of must then in it. It is
// told as the loss of a vessel from which nothing was taken. Each step adds the spread of
// two weighings.
func (r *readings) weights(s *series) {
	weighed := s.all("mass", "mass_start", "mass_before_sampling", "mass_after_sampling")
	if len(weighed) < 2 {
		return
	}
	step := weighed[0].step // the scale's: the finest that was written, for "15" may stand for 15.0
	for _, o := range weighed {
		step = min(step, o.step)
	}
	litres, _ := s.volume()
	full := litres * litreGrams
	share := 0.0 // of the must, lost so far
	inVessel, variance, last := full, 0.0, math.NaN()
	for len(weighed) > 0 {
		n := 1
		for n < len(weighed) && weighed[n].at-weighed[0].at < pairHours {
			n++
		}
		before, after, whole := pair(weighed[:n])
		if !whole {
			return // a weighing after a sample alone: what was taken is not known
		}
		sd := math.Hypot(handlingSD*before, step/math.Sqrt(12))
		at := weighed[0].at
		weighed = weighed[n:]
		if math.IsNaN(last) {
			r.reference = &estimate.Observation{At: measure.Hours(at), ID: "start", Sense: estimate.SawMass, Value: full, SD: sd}
			variance = sd * sd
		} else {
			variance += sd * sd
			if s.onSkins() {
				variance += math.Pow(pressingSD*full, 2)
			}
			share += (last - before) / inVessel
			inVessel -= last - before
			r.see(at, estimate.SawMass, full*(1-share), math.Sqrt(variance))
			variance += sd * sd
		}
		inVessel -= max(0, before-after) // a vessel that gains by a sample has a slip in its weights
		if !(inVessel > full/4) {
			return // the samples took most of it: the rest is not known well enough
		}
		last = after
	}
}

// pair is the vessel before and after a sample, from the weighings of one time. Labels are
// believed where one says before and one after; of two with one label the heavier was first.
func pair(weighed []seen) (before, after float64, whole bool) {
	for _, o := range weighed {
		switch o.quantity {
		case "mass_after_sampling":
			after = o.value
		default:
			before = o.value
		}
	}
	if len(weighed) == 1 {
		return before, before, before > 0
	}
	if before == 0 || after == 0 {
		before, after = weighed[0].value, weighed[0].value
		for _, o := range weighed {
			before, after = max(before, o.value), min(after, o.value)
		}
	}
	return before, after, true
}

// all is what was seen of some quantities, in order of time.
func (s *series) all(of ...string) []seen {
	return slices.DeleteFunc(slices.Clone(s.seen), func(o seen) bool { return !slices.Contains(of, o.quantity) })
}
