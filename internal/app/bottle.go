package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/reference"
)

// BottleWords asks whether and how a jug may be bottled, or tells that it was.
type BottleWords struct {
	Jug     string
	Bottles []string // "750 mL" as many as needed, "4 x 750 mL" so many on hand; default 750 mL
	Kind    string   // "still-wine glass"; default that
	Style   string   // "still", "still and stabilised", "sparkling"; default by what went in
	Priming string   // "30 g sugar", stirred in before filling
	Warmest string   // warmest place the bottles will stand; default 30 °C
	Left    string   // stays in the jug for another day
	Done    bool     // it was done: write it down
	Despite bool     // write it down although the verdict is not yet
	When    string
	Instead int
}

// BottleAnswer is the verdict and the bottles to fill.
type BottleAnswer struct {
	Jug      string            `json:"jug"`
	Verdict  advice.Verdict    `json:"verdict"`
	Bottle   string            `json:"bottle"`    // kind
	Wine     measure.Range     `json:"wine"`      // L that reach the bottles
	Fill     []must.BottleFill `json:"fill"`      // full bottles
	Left     measure.Range     `json:"left_over"` // L
	Recorded *Recorded         `json:"recorded,omitempty"`
}

// usualWarmest is how warm a home gets in summer, when nobody said (assumed).
const usualWarmest measure.Celsius = 30

// Head space of a bottle: 20 mL in 750 mL, the space of the closed-bottle table in the
// references, and in proportion in other sizes.
const headspaceShare = 20.0 / 750

// Bottle says whether a jug may be bottled, and which bottles it fills; with Done it
// writes the bottling down and moves the wine to the shelf.
//
// Errors: *AskError; an unknown jug; *NotYetError when it was done although the verdict
// is not yet and Despite is not set; *batch.OverdrawnError when the bottles hold more
// than the jug.
func (c *Cellar) Bottle(ctx context.Context, w BottleWords) (BottleAnswer, error) {
	jug, _, state, err := c.jug(ctx, w.Jug)
	if err != nil {
		return BottleAnswer{}, err
	}
	if state.Empty {
		return BottleAnswer{}, fmt.Errorf("jug %q is empty: it was bottled to the last", jug.Name)
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
		return BottleAnswer{}, fmt.Errorf("jug %q: %s", jug.Name, stood.Unknown)
	}
	litres := stood.Volume.Value
	question := c.question(state, evidence, stood.Standing, plan.bottle)
	question.Style, question.Warmest = plan.style, plan.warmest
	if plan.priming != nil {
		question.PrimingGL = plan.priming.Adds.Hexose(1) / litres
	}
	answer := BottleAnswer{Jug: jug.Name, Verdict: advice.MayBottle(question), Bottle: plan.bottle.Kind}
	answer.Wine = bottled(state, stood.Volume)
	if plan.left != nil {
		answer.Wine.Value -= plan.left.Value
		answer.Wine.Low -= plan.left.Value
		answer.Wine.High -= plan.left.Value
	}
	filling, err := must.FillBottles(int(1000*max(0, answer.Wine.Value)), plan.sizes)
	if err != nil {
		return answer, err
	}
	fills, left := filling.Bottles(plan.sizes)
	answer.Fill = fills
	answer.Left = measure.Range{
		Value: float64(left) / 1000, Unit: "L",
		Low: max(0, float64(left)/1000-(answer.Wine.Value-answer.Wine.Low)), High: float64(left)/1000 + answer.Wine.High - answer.Wine.Value,
	}
	if !w.Done {
		return answer, nil
	}
	if answer.Verdict.Answer == advice.NotYet && !w.Despite {
		return answer, &NotYetError{Jug: jug.Name, Verdict: answer.Verdict}
	}
	recorded, err := c.recordWords(ctx, w.Jug, w.When, w.Instead, plan.event(fills))
	answer.Recorded = &recorded
	return answer, err
}

// NotYetError says that a bottling was to be written down that the verdict is against.
type NotYetError struct {
	Jug     string
	Verdict advice.Verdict
}

// Error gives the reason of the verdict.
func (e *NotYetError) Error() string {
	return fmt.Sprintf("jug %q: not yet: %s", e.Jug, e.Verdict.Reason)
}

// Hint says what settles it, and how to record what was done all the same.
func (e *NotYetError) Hint() string {
	return e.Verdict.Settles + "; if it is already in bottles, record it with --despite and keep them cold, boxed and away from people"
}

// bottling is what the words of a BottleWords mean.
type bottling struct {
	sizes   []must.BottleSize
	bottle  advice.Bottle
	style   batch.Style
	priming *batch.Part
	warmest measure.Celsius
	left    *measure.Quantity
	exact   []batch.Bottles // counts that were told
}

func (c *Cellar) bottling(ctx context.Context, w BottleWords, state batch.State) (bottling, error) {
	b := bottling{warmest: usualWarmest, style: batch.Still}
	kind := usualBottle()
	if w.Kind != "" {
		known, err := reference.BottleKindNamed(w.Kind)
		if err != nil {
			return b, ask("kind", w.Kind, "", err)
		}
		kind.Kind, kind.Limit = known.Name, known.Limit
	}
	if len(w.Bottles) == 0 {
		w.Bottles = []string{"750 mL"}
	}
	for _, words := range w.Bottles {
		size, err := c.bottleSize(words)
		if err != nil {
			return b, err
		}
		b.sizes = append(b.sizes, size)
		if size.Have > 0 {
			b.exact = append(b.exact, batch.Bottles{SizeML: float64(size.ML), Count: size.Have, Kind: kind.Kind})
		}
	}
	// The smallest bottle has the least room: judge by it.
	smallest := b.sizes[0].ML
	for _, s := range b.sizes {
		smallest = min(smallest, s.ML)
	}
	kind.SizeML, kind.HeadspaceML = float64(smallest), headspaceShare*float64(smallest)
	b.bottle = kind
	if len(state.Stabilisings) > 0 {
		b.style = batch.StillStabilised
	}
	if w.Priming != "" {
		part, err := c.part(ctx, "priming", w.Priming)
		if err != nil {
			return b, err
		}
		b.priming, b.style = &part, batch.Sparkling
	}
	if w.Style != "" {
		b.style = batch.Style(strings.ToLower(w.Style))
		switch b.style {
		case batch.Still, batch.StillStabilised, batch.Sparkling:
		default:
			return b, ask("style", w.Style, fmt.Sprintf("write %q, %q or %q", batch.Still, batch.StillStabilised, batch.Sparkling), errors.New("there is no such style"))
		}
	}
	warm, err := c.quantity("warmest", w.Warmest, `write "28 C" or "82 F"`, measure.Temperature)
	if err != nil {
		return b, err
	}
	if warm != nil {
		b.warmest = measure.Celsius(warm.Value)
		if !(b.warmest >= 10 && b.warmest <= 40) {
			return b, ask("warmest", w.Warmest, "", errors.New("the warmest place of a year is between 10 and 40 °C"))
		}
	}
	b.left, err = c.quantity("left", w.Left, `write "500 mL"`, measure.Volume)
	return b, err
}

// bottleSize understands "750 mL", "6 x 500 mL", "4 × 75 cl".
func (c *Cellar) bottleSize(words string) (must.BottleSize, error) {
	size := must.BottleSize{Have: -1}
	rest := words
	for _, times := range []string{"x", "×", "*"} {
		if before, after, ok := strings.Cut(words, times); ok {
			if n, err := strconv.Atoi(strings.TrimSpace(before)); err == nil {
				if n <= 0 {
					return size, ask("bottles", words, "", errors.New("a count is above zero"))
				}
				size.Have, rest = n, after
				break
			}
		}
	}
	q, err := c.quantity("bottles", rest, `write "750 mL" or "6 x 500 mL"`, measure.Volume)
	if err != nil {
		return size, err
	}
	if q == nil || q.Value < 0.05 || q.Value > 25 {
		return size, ask("bottles", words, `write "750 mL" or "6 x 500 mL"`, errors.New("a bottle holds 50 mL to 25 L"))
	}
	size.ML = int(math.Round(1000 * q.Value))
	return size, nil
}

// event is the bottling as the record keeps it: the counts told, else the best fill.
func (b bottling) event(fills []must.BottleFill) batch.Bottled {
	e := batch.Bottled{Bottles: b.exact, Style: b.style, Priming: b.priming, Warmest: b.warmest, Left: b.left}
	if len(e.Bottles) == 0 {
		for _, f := range fills {
			e.Bottles = append(e.Bottles, batch.Bottles{SizeML: float64(f.ML), Count: f.Count, Kind: b.bottle.Kind})
		}
	}
	return e
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
// lees leaves them behind.
func bottled(state batch.State, litres measure.Range) measure.Range {
	low, high := 1-must.RackingHigh, 1-must.RackingLow // heel and hose
	if len(state.Rackings) == 0 {
		low, high = low-must.LeesHigh, high-must.LeesLow
	}
	mid := litres.Value * (low + high) / 2
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
