package advice

import (
	"fmt"
	"math"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
)

// Standing.
const (
	// WaitingDays is how long a must may show nothing before that means something: first
	// bubbles come within one or two days at room temperature, cool ones later. Common
	// practice, no source.
	WaitingDays = 3
	// silent is a rate at the airlock, bubbles a minute, at or below which it counts as
	// silent: one in ten minutes. Our policy.
	silent = 0.1
	// freshLook is how old the last look at the airlock may be to speak of today, days. Our policy.
	freshLook = 5
)

// Stand says where a jug stands. What rests on it is careful:
//
//   - Silence at the airlock means waiting in the first days, a leak or a stall while the
//     estimate expects it to work, and quiet later; it never means finished.
//   - Finished needs proof: two equal readings of one hydrometer a week apart, or flat
//     weights and a reading, not in the cold, or a reading equal to that of a sample
//     fermented out; and an estimate that agrees. None is dry without such a sample.
//   - Equal readings with sugar left that it should be eating are a stall. Without them it
//     takes explanations that hardly leave another.
//   - Why it does what it does is what the explanations say, and nothing else is asked.
//   - Where the evidence contradicts itself nothing is told but which reading to repeat.
func Stand(e Evidence) Standing {
	s := Standing{Day: measure.DaysBetween(e.Jug.Start(), e.Now), Proof: Proof{Missing: "a hydrometer reading", When: e.Now}}
	if e.Jug.Withdrawn {
		return s.say(CannotTell, "This jug was taken out of the record.")
	}
	if len(e.Jug.Pitches) == 0 && len(e.Jug.Blends) == 0 {
		return s.say(Waiting, "No yeast is in yet.").wants(Want{
			At: e.Now, Urgency: Today, Kind: WantLook, What: "Put the yeast in, or note that it went in",
			Why: "a must without yeast is food for whatever comes first",
		})
	}
	e = e.explained()
	s.Proof = prove(e)
	if e.Jug.Empty {
		return s.bottled(e)
	}
	sense, misfits := lastMisfits(e)
	rise, gainedWeight := gained(e)
	switch {
	case e.Outlook.Contradicted != "":
		return s.contradicted(e)
	case gainedWeight:
		return s.fed(e, rise)
	case len(e.Members) == 0 || !e.State.Hexose.Known():
		return s.unestimated(e)
	case misfits:
		return s.doubtful(e, sense)
	case s.Proof.Still:
		return s.still(e)
	case s.Proof.By != "":
		return s.resting(e)
	}
	return s.moving(e)
}

func (s Standing) say(p Phase, sentence string, because ...string) Standing {
	s.Phase, s.Sentence, s.Because = p, sentence, because
	return s
}

func (s Standing) wants(w ...Want) Standing {
	s.Next = append(s.Next, w...)
	return s
}

func (s Standing) bottled(e Evidence) Standing {
	left := 0
	for _, lot := range e.Jug.Shelf {
		left += lot.Left
	}
	when := e.Jug.Last
	if n := len(e.Jug.Bottlings); n > 0 {
		when = e.Jug.Bottlings[n-1].At
	} else if n := len(e.Jug.Pourings); n > 0 {
		last := e.Jug.Pourings[n-1]
		return s.say(Finished, fmt.Sprintf("The last of it went into %s on %s.", last.What.Name, day(last.At)))
	}
	return s.say(Finished, fmt.Sprintf("It was bottled on %s; %d bottles are left.", day(when), left))
}

// contradicted names the reading that fits least.
func (s Standing) contradicted(e Evidence) Standing {
	s = s.say(CannotTell, "What was read does not fit together, so nothing sure can be said.", e.Outlook.Contradicted)
	if worst := worstMisfit(e); worst != nil {
		s.Because = append(s.Because, worst.Words)
	}
	return s.wants(again(e, "the readings contradict each other; one fresh reading shows which is wrong"))
}

// fed speaks of a jug that grew heavier, or denser.
func (s Standing) fed(e Evidence, g gain) Standing {
	return s.say(CannotTell, fmt.Sprintf("It %s than before and nothing was written down that went in, so its strength and its sugar are open.", g.how()),
		g.seen(), "yeast only makes a jug lighter and its gravity less").
		wants(Want{
			At: e.Now, Urgency: Today, Kind: WantLook, What: "Write down what went in, with its day; or take back the reading that was wrong, as a weight without the lid",
			Why: "honey or sugar that nobody knows of makes bottles burst",
		})
}

func worstMisfit(e Evidence) *estimate.Misfit {
	var worst *estimate.Misfit
	for i, m := range e.Outlook.Misfits {
		if worst == nil || math.Abs(m.Z) > math.Abs(worst.Z) {
			worst = &e.Outlook.Misfits[i]
		}
	}
	return worst
}

func again(e Evidence, why string) Want {
	return Want{At: e.Now, Urgency: Today, Kind: WantMeasure, What: "Stir out the gas and read the hydrometer again, with the temperature", Why: why}
}

// lastMisfits says that the latest of all gravities and weights is one that does not fit,
// and which it is.
func lastMisfits(e Evidence) (estimate.Sense, bool) {
	var last reading
	var of estimate.Sense
	for _, sense := range []estimate.Sense{estimate.SawGravity, estimate.SawMass} {
		if all := readings(e, sense, time.Time{}); len(all) > 0 && !all[len(all)-1].at.Before(last.at) {
			last, of = all[len(all)-1], sense
		}
	}
	return of, last.misfit
}

func (s Standing) doubtful(e Evidence, sense estimate.Sense) Standing {
	because := []string{"the last reading does not fit what is known"}
	if n := len(e.Outlook.Misfits); n > 0 && e.Outlook.Misfits[n-1].Words != "" {
		last := e.Outlook.Misfits[n-1]
		because[0] = last.Words
		if len(last.Perhaps) > 0 {
			because = append(because, "perhaps "+strings.Join(last.Perhaps, "; or "))
		}
	}
	want := again(e, "the last one does not fit")
	if sense == estimate.SawMass {
		want.What = "Weigh it again: the same jug, with the same lid and airlock on it"
	}
	return s.say(CannotTell, "The last reading does not fit the rest, so where it stands is open.", because...).wants(want)
}

func (s Standing) unestimated(e Evidence) Standing {
	if s.Day < WaitingDays {
		return s.say(Waiting, "The yeast is in; a must may show nothing for a day or two.", s.age()).
			wants(Want{At: e.Jug.Start().Add(days(1)), Until: e.Jug.Start().Add(days(2)), Urgency: Soon, Kind: WantLook, What: "Look for first bubbles or foam", Why: "they come within a day or two"})
	}
	because := []string{"how much is in the jug, or what went in, is not known"}
	if s.Proof.By != "" {
		because = append(because, s.Proof.By)
	}
	return s.say(CannotTell, "Without knowing what is in it, nobody can say how far it is.", because...).
		wants(Want{At: e.Now, Urgency: Today, Kind: WantMeasure, What: "Tell what went in and how many litres there are, or weigh the jug full and tell its empty weight", Why: "everything else is reckoned from that"})
}

func (s Standing) age() string {
	if s.Day == 0 {
		return "it began today"
	}
	return fmt.Sprintf("it is day %d", s.Day)
}

// still speaks of a jug that is proven not to move.
func (s Standing) still(e Evidence) Standing {
	left := e.State.Hexose
	because := []string{s.Proof.By, fmt.Sprintf("fermentable sugar left: %s, most likely %s to %s", sugar(left.Value), sugar(left.Low), sugar(left.High))}
	if left.High < 0.1 {
		because[1] = "fermentable sugar left: none to speak of"
	}
	switch {
	case s.Proof.Finished && s.Proof.Dry:
		return s.say(Finished, "It has finished: it no longer changes, and next to no sugar is left.", because...)
	case s.Proof.Finished && left.Value <= LittleSugar:
		return s.say(Finished, fmt.Sprintf("It has stopped, and is probably dry, but up to %s of sugar may be left: stabilise it before any bottle, or wait.", sugar(left.High)), because...)
	case s.Proof.Finished:
		because[1] = fmt.Sprintf("%.1f %% vol, which is as far as most jugs of this yeast get", e.State.Ethanol.Value)
		return s.say(Finished, fmt.Sprintf("It has stopped sweet: about %s of sugar is left, and the yeast is at its limit; stabilise it before any bottle.", sugar(left.Value)), because...)
	case left.Low > LittleSugar && held(e):
		return s.say(Quiet, fmt.Sprintf("It stands still, sweet and stabilised: %s of sugar stays in it.", sugar(left.Value)), because...)
	case left.Low > LittleSugar && len(e.Jug.Pitches) == 0: // a blend; nobody expects it to go on
		return s.say(Quiet, fmt.Sprintf("The blend stands still, but %s of sugar is in it: it may wake, so stabilise it before any bottle.", sugar(left.Value)), because...)
	case left.Low > LittleSugar && !atLimit(e):
		if cause, found := e.cause(); found {
			because[1] = cause
		}
		return s.say(Stalled, fmt.Sprintf("It has stalled: it no longer changes, and %s of sugar is left that it should be eating.", sugar(left.Value)), because...)
	}
	if s.Proof.Unsampled {
		return s.say(Quiet, "It stands still and is probably over, but whether sugar is left is not sure before a sample of it was fermented out.", because...).
			wants(Want{At: s.Proof.When, Urgency: Soon, Kind: WantMeasure, What: "Take " + s.Proof.Missing + " (150 mL with a gram of fresh strong wine yeast, a week in the warm)", Why: "yeast stops with sugar left now and then, and fresh yeast finds it"})
	}
	return s.say(Quiet, "It stands still and is probably over, but how much sugar is left is not sure yet.", because...).
		wants(Want{At: s.Proof.When, Urgency: Soon, Kind: WantMeasure, What: "Take one more hydrometer reading", Why: "a third equal one settles whether it is over"})
}

// resting speaks of equal readings that do not prove anything, for cold or want of a thermometer.
func (s Standing) resting(e Evidence) Standing {
	w := Want{At: e.Now, Urgency: Today, Kind: WantMeasure, What: "Read the thermometer beside the jug", Why: "equal readings count only where the yeast could work"}
	low, known := coldest(e, s.Proof.At)
	if !known {
		return s.say(Quiet, "Its readings are equal, but nobody told how warm it stands: in the cold that is no end.", s.Proof.By).wants(w)
	}
	return s.say(CannotTell, fmt.Sprintf("It stands still, but it is cold: at %s this looks like the end and may be a rest.", degrees(low)),
		s.Proof.By, fmt.Sprintf("this yeast works from %s", degrees(yeastLow(e)))).
		wants(Want{
			At: e.Now, Urgency: Soon, Kind: WantWarm, What: fmt.Sprintf("Bring it to %s or a little more", degrees(yeastLow(e))),
			Why: "if sugar is left it will wake; if not, two equal readings a week apart prove it",
		}, Want{At: e.Now.Add(days(GravityDays)), Urgency: Soon, Kind: WantMeasure, What: "Read the hydrometer after a week in the warm", Why: "a cold jug proves nothing"})
}

// moving speaks of a jug that nothing proves to stand still.
func (s Standing) moving(e Evidence) Standing {
	over, begins := e.chance(settled...), e.chance(estimate.Beginning)
	look := lastBubbles(e)
	hushed := look != nil && look.What.Bubbles.Value <= silent && e.Now.Sub(look.At) <= days(freshLook)
	switch {
	case hushed && s.Day < WaitingDays && over < 0.5:
		return s.say(Waiting, "Nothing bubbles yet, and nothing is wrong: yeast takes a day or two. See that the lid is tight.",
			s.age(), "no bubbles on "+day(look.At)).
			wants(Want{At: e.Now.Add(days(1)), Until: e.Jug.Start().Add(days(WaitingDays)), Urgency: Soon, Kind: WantLook, What: "Look again for bubbles or foam", Why: "they come within a day or two"})
	case begins >= 0.5 && s.Day < WaitingDays:
		return s.say(Waiting, "The yeast is waking; a must may show nothing for a day or two.", s.age()).
			wants(Want{At: later(e.Now, e.Jug.Start().Add(days(1))), Until: e.Jug.Start().Add(days(WaitingDays)), Urgency: Soon, Kind: WantLook, What: "Look for first bubbles or foam", Why: "they come within a day or two"})
	case e.chance(estimate.ColdPause) >= 0.5:
		return s.cold(e)
	case hushed && over < 0.5 && !falling(e, look.At):
		return s.hushed(e, look.At)
	case e.stalled() >= 0.5:
		return s.stalling(e)
	case over >= 0.5:
		return s.quiet(e, look, hushed)
	case begins >= 0.5:
		return s.say(Waiting, "It should have begun by now; if it is cold, warm it.", s.age()).
			wants(s.nextLook(e))
	case e.chance(estimate.AtWork, estimate.Leaking) < 0.5:
		return s.open(e)
	}
	phase, words := Working, "It is working"
	if p := e.State.Phases; p.Slowing > p.Working {
		phase, words = Slowing, "It is slowing down"
	}
	because := []string{fmt.Sprintf("about %s of sugar is left", sugar(e.State.Hexose.Value)), fmt.Sprintf("about %.2g g/L of gas leaves it in a day", e.State.Rate.Value)}
	if hushed {
		words += " although the airlock is silent: the lid leaks, and no harm done"
		because[1] = "readings are falling"
	}
	if end := expectedEnd(e); end.After(e.Now) {
		words += "; it should be over "
		if soonest := ended(e, e.Outlook.Finish.Low); soonest.After(e.Now) && day(soonest) != day(end) {
			words += fmt.Sprintf("between %s and %s", day(soonest), day(end))
		} else {
			words += "by about " + day(end)
		}
	}
	return s.say(phase, words+".", because...).wants(s.nextLook(e))
}

// cold speaks of a jug that would work if it were warmer.
func (s Standing) cold(e Evidence) Standing {
	low, known := coldest(e, e.Now)
	if !known {
		low = yeastLow(e)
	}
	phase, words := CannotTell, "It stands still or nearly so, but it is too cold for its yeast: cold looks like the end and is none."
	if e.State.Phases.Starting >= 0.5 || e.State.Ethanol.High < 0.5 {
		phase, words = Waiting, "It is too cold for its yeast to begin."
	}
	return s.say(phase, words, fmt.Sprintf("it stands at %s; this yeast works from %s", degrees(low), degrees(yeastLow(e))), s.age()).
		wants(Want{
			At: e.Now, Urgency: Today, Kind: WantWarm, What: fmt.Sprintf("Bring it to %s or a little more", degrees(yeastLow(e))),
			Why: fmt.Sprintf("about %s of sugar waits for the yeast to wake", sugar(e.State.Hexose.Value)),
		})
}

// hushed speaks of silence where the estimate expects work.
func (s Standing) hushed(e Evidence, at time.Time) Standing {
	leaks := ""
	if c := e.chance(estimate.Leaking); c >= 0.5 {
		leaks = fmt.Sprintf(" Most likely the lid leaks (%s).", ofHundred(c))
	}
	return s.say(CannotTell, "The airlock is silent while it should be working: it leaks, has stalled, or is very slow, and bubbles cannot tell which."+leaks,
		"no bubbles on "+day(at), fmt.Sprintf("on %s about %s of sugar should be left", strings.TrimPrefix(s.age(), "it is "), sugar(e.State.Hexose.Value))).
		wants(Want{
			At: e.Now, Urgency: Today, Kind: WantMeasure, What: "Press the lid: if the airlock does not move, it leaks. Then read the hydrometer or weigh the jug",
			Why: "a weight or a gravity tells; silence does not",
		})
}

// stalling speaks of a jug that has stalled by all that is seen of it, without the proof of
// equal readings.
func (s Standing) stalling(e Evidence) Standing {
	phase, words := CannotTell, fmt.Sprintf("It has probably stalled (%s), with about %s of sugar left; that is not proven", ofHundred(e.stalled()), sugar(e.State.Hexose.Value))
	if e.stalled() >= sure {
		phase, words = Stalled, fmt.Sprintf("It has stalled, with about %s of sugar left that it should be eating", sugar(e.State.Hexose.Value))
	}
	facts := []string{s.age()}
	if cause, found := e.cause(); found {
		facts = []string{cause}
	}
	if why := e.likeliestStall().Why; len(why) > 1 { // the first tells how it moved, the last why it should stop
		facts = append([]string{why[0]}, facts...)
	}
	return s.say(phase, words+".", facts...).wants(Want{
		At: s.Proof.When, Urgency: Soon, Kind: WantMeasure, What: "Take " + s.Proof.Missing,
		Why: "two equal readings a week apart show whether it stands still",
	})
}

// open speaks of a jug of which several things may be true, none likelier than not.
func (s Standing) open(e Evidence) Standing {
	var may []string
	for _, x := range e.Explanations[:min(2, len(e.Explanations))] {
		may = append(may, fmt.Sprintf("%s (%s)", Means(x.Kind), ofHundred(x.Chance)))
	}
	return s.say(CannotTell, "What is known does not decide how it stands.", may...).wants(Want{
		At: s.Proof.When, Urgency: Soon, Kind: WantMeasure, What: "Take " + s.Proof.Missing, Why: "a number decides where looks do not",
	})
}

// quiet speaks of a jug that the estimate holds to be over, without proof.
func (s Standing) quiet(e Evidence, look *batch.Dated[batch.Looked], hushed bool) Standing {
	because := []string{s.age(), "the estimate holds it to be over"}
	words := "By now it is probably over, but that is not proven"
	switch {
	case hushed:
		because[1] = "no bubbles on " + day(look.At)
		words = "It has gone quiet and is probably over, but quiet proves nothing"
	case look != nil && e.Now.Sub(look.At) <= days(freshLook):
		because[1] = fmt.Sprintf("the bubbles on %s may be gas leaving", day(look.At))
	}
	if low, known := coldest(e, e.Now.Add(-days(GravityDays))); known && low < yeastLow(e) {
		because[1] = fmt.Sprintf("it stands at %s, where this yeast only rests", degrees(low))
		words = "It looks over, but it is cold, and cold looks like the end"
	}
	return s.say(Quiet, words+".", because...).wants(Want{
		At: s.Proof.When, Urgency: Soon, Kind: WantMeasure, What: "Take " + s.Proof.Missing + s.Proof.withSample(),
		Why: "two equal readings a week apart are the proof",
	})
}

// lastBubbles is the last look that counted bubbles.
func lastBubbles(e Evidence) *batch.Dated[batch.Looked] {
	for i := len(e.Jug.Looks) - 1; i >= 0; i-- {
		if l := &e.Jug.Looks[i]; l.What.Bubbles != nil && !l.At.After(e.Now) {
			return l
		}
	}
	return nil
}

// falling says that two gravities or two weights, the later one from the days around at,
// fell by more than their errors.
func falling(e Evidence, at time.Time) bool {
	for _, sense := range []estimate.Sense{estimate.SawGravity, estimate.SawMass} {
		all := readings(e, sense, time.Time{})
		if len(all) < 2 {
			continue
		}
		last, before := all[len(all)-1], all[len(all)-2]
		if last.at.Before(at.Add(-days(WaitingDays))) || last.scale != before.scale {
			continue
		}
		if before.value-last.value > 2*math.Hypot(before.sd, last.sd) {
			return true
		}
	}
	return false
}

// nextLook is the next date on which something will have changed enough to see: when the
// rate will have halved, but not tomorrow again and not later than in two weeks.
func (s Standing) nextLook(e Evidence) Want {
	soonest, latest := e.Now.Add(days(2)), e.Now.Add(days(14))
	at, why := latest, "slow as it is, two weeks show a change"
	if half, found := rateHalves(e); found && half.Before(latest) {
		at, why = later(half, soonest), "by then it should be half as fast"
	}
	if end := expectedEnd(e); end.After(soonest) && end.Before(at) {
		at, why = end, "by then it should be over"
	}
	return Want{At: at, Urgency: Someday, Kind: WantMeasure, What: "Weigh it or read the hydrometer", Why: why}
}

// rateHalves is when the central rate will have come to half of today's.
func rateHalves(e Evidence) (time.Time, bool) {
	now := e.State.Rate.Value
	hours := float64(e.Jug.Hours(e.Now))
	if !(now > 0) {
		return time.Time{}, false
	}
	for _, s := range e.Outlook.States {
		if float64(s.At) > hours && s.Rate.Value <= now/2 {
			return e.Jug.Start().Add(time.Duration(float64(s.At) * float64(time.Hour))), true
		}
	}
	return time.Time{}, false
}
