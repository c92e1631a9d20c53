package estimate

import (
	"math"
	"slices"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
)

// unknown is one thing not known of a jug. Each is a number that is normal with mean 0
// and standard deviation 1 before there is evidence; its meaning is given where it is used.
type unknown int

const (
	growth unknown = iota
	use
	damage
	cellsPerNitrogen
	yield
	nitrogen
	pitch
	sugar
	volume
	lag
	limit
	slow
	warmth
	wander
	wanderLate
	wanderEnd
	// faults of looking, shared by all looks of their kind
	bubbleSize
	leak
	saturation
	carried
	evaporation
	// faults that what is seen follows in a straight line: given the rest, Bayes' rule has
	// them in closed form, and they need not be searched for
	hydrometer
	refractometer
	emptyWeight
	palate
	unknowns
	searched = hydrometer // so many are
)

// words names an unknown for the person whose record contradicts what was known.
var words = [unknowns]string{
	"speed of growth", "speed of the yeast", "harm done by alcohol", "amount of yeast grown",
	"alcohol from sugar", "nitrogen", "amount of live yeast", "sugar", "amount of must", "time to start",
	"strength at which the yeast stops", "slow sugar of the honey", "temperature",
	"slowing on the way", "slowing late", "slowing at the end",
	"size of a bubble", "leak of the lid", "gas held in the must", "water carried off", "evaporation",
	"hydrometer's scale", "refractometer's scale", "weight of the empty vessel", "taster's palate",
}

// drawn is one value for each unknown.
type drawn [unknowns]float64

// Widths, as standard deviations; of the logarithm where the comment says ln. Growth, use,
// lag, pitch, by how much yeast passes its tolerance and the wander were chosen on measured
// series (docs/decisions/0009), damage is a factor of 2 each way, as four in five: no better
// is known. The rest is assumed, no source, if nothing else is said.
const (
	growthSD     = 0.25 // ln
	useSD        = 0.30 // ln
	damageSD     = 0.54 // ln
	cellsSD      = 0.20 // ln
	yieldCentre  = 2.43 // logit of yield / chemistry's most: must.EthanolYield, 0.47 g/g
	yieldSD      = 0.35 // of the logit: 0.45 to 0.484 as four in five
	lagSD        = 0.40 // ln
	pitchSD      = 0.40 // ln
	blindPitchSD = 0.50 // ln, when the amount is unknown
	pitchAtWork  = 0.5  // active cells per gram of dry yeast
	blindPitch   = 0.15 // g/L of active cells: 0.25 to 0.3 g/L of dry yeast is the usual dose
	passBy       = 2.0  // % vol that good jugs pass the yeast's tolerance by, as kinetics.Typical has it
	passBySD     = 0.6
	wanderSD     = 0.35 // ln, of each of the three: what the model lacks
)

// Edges of what the model covers; a guess that leads beyond is held there. Only evidence
// against all that was written down leads so far.
const (
	mostSugar    = 0.40 // of the mass of a must: some 490 g/L
	mostNitrogen = 1e-3 // of the mass of a must
	mostStrength = 22.0 // % vol at which any yeast stops, assumed
)

// world is a situation made ready: what all members share.
type world struct {
	Situation
	typical  kinetics.Parameters
	vapour   float64 // water that gas takes along, against 20 °C
	segments []span
}

// span is a time without changes.
type span struct{ from, until measure.Hours }

// jug is one member's yeast, must and course.
type jug struct {
	p      kinetics.Parameters
	must   must.Must
	closed float64 // slow sugar no yeast of this jug can take, share
	active float64 // g of cells at work at pitching
	full   float64 // CO2 that the must holds back, g/L
	course kinetics.Course
}

// jug turns drawn numbers into a jug, its course laid out in the given room if that suffices.
func (w *world) jug(z *drawn, room kinetics.Course) jug {
	z = w.taught(z)
	j := jug{p: w.typical, must: w.Must}
	j.p.Growth *= math.Exp(growthSD * z[growth])
	j.p.Use *= math.Exp(useSD * z[use])
	j.p.Damage *= math.Exp(damageSD * z[damage])
	j.p.CellsPerNitrogen *= math.Exp(cellsSD * z[cellsPerNitrogen])
	j.p.EthanolPerSugar = kinetics.MostEthanol / (1 + math.Exp(-yieldCentre-yieldSD*z[yield]))
	j.p.Lag *= math.Exp(lagSD * z[lag])
	j.p.Heat = w.Heat
	j.p.Wander = [3]float64{wanderSD * z[wander], wanderSD * z[wanderLate], wanderSD * z[wanderEnd]}
	middle, spread := strengthOf(w.Yeast)
	j.p.EthanolLimit *= min(mostStrength/middle, math.Exp(spread/middle*z[limit]))

	more := math.Exp(w.VolumeSD * z[volume])
	for c := range j.must {
		j.must[c] *= more
	}
	sugars, mass := allSugar(&w.Must), float64(w.Must.Mass())
	sweetest := max(1, mostSugar/(1-mostSugar)*(mass-sugars)/sugars)
	sweeter := min(sweetest, math.Exp(w.SugarSD*z[sugar]))
	for _, c := range []must.Component{must.Glucose, must.Fructose, must.Sucrose, must.SlowSugar} {
		j.must[c] *= sweeter
	}
	if n := w.Must[must.Nitrogen]; n > 0 {
		j.must[must.Nitrogen] *= min(max(1, mostNitrogen*mass/n), math.Exp(w.NitrogenSD*z[nitrogen]))
	}
	j.closed = 0.5 * math.Erfc(z[slow]/math.Sqrt2) // any share is as likely
	j.full = 1.5 * math.Exp(0.2*z[saturation])     // g/L at 20 °C, from memory, unverified
	if w.YeastGrams > 0 {
		j.active = pitchAtWork * w.YeastGrams * math.Exp(pitchSD*z[pitch])
	} else {
		litres, _ := j.must.Volume(20) // an error shows when the jug is followed
		j.active = blindPitch * float64(litres) * math.Exp(blindPitchSD*z[pitch])
	}

	j.course = w.Course
	if w.TemperatureSD > 0 {
		j.course = slices.Grow(room[:0], len(w.Course))[:len(w.Course)]
		for i, point := range w.Course {
			t := min(40, max(0, float64(point.T)+w.TemperatureSD*z[warmth]))
			j.course[i] = TemperaturePoint{At: point.At, T: measure.Celsius(t)}
		}
	}
	return j
}
