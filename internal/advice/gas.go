package advice

import (
	"math"
	"strings"
	"time"

	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/property/gas"
)

// What a wine keeps of its own gas. Nobody has printed figures for jugs at home; these
// are careful guesses, our policy. A wine that was left in peace stands under its own gas
// and holds all that it can; of one that was racked or stirred, the gas is spread between
// half of what they give and all of it.
const (
	// ColdestUntold is taken when no temperature was told, °C, and whenever it was colder:
	// no yeast to speak of makes gas below it, so what is dissolved was made warmer.
	ColdestUntold measure.Celsius = 5

	keptByRacking = 0.80 // share of the gas that a racking leaves, at most
	keptByDegas   = 0.65 // share that stirring it out over a few days leaves, at most
	keptByMonth   = 0.93 // share that a month under an airlock leaves, at most
	// leastKept is what even a wine that tastes flat may hold, g/L: the taste threshold
	// (trade articles, secondary).
	leastKept = 0.5
	// leftInPeace is the least share of what it can hold that a wine keeps which was neither
	// racked nor stirred, and justDone times what it can hold the most: one that has just
	// fermented may hold more than it will.
	leftInPeace = 0.85
	justDone    = 1.15
	month       = 30.4 // days
)

// GasOf gathers what the record tells of the gas still dissolved. Rackings, degassings
// and months count from when fermentation should be over, on the late side, and from the
// last fall that was read, for a jug that woke is full again. A degassing is a note that
// begins with "degassed".
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
	quiet = later(quiet, lastFall(e))
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

// lastFall is when a gravity was last read two divisions or more below one before it.
func lastFall(e Evidence) (at time.Time) {
	highest := 0.0
	for _, r := range readings(e, estimate.SawGravity, time.Time{}) {
		if r.value < highest-2*EqualGravity-sampleApart {
			at, highest = r.at, 0
		}
		highest = max(highest, r.value)
	}
	return at
}

func degassed(note string) bool {
	return strings.HasPrefix(strings.ToLower(strings.TrimSpace(note)), "degassed")
}

// dissolved is the least and the most CO2 that the wine may still hold, g/L.
func (g Gas) dissolved(l gas.Liquid) (least, most float64, err error) {
	coldest := ColdestUntold
	if g.Coldest != nil {
		coldest = max(coldest, *g.Coldest)
	}
	full, err := gas.Saturated(l, coldest, gas.Most)
	if err != nil {
		return 0, 0, err
	}
	rackings, stirred, months := float64(max(0, g.Rackings)), float64(max(0, g.Stirred)), max(0, g.Months)
	kept := float64(full) * math.Pow(keptByRacking, rackings) * math.Pow(keptByDegas, stirred) * math.Pow(keptByMonth, months)
	least, most = kept/2, kept*math.Pow(justDone, max(0, 1-months))
	if rackings+stirred == 0 {
		least = leftInPeace * kept
	}
	return max(leastKept/2, least), max(leastKept, most), nil
}
