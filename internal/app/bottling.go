package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/reference"
)

// bottling is what the words of a BottleWords mean.
type bottling struct {
	bottles []bottleKind
	told    bool // bottles are those of the words, not of the kitchen
	style   batch.Style
	priming *batch.Part
	warmest measure.Celsius
	left    *measure.Quantity
	part    *measure.Quantity // wine in a bottle that it does not fill, where bottles were counted
	place   string
	code    string
	despite string
	law     Place
	assumed []string
}

// bottleKind is bottles of one size and kind that may be filled.
type bottleKind struct {
	must.BottleSize
	kind    reference.BottleKind
	closure *reference.Closure // nil where none is known
}

// closed is the bottle as the verdict takes it: it bears no more than its closure.
func (b bottleKind) closed() advice.Bottle {
	closed := advice.Bottle{Kind: b.kind.Name, Limit: b.kind.Limit, SizeML: float64(b.ML), HeadspaceML: headspace(b.closure, float64(b.ML))}
	if b.closure != nil {
		closed.Limit = min(closed.Limit, b.closure.Limit)
	}
	return closed
}

// headspace is the room under a closure in a bottle of that many mL.
func headspace(c *reference.Closure, ml float64) float64 {
	if c == nil {
		return headspaceShare * ml
	}
	return c.HeadspaceML / 750 * ml
}

func (c *Cellar) bottling(ctx context.Context, w BottleWords, state batch.State) (bottling, error) {
	b := bottling{warmest: usualWarmest, style: batch.Still, place: strings.TrimSpace(w.Place), code: strings.TrimSpace(w.Code)}
	var err error
	if b.despite, err = reason(w.Despite); err != nil {
		return b, err
	}
	if b.law, err = c.place(w.Law); err != nil {
		return b, err
	}
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
	warm, err := c.warmest(w.Warmest)
	if err != nil {
		return b, err
	}
	if warm != 0 {
		b.warmest = warm
	}
	if b.left, err = c.quantity("left", w.Left, `write "500 mL"`, measure.Volume); err != nil {
		return b, err
	}
	if b.part, err = c.quantity("part", w.Part, `write "400 mL"`, measure.Volume); err != nil {
		return b, err
	}
	return b, c.choose(ctx, w, &b)
}

// warmest understands the warmest place that bottles will stand in; 0 where it is not told.
func (c *Cellar) warmest(words string) (measure.Celsius, error) {
	warm, err := c.quantity("warmest", words, `write "28 C" or "82 F"`, measure.Temperature)
	if err != nil || warm == nil {
		return 0, err
	}
	if !(warm.Value >= 10 && warm.Value <= 40) {
		return 0, ask("warmest", words, "", errors.New("the warmest place of a year is between 10 and 40 °C"))
	}
	return measure.Celsius(warm.Value), nil
}

// choose finds the bottles: those that were told; else those of the kitchen; else as many
// of 750 mL as needed.
func (c *Cellar) choose(ctx context.Context, w BottleWords, b *bottling) error {
	usual := usualBottle().Kind
	if w.Kind != "" {
		usual = w.Kind
	}
	kind, err := reference.BottleKindNamed(usual)
	if err != nil {
		return ask("kind", w.Kind, "", err)
	}
	var closure *reference.Closure
	if w.Closure != "" {
		named, err := reference.ClosureNamed(w.Closure)
		if err != nil {
			return ask("closure", w.Closure, "", err)
		}
		closure = &named
	}
	b.told = len(w.Bottles) > 0
	for _, words := range w.Bottles {
		size, told, err := c.bottleSize(words)
		if err != nil {
			return err
		}
		some := bottleKind{BottleSize: size, kind: kind}
		if told != "" {
			if some.kind, err = reference.BottleKindNamed(told); err != nil {
				return ask("bottles", words, "", err)
			}
		}
		b.bottles = append(b.bottles, some)
	}
	if !b.told {
		if err := c.fromTheKitchen(ctx, b, closure, func(k reference.BottleKind) bool {
			if w.Kind != "" {
				return k.Name == kind.Name
			}
			return k.Limit > 0 && (b.style != batch.Sparkling || k.Limit >= advice.SparklingLimit)
		}); err != nil {
			return err
		}
	}
	if b.bottles == nil {
		b.bottles = []bottleKind{{BottleSize: must.BottleSize{ML: 750, Have: -1}, kind: kind}}
	}
	slices.SortStableFunc(b.bottles, func(x, y bottleKind) int { return cmp.Compare(y.ML, x.ML) })
	return b.close(closure)
}

// fromTheKitchen takes the empty bottles on hand that suit, and that the closure goes on if
// one was told.
func (c *Cellar) fromTheKitchen(ctx context.Context, b *bottling, closure *reference.Closure, suits func(reference.BottleKind) bool) error {
	hand, err := c.bottlesOnHand(ctx)
	if err != nil {
		return err
	}
	for _, on := range hand {
		k, err := reference.BottleKindNamed(on.Kind)
		if err == nil && on.Have > 0 && suits(k) && (closure == nil || slices.Contains(closure.Bottles, k.Name)) {
			b.bottles = append(b.bottles, bottleKind{BottleSize: must.BottleSize{ML: int(math.Round(on.SizeML)), Have: on.Have}, kind: k})
		}
	}
	return nil
}

// close closes each bottle with what was told, else with what is usual on it.
func (b *bottling) close(told *reference.Closure) error {
	for i, some := range b.bottles {
		if told == nil {
			if usual, known := reference.UsualClosure(some.kind.Name, string(b.style)); known {
				b.bottles[i].closure = &usual
				b.assume(some.kind.Name, usual)
			}
			continue
		}
		if !slices.Contains(told.Bottles, some.kind.Name) {
			return ask("closure", told.Name, "it goes on "+strings.Join(told.Bottles, " and "), fmt.Errorf("a %s does not go on %s", told.Name, some.kind.Name))
		}
		b.bottles[i].closure = told
	}
	return nil
}

// assume notes which closure is taken, where there are others for the style that leave
// less room.
func (b *bottling) assume(kind string, usual reference.Closure) {
	var others []string
	for _, c := range reference.Closures() {
		if slices.Contains(c.Bottles, kind) && slices.Contains(c.Styles, string(b.style)) && c.HeadspaceML < usual.HeadspaceML {
			others = append(others, c.Name)
		}
	}
	words := fmt.Sprintf("%s closed with a %s; a %s leaves less room, so say if it is one", kind, usual.Name, strings.Join(others, " or "))
	if others != nil && !slices.Contains(b.assumed, words) {
		b.assumed = append(b.assumed, words)
	}
}

// worst is the verdict of the kind of bottle that bears the wine worst, each judged by its
// smallest, which has the least room.
func (b bottling) worst(q advice.Question) (advice.Verdict, string) {
	var worst advice.Verdict
	kind := ""
	judged := map[string]bool{}
	for _, some := range slices.Backward(b.bottles) { // the smallest first
		name := some.kind.Name
		if judged[name] {
			continue
		}
		judged[name] = true
		q.Bottle = some.closed()
		v := advice.MayBottle(q)
		worse := v.Answer == advice.NotYet && worst.Answer != advice.NotYet || (v.Answer == advice.NotYet) == (worst.Answer == advice.NotYet) && v.Chance > worst.Chance
		if kind == "" || worse {
			worst, kind = v, name
		}
	}
	return worst, kind
}

// fill chooses how many bottles to fill.
func (b bottling) fill(a *BottleAnswer) error {
	sizes := make([]must.BottleSize, len(b.bottles))
	for i, some := range b.bottles {
		sizes[i] = some.BottleSize
	}
	f, err := must.FillBottles(int(1000*a.Wine.Value), sizes)
	if err != nil {
		return err
	}
	for i, n := range f.Full {
		if n > 0 {
			a.Fill = append(a.Fill, b.filled(i, n, sizes[i].ML, a.Strength))
		}
	}
	// What is to sparkle needs its usual room, and a bottle with more air than wine spoils:
	// then the rest is for the glass.
	if f.Part >= 0 && 2*f.PartML >= sizes[f.Part].ML && b.style != batch.Sparkling {
		part := b.filled(f.Part, 1, f.PartML, a.Strength)
		a.Part = &part
	}
	outside := float64(f.PartML+f.LeftML) / 1000
	a.Left = measure.Range{
		Value: outside, Unit: "L",
		Low: max(0, outside-(a.Wine.Value-a.Wine.Low)), High: outside + a.Wine.High - a.Wine.Value,
	}
	a.Unbottled = measure.Exact(0, "L")
	if f.LeftML > must.TastingGlass {
		a.Unbottled = measure.Exact(float64(f.LeftML)/1000, "L")
	}
	return nil
}

// filled is so many bottles of one kind with so much in each.
func (b bottling) filled(i, count, holds int, strength measure.Range) Fill {
	some := b.bottles[i]
	f := Fill{
		ML: some.ML, Count: count, Kind: some.kind.Name, HoldsML: holds, BelowRim: measure.RangeOf(nil, "mm"),
		HeadspaceML: math.Round(headspace(some.closure, float64(some.ML))), Drinks: drinks(b.law, strength, float64(holds)),
	}
	if some.closure != nil {
		f.Closure = some.closure.Name
	}
	switch {
	case holds < some.ML:
		f.HeadspaceML += float64(some.ML - holds)
	case some.closure != nil:
		f.BelowRim = measure.Range{Value: (some.closure.BelowLow + some.closure.BelowHigh) / 2, Unit: "mm", Low: some.closure.BelowLow, High: some.closure.BelowHigh}
	}
	return f
}

// bottleSize understands "750 mL", "6 x 500 mL", "4 × 75 cl", "6 x 330 mL beer glass": the
// size, how many there are, and the kind if it is told.
func (c *Cellar) bottleSize(words string) (size must.BottleSize, kind string, err error) {
	const tip = `write "750 mL", "6 x 500 mL" or "6 x 330 mL beer glass"`
	size.Have = -1
	rest := words
	for _, times := range []string{"x", "×", "*"} {
		if before, after, ok := strings.Cut(words, times); ok {
			if n, err := strconv.Atoi(strings.TrimSpace(before)); err == nil {
				if n <= 0 || n > 10_000 {
					return size, "", ask("bottles", words, "", errors.New("a count is above zero"))
				}
				size.Have, rest = n, after
				break
			}
		}
	}
	q, kind, err := measure.ParseIngredient(rest, c.system)
	switch {
	case err != nil:
		return size, "", ask("bottles", words, tip, err)
	case q.Kind != measure.Volume:
		return size, "", ask("bottles", words, tip, fmt.Errorf("that is a %s, not a %s", q.Kind, measure.Volume))
	case q.Value < 0.05 || q.Value > 25:
		return size, "", ask("bottles", words, tip, errors.New("a bottle holds 50 mL to 25 L"))
	}
	size.ML = int(math.Round(1000 * q.Value))
	return size, kind, nil
}

// event is the bottling as the record keeps it: the counts told, else the best fill.
func (b bottling) event(a BottleAnswer) (batch.Bottled, error) {
	e := batch.Bottled{
		Style: b.style, Priming: b.priming, Warmest: b.warmest, Left: b.left, Place: b.place, Code: b.code,
		Planned: &batch.Planned{Wine: a.Wine},
	}
	for _, f := range a.Fill {
		e.Planned.Bottles = append(e.Planned.Bottles, f.bottles())
	}
	if a.Part != nil {
		e.Planned.Bottles = append(e.Planned.Bottles, a.Part.bottles())
	}
	counted, err := b.counted()
	if err != nil {
		return e, err
	}
	e.Bottles = counted
	if counted == nil {
		e.Bottles = e.Planned.Bottles
	}
	if len(e.Bottles) == 0 {
		return e, ask("bottles", "", `say what was filled: --bottles "5 x 750 mL"`, errors.New("there is not enough wine for a bottle"))
	}
	return e, nil
}

// bottles are those of a Fill as the record keeps them.
func (f Fill) bottles() batch.Bottles {
	some := batch.Bottles{SizeML: float64(f.ML), Count: f.Count, Kind: f.Kind, Closure: f.Closure}
	if f.HoldsML < f.ML {
		some.Part, some.HoldsML = true, float64(f.HoldsML)
	}
	return some
}

// counted are the bottles that were told with their number; nil if none was: then what was
// planned was done.
func (b bottling) counted() ([]batch.Bottles, error) {
	var all []batch.Bottles
	for _, some := range b.bottles {
		if b.told && some.Have > 0 {
			all = append(all, some.full())
		}
	}
	switch {
	case all == nil && b.part != nil:
		return nil, ask("part", b.part.Words, `write --bottles "5 x 750 mL" --part "400 mL"`, errors.New("a part bottle goes with full ones that were counted"))
	case all == nil:
		return nil, nil
	case len(all) < len(b.bottles):
		return nil, ask("bottles", "", `write "5 x 750 mL" of each size`, errors.New("some sizes have no count: how many of them were filled"))
	case b.part == nil:
		return all, nil
	}
	ml := 1000 * b.part.Value
	for _, some := range slices.Backward(b.bottles) { // the smallest that it does not fill
		if ml > 0 && ml < float64(some.ML) {
			part := some.full()
			part.Count, part.Part, part.HoldsML = 1, true, math.Round(ml)
			return append(all, part), nil
		}
	}
	return nil, ask("part", b.part.Words, "", fmt.Errorf("it would fill every bottle that is told of: they hold %d mL at most", b.bottles[0].ML))
}

// full is what the record keeps of them, all filled.
func (b bottleKind) full() batch.Bottles {
	full := batch.Bottles{SizeML: float64(b.ML), Count: b.Have, Kind: b.kind.Name}
	if b.closure != nil {
		full.Closure = b.closure.Name
	}
	return full
}
