package advice

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/property/gas"
	"skep/internal/property/sulphite"
)

// Path is a way to finish a wine.
type Path string

// The paths.
const (
	PathDry         Path = "dry"         // dry and still, as it is
	PathSweet       Path = "sweet"       // sweet and still, held by sulphite and sorbate
	PathPasteurised Path = "pasteurised" // sweet and still, heated in its open bottles
	PathCold        Path = "cold"        // sweet, and kept in the cold
	PathSparkling   Path = "sparkling"   // primed, in bottles made for it
)

// Paths are all of them, and what each is in a few words.
var Paths = []struct {
	Path  Path
	Words string
}{
	{PathDry, "dry and still, as it is"},
	{PathSweet, "sweet and still, held by sulphite and sorbate"},
	{PathPasteurised, "sweet and still, pasteurised in its open bottles"},
	{PathCold, "sweet, and kept in the cold until it is drunk"},
	{PathSparkling, "sparkling, primed in bottles made for pressure"},
}

// StepKey names a step of finishing.
type StepKey string

// The steps.
const (
	StepProof     StepKey = "proof"
	StepRack      StepKey = "rack"
	StepClear     StepKey = "clear"
	StepPH        StepKey = "ph"
	StepStabilise StepKey = "stabilise"
	StepSweeten   StepKey = "sweeten"
	StepWatch     StepKey = "watch"
	StepHeat      StepKey = "heat"
	StepChill     StepKey = "chill"
	StepBottle    StepKey = "bottle"
)

// FinishStep is one thing to do or to see before the next.
type FinishStep struct {
	Key   StepKey   `json:"step"`
	Done  bool      `json:"done"`
	What  string    `json:"what"`
	Tell  string    `json:"tell,omitempty"` // the command that tells of it, or leads to it
	Why   string    `json:"why"`
	Doses []Dose    `json:"doses,omitempty"`
	From  time.Time `json:"from,omitzero"` // not before; zero: now
}

// Dose is so much of one thing for the whole jug.
type Dose struct {
	Ingredient string        `json:"ingredient"`
	Grams      measure.Range `json:"grams"`
}

// FinishWish is how a wine is to be finished, and what a wine maker's arithmetic made of it.
type FinishWish struct {
	Path    Path
	To      measure.Gravity // to sweeten to; 0: not told
	Sweeten *Dose           // that brings it there; nil where nothing is to be added, or To is not told
	Prime   *Dose           // for the bubbles wanted
	Acid    *Dose           // that should bring a wine that is too mild to SorbatePH; nil where that cannot be foretold
	// What the wine comes to with Sweeten in it, for it thins what holds it; 0: as it is.
	Litres   measure.Litres
	Strength measure.PercentVol
}

// Finishing is a path with its steps, as far as the record has come.
type Finishing struct {
	Path     Path         `json:"path"`
	Steps    []FinishStep `json:"steps"`
	Next     StepKey      `json:"next,omitempty"`    // the first that is not done; "" when all are, or Stop stands in the way
	Stop     string       `json:"stop,omitempty"`    // why this path is not open
	Instead  string       `json:"instead,omitempty"` // what to do about that
	Cautions []string     `json:"cautions,omitempty"`
}

// Finishing. All of it common practice without a source, unless it says otherwise.
const (
	sweetenDays = 2 // from stabilising to sweetening
	// wineGoal is molecular SO2 for a sweet wine, mg/L (the 0.8 of cellar practice).
	wineGoal = 0.8
	// HeatTo and HeatMinutes kill wine yeast with something to spare: some fifty of the
	// units, 1.393^(t−60) a minute, of which makers quote 14, 30 and 50. From memory,
	// unverified; so no verdict counts it.
	HeatTo measure.Celsius = 65
	// HeatMinutes is how long, at that.
	HeatMinutes = 10
	// bathGap is how much warmer than the glass a bath may be, K: as for hot must [gost53921].
	bathGap = 20
	// ColdKeeps is the warmest place in which yeast hardly works, °C.
	ColdKeeps = ColdestUntold
)

// PathOf is the path that a jug's record tells of: as was said, else by what was done.
func PathOf(j batch.State) (Path, bool) {
	if j.Aim != nil {
		return Path(j.Aim.What.Path), true
	}
	if len(j.Heatings) > 0 {
		return PathPasteurised, true
	}
	for _, s := range j.Stabilisings {
		for _, p := range s.What.Parts {
			if strings.Contains(strings.ToLower(p.Ingredient), "sorbate") {
				return PathSweet, true
			}
		}
	}
	return "", false
}

// Finish lays out the steps of a path for a jug, each done or not by what the record says,
// whoever recorded it and how. v is the verdict on bottling in the style of the path.
//
// The proof is that of Stand and the last word that of MayBottle: there are no others. A
// jug that stalled is sent to be rescued and not to be stabilised, which is no cure for
// live yeast, unless new yeast was tried and left it as it was.
func Finish(e Evidence, s Standing, v Verdict, w FinishWish) Finishing {
	f := finish{Evidence: e, standing: s, verdict: v, wish: w, deed: firstDeed(e.Jug)}
	plan := Finishing{Path: w.Path, Cautions: f.cautions()}
	if plan.Stop, plan.Instead = f.stop(); plan.Stop != "" {
		return plan
	}
	for _, key := range f.keys() {
		s := f.step(key)
		if key == StepBottle && slices.ContainsFunc(plan.Steps, func(s FinishStep) bool { return !s.Done }) {
			s.What, s.Tell, s.Why, s.From = "Bottle it, when all of this is done", "", "until then nobody knows what the bottle would come to", time.Time{}
		}
		plan.Steps = append(plan.Steps, s)
	}
	if i := slices.IndexFunc(plan.Steps, func(s FinishStep) bool { return !s.Done }); i >= 0 {
		plan.Next = plan.Steps[i].Key
	}
	return plan
}

type finish struct {
	Evidence
	standing Standing
	verdict  Verdict
	wish     FinishWish
	deed     time.Time // when finishing began: the first thing done that needs a wine at rest
}

// firstDeed is when something first went in that a wine at rest is given: a stabiliser,
// or sugar, after the last yeast; zero if nothing did.
func firstDeed(j batch.State) time.Time {
	start := j.Start()
	for _, p := range j.Pitches {
		start = later(start, p.At)
	}
	var first time.Time
	see := func(at time.Time) {
		if !at.Before(start) && (first.IsZero() || at.Before(first)) {
			first = at
		}
	}
	for _, d := range j.Stabilisings {
		if slices.ContainsFunc(d.What.Parts, func(p batch.Part) bool { return strings.Contains(strings.ToLower(p.Ingredient), "sorbate") }) {
			see(d.At)
		}
	}
	for _, h := range j.Heatings {
		see(h.At)
	}
	if j.Aim != nil {
		for _, a := range j.Additions {
			if a.At.After(j.Aim.At) && sweet(a.What.Parts) {
				see(a.At)
			}
		}
	}
	return first
}

func sweet(parts []batch.Part) bool {
	return slices.ContainsFunc(parts, func(p batch.Part) bool { return p.Adds.Hexose(1) > 0 })
}

// keys are the steps of the path.
func (f *finish) keys() []StepKey {
	steps := map[Path][]StepKey{
		PathDry:         {StepProof, StepRack, StepBottle},
		PathSweet:       {StepProof, StepRack, StepClear, StepPH, StepStabilise, StepSweeten, StepWatch, StepBottle},
		PathPasteurised: {StepProof, StepRack, StepClear, StepSweeten, StepHeat, StepBottle},
		PathCold:        {StepProof, StepRack, StepClear, StepSweeten, StepChill},
		PathSparkling:   {StepProof, StepRack, StepBottle},
	}[f.wish.Path]
	return slices.DeleteFunc(slices.Clone(steps), func(k StepKey) bool { return k == StepSweeten && !f.toSweeten() })
}

// toSweeten says that sugar is to go in, or went in.
func (f *finish) toSweeten() bool {
	return f.wish.Sweeten != nil || !f.sweetened().IsZero() || f.State.Hexose.High <= LittleSugar
}

// sweetened is when sugar last went in since finishing began.
func (f *finish) sweetened() (at time.Time) {
	for _, a := range f.Jug.Additions {
		if !f.deed.IsZero() && !a.At.Before(f.deed) && !a.At.After(f.Now) && sweet(a.What.Parts) {
			at = later(at, a.At)
		}
	}
	return at
}

// stop says why the path is not open, and what to do instead.
func (f *finish) stop() (why, instead string) {
	left, stabilised := f.State.Hexose, StabilisedBy(f.Jug, f.Now)
	switch {
	case f.Jug.Empty:
		return "nothing is left in the jug", "skep shelf tells of its bottles"
	case len(f.Members) == 0 || !left.Known():
		return f.standing.Sentence, "nobody can tell how to finish what is not known"
	case f.stalled():
		return fmt.Sprintf("it has stalled with %s of sugar that it should be eating: that is no end, and stabilising is no cure for live yeast", sugar(left.Value)),
			"skep rescue tells what to try first; if new yeast leaves it as it is, it may be finished sweet"
	case f.wish.Path == PathDry && f.proven() && left.High > LittleSugar:
		return fmt.Sprintf("up to %s of sugar is left: it is not dry", sugar(left.High)), "finish it sweet, pasteurised or cold"
	case f.wish.Path == PathSparkling && stabilised.SorbateMGL > 0:
		return "sorbate is in it: the yeast that should make it sparkle may never wake, or may wake much later", "finish it still"
	case f.wish.Path == PathSparkling && len(f.Jug.Heatings) > 0:
		return "it was pasteurised: no yeast is left to make it sparkle", "finish it still"
	case f.wish.Path == PathSparkling && f.proven() && left.High > LittleSugar:
		return fmt.Sprintf("up to %s of sugar is left, and nobody knows how much of it would make gas beside the priming", sugar(left.High)), "finish it still; fizz by the sugar that is left is a guess with glass"
	case f.wish.Path == PathSparkling && f.standing.Proof.Finished && !f.standing.Proof.Dry:
		return "nothing has shown that no sugar is left, and priming adds to it", fmt.Sprintf("finish it still: stabilised, or in bottles that bear %.0f bar", float64(StrongGlass))
	case f.wish.Path == PathSweet && f.proven():
		if _, found := LeastSorbate(measure.PercentVol(f.State.Ethanol.Value)); !found {
			return fmt.Sprintf("at %.1f %% vol no dose of sorbate is printed that would hold it", f.State.Ethanol.Value), "keep it cold, or finish it dry"
		}
	}
	return "", ""
}

// stalled says that the sugar left is there because yeast gave up too early: less what
// went in since finishing began. New yeast that changed nothing has had its chance.
func (f *finish) stalled() bool {
	if len(f.Jug.Pitches) != 1 || atLimit(f.Evidence) || !f.proven() && f.standing.Phase != Stalled {
		return false
	}
	litres, err := f.Jug.Volume()
	if err != nil || litres <= 0 {
		return false
	}
	before := f.State.Hexose.Low
	for _, a := range f.Jug.Additions {
		if !f.deed.IsZero() && !a.At.Before(f.deed) {
			for _, p := range a.What.Parts {
				before -= p.Adds.Hexose(1) / float64(litres)
			}
		}
	}
	return before > LittleSugar
}

// proven says that it is proven to have finished, now or before finishing began. How little
// is left to ferment need not be known of a wine that is to be held, heated or kept cold: it
// is enough that it stands still, and has not stalled.
func (f *finish) proven() bool {
	if f.standing.Proof.Finished || f.stoodStill().Still {
		return true
	}
	held := f.wish.Path != PathDry && f.wish.Path != PathSparkling
	return held && f.deed.IsZero() && f.standing.Proof.Still && f.standing.Phase != Stalled
}

// stoodStill is the proof that it stood still when finishing began.
func (f *finish) stoodStill() Proof {
	if f.deed.IsZero() {
		return Proof{}
	}
	return prove(before(f.Evidence, f.deed))
}

// before is the evidence as it was when finishing began, without what came after, and with
// no estimate, which knows of it.
func before(e Evidence, deed time.Time) Evidence {
	e.Now, e.Members, e.Explanations = deed, nil, nil
	e.Outlook.Contradicted, e.Outlook.Finish = "", measure.RangeOf(nil, "h")
	e.Jug.Additions = slices.DeleteFunc(slices.Clone(e.Jug.Additions), func(a batch.Dated[batch.Added]) bool { return !a.At.Before(deed) })
	return e
}

// HeldSince is from when on a wine keeps what it holds, as far as anybody can tell: proven to
// stand still, then stabilised in full, and sweetened or not; held is false otherwise, and
// when gravity fell since.
func HeldSince(e Evidence) (at time.Time, is bool) {
	deed := firstDeed(e.Jug)
	if len(e.Members) == 0 || !held(e) || restsSince(e).IsZero() || lastFall(e).After(deed) {
		return at, false
	}
	at = deed
	for _, a := range e.Jug.Additions {
		at = later(at, a.At)
	}
	return at, true
}

// restsSince is when it was first read of the readings that prove that it stood still when
// finishing began; zero if it has not begun, or nothing proves it.
func restsSince(e Evidence) time.Time {
	deed := firstDeed(e.Jug)
	if deed.IsZero() {
		return deed
	}
	e = before(e, deed)
	if !prove(e).Still {
		return time.Time{}
	}
	_, from := still(e, time.Time{})
	return from
}

func (f *finish) step(key StepKey) FinishStep {
	s := FinishStep{Key: key}
	switch key {
	case StepProof:
		f.proofStep(&s)
	case StepRack:
		s.What, s.Tell, s.Why = "Rack it off its lees, without splashing", "skep rack JUG", "dead yeast gives off flavours in time, and live yeast lies in it"
		s.Done = f.racked()
	case StepClear:
		s.What, s.Tell, s.Why = "Wait until it is clear, and note it", "skep look JUG --clarity clear", "a cloud is yeast, and there is too much of it to be held"
		s.Done = f.clear()
	case StepPH:
		f.phStep(&s)
	case StepStabilise:
		f.stabiliseStep(&s)
	case StepSweeten:
		f.sweetenStep(&s)
	case StepWatch:
		f.watchStep(&s)
	case StepHeat:
		f.heatStep(&s)
	case StepChill:
		s.What = fmt.Sprintf("Stand it under its airlock where it never gets warmer than %s, drink it from there within a few months, and tell where it stands", degrees(ColdKeeps))
		s.Tell = "skep move JUG fridge --room 4C"
		s.Why = "the yeast lives, and one warm week wakes it: never close it in glass; in bottles for carbonated drinks (PET) press them each week"
		s.Done = f.chilled()
	case StepBottle:
		f.bottleStep(&s)
	}
	return s
}

const (
	tellGravity = "skep look JUG 1.000 --room 20C"
	tellSample  = `skep look JUG --fermented-out "0.994 at 21 C"`
)

func (f *finish) proofStep(s *FinishStep) {
	p := f.standing.Proof
	if s.Done = f.proven(); s.Done {
		if !p.Finished {
			p = f.stoodStill()
		}
		s.What, s.Why = "It is proven to stand still: "+p.By, "quiet proves nothing, equal readings do"
		return
	}
	s.What, s.Tell, s.Why, s.From = "Take "+p.Missing, tellGravity, f.standing.Sentence, p.When
	if p.Unsampled {
		s.What += p.sampleHow()
	}
	if p.Missing == readSample {
		s.Tell = tellSample
	}
}

func (f *finish) racked() bool {
	if len(f.Jug.Pitches) == 0 { // a blend was poured off whatever it stood on
		return true
	}
	quiet := expectedEnd(f.Evidence)
	if rests := restsSince(f.Evidence); !rests.IsZero() && (quiet.IsZero() || quiet.After(rests)) { // the estimate does not know what holds it
		quiet = rests
	}
	return !quiet.IsZero() && rackedSince(f.Evidence, quiet)
}

// clear says that it was last seen clear before anything went in.
func (f *finish) clear() bool {
	is := false
	for _, l := range f.Jug.Looks {
		if l.What.Clarity == "" || l.At.After(f.Now) || !f.deed.IsZero() && l.At.After(f.deed) {
			continue
		}
		words := strings.ToLower(l.What.Clarity)
		is = (strings.Contains(words, "clear") || strings.Contains(words, "bright")) &&
			!strings.Contains(words, "not") && !strings.Contains(words, "unclear") && !strings.Contains(words, "nearly")
	}
	return is
}

func (f *finish) phStep(s *FinishStep) {
	pH := StabilisedBy(f.Jug, f.Now).PH
	s.Done = pH > 0 && pH <= SorbatePH
	s.What, s.Tell, s.Why = "Read its pH, a strip will do", "skep look JUG --ph 3.4", "how much sulphite and sorbate holds it goes by the pH"
	switch {
	case s.Done:
		s.What, s.Tell = fmt.Sprintf("Its pH is %.1f", pH), ""
	case pH > 0:
		s.What = fmt.Sprintf("Its pH is %.1f: bring it to %.1f or less with acid, by glasses, and read it again", pH, SorbatePH)
		s.Tell = `skep trial JUG --what "tartaric acid"`
		s.Why = "above that no dose of sorbate is printed that would hold it"
		if f.wish.Acid != nil {
			s.Doses = []Dose{*f.wish.Acid}
			s.Why += "; the dose is foretold of its pH and acidity: put in half of it, and read it again"
		}
	}
}

func (f *finish) stabiliseStep(s *FinishStep) {
	s.Done = held(f.Evidence)
	s.What, s.Why = "Stir in sulphite and sorbate on the same day, both in full, dissolved in a little of the wine", "sorbate keeps yeast from multiplying, sulphite keeps bacteria from sorbate; neither stops a working ferment"
	if !s.Done {
		s.Doses = f.stabilisers()
	}
}

// stabilisers are what is lacking of sulphite and sorbate, for the whole jug. Where the pH
// is not known the ranges run from the most to the least sour for which doses are printed.
func (f *finish) stabilisers() []Dose {
	litres, err := f.Jug.Volume()
	if err != nil {
		return nil
	}
	there := StabilisedBy(f.Jug, f.Now)
	strength, thins := measure.PercentVol(f.State.Ethanol.Value), 1.0
	if f.wish.Litres > litres {
		strength, thins = f.wish.Strength, float64(f.wish.Litres/litres)
	}
	low, high := there.PH, there.PH
	if there.PH == 0 || there.PH > SorbatePH {
		low, high = sourest, SorbatePH
	}
	dose := func(name string, perLitre func(pH float64) (float64, bool), there float64) (Dose, bool) {
		least, found := perLitre(low)
		most, foundToo := perLitre(high)
		grams := func(mgl float64) float64 {
			need := max(0, mgl*thins-there) / 1000 * float64(litres)
			return math.Ceil(100*aLittleMore*need) / 100
		}
		return Dose{Ingredient: name, Grams: measure.Range{Value: grams(most), Unit: "g", Low: grams(least), High: grams(most)}}, found && foundToo
	}
	var all []Dose
	if d, found := dose("potassium metabisulphite", func(pH float64) (float64, bool) {
		wine := sulphite.Wine{PH: pH, Ethanol: strength, At: 20}
		free, err := wine.FreeFor(wineGoal, sulphite.Careful)
		return max(LeastSulphite, float64(free)/float64(sulphite.MostFree)) / sulphite.SO2Share, err == nil
	}, there.SulphiteMGL/sulphite.SO2Share); found && d.Grams.Value > 0 {
		all = append(all, d)
	}
	if d, found := dose("potassium sorbate", func(pH float64) (float64, bool) { return sorbateAt(strength, pH) }, there.SorbateMGL); found && d.Grams.Value > 0 {
		all = append(all, d)
	}
	return all
}

// Lacking is what is lacking of sulphite and sorbate to hold a wine as it is, in words, and
// as doses for the whole jug where such doses are known; "" if nothing is, or nobody knows how
// strong it is.
func Lacking(e Evidence) (words string, doses []Dose) {
	if !e.State.Ethanol.Known() || held(e) {
		return "", nil
	}
	strength := measure.PercentVol(e.State.Ethanol.Value)
	if _, found := LeastSorbate(strength); found { // sulphite alone holds nothing
		doses = (&finish{Evidence: e}).stabilisers()
	}
	return StabilisedBy(e.Jug, e.Now).lacks(strength), doses
}

// Sweetens says why sugar that goes in now would not sweeten a wine, and what settles it:
// yeast at work takes it for food. Both are "" if the wine keeps what it holds, or is proven
// to stand still, now or when finishing began.
func Sweetens(e Evidence, s Standing) (why, settles string) {
	f := finish{Evidence: e, standing: s, deed: firstDeed(e.Jug)}
	_, held := HeldSince(e)
	if s.Proof.Still || held || f.stoodStill().Still && !lastFall(e).After(f.deed) {
		return "", ""
	}
	why = "nothing proves that it stands still: sugar that goes in now may feed its yeast and not sweeten it"
	if s.Phase == Waiting || s.Phase == Working || s.Phase == Slowing {
		why = "it still works: sugar that goes in now feeds its yeast and does not sweeten it"
	}
	return why, s.Proof.missing()
}

// aLittleMore is for the syringe, and for a volume that was read a little short.
const aLittleMore = 1.02

// sourest is the lowest pH that a dose of sorbate is printed for [underhill].
const sourest = 3.1

func (f *finish) sweetenStep(s *FinishStep) {
	at := f.sweetened()
	s.Done = !at.IsZero()
	s.What, s.Tell = "Sweeten it to taste, by glasses first, or say to which gravity", "skep trial JUG --what honey, or skep finish JUG --to 1.012"
	s.Why = "what is held by sulphite and sorbate, and nothing else, may be sweetened"
	switch f.wish.Path {
	case PathPasteurised:
		s.Why = "on the day it is heated and not before: until then its yeast is alive"
	case PathCold:
		s.Why = "its yeast is alive: straight into the cold with it"
	}
	if s.Done {
		s.What, s.Tell = "It was sweetened on "+day(at), ""
		return
	}
	if f.wish.Sweeten != nil {
		s.What, s.Tell = fmt.Sprintf("Sweeten it to %.3f, dissolved in a little of the wine", float64(f.wish.To)), ""
		s.Doses = []Dose{*f.wish.Sweeten}
	}
	if f.wish.Path == PathSweet && !f.deed.IsZero() {
		s.From = f.deed.Add(days(sweetenDays))
	}
}

func (f *finish) watchStep(s *FinishStep) {
	since := f.sweetened()
	for _, d := range f.Jug.Stabilisings {
		since = later(since, d.At)
	}
	s.Done = !since.IsZero() && watched(f.Evidence)
	s.What = fmt.Sprintf("Keep it under its airlock, in the warm: read it now, and equal again %d days later", WatchDays)
	s.Tell, s.Why = tellGravity, "what wakes does it now, where it does no harm"
	read := readings(f.Evidence, estimate.SawGravity, since)
	switch {
	case s.Done:
		s.What, s.Tell = "It stood still since: "+f.standing.Proof.By, ""
	case !since.IsZero() && len(read) > 0:
		s.What = fmt.Sprintf("Keep it under its airlock, in the warm, and read it once more, equal to what it was, %d days after %s", WatchDays, day(read[0].at))
		s.From = read[0].at.Add(days(WatchDays))
	}
}

func (f *finish) heatStep(s *FinishStep) {
	full := gas.ClosedBottle{Volume: 0.75, Headspace: 0.015}.FullAt()
	s.What = fmt.Sprintf("Fill clean bottles to 20 mL or more below the closure and lay the closures on, loose. Stand them on a cloth in water no more than %d °C warmer than they are, up to their shoulders, and warm it slowly until a thermometer in the middle of one reads %s; hold it there %d minutes. Take the heat away and press the closures home in the bath, with gloves and eye protection. Then tell so",
		bathGap, degrees(HeatTo), HeatMinutes)
	s.Tell = "skep finish JUG --done heat"
	s.Why = fmt.Sprintf("a bottle that is closed before it is hot bursts: with 15 mL of air 750 mL of wine fill it to the closure at %s", degrees(measure.Celsius(math.Round(float64(full)))))
	since := f.sweetened()
	for _, h := range f.Jug.Heatings {
		s.Done = s.Done || !h.At.Before(since) && h.What.To.Value >= float64(HeatTo)-0.5 && 60*h.What.For.Value >= HeatMinutes-0.01
	}
}

func (f *finish) chilled() bool {
	temperatures := f.Jug.Temperatures
	return len(temperatures) > 0 && temperatures[len(temperatures)-1].Value <= ColdKeeps && !temperatures[len(temperatures)-1].At.Before(f.sweetened())
}

func (f *finish) bottleStep(s *FinishStep) {
	s.What, s.Tell, s.Why = "Bottle it", "skep bottle JUG", f.verdict.Reason
	switch {
	case f.wish.Path == PathPasteurised:
		s.What = `Leave one bottle of it open under an airlock, in the warm: two equal readings two weeks apart tell how the others are. Keep those cool, boxed and away from people till then, and record them with that as the reason`
		s.Tell = `skep bottle JUG --done --despite "pasteurised"`
		s.Why = "no figure was found of what a bath at home leaves alive, so the verdict stays not yet: " + f.verdict.Reason
	case f.verdict.Answer == NotYet:
		s.What, s.Tell, s.From = "Before bottling: "+f.verdict.Settles, "", f.verdict.When
	}
	if f.wish.Path == PathSparkling && f.wish.Prime != nil {
		s.Doses = []Dose{*f.wish.Prime}
		if f.verdict.Answer != NotYet {
			s.What = `Stir in the priming, dissolved, and bottle at once, in glass made for sparkling wine and one PET bottle as the test bottle. They stand two weeks in the warm, boxed, then in the cold`
			s.Tell = `skep bottle JUG --style sparkling --priming "30 g white sugar" --bottles "750 mL sparkling-wine glass"`
		}
	}
}

// Ready says that all is done but the bottling, and that the verdict allows it.
func (p Finishing) Ready(v Verdict) bool {
	return p.Stop == "" && p.Next == StepBottle && v.Answer != NotYet
}

func (f *finish) cautions() []string {
	all := []string{}
	switch f.wish.Path {
	case PathSweet:
		if at, given := Bacteria(f.Jug); given {
			all = append(all, geraniums(at))
		}
		all = append(all, Caution(Sulphites), "Weigh sulphite and sorbate in moving air, do not breathe their dust, and keep them out of children's reach.")
	case PathPasteurised:
		all = append(all, "Hot glass bursts and scalds: gloves, eye protection, no children in the kitchen; never heat a closed bottle, never cool a hot one with cold water.")
	case PathCold:
		all = append(all, "It is not stable: a power cut or a warm car wakes it.")
	}
	if f.wish.Path != PathCold {
		all = append(all, Caution(Bursting))
	}
	return append(all, Caution(LocalLaw))
}
