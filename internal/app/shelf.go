package app

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/store"
)

// ShelfLot is bottles of one filling, size and kind.
type ShelfLot struct {
	Jug       string        `json:"jug"`
	Code      string        `json:"lot"`
	Bottled   time.Time     `json:"bottled"`
	SizeML    float64       `json:"size_ml"`
	Kind      string        `json:"kind"`
	Closure   string        `json:"closure,omitempty"`
	Part      bool          `json:"part,omitempty"` // not filled: the test bottle
	HoldsML   float64       `json:"holds_ml"`       // in each
	Place     string        `json:"place,omitempty"`
	Style     batch.Style   `json:"style"`
	Sweetness string        `json:"sweetness,omitempty"` // "dry", "medium"…; "" where it is not known
	Filled    int           `json:"filled"`
	Left      int           `json:"left"`
	Strength  measure.Range `json:"strength"` // % vol
	Gravity   measure.Range `json:"gravity"`  // SG 20/20
	Drinks    measure.Range `json:"drinks"`   // in each bottle, as the place of the maker's units counts them
	Window    advice.Window `json:"window"`
	Each      *float64      `json:"cost_each,omitempty"` // of one bottle, by the prices kept, in their money
	Value     *float64      `json:"value,omitempty"`     // of what is left, at that cost
	Unpriced  []string      `json:"unpriced,omitempty"`  // what no price is kept for
}

// wine is what the shelf keeps of the wine of a jug, worked out when its record changed.
type wine struct {
	Strength measure.Range `json:"strength"`
	Gravity  measure.Range `json:"gravity"`
	Used     []used        `json:"used"`   // all that went in
	Litres   float64       `json:"litres"` // that it made: in bottles and still in the jug
}

// keepWine keeps what the shelf tells of a jug's wine, once there is any in bottles.
func (c *Cellar) keepWine(ctx context.Context, state batch.State, stood Stood) error {
	if len(state.Bottlings) == 0 {
		return nil
	}
	w := wine{Strength: measure.RangeOf(nil, "% vol"), Gravity: measure.RangeOf(nil, "SG"), Used: usedIn(state)}
	if stood.Final != nil {
		w.Strength, w.Gravity = stood.Final.Ethanol, stood.Final.Gravity
	}
	for _, b := range state.Bottlings {
		w.Litres += b.What.Litres()
	}
	if left, err := state.Volume(); err == nil && !state.Empty {
		w.Litres += float64(left)
	}
	body, err := json.Marshal(w)
	if err != nil {
		return err
	}
	return c.store.SaveWine(ctx, state.Jug, body)
}

// usedIn is all that went into a jug.
func usedIn(state batch.State) []used {
	grams := map[string]float64{}
	var names []string
	add := func(parts ...batch.Part) {
		for _, p := range parts {
			if _, known := grams[p.Ingredient]; !known {
				names = append(names, p.Ingredient)
			}
			grams[p.Ingredient] += p.Grams
		}
	}
	add(state.Made.What.Parts...)
	for _, a := range state.Additions {
		add(a.What.Parts...)
	}
	for _, s := range state.Stabilisings {
		add(s.What.Parts...)
	}
	for _, b := range state.Blends {
		for _, source := range b.What.Sources {
			add(source.Wine)
		}
	}
	for _, b := range state.Bottlings {
		if b.What.Priming != nil {
			add(*b.What.Priming)
		}
	}
	var all []used
	for _, name := range names {
		all = append(all, used{What: name, Grams: grams[name]})
	}
	yeast := used{What: "yeast", Yeast: true}
	for _, p := range state.Pitches {
		yeast.Grams += p.What.Grams
		yeast.Packets += math.Ceil(p.What.Grams/packetGrams - 1e-9)
	}
	if yeast.Packets > 0 {
		all = append(all, yeast)
	}
	return all
}

// Shelf lists the bottles that are left, the oldest first. Strength and gravity are those
// of the estimate made when the jug's record last changed.
func (c *Cellar) Shelf(ctx context.Context) ([]ShelfLot, error) {
	lots, err := c.store.Shelf(ctx)
	if err != nil {
		return nil, err
	}
	return c.lots(ctx, lots)
}

// lots tells of lots as the store has them.
func (c *Cellar) lots(ctx context.Context, kept []store.Lot) ([]ShelfLot, error) {
	place, err := c.place("")
	if err != nil {
		return nil, err
	}
	prices, err := c.keptPrices(ctx)
	if err != nil {
		return nil, err
	}
	lots := make([]ShelfLot, len(kept))
	for i, lot := range kept {
		w, err := c.wineOf(ctx, lot)
		if err != nil {
			return nil, err
		}
		l := ShelfLot{
			Jug: lot.Name, Code: lot.Code, Bottled: lot.At, SizeML: lot.Bottles.SizeML, Kind: lot.Bottles.Kind, Closure: lot.Bottles.Closure,
			Part: lot.Bottles.Part, HoldsML: lot.Bottles.Each(), Place: lot.Place, Style: lot.Style, Filled: lot.Bottles.Count, Left: lot.Left,
			Strength: w.Strength, Gravity: w.Gravity, Drinks: drinks(place, w.Strength, lot.Bottles.Each()),
			Window: advice.DrinkingWindow(lot.Lot, w.Strength),
		}
		if w.Gravity.Known() {
			l.Sweetness = sweetness(measure.Gravity(w.Gravity.Value))
		}
		if cost := costOf(prices, w.Used); cost != nil && w.Litres > 0 {
			each := cost.Total / w.Litres * l.HoldsML / 1000
			value := each * float64(l.Left)
			l.Each, l.Value, l.Unpriced = &each, &value, cost.Unpriced
		}
		lots[i] = l
	}
	return lots, nil
}

// wineOf is the wine of a lot. Of a record that was last written to by an older version it
// is worked out now.
func (c *Cellar) wineOf(ctx context.Context, lot store.Lot) (wine, error) {
	var w wine
	body := lot.Wine
	if body == nil {
		if _, err := c.refresh(ctx, lot.Jug); err != nil {
			return w, err
		}
		again, err := c.store.LotsOf(ctx, lot.Jug)
		if err != nil || len(again) == 0 || again[0].Wine == nil {
			return wine{Strength: measure.RangeOf(nil, "% vol"), Gravity: measure.RangeOf(nil, "SG")}, err
		}
		body = again[0].Wine
	}
	return w, json.Unmarshal(body, &w)
}

// OpenWords is bottles leaving the shelf.
type OpenWords struct {
	Jug   string `json:"-"`
	Count int    `json:"count,omitempty"` // default 1
	Size  string `json:"size,omitempty"`  // "375 mL"; needed when the jug filled several sizes
	Part  bool   `json:"part,omitempty"`  // the part bottle
	Why   string `json:"why,omitempty"`   // "drunk", "given", "broken", "burst"
	Back  bool   `json:"back,omitempty"`  // the empty bottles are washed and kept
	When  string `json:"when,omitempty"`
}

// OpenBottle records that bottles left the shelf: drunk, given away, broken.
//
// Errors: *AskError; none left of that size.
func (c *Cellar) OpenBottle(ctx context.Context, w OpenWords) (Recorded, error) {
	jug, events, state, err := c.jug(ctx, w.Jug)
	if err != nil {
		return Recorded{}, err
	}
	if e := c.sent(events); e != nil { // it may have been the last bottle
		return c.recorded(ctx, jug, events, *e), nil
	}
	size, err := c.quantity("size", w.Size, `write "750 mL"`, measure.Volume)
	if err != nil {
		return Recorded{}, err
	}
	if w.Count < 0 {
		return Recorded{}, ask("count", fmt.Sprint(w.Count), "", errors.New("a count is above zero"))
	}
	count := max(1, w.Count)
	var fit []batch.Lot
	for _, lot := range lotsCalled(state, w.Jug) {
		right := (size == nil || math.Abs(lot.Bottles.SizeML-1000*size.Value) < 1) && (!w.Part || lot.Bottles.Part)
		if right && lot.Left >= count {
			fit = append(fit, lot)
		}
	}
	if len(fit) == 0 {
		return Recorded{}, notOnShelf(state, count, w)
	}
	if other := slices.IndexFunc(fit, func(l batch.Lot) bool { return l.Bottles.SizeML != fit[0].Bottles.SizeML }); other > 0 {
		return Recorded{}, ask("size", "", "", fmt.Errorf("which size: %.0f or %.0f mL", fit[0].Bottles.SizeML, fit[other].Bottles.SizeML))
	}
	from := fit[0]
	if whole := slices.IndexFunc(fit, func(l batch.Lot) bool { return !l.Bottles.Part }); !w.Part && whole >= 0 {
		from = fit[whole]
	}
	return c.recordWords(ctx, w.Jug, w.When, 0, batch.Opened{
		Of: from.Bottling, SizeML: from.Bottles.SizeML, Bottle: from.Bottles.Kind, Part: from.Bottles.Part,
		Count: count, Why: w.Why, Back: w.Back,
	})
}

// notOnShelf says what is asked for of the shelf that it does not hold, and what it holds.
func notOnShelf(state batch.State, count int, w OpenWords) error {
	var there []string
	for _, lot := range lotsCalled(state, w.Jug) {
		if lot.Left > 0 {
			part := ""
			if lot.Bottles.Part {
				part = " in part"
			}
			there = append(there, fmt.Sprintf("%d of %.0f mL%s", lot.Left, lot.Bottles.SizeML, part))
		}
	}
	if there == nil {
		return fmt.Errorf("no bottle of %q is on the shelf", state.Name)
	}
	wanted := fmt.Sprint(count)
	if w.Size != "" {
		wanted += " of " + w.Size
	}
	if w.Part {
		wanted += " in part"
	}
	return fmt.Errorf("the shelf holds %s of %q, not %s", strings.Join(there, " and "), state.Name, wanted)
}

// ShelveWords is bottles taken elsewhere.
type ShelveWords struct {
	Jug     string `json:"-"`
	Place   string `json:"place,omitempty"`
	Warmest string `json:"warmest,omitempty"` // the warmest it gets there: the verdict on the bottles goes by it
	When    string `json:"when,omitempty"`
}

// Shelve records where bottles stand now: all of a jug, or those of a lot.
//
// Errors: *AskError; no bottles of that name.
func (c *Cellar) Shelve(ctx context.Context, w ShelveWords) (Recorded, error) {
	_, _, state, err := c.jug(ctx, w.Jug)
	if err != nil {
		return Recorded{}, err
	}
	lots := lotsCalled(state, w.Jug)
	warmest, err := c.warmest(w.Warmest)
	if err != nil {
		return Recorded{}, err
	}
	place := strings.TrimSpace(w.Place)
	if place == "" && warmest == 0 {
		return Recorded{}, ask("place", "", `write skep shelf move elderflower "under the stairs"`, errors.New("where to"))
	}
	if len(lots) == 0 {
		return Recorded{}, fmt.Errorf("no bottles of %q are on the shelf", state.Name)
	}
	if place == "" {
		place = lots[0].Place
	}
	e := batch.Shelved{Place: place, Warmest: warmest}
	if len(lots) < len(state.Shelf) {
		e.Of = lots[0].Bottling
	}
	return c.recordWords(ctx, w.Jug, w.When, 0, e)
}

// lotsCalled are the bottles of a jug, or, where it was found by what a lot is called, those
// of that lot.
func lotsCalled(state batch.State, name string) []batch.Lot {
	var called []batch.Lot
	for _, lot := range state.Shelf {
		if strings.EqualFold(lot.Code, strings.TrimSpace(name)) {
			called = append(called, lot)
		}
	}
	if called == nil || strings.EqualFold(state.Name, strings.TrimSpace(name)) {
		return state.Shelf
	}
	return called
}
