package advice

import (
	"fmt"
	"math"
	"time"

	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/property/density"
)

// What proves that a jug no longer moves.
const (
	// EqualGravity is how far apart two readings of one hydrometer may be and still count
	// as equal: a division of its scale. Common practice, no source.
	EqualGravity = 0.001
	// sampleApart is what samples told to the degree, half of it off each, add to the
	// difference of two readings brought to one temperature: 0.0003 a degree.
	sampleApart = 0.0003
	// GravityDays is the least number of days, by the calendar, between two equal readings. Four days are
	// too few by makers' own accounts of burst bottles; a week is common practice, no source.
	GravityDays = 7
	// limitDoubt is the chance of more than LittleSugar up to which a wine at its yeast's limit
	// need not be watched with stabilisers in it. Our policy.
	limitDoubt = 0.25
	// spentFalls is what LittleSugar falls by when it ferments: 0.00043 a gram in a litre.
	spentFalls = 0.00043 * LittleSugar
	// WatchDays is how long a wine that yeast left sweet must be seen to stand still with
	// stabilisers in it: sorbate keeps yeast from growing and stops none that is at work.
	// Makers wait two to four weeks; common practice, no source.
	WatchDays = 21
	// WeightDays is the same for weights. Our policy.
	WeightDays = 10
	// surestGravity is the most that the standard deviation of one reading may be, for its
	// agreement with another to mean anything: a hydrometer read to three decimals.
	surestGravity = 0.001
	// weightEqual is the loss of weight, g a litre, that goes with EqualGravity: 2.5 g/L of
	// sugar (20 °C, sucrose about 0.0004 a g/L), of which 0.489 leaves as gas.
	weightEqual = 2.5 * 0.489
	// YeastLowUntold is taken for the lowest temperature at which a yeast works when its
	// kind is not known: the highest of all kinds in the table. Our policy.
	YeastLowUntold measure.Celsius = 20
	// Over is the share of the ensemble that must say that fermentation is over. Our policy.
	Over = 0.9
	// LittleSugar is fermentable sugar that a home hydrometer cannot tell from none, g/L:
	// two divisions of its scale. Our policy.
	LittleSugar = 5.0
	// agrees is how far outside the ensemble's range the proving reading may lie: twice
	// the usual fault of a hydrometer's scale (assumed).
	agrees = 0.002
)

// reading is one look with a number, corrected where it needs to be.
type reading struct {
	at     time.Time
	value  float64 // specific gravity 20/20, or g
	sd     float64
	scale  measure.Celsius // of the hydrometer
	misfit bool
}

// readings are those of one sense after notBefore and since what is in the jug last
// changed, in time order. A reading that no liquid can have given is left out.
func readings(e Evidence, sense estimate.Sense, notBefore time.Time) []reading {
	misfit := make(map[string]bool)
	for _, m := range e.Outlook.Misfits {
		misfit[m.ID] = true
	}
	since := later(changed(e), notBefore)
	var all []reading
	for _, o := range e.Jug.Observations() {
		at := e.Jug.Start().Add(time.Duration(float64(o.At) * float64(time.Hour)))
		if o.Sense != sense || at.Before(since) || at.After(e.Now) {
			continue
		}
		r := reading{at: at, value: o.Value, sd: o.SD, scale: o.Calibrated, misfit: misfit[o.ID]}
		if sense == estimate.SawGravity || sense == estimate.SawSpent {
			sg, _, err := density.CorrectHydrometer(measure.Gravity(o.Value), o.Sample, o.Calibrated, alcohol(e))
			if err != nil {
				continue
			}
			r.value = float64(sg)
		}
		all = append(all, r)
	}
	return all
}

// alcohol is the mass fraction of ethanol that a reading is corrected for.
func alcohol(e Evidence) measure.MassFraction {
	if len(e.Members) == 0 || !(e.State.Ethanol.Value > 0) {
		return 0
	}
	// 1 % vol is 0.789 g in 100 mL, which weigh about 100 g.
	return measure.MassFraction(min(0.00789*e.State.Ethanol.Value, 0.3))
}

// changed is when something last went in that makes older readings those of another
// wine, or could have woken it.
func changed(e Evidence) time.Time {
	since := e.Jug.Start()
	for _, p := range e.Jug.Pitches {
		since = later(since, p.At)
	}
	for _, a := range e.Jug.Additions {
		since = later(since, a.At)
	}
	for _, b := range e.Jug.Blends {
		since = later(since, b.At)
	}
	return since
}

// prove looks for what shows that the jug stands still, and that it is finished.
func prove(e Evidence) Proof {
	p := proveStill(e)
	p.Over, p.Likely = overBy(e, Over), overBy(e, 0.5)
	p.Spent, p.Fell, p.Unsampled = sampled(e), spentBelow(e), unsampled(e)
	switch {
	case !p.Still || p.Finished || odd(e):
	case p.Spent:
		p.Missing += ", and of the sample"
	case p.Unsampled && p.Missing != readSample:
		p.Missing += ", and one of a sample fermented out"
	}
	return p
}

func proveStill(e Evidence) Proof {
	if g, found := gained(e); found {
		return Proof{At: g.after.at, When: e.Now, Missing: g.missing()}
	}
	p, from := still(e, time.Time{})
	out, spent := asItsSample(e)
	if !p.Still && !spent {
		return p
	}
	low, known := coldest(e, from)
	need := yeastLow(e)
	if p.Still && known && low < need { // what was read since it was last cold may do alone
		if warm, since := still(e, lastBelow(e, need).Add(days(1))); warm.Still {
			p = warm
			low, known = coldest(e, since)
		}
	}
	switch {
	case spent && (!p.Still || !known || low < need): // the sample stood warm
		p = out
	case !known:
		return Proof{By: p.By, At: p.At, Missing: "the temperature beside the jug", When: e.Now}
	case low < need:
		return Proof{
			By: p.By, At: p.At, When: e.Now.Add(days(GravityDays)),
			Missing: fmt.Sprintf("two equal readings %d days apart at %s or more; at %s the yeast may only be resting", GravityDays, degrees(need), degrees(low)),
		}
	}
	// A slow end can hide between two readings a week apart, so that what proves the end
	// must have been read after it, as the estimate sees it on the early side.
	since, _ := still(e, ended(e, e.Outlook.Finish.Low))
	left := leftover(e)
	p.Dry = seemsDry(e) && !unsampled(e) && !strong(e) && !odd(e)
	p.Held = watched(e) || overBy(e, Over) && !spentBelow(e) && (WakeChance*left <= MostChance || atLimit(e) && left <= limitDoubt)
	settled := p.Dry || atLimit(e) || seemsDry(e) && strong(e)
	p.Finished = (since.Still || spent) && overBy(e, Over) && settled && (stoppedSweet(e) || !unsampled(e)) && !odd(e)
	switch {
	case odd(e):
		p.Missing, p.When = "the reading of the fermented-out sample again: it cannot stand above the wine", e.Now
	case !p.Finished:
		p.Missing, p.When = "one more equal hydrometer reading", later(e.Now, p.At.Add(days(GravityDays)))
		if since.Still && overBy(e, Over) && seemsDry(e) && unsampled(e) {
			p.Missing = readSample
		}
	}
	return p
}

// readSample is what is missing where nothing else is.
const readSample = "the reading of a sample fermented out"

// asItsSample is the proof that the jug reads as a sample of it does that was fermented out:
// fresh yeast in the warm found nothing more to do. Where the wine may be stronger than such
// yeast bears, that says nothing.
func asItsSample(e Evidence) (p Proof, found bool) {
	samples, wine := daily(readings(e, estimate.SawSpent, time.Time{})), daily(readings(e, estimate.SawGravity, time.Time{}))
	if len(samples) == 0 || len(wine) == 0 || len(e.Members) == 0 || !(e.State.Ethanol.High <= SampleTrusted) {
		return p, false
	}
	out, last := mean(samples), wine[len(wine)-1]
	apart := last.value - out.value
	switch {
	case last.misfit || !fits(e, last) || last.at.Before(samples[0].at):
		return p, false
	case out.scale != last.scale || max(out.sd, last.sd) > surestGravity:
		return p, false
	case apart > EqualGravity+sampleApart || -apart > 1.5*EqualGravity+sampleApart:
		return p, false
	}
	by := fmt.Sprintf("%.3f on %s, and %.3f in a sample of it that was fermented out", last.value, day(last.at), out.value)
	return Proof{Still: true, By: by, At: last.at}, true
}

// mean is the mean of readings that fit, as one of the last of them.
func mean(all []reading) reading {
	m, count := all[len(all)-1], 0.0
	for _, r := range all {
		if !r.misfit {
			count++
			m.value += (r.value - m.value) / count
		}
	}
	return m
}

// sampleHow adds how a sample is fermented out to what is missing.
func (p Proof) sampleHow() string {
	if p.Missing == readSample {
		return "; for that, " + fermentOut
	}
	return "; and meanwhile " + fermentOut
}

// withSample adds to what is to be read that a sample is wanted too, for it takes as long.
func (p Proof) withSample() string {
	if p.Unsampled {
		return "; and meanwhile ferment out a sample"
	}
	return ""
}

func yeastLow(e Evidence) measure.Celsius {
	if e.YeastLow == 0 {
		return YeastLowUntold
	}
	return e.YeastLow
}

// overBy says that such a share of the ensemble, or more, holds fermentation to be over.
func overBy(e Evidence, share float64) bool {
	return len(e.Members) > 0 && e.Outlook.Contradicted == "" && e.State.Phases.Dry+e.State.Phases.Stopped >= share
}

// leftover is the chance that more than LittleSugar is left to ferment.
func leftover(e Evidence) float64 {
	n := 0
	for _, m := range e.Members {
		if !(m.EventualHexose <= LittleSugar) {
			n++
		}
	}
	return float64(n) / float64(max(1, len(e.Members)))
}

// seemsDry says that neither the ensemble nor a sample holds more than LittleSugar for left.
func seemsDry(e Evidence) bool { return leftover(e) <= SweetChance && !spentBelow(e) }

// spentBelow says that a sample fermented out by more than LittleSugar of sugar from where the
// wine stands: whatever the ensemble makes of it, that was seen.
func spentBelow(e Evidence) bool {
	spent, now := readings(e, estimate.SawSpent, time.Time{}), readings(e, estimate.SawGravity, time.Time{})
	return len(spent) > 0 && len(now) > 0 && now[len(now)-1].value-spent[len(spent)-1].value > spentFalls
}

// unsampled says that no sample was fermented out though one would tell more. Equal readings show
// that a wine stands still, and yeast stops with sugar left now and then for no cause that shows:
// fresh yeast finds it.
func unsampled(e Evidence) bool { return !sampled(e) && !(e.State.Ethanol.Value > SampleTop) }

// sampled says that a sample was fermented out since anything went in.
func sampled(e Evidence) bool { return len(readings(e, estimate.SawSpent, time.Time{})) > 0 }

// strong says that a sample which comes to nothing does not show the wine to be dry. Of 101 wines
// over SampleTop in play that were called dry by readings alone, three were not; and of the nine
// unsafe ones of 10,000 played jugs three were wines under it that a sample seemed to show dry.
func strong(e Evidence) bool { return e.State.Ethanol.Value > SampleTrusted }

// stoppedSweet says that sugar is left for all that is known: no sample need find it.
func stoppedSweet(e Evidence) bool { return eventual(e.Members).Low > LittleSugar }

// odd says that the last reading of a sample fermented out stands above that of the wine, by more
// than readings err: one of them is wrong.
func odd(e Evidence) bool {
	samples, wine := readings(e, estimate.SawSpent, time.Time{}), daily(readings(e, estimate.SawGravity, time.Time{}))
	return len(samples) > 0 && len(wine) > 0 && samples[len(samples)-1].value-wine[len(wine)-1].value > 1.5*EqualGravity+sampleApart
}

// gain is a weight or a gravity that rose with nothing written down that would make it.
type gain struct {
	before, after reading
	sense         estimate.Sense
}

// What no jug gains by itself. Our policy.
const (
	leastGain = 10.0  // g: a damp cloth is no honey
	leastRise = 0.004 // of gravity: gas and a warm sample make less
	// leaches is how long fruit may give sugar to a must, days.
	leaches = 3
)

// gained looks for two readings, one after the other, above one before them: yeast only makes a
// jug lighter and its gravity less.
func gained(e Evidence) (g gain, found bool) {
	weights := daily(readings(e, estimate.SawMass, time.Time{}))
	for i := range weights[:max(0, len(weights)-2)] {
		if rose(weights[i], weights[i+1:i+3], leastGain) {
			return gain{weights[i], weights[i+1], estimate.SawMass}, true
		}
	}
	gravities := readings(e, estimate.SawGravity, changed(e).Add(days(leaches)))
	for i, before := range gravities {
		for k := i + 1; k+1 < len(gravities); k++ {
			if gravities[k].scale == before.scale && rose(before, gravities[k:k+2], leastRise) {
				return gain{before, gravities[k], estimate.SawGravity}, true
			}
		}
	}
	return g, false
}

// rose says that a reading rose by more than least and its errors, and that the next bears it out.
func rose(before reading, after []reading, least float64) bool {
	more := max(least, 4*math.Hypot(before.sd, after[0].sd))
	return after[0].value-before.value > more && after[1].value-before.value > more/2
}

// how tells the gain: "weighs 72 g more", "reads 0.009 more".
func (g gain) how() string {
	if g.sense == estimate.SawMass {
		return fmt.Sprintf("weighs %.0f g more", g.after.value-g.before.value)
	}
	return fmt.Sprintf("reads %.3f more", g.after.value-g.before.value)
}

func (g gain) seen() string {
	if g.sense == estimate.SawMass {
		return fmt.Sprintf("%.0f g on %s, %.0f g on %s", g.before.value, day(g.before.at), g.after.value, day(g.after.at))
	}
	return fmt.Sprintf("%.3f on %s, %.3f on %s", g.before.value, day(g.before.at), g.after.value, day(g.after.at))
}

func (g gain) missing() string {
	return fmt.Sprintf("a note of what went in between %s and %s, for it %s; or the wrong reading taken back", day(g.before.at), day(g.after.at), g.how())
}

// watched says that it was read to stand still for WatchDays since it was last stabilised.
func watched(e Evidence) bool {
	n := len(e.Jug.Stabilisings)
	if n == 0 {
		return false
	}
	p, from := still(e, e.Jug.Stabilisings[n-1].At)
	return p.Still && measure.DaysBetween(from, p.At) >= WatchDays
}

// atLimit says that the strength explains why sugar is left.
func atLimit(e Evidence) bool {
	return e.YeastStops > 0 && e.State.Ethanol.Low >= float64(e.YeastStops)
}

// coldest is the lowest temperature seen since a day before from, of must, room or
// sample; known is false if none was.
func coldest(e Evidence, from time.Time) (low measure.Celsius, known bool) {
	low = measure.Celsius(math.Inf(1))
	for _, seen := range temperatures(e) {
		if !seen.at.Before(from.Add(-days(1))) {
			low, known = min(low, seen.t), true
		}
	}
	return low, known
}

// seenWarmth is a thermometer read.
type seenWarmth struct {
	at time.Time
	t  measure.Celsius
}

// temperatures are all on record until now, of must, room or sample.
func temperatures(e Evidence) []seenWarmth {
	var all []seenWarmth
	see := func(at time.Time, t measure.Celsius) {
		if !at.After(e.Now) {
			all = append(all, seenWarmth{at, t})
		}
	}
	for _, t := range e.Jug.Temperatures {
		see(t.At, t.Value)
	}
	for _, l := range e.Jug.Looks {
		if l.What.Sample != nil {
			see(l.At, measure.Celsius(l.What.Sample.Value))
		}
	}
	return all
}

// lastBelow is when a thermometer was last seen below a temperature.
func lastBelow(e Evidence, t measure.Celsius) time.Time {
	var last time.Time
	for _, seen := range temperatures(e) {
		if seen.t < t {
			last = later(last, seen.at)
		}
	}
	return last
}

// still looks for equal readings, or flat weights with a reading that agrees, all of them
// after notBefore. from is the time of the first of them.
func still(e Evidence, notBefore time.Time) (p Proof, from time.Time) {
	every := readings(e, estimate.SawGravity, notBefore)
	gravities := daily(every)
	if len(gravities) == 0 {
		return Proof{Missing: "a hydrometer reading", When: later(e.Now, expectedEnd(e))}, from
	}
	last := gravities[len(gravities)-1]
	next := Proof{
		At: last.at, When: later(e.Now, last.at.Add(days(GravityDays))),
		Missing: fmt.Sprintf("a second hydrometer reading, %d days or more after that of %s", GravityDays, day(last.at)),
	}
	if !last.misfit && !fits(e, last) && e.Now.Sub(last.at) > days(1) { // the wine has moved on since
		return Proof{Missing: "a hydrometer reading", When: later(e.Now, expectedEnd(e))}, from
	}
	if last.misfit || !fits(e, last) {
		next.Missing, next.When = "the hydrometer reading again: the last does not fit", e.Now
		return next, from
	}
	if first, second, equal := equalPair(gravities); equal {
		by := fmt.Sprintf("%.3f on %s and %.3f on %s", first.value, day(first.at), second.value, day(second.at))
		return Proof{Still: true, By: by, At: last.at}, first.at
	}
	if p, from, flat := flatWeights(e, last, notBefore); flat {
		return p, from
	}
	once := len(every) < 2 || measure.DaysBetween(every[len(every)-2].at, last.at) > 0
	if _, _, before := equalPair(gravities[:len(gravities)-1]); before && once {
		next.Missing, next.When = "the hydrometer reading again: the last differs from equal ones before it", e.Now
	}
	return next, from
}

// daily takes the mean of readings of one day on one scale for one reading, those that fit
// apart from those that do not.
func daily(all []reading) []reading {
	var days []reading
	count := 0.0
	for _, r := range all {
		if n := len(days); n > 0 {
			if last := &days[n-1]; measure.DaysBetween(last.at, r.at) == 0 && last.scale == r.scale && last.misfit == r.misfit {
				count++
				last.at, last.sd = r.at, max(last.sd, r.sd)
				last.value += (r.value - last.value) / count
				continue
			}
		}
		days, count = append(days, r), 1
	}
	return days
}

// equalPair looks for two equal readings a week apart, the second of them the last or one
// that the later ones do not speak against: errors apart, none lies more than a division
// below it, where sugar would have gone, and all since the first lie within two divisions,
// where none was added.
func equalPair(all []reading) (first, second reading, found bool) {
	for i := len(all) - 1; i > 0; i-- {
		second = all[i]
		if second.misfit {
			continue
		}
		first, found = firstEqual(all[:i+1], GravityDays, func(r reading) bool {
			fell := r.value - second.value // a rise is an error of reading, and no sugar that went
			return r.scale == second.scale && r.sd <= surestGravity && second.sd <= surestGravity &&
				fell <= EqualGravity+sampleApart && -fell <= 1.5*EqualGravity+sampleApart
		})
		if !found {
			continue
		}
		low, high, agree := second.value, second.value, true
		for k, r := range all {
			if r.misfit || r.at.Before(first.at) {
				continue
			}
			low, high = min(low, r.value), max(high, r.value)
			agree = agree && r.scale == second.scale && (k < i || r.value >= second.value-EqualGravity-sampleApart)
		}
		if agree && high-low <= 2*EqualGravity+sampleApart {
			return first, second, true
		}
	}
	return first, second, false
}

// flatWeights takes the weights for proof if they are flat and gravity was read meanwhile.
func flatWeights(e Evidence, gravity reading, notBefore time.Time) (p Proof, from time.Time, flat bool) {
	weights := readings(e, estimate.SawMass, notBefore)
	litres, err := e.Jug.Volume()
	if len(weights) == 0 || err != nil {
		return p, from, false
	}
	last := weights[len(weights)-1]
	allowed := weightEqual * float64(litres)
	first, equal := firstEqual(weights, WeightDays, func(r reading) bool {
		return !last.misfit && math.Hypot(r.sd, last.sd) <= allowed/2 && math.Abs(r.value-last.value) <= allowed
	})
	if !equal || gravity.at.Before(first.at) {
		return p, from, false
	}
	by := fmt.Sprintf("%.0f g on %s, %.0f g on %s and a gravity of %.3f", first.value, day(first.at), last.value, day(last.at), gravity.value)
	return Proof{Still: true, By: by, At: later(last.at, gravity.at)}, first.at, true
}

// firstEqual is the earliest reading from which on all equal the last, misfits aside,
// if it is at least so many days older.
func firstEqual(all []reading, apart int, equal func(reading) bool) (first reading, found bool) {
	last := all[len(all)-1]
	for i := len(all) - 2; i >= 0; i-- {
		switch r := all[i]; {
		case r.misfit:
		case !equal(r):
			return first, found
		case measure.DaysBetween(r.at, last.at) >= apart:
			first, found = r, true
		}
	}
	return first, found
}

// fits says that the ensemble could have given the reading. Without one, nothing contradicts it.
func fits(e Evidence, r reading) bool {
	g := e.State.Gravity
	return len(e.Members) == 0 || (r.value >= g.Low-agrees && r.value <= g.High+agrees)
}

// expectedEnd is when fermentation should be over, on the late side; zero if nobody can tell.
func expectedEnd(e Evidence) time.Time {
	end := ended(e, e.Outlook.Finish.High)
	if _, held := HeldSince(e); held { // the estimate does not know what holds it
		if rests := restsSince(e); end.After(rests) {
			return rests
		}
	}
	return end
}

// ended is the time of an end told in hours since pitching.
func ended(e Evidence, hours float64) time.Time {
	if len(e.Members) > 0 && e.Outlook.Finish.Known() && hours > 0 {
		return e.Jug.Start().Add(time.Duration(hours * float64(time.Hour)))
	}
	return time.Time{}
}
