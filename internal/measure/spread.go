package measure

import "math"

// The spread of each way of measuring, one standard deviation. A rounding is
// uniform over one division, hence division/√12.
//
//	scale       one division of the last digit said, but no coarser than a twentieth
//	            of the weight or 1 g ("3 lb" is a label or a scale, not a guess), and
//	            0.1 % of the weight; both assumed
//	jug         2 %: marks on a vessel; assumed
//	cup         2.8 %: the tolerance of the standard teaspoon, 4.93 ± 0.24 mL (USP 29,
//	            chapter 1221), uniform; that a cup is as good is assumed
//	spoon       5.8 %: the 10 % that chapter 1221 allows a good spoon in use, uniform
//	instrument  the last digit said, but no better than the floors below; assumed
//	count       none for whole ones, 0.1 for a broken one; assumed
//
// What an ingredient adds (heaping, packing, clinging) is the ingredient's business.
const (
	roundingShare  = 1. / 20
	scaleDivision  = 1.0 // g
	scaleLinearity = 0.001
	jugSpread      = 0.02
	cupSpread      = 0.24 / 4.93 / 1.7320508 // √3
	spoonSpread    = 0.10 / 1.7320508
	brokenSpread   = 0.1
)

// instrumentFloor is as well as a kitchen instrument tells, whatever digits are said: assumed.
var instrumentFloor = map[Kind]float64{
	SG: 0.001, Brix: 0.2, Temperature: 0.5, Acidity: 0.1, Pressure: 0.05, Strength: 0.1, Length: 0.1,
}

// spread is one standard deviation of value, said to the nearest step; both in the unit of kind.
func spread(kind Kind, tool Tool, value, step float64) float64 {
	value = math.Abs(value)
	switch tool {
	case Scale:
		division := min(step, max(value*roundingShare, scaleDivision))
		return math.Hypot(division/math.Sqrt(12), value*scaleLinearity)
	case Jug:
		return value * jugSpread
	case Cup:
		return value * cupSpread
	case Spoon:
		return value * spoonSpread
	case Count:
		if value != math.Trunc(value) {
			return brokenSpread
		}
		return 0
	}
	if floor, ok := instrumentFloor[kind]; ok {
		return max(floor, step/math.Sqrt(12))
	}
	return min(step, value*roundingShare) / math.Sqrt(12)
}

// vague is the spread when "about" or the like was said: three times as wide, and of
// what has a true zero at least a tenth of the value. Assumed.
func vague(kind Kind, value, sd float64) float64 {
	switch kind {
	case SG, Brix, Temperature, Acidity:
		return 3 * sd
	}
	return max(3*sd, value/10)
}

// countSpread is the spread of a bubble rate counted for some minutes: √n of n bubbles
// counted (of one, when there were none). A shorter time than a minute is taken as said
// of a minute. A lock breathes more evenly than chance; the rest is the minute's own swing.
func countSpread(perMinute, minutes float64) float64 {
	minutes = max(minutes, 1)
	return math.Sqrt(max(perMinute*minutes, 1)) / minutes
}
