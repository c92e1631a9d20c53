package advice

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/property/gas"
)

// Bottling.
const (
	// MostChance is the chance of passing the bottle's limit that a "ready" may leave. Our policy.
	MostChance = 0.01
	// SweetChance is the chance of more than LittleSugar that a wine called dry may leave, and
	// the chance of so much passing the bottle's limit that a ready may leave, whether or not it
	// would wake. It is what one of the ensemble's five hundred stands for. Our policy.
	SweetChance = 0.002
	// WakeChance is the chance that sugar which yeast left lying, in a jug that was proven to
	// stand still, ferments in the bottle after all. Finished meads keep some: 1.8 g/L of
	// glucose and 2.5 of fructose at the best of one study (Gomes et al. 2013, abstract). Some
	// wake when they are racked or warmed, most do not; no figure was found. Our policy. In
	// a jug without that proof all of it counts.
	WakeChance = 0.25
	// FreshDays is how old the last reading may be when the bottles are filled: sugar that
	// somebody stirred in and forgot to write down shows in no older one. Our policy.
	FreshDays = 7
	// fewestMembers are needed to tell a chance of one per cent.
	fewestMembers = 100
	// WarmestUntold is the warmest storage when nobody told, °C: a hot week indoors. Our policy.
	WarmestUntold measure.Celsius = 30
	// coolestJudged: a bottle kept in a cellar stands in a warm room once, to be drunk. Our policy.
	coolestJudged measure.Celsius = 20
	// SparklingLimit is what a bottle must bear to be filled with a wine meant to sparkle,
	// bar gauge: the least excess pressure at 20 °C of what the European Union calls
	// sparkling wine (Regulation (EU) 1308/2013, Annex VII, part II).
	SparklingLimit measure.Bar = 3
)

// MayBottle says whether a jug may be bottled as asked: the pressure in the closed
// bottle at its warmest with all the sugar that could still ferment, for every member
// of the ensemble, against what the bottle bears.
//
// Ready needs two things: a chance of at most MostChance of passing the bottle's limit,
// and proof. A wine with more than LittleSugar is never ready as it is; it is when
// sulphite and sorbate went in, both, or in a bottle made for pressure when its sugar is
// the priming. Sugar counts as if all of it fermented at gas.CarefulYield, unless
// stabilised; in a jug proven still, with WakeChance. What is not known is taken at its worst, so that taking a proof, a
// stabiliser, a racking or a thermometer out of the question never makes it readier.
//
// Physics out of its range, and a bottle that the wine would fill, answer "not yet".
func MayBottle(q Question) Verdict {
	v := Verdict{Answer: NotYet, Limit: q.Bottle.Limit, Warmest: q.warmest(), Chance: 1, When: later(q.Now, q.Proof.When)}
	v.Pressure, v.PressureAt20 = measure.RangeOf(nil, "bar"), measure.RangeOf(nil, "bar")
	v.Cautions = q.cautions()
	q.Proof.Finished = q.Proof.Finished && q.Proof.Still
	if len(q.Members) < fewestMembers {
		return v.because("nothing tells what is in this jug", "what went in, by weight or with the litres, and a hydrometer reading")
	}
	held := q.Stabilised.lacks(measure.PercentVol(q.strength())) == ""
	fill, err := q.fill(held)
	if err == nil {
		err = fill.press(&v, q.wake())
	}
	var full *gas.LiquidFullError
	switch {
	case errors.As(err, &full):
		return v.because(fmt.Sprintf("the wine swells and would fill the bottle to the closure at %s", degrees(full.Full)), "more air above the wine: 20 mL in a bottle of 750 mL")
	case err != nil:
		return v.because(fmt.Sprintf("the pressure cannot be computed: %v", err), q.orMissing("storage at 40 °C or less, and less sugar"))
	}
	switch {
	case q.Style == batch.Sparkling:
		v = q.sparkling(v, fill)
	case held:
		v = q.stabilised(v, fill)
	default:
		v = q.still(v, fill)
	}
	if v.Answer == NotYet && q.Proof.Unsampled && q.slow() && (!held || q.Proof.Still && !q.Proof.Held) {
		v.Settles += q.Proof.sampleHow()
	}
	return v
}

// What a sample fermented out tells, and when it is worth taking.
const (
	// fermentOut says how. Breweries' laboratories find the limit of a wort's fermentation so;
	// from memory, unverified.
	fermentOut = "ferment out a sample: 150 mL with a gram of fresh strong wine yeast, under foil and warm, shaken daily for a week, then read its gravity"
	// SampleTrusted is the strength up to which fresh yeast may be trusted to ferment a sample
	// out, % vol. Our policy.
	SampleTrusted = 14.0
	// StrongGlass is what a bottle must bear to take a still wine that was not shown to be dry. Our policy.
	StrongGlass measure.Bar = 6
	// SampleTop is up to what strength a sample is worth a try: if it falls, sugar is left; if
	// it does not, little is said. Our policy.
	SampleTop = 15.5
	// slowOut is the rate under which it is worth knowing what is left, g/L of CO2 in a day. Our policy.
	slowOut = 1.0
)

func (q Question) still(v Verdict, f fill) Verdict {
	eventual := eventual(q.Members)
	switch {
	case eventual.High > LittleSugar:
		way := q.orStabilise("time, until less sugar is left")
		if q.stabilisable() {
			way = bothIn + ", once it stands still"
		}
		if lack := q.Stabilised.lacks(measure.PercentVol(q.strength())); q.Stabilised.SulphiteMGL+q.Stabilised.SorbateMGL > 0 || q.Style == batch.StillStabilised {
			way = "both sulphite and sorbate in full: " + lack
		}
		return v.because(f.arithmetic(v), q.orMissing(way+f.withStirring(v, q)))
	case v.Chance > MostChance && f.gasAlone(v) && !q.Proof.Finished:
		return v.because(f.arithmetic(v), q.Proof.missing()+q.meanwhile())
	case v.Chance > MostChance:
		return v.because(f.arithmetic(v), q.orMissing(f.way(v, q)))
	case !q.Proof.Finished:
		return v.because(q.unproven(v), q.Proof.missing())
	case q.Proof.Fell:
		return v.because("a sample of it fermented out to a lower gravity: there is sugar in it that yeast can take", q.orStabilise("time, until it reads as its sample does"))
	case f.sweet(v.Limit) > SweetChance:
		return v.because(fmt.Sprintf("with a chance of %.1f %% more than %s of sugar is left in it, and that would be too much for the bottle should it wake", 100*f.sweet(v.Limit), sugar(LittleSugar)),
			q.orStabilise(f.stronger(SweetChance)))
	case !q.Proof.Dry && v.Limit < StrongGlass:
		return v.because("it stands still and seems dry, but no sample has shown that no sugar is left", q.orStabilise(fmt.Sprintf(bottlesThatBear+"%.0f bar", float64(StrongGlass))))
	case q.stale():
		return v.old(q)
	case q.Style == batch.StillStabilised:
		return v.because("it is not stabilised: "+q.Stabilised.lacks(measure.PercentVol(q.strength())), "sulphite and sorbate, both, or bottle it as it is: still")
	}
	return v.ready(ReadyStill, q)
}

func (q Question) stabilised(v Verdict, f fill) Verdict {
	switch {
	case v.Chance > MostChance:
		return v.because(f.arithmetic(v), q.orMissing(f.way(v, q)))
	case !q.Proof.Still:
		return v.because(q.unproven(v), q.Proof.missing())
	case !q.Proof.Held:
		v.When = later(q.Now, q.Proof.At.Add(days(GravityDays)))
		return v.because(
			q.stillAtWork(),
			fmt.Sprintf("equal hydrometer readings %d days apart with both in, the next on %s", WatchDays, day(v.When)))
	case q.Proof.At.Before(q.Stabilised.At): // who stabilises often sweetens too
		v.When = q.Now
		return v.because("nothing was read since the stabilisers went in", "one more equal hydrometer reading")
	case q.stale():
		return v.old(q)
	}
	return v.ready(ReadyStabilised, q)
}

// stillAtWork is why stabilisers are not trusted yet.
func (q Question) stillAtWork() string {
	why := fmt.Sprintf("more than %s of sugar may be in it", sugar(LittleSugar))
	if !q.Proof.Over {
		why = "it may not be over"
	}
	return why + ", and sorbate stops no yeast that is still at work"
}

func (q Question) sparkling(v Verdict, f fill) Verdict {
	switch {
	case q.Bottle.Limit < SparklingLimit:
		return v.because(
			fmt.Sprintf("a wine meant to sparkle needs a bottle that bears %.0f bar, and this one bears %s", float64(SparklingLimit), bears(q.Bottle.Limit)),
			"sparkling-wine bottles or bottles made for carbonated drinks, whole and clean")
	case v.Chance > MostChance:
		return v.because(f.arithmetic(v), q.orMissing(f.way(v, q)))
	case !q.Proof.Finished:
		return v.because(q.unproven(v), q.Proof.missing())
	case !q.Proof.Dry:
		return v.because("it stands still and seems dry, but nothing has shown that no sugar is left, and priming adds to it",
			fmt.Sprintf("to leave it still: stabilised, or in bottles that bear %.0f bar", float64(StrongGlass)))
	case q.stale():
		return v.old(q)
	}
	return v.ready(ReadySparkling, q)
}

// slow says that it is slow enough, or over, for a sample to tell what is left.
func (q Question) slow() bool {
	return measure.RangeOf(each(q.Members, func(m estimate.Member) float64 { return m.RateGLDay }), "").Value <= slowOut
}

// stale says that too much may have happened since the last reading.
func (q Question) stale() bool { return q.Now.Sub(q.Proof.At) > days(FreshDays) }

// old asks for the reading of the day.
func (v Verdict) old(q Question) Verdict {
	v.When = q.Now
	return v.because(fmt.Sprintf("it stood still (%s), but the last reading is %d days old", q.Proof.By, measure.DaysBetween(q.Proof.At, q.Now)),
		"one more equal hydrometer reading on the day of bottling")
}

func (v Verdict) because(reason, settles string) Verdict {
	v.Answer, v.Reason, v.Settles = NotYet, reason, settles
	return v
}

func (v Verdict) ready(a Answer, q Question) Verdict {
	v.Answer, v.Settles = a, ""
	v.When = q.Now
	v.Reason = fmt.Sprintf("it stands still (%s), and at %s the closed bottle comes to %.1f bar, most likely no more than %.1f; it bears %s",
		q.Proof.By, degrees(v.Warmest), v.Pressure.Value, v.Pressure.High, bears(v.Limit))
	return v
}

func (q Question) unproven(v Verdict) string {
	by := "nothing proves that it stands still"
	if q.Proof.Still {
		by = fmt.Sprintf("it stood still (%s), but the estimate does not hold it to be over", q.Proof.By)
		switch {
		case q.Proof.Over && q.Proof.Unsampled:
			by = fmt.Sprintf("it stood still (%s), but yeast stops with sugar left now and then, and no sample was fermented out", q.Proof.By)
		case q.Proof.Over:
			by = fmt.Sprintf("it stood still (%s), but the yeast may have stopped with more than %s of sugar left", q.Proof.By, sugar(LittleSugar))
		}
	}
	return fmt.Sprintf("%s; %.1f bar at %s is only the estimate", by, v.Pressure.High, degrees(v.Warmest))
}

// wake is the chance that sugar left lying ferments in the bottle.
func (q Question) wake() float64 {
	if q.Proof.Still {
		return WakeChance
	}
	return 1
}

// missing is what the proof lacks, with its date.
func (p Proof) missing() string {
	if p.Missing == "" {
		return "two equal hydrometer readings a week apart"
	}
	if p.When.IsZero() {
		return p.Missing
	}
	return p.Missing + ", on " + day(p.When)
}

// orMissing is the missing proof if there is one, else the other way: proof comes first,
// for it also narrows the estimate.
func (q Question) orMissing(way string) string {
	if !q.Proof.Still {
		return q.Proof.missing()
	}
	return way
}

func (q Question) warmest() measure.Celsius {
	if q.Warmest == 0 {
		return WarmestUntold
	}
	return max(q.Warmest, coolestJudged)
}

func (q Question) strength() float64 {
	return measure.RangeOf(each(q.Members, func(m estimate.Member) float64 { return m.EthanolPct }), "% vol").Value
}

func eventual(members []estimate.Member) measure.Range {
	return measure.RangeOf(each(members, func(m estimate.Member) float64 { return m.EventualHexose }), "g/L")
}

func each(members []estimate.Member, f func(estimate.Member) float64) []float64 {
	all := make([]float64, len(members))
	for i, m := range members {
		all[i] = f(m)
	}
	return all
}

func bears(limit measure.Bar) string {
	if limit <= 0 {
		return "none"
	}
	return fmt.Sprintf("%.1f bar", float64(limit))
}

// fill is the closed bottle of every member.
type fill struct {
	held    bool // stabilisers keep what is left
	bottles []gas.ClosedBottle
	asleep  []gas.ClosedBottle // the same if only the priming ferments
	flat    []gas.ClosedBottle // the same if nothing fermented any more
	sugar   []float64          // that may ferment in each, g/L: left and priming
	at      []float64          // gauge at the warmest, bar; from press
	quiet   []float64          // the same of asleep
	alone   []float64          // the same of flat
}

// fill closes the bottle on every member, with its sugar and its gas. The dissolved gas
// runs evenly from its least to its most, in golden steps from member to member:
// spread like chance, and the same each time.
func (q Question) fill(held bool) (f fill, err error) {
	f.held = held
	for i, m := range q.Members {
		left := m.EventualHexose + q.PrimingGL
		if held && q.Style != batch.Sparkling {
			left = 0
		}
		liquid := gas.Liquid{
			Ethanol: measure.PercentVol(m.EthanolPct),
			Sugar:   measure.GramsPerLitre(max(0, m.SugarGL-m.EventualHexose)),
		}
		if held {
			liquid.Sugar = measure.GramsPerLitre(m.SugarGL)
		}
		least, most, err := q.Gas.dissolved(liquid)
		if err != nil {
			return f, err
		}
		const golden = 0.6180339887498949
		_, spread := math.Modf(float64(i+1) * golden)
		b := gas.ClosedBottle{
			Volume:    measure.Litres(q.Bottle.SizeML / 1000),
			Headspace: measure.Litres(q.Bottle.HeadspaceML / 1000),
			Liquid:    liquid,
			CO2:       measure.GramsPerLitre(least + spread*(most-least)),
			Hexose:    measure.GramsPerLitre(left),
			Yield:     gas.CarefulYield,
			Law:       gas.Least,
		}
		f.bottles = append(f.bottles, b)
		b.Hexose = measure.GramsPerLitre(q.PrimingGL)
		f.asleep = append(f.asleep, b)
		b.Hexose = 0
		f.flat = append(f.flat, b)
		f.sugar = append(f.sugar, left)
	}
	return f, nil
}

// press fills in the pressures, with all the sugar, and the chance that they pass the limit.
func (f *fill) press(v *Verdict, wake float64) (err error) {
	if f.at, err = gauges(f.bottles, v.Warmest); err != nil {
		return err
	}
	if f.quiet, err = gauges(f.asleep, v.Warmest); err != nil {
		return err
	}
	if f.alone, err = gauges(f.flat, v.Warmest); err != nil {
		return err
	}
	at20, err := gauges(f.bottles, 20)
	if err != nil {
		return err
	}
	v.Pressure, v.PressureAt20 = measure.RangeOf(f.at, "bar"), measure.RangeOf(at20, "bar")
	v.Chance = wake*passing(f.at, v.Limit) + (1-wake)*passing(f.quiet, v.Limit)
	return nil
}

func gauges(bottles []gas.ClosedBottle, t measure.Celsius) ([]float64, error) {
	all := make([]float64, len(bottles))
	for i, b := range bottles {
		p, err := b.Gauge(t)
		if err != nil {
			return nil, err
		}
		all[i] = float64(p)
	}
	return all, nil
}

// passing is the share at or above the limit. A bottle that bears nothing is passed by anything.
func passing(pressures []float64, limit measure.Bar) float64 {
	if limit <= 0 {
		return 1
	}
	n := 0
	for _, p := range pressures {
		if p >= float64(limit) {
			n++
		}
	}
	return float64(n) / float64(len(pressures))
}

// arithmetic is the reason in figures: what the sugar would make, and what the bottle
// bears. Where it is more likely than not that the bottle holds, the worst of a hundred
// jugs is told, for that is what stands in the way.
func (f fill) arithmetic(v Verdict) string {
	held, share, start := "this bottle bears "+bears(v.Limit), 0.5, ""
	switch {
	case v.Chance <= MostChance:
		held += ", but it would not stay still"
	case v.Chance < 0.5:
		share, start = 1-MostChance, fmt.Sprintf("the chance of too much pressure is %.0f %%: in the worst of a hundred such jugs ", 100*v.Chance)
	}
	left, end := quantile(f.sugar, share), fmt.Sprintf("%.1f bar at %s; %s", quantile(f.at, share), degrees(v.Warmest), held)
	if f.gasAlone(v) || left < leastTold {
		return start + "the gas still dissolved in it would bring the closed bottle to " + end
	}
	volumes := gas.Volumes(measure.GramsPerLitre(gas.CarefulYield * left))
	return start + fmt.Sprintf("%s of sugar may still ferment: that would be %.1f volumes of gas, and with what is dissolved %s", sugar(left), volumes, end)
}

// leastTold is sugar under which none is spoken of, g/L.
const leastTold = 0.05

func quantile(values []float64, share float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	return sorted[int(math.Round(share*float64(len(sorted)-1)))]
}

// gasAlone says that what is dissolved passes the limit before any sugar ferments, and
// that there is little sugar to speak of.
func (f fill) gasAlone(v Verdict) bool {
	return passing(f.alone, v.Limit) > MostChance && quantile(f.sugar, 0.9) <= LittleSugar
}

// way is what would bring the pressure under the limit.
func (f fill) way(v Verdict, q Question) string {
	switch {
	case v.Limit <= 0:
		return "bottles that bear pressure; jugs, jars and swing-tops of unknown make stay vented"
	case f.gasAlone(v):
		return f.stirring(v, q)
	case q.PrimingGL > 0:
		return "less priming sugar, or bottles that bear more"
	case quantile(f.sugar, 0.9) <= LittleSugar:
		if cool, found := f.coolEnough(v); found {
			return q.orStabilise(fmt.Sprintf("a place that never gets warmer than %s", degrees(cool)))
		}
		return q.orStabilise(f.stronger(MostChance))
	}
	return q.orStabilise("time, until less sugar is left")
}

const bottlesThatBear = "bottles that bear "

// stronger names the bottles that all jugs but such a share would hold in, should all wake.
func (f fill) stronger(share float64) string {
	return fmt.Sprintf(bottlesThatBear+"%.0f bar", math.Ceil(quantile(f.at, 1-share)))
}

// sweet is the share of jugs that hold more than LittleSugar and would pass a limit with it.
func (f fill) sweet(limit measure.Bar) float64 {
	n := 0
	for i, p := range f.at {
		if p >= float64(limit) && f.sugar[i] > LittleSugar {
			n++
		}
	}
	return float64(n) / float64(len(f.at))
}

const bothIn = "sulphite and sorbate, both"

// stabilisable says that a dose of sorbate is printed for so strong a wine.
func (q Question) stabilisable() bool {
	_, found := LeastSorbate(measure.PercentVol(q.strength()))
	return found
}

// orStabilise adds to one way that of stabilising, where there is it.
func (q Question) orStabilise(way string) string {
	if !q.stabilisable() {
		return way + "; no dose of sorbate is printed for its strength"
	}
	return way + ", or " + bothIn
}

// A stirring takes so many days, once on each: our policy.
const stirringDays = 3

var stirringWords = []string{"three", "six", "nine", "twelve"}

// stirrings is how often the gas must be stirred out before what stays passes the limit in
// MostChance of jugs at most, and the bottles after it; as many as there are words stands for
// more too.
func (q Question) stirrings(held bool) (n int, f fill) {
	for n = 1; ; n++ {
		more := q
		more.Gas.Stirred += n
		f, err := more.fill(held)
		if err != nil || n == len(stirringWords) {
			return n, f
		}
		if alone, err := gauges(f.flat, q.warmest()); err != nil || passing(alone, q.Bottle.Limit) <= MostChance {
			return n, f
		}
	}
}

// stirring says how to get the gas out, and what is needed besides.
func (f fill) stirring(v Verdict, q Question) string {
	n, after := q.stirrings(f.held)
	note := `note "degassed"`
	if n > 1 {
		note += " after every three"
	} else {
		note = "or rack it, " + note
	}
	way := fmt.Sprintf("get the gas out: stir gently once a day for %s days, %s, ask again", stirringWords[n-1], note)
	then := v
	if err := after.press(&then, q.wake()); err == nil && then.Chance > MostChance && !after.gasAlone(then) {
		besides := after.way(then, q)
		if strings.HasPrefix(besides, bottlesThatBear) { // which then bear the gas too
			return q.orStabilise(f.stronger(MostChance)) + f.withStirring(v, q)
		}
		way += "; and besides " + besides
	}
	return way
}

// withStirring adds to stabilising that the gas must go too, where it alone is too much.
func (f fill) withStirring(v Verdict, q Question) string {
	if v.Limit <= 0 || !q.stabilisable() || passing(f.alone, v.Limit) <= MostChance {
		return ""
	}
	n, _ := q.stirrings(true)
	return fmt.Sprintf(`; stir the gas out gently once a day for %s days, and note "degassed" after every three`, stirringWords[n-1])
}

// meanwhile is what to do about the gas until the reading that the proof lacks. A jug that is
// hardly over is not stirred yet: it would fill again.
func (q Question) meanwhile() string {
	days := measure.DaysBetween(q.Now, q.Proof.When)
	n, _ := q.stirrings(false)
	if n = min(n, days/stirringDays); q.Proof.Likely && n > 0 {
		return fmt.Sprintf(`; stir the gas out gently once a day on the last %s days before it, and note "degassed" after every three`, stirringWords[n-1])
	}
	return ""
}

// coolEnough is the warmest whole degree, under that judged, at which the bottle would hold.
func (f fill) coolEnough(v Verdict) (measure.Celsius, bool) {
	for t := measure.Celsius(math.Ceil(float64(v.Warmest)) - 1); t >= coolestJudged; t-- {
		if at, err := gauges(f.bottles, t); err == nil && passing(at, v.Limit) <= MostChance {
			return t, true
		}
	}
	return 0, false
}

func (q Question) cautions() []string {
	keys := []CautionKey{Bursting}
	if q.Stabilised.SulphiteMGL > 0 {
		keys = append(keys, Sulphites)
	}
	var all []string
	for _, k := range keys {
		all = append(all, Caution(k))
	}
	if q.Style == batch.Sparkling && q.Stabilised.SorbateMGL > 0 {
		all = append(all, "Sorbate is in it: the yeast that should make it sparkle may never wake.")
	}
	if q.warmest() < WarmestUntold {
		all = append(all, fmt.Sprintf("This holds only while the bottles stay below %s.", degrees(q.warmest())))
	}
	return all
}

// Filled looks at bottles that are closed already: q as they were filled, with the members
// of today. It returns the warning that they want, if the chance that they pass what they
// bear is above MostChance, or cannot be told.
func Filled(q Question) (Want, bool) {
	v := MayBottle(q)
	if v.Chance <= MostChance {
		return Want{}, false
	}
	return Want{
		At: q.Now, Urgency: Danger, Kind: WantRelease,
		What: "Put the bottles in the cold, boxed, away from people; with gloves and eye protection let the gas out of each, or empty them back into a jug with an airlock",
		Why:  v.Reason,
	}, true
}
