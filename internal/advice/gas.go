package advice

import (
	"math"
	"strings"
	"time"

	"skep/internal/measure"
	"skep/internal/property/gas"
)

// What a wine keeps of its own gas. Nobody has printed figures for jugs at home; these
// are careful guesses, our policy, and the dissolved gas is spread between half of what
// they give and all of it.
const (
	// ColdestUntold is taken when no temperature was told, °C, and whenever it was colder:
	// no yeast to speak of makes gas below it, so what is dissolved was made warmer.
	ColdestUntold measure.Celsius = 5

	keptByRacking = 0.80 // share of the gas that a racking leaves, at most
	keptByDegas   = 0.60 // share that stirring it out over a few days leaves, at most
	keptByMonth   = 0.93 // share that a month under an airlock leaves, at most
	// leastKept is what even a wine that tastes flat may hold, g/L: the taste threshold
	// (trade articles, secondary).
	leastKept = 0.5
	month     = 30.4 // days
)

// GasOf gathers what the record tells of the gas still dissolved. Rackings, degassings
// and months count from when fermentation should be over, on the late side. A degassing
// is a note that begins with "degassed".
func GasOf(e Evidence) Gas {
	var g Gas
	start := e.Jug.Start()
	for _, t := range e.Jug.Temperatures {
		if !t.At.Before(start) && !t.At.After(e.Now) && (g.Coldest == nil || t.Value < *g.Coldest) {
			g.Coldest = &t.Value
		}
	}
	quiet := expectedEnd(e)
	if quiet.IsZero() || quiet.After(e.Now) {
		return g
	}
	counts := func(at time.Time) bool { return !at.Before(quiet) && !at.After(e.Now) }
	for _, r := range e.Jug.Rackings {
		if counts(r.At) {
			g.Rackings++
		}
	}
	for _, n := range e.Jug.Notes {
		if counts(n.At) && degassed(n.What.Note) {
			g.Stirred++
		}
	}
	for _, l := range e.Jug.Looks {
		if counts(l.At) && degassed(l.What.Note) {
			g.Stirred++
		}
	}
	g.Months = e.Now.Sub(quiet).Hours() / 24 / month
	return g
}

func degassed(note string) bool {
	return strings.HasPrefix(strings.ToLower(strings.TrimSpace(note)), "degassed")
}

// dissolved is the most CO2 that the wine may still hold, g/L.
func (g Gas) dissolved(l gas.Liquid) (float64, error) {
	coldest := ColdestUntold
	if g.Coldest != nil {
		coldest = max(coldest, *g.Coldest)
	}
	full, err := gas.Saturated(l, coldest, gas.Most)
	if err != nil {
		return 0, err
	}
	kept := math.Pow(keptByRacking, float64(max(0, g.Rackings))) *
		math.Pow(keptByDegas, float64(max(0, g.Stirred))) * math.Pow(keptByMonth, max(0, g.Months))
	return max(leastKept, float64(full)*kept), nil
}
