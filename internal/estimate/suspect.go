package estimate

import (
	"fmt"
	"math"

	"skep/internal/measure"
)

// How far readings go astray in known ways. Common practice, no source, where nothing else is said.
const (
	mixing      = 24.0  // h after pitching in which a must may still lie in layers
	gasLifts    = 0.006 // of gravity, that bubbles at a hydrometer lift it by at most
	figure      = 0.010 // of gravity between two printed figures of most scales
	perKelvin   = 0.0003
	hottestOff  = 30.0 // K that a sample may have been warmer than was told
	hardware    = 120.0
	mostSuspect = 3
)

// Show tells the reading in words: "1.032", "4930 g".
func (o Observation) Show() string {
	l := look{Observation: o}
	return l.show(o.Value)
}

// suspects are what may be behind a look that does not fit, the likeliest first.
func suspects(l *look, expected measure.Range) []string {
	if !expected.Known() {
		return nil
	}
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	off := l.Value - expected.Value
	slack := 2 * l.SD
	fits := func(v float64) bool { return v >= expected.Low-slack && v <= expected.High+slack }
	switch l.Sense {
	case SawGravity:
		if meant, found := swapped(math.Round(1000*l.Value), func(v float64) bool { return fits(v / 1000) }); found {
			say("figures changed places: %.3f written for %.3f", l.Value, meant/1000)
		}
		if fits(l.Value - math.Copysign(figure, off)) {
			say("it was read against the wrong figure, ten points off")
		}
		if l.At < mixing {
			say("the must was not mixed: its top reads low, its bottom high")
		}
		switch {
		case off > 0 && off <= gasLifts:
			say("gas at the hydrometer lifted it: stir it out and read again")
		case off > 0:
			say("something sweet went in that was not written down")
		case -off <= perKelvin*hottestOff:
			say("the sample was warmer than was told")
		default:
			say("water went in that was not written down")
		}
	case SawSpent:
		if off > 0 {
			say("the sample had not fermented out: give it some days more, warm, and shake it daily")
		}
		say("the sample was warmer or colder than was told")
	case SawMass:
		if meant, found := swapped(math.Round(l.Value), fits); found {
			say("figures changed places: %.0f written for %.0f", l.Value, meant)
		}
		switch {
		case off < 0 && -off <= hardware:
			say("the lid or the airlock was not on it, or a sample was taken and not written down")
		case off < 0:
			say("some of it was taken out and not written down")
		case off <= hardware:
			say("something lay on the jug or on the scale")
		default:
			say("something went in that was not written down")
		}
		say("the scale was moved, or did not start from zero")
	case SawBrix:
		say("drops dried on the glass, or the prism was not at rest")
		say("pulp or foam was in the drop")
	case SawBubbles:
		if off > 0 {
			say("gas left because it was warmed or moved: that looks like work")
		} else {
			say("the lid was not tight that day")
		}
	case SawTaste:
		say("honey's scent tastes sweet, acid hides sweetness")
	}
	return all[:min(len(all), mostSuspect)]
}

// swapped looks for a number that two figures changed places in, or all in another order,
// that would be right.
func swapped(number float64, right func(float64) bool) (meant float64, found bool) {
	digits := []byte(fmt.Sprintf("%.0f", number))
	for apart := 1; apart < len(digits); apart++ {
		for i := 0; i+apart < len(digits); i++ {
			k := i + apart
			if digits[i] == digits[k] {
				continue
			}
			digits[i], digits[k] = digits[k], digits[i]
			v := 0.0
			for _, d := range digits {
				v = 10*v + float64(d-'0')
			}
			digits[i], digits[k] = digits[k], digits[i]
			if right(v) {
				return v, true
			}
		}
	}
	return 0, false
}
