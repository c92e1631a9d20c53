package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/reference"
)

// BottleWords asks whether and how a jug may be bottled, or tells that it was.
type BottleWords struct {
	Jug     string   `json:"-"`
	Bottles []string `json:"bottles,omitempty"` // "750 mL" as many as needed, "4 x 750 mL", "6 x 330 mL beer glass"; default those of the kitchen, else 750 mL
	Part    string   `json:"part,omitempty"`    // wine in one bottle more that it does not fill: "400 mL"; only of bottles that were counted
	Kind    string   `json:"kind,omitempty"`    // "still-wine glass"; default that
	Closure string   `json:"closure,omitempty"` // "cork"; default what is usual on the bottle
	Style   string   `json:"style,omitempty"`   // "still", "still and stabilised", "sparkling"; default by what went in
	Priming string   `json:"priming,omitempty"` // "30 g sugar", stirred in before filling
	Warmest string   `json:"warmest,omitempty"` // warmest place the bottles will stand; default 30 °C
	Left    string   `json:"left,omitempty"`    // stays in the jug for another day
	Place   string   `json:"place,omitempty"`   // where the bottles stand
	Code    string   `json:"lot,omitempty"`     // what the lot is called; default by the day the jug was made
	Law     string   `json:"law,omitempty"`     // "EU", "UK" or "US": how large a drink is; default by units
	Done    bool     `json:"done,omitempty"`    // it was done: write it down
	Despite string   `json:"despite,omitempty"` // the reason to write it down although the verdict is not yet
	When    string   `json:"when,omitempty"`
	Instead int      `json:"instead,omitempty"`
}

// BottleAnswer is the verdict and the bottles to fill.
type BottleAnswer struct {
	Jug       string         `json:"jug"`
	Verdict   advice.Verdict `json:"verdict"` // of the kind of bottle that bears it worst
	Bottle    string         `json:"bottle"`  // that kind
	Strength  measure.Range  `json:"strength"`
	Wine      measure.Range  `json:"wine"`                  // L that reach the bottles
	Fill      []Fill         `json:"fill"`                  // full bottles
	Part      *Fill          `json:"part_bottle,omitempty"` // takes the rest, as the test bottle
	Left      measure.Range  `json:"left_over"`             // L outside full bottles
	Unbottled measure.Range  `json:"unbottled"`             // L for which no bottle is on hand
	Day       []string       `json:"day"`                   // what to mind on the day and after it
	Assumed   []string       `json:"assumed,omitempty"`     // what nobody told
	Recorded  *Recorded      `json:"recorded,omitempty"`
}

// Fill is bottles of one size and kind, and how to fill them.
type Fill struct {
	ML          int           `json:"ml"`
	Count       int           `json:"count"`
	Kind        string        `json:"kind"`
	Closure     string        `json:"closure,omitempty"`
	HoldsML     int           `json:"holds_ml"`     // in each
	BelowRim    measure.Range `json:"below_rim"`    // mm from the rim down to the wine; not Known of a part bottle
	HeadspaceML float64       `json:"headspace_ml"` // mL under the closure
	Drinks      measure.Range `json:"drinks"`       // in each, as the place counts them
}

// usualWarmest is how warm a home gets in summer, when nobody said (assumed).
const usualWarmest measure.Celsius = 30

// Head space of a bottle: 20 mL in 750 mL, the space of the closed-bottle table in the
// references, and in proportion in other sizes.
const headspaceShare = 20.0 / 750

// Bottle says whether a jug may be bottled, and which bottles it fills; with Done it
// writes the bottling down, with what it was reckoned to come to, and moves the wine to
// the shelf.
//
// Errors: *AskError; an unknown jug; *NotYetError when it was done although the verdict
// is not yet and no reason is given; *TooMuchError when the bottles hold more than the jug.
func (c *Cellar) Bottle(ctx context.Context, w BottleWords) (BottleAnswer, error) {
	state, sent, err := c.toBottle(ctx, &w)
	if err != nil {
		return BottleAnswer{}, err
	}
	plan, err := c.bottling(ctx, w, state)
	if err != nil {
		return BottleAnswer{}, err
	}
	stood, evidence, err := c.stand(state)
	if err != nil {
		return BottleAnswer{}, err
	}
	if stood.Unknown != "" {
		return BottleAnswer{}, fmt.Errorf("jug %q: %s", state.Name, stood.Unknown)
	}
	question := c.question(state, evidence, stood.Standing, usualBottle())
	question.Style, question.Warmest = plan.style, plan.warmest
	if plan.priming != nil {
		question.PrimingGL = plan.priming.Adds.Hexose(1) / stood.Volume.Value
	}
	learned, _ := c.learned(state)
	answer := BottleAnswer{Jug: state.Name, Assumed: plan.assumed, Strength: measure.RangeOf(nil, "% vol"), Wine: bottled(state, stood.Volume, learned)}
	answer.Verdict, answer.Bottle = plan.worst(question)
	if stood.Final != nil {
		answer.Strength = stood.Final.Ethanol
	}
	if plan.left != nil && plan.left.Value > stood.Volume.Value {
		return answer, ask("left", w.Left, "", fmt.Errorf("the jug holds no more than %.2f L", stood.Volume.Value))
	}
	if plan.left != nil {
		answer.Wine = less(answer.Wine, plan.left.Value)
	}
	if err := plan.fill(&answer); err != nil {
		return answer, err
	}
	answer.Day = advice.BottlingDay(plan.style, answer.Part != nil)
	if !w.Done || sent != nil {
		answer.Recorded = sent
		return answer, nil
	}
	event, err := plan.event(answer)
	if err != nil {
		return answer, err
	}
	event.Planned.Held = stood.Volume
	if over := event.Litres() + leftOf(plan.left); over > overfull*stood.Volume.Value && stood.Volume.Value > 0 {
		return answer, &TooMuchError{Jug: state.Name, Bottles: over, Held: stood.Volume.Value}
	}
	if answer.Verdict.Answer == advice.NotYet {
		if plan.despite == "" {
			return answer, &NotYetError{
				Jug: state.Name, Reason: answer.Verdict.Reason, Settles: answer.Verdict.Settles,
				Anyway: `if it is in bottles already, record it with --despite "your reason", and keep them cold, boxed and away from people`,
			}
		}
		event.Despite = plan.despite
	}
	recorded, err := c.recordWords(ctx, w.Jug, w.When, w.Instead, event)
	answer.Recorded = &recorded
	var over *batch.OverdrawnError
	if errors.As(err, &over) {
		err = &TooMuchError{Jug: state.Name, Bottles: over.Taken, Held: over.Held}
	}
	return answer, err
}

// overfull is how much more than the jug is thought to hold the bottles may: they are
// filled, and the jug was read, to a few per cent. As batch has it.
const overfull = 1.05

// toBottle is the jug as it is to be bottled: as it stands, or, to put an earlier bottling
// right, as it stood before; then the reason that was given still counts. What was sent
// before under the same key is returned, and the jug as it stood before that.
func (c *Cellar) toBottle(ctx context.Context, w *BottleWords) (batch.State, *Recorded, error) {
	jug, events, state, err := c.jug(ctx, w.Jug)
	if err != nil {
		return state, nil, err
	}
	if e := c.sent(events); w.Done && e != nil {
		recorded := c.recorded(ctx, jug, events, *e)
		state, err = batch.Fold(events[:e.Seq-1])
		return state, &recorded, err
	}
	if w.Instead == 0 {
		if state.Empty {
			return state, nil, fmt.Errorf("jug %q is empty: it was bottled to the last", jug.Name)
		}
		return state, nil, nil
	}
	of, err := entry(events, w.Instead)
	if err != nil {
		return state, nil, err
	}
	before, is := of.Now.(batch.Bottled)
	if !is {
		return state, nil, ask("number", fmt.Sprint(w.Instead), "skep history shows the numbers", fmt.Errorf("that entry tells of %s, not of bottling", of.Now.Kind()))
	}
	if w.Despite == "" {
		w.Despite = before.Despite
	}
	state, err = batch.Fold(events[:of.Event.Seq-1]) // they are in the order of writing
	return state, nil, err
}

// less is a volume with so much taken off.
func less(r measure.Range, litres float64) measure.Range {
	r.Value, r.Low, r.High = max(0, r.Value-litres), max(0, r.Low-litres), max(0, r.High-litres)
	return r
}

func leftOf(q *measure.Quantity) float64 {
	if q == nil {
		return 0
	}
	return q.Value
}

// NotYetError says that something was to be written down that Skep is against: a bottling
// before the verdict allows it, or sweetening of a wine that works.
type NotYetError struct {
	Jug     string
	Reason  string
	Settles string // what settles it
	Anyway  string // how to record what was done all the same
}

// Error gives the reason.
func (e *NotYetError) Error() string { return fmt.Sprintf("jug %q: not yet: %s", e.Jug, e.Reason) }

// Hint says what settles it, and how to record what was done all the same.
func (e *NotYetError) Hint() string { return e.Settles + "; " + e.Anyway }

// TooMuchError says that the bottles hold more wine than there was.
type TooMuchError struct {
	Jug           string
	Bottles, Held float64 // L
}

// Error reads `the bottles come to 15.00 L, and the jug holds 4.70 L`.
func (e *TooMuchError) Error() string {
	return fmt.Sprintf("jug %q: the bottles come to %.2f L, and the jug holds %.2f L", e.Jug, e.Bottles, e.Held)
}

// Hint says what may be wrong.
func (e *TooMuchError) Hint() string {
	return "count the full bottles again; if the jug held more, correct what the record says of its volume"
}

// reason understands a maker's own reason for what Skep is against.
func reason(words string) (string, error) {
	words = strings.TrimSpace(words)
	if words == "" {
		return "", nil
	}
	letters := 0
	for _, r := range words {
		if unicode.IsLetter(r) {
			letters++
		}
	}
	if letters < 4 || strings.HasPrefix(words, "-") {
		return "", ask("despite", words, `write --despite "it was in bottles before I asked"`, errors.New("say in your own words why it is done all the same"))
	}
	return words, nil
}

// usualBottle is the bottle meant when nobody said: a 750 mL wine bottle.
func usualBottle() advice.Bottle {
	kind, err := reference.BottleKindNamed("still-wine glass")
	if err != nil {
		panic("app: " + err.Error())
	}
	return advice.Bottle{Kind: kind.Name, Limit: kind.Limit, SizeML: 750, HeadspaceML: 750 * headspaceShare}
}

// bottled is what reaches the bottles of what is in the jug: a jug not yet off its
// lees leaves them behind. Earlier bottlings may have told how much their maker leaves.
func bottled(state batch.State, litres measure.Range, learned estimate.Habits) measure.Range {
	low, high := lostShares(state)
	if told, known := learned[estimate.Losses]; known {
		middle, half := (low+high)/2, (high-low)/2
		low, high = max(0, middle+half*(told.Mean-told.SD)), middle+half*(told.Mean+told.SD)
	}
	mid := litres.Value * (1 - (low+high)/2)
	spread := math.Hypot(litres.High-litres.Value, litres.Value*(high-low)/2)
	return measure.Range{Value: mid, Unit: "L", Low: max(0, mid-spread), High: mid + spread}
}

// question puts what is known of a jug as the question whether it may be bottled.
func (c *Cellar) question(state batch.State, e advice.Evidence, s advice.Standing, b advice.Bottle) advice.Question {
	style := batch.Still
	if len(state.Stabilisings) > 0 {
		style = batch.StillStabilised
	}
	return advice.Question{
		Now: e.Now, Members: e.Members, Proof: s.Proof,
		Stabilised: advice.StabilisedBy(state, e.Now), Gas: advice.GasOf(e),
		Style: style, Bottle: b, Warmest: usualWarmest,
	}
}

// drinks is what a bottle of a wine holds of a place's drinks; not Known as the strength is.
func drinks(p Place, strength measure.Range, ml float64) measure.Range {
	if !strength.Known() {
		return measure.RangeOf(nil, drink[p].words)
	}
	return Drinks(p, strength, ml)
}
