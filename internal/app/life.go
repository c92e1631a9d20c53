package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/store"
)

// Recorded is what came of writing something down.
type Recorded struct {
	Jug      string   `json:"jug"`
	Number   int      `json:"number"`             // of the entry in the jug's history
	Said     string   `json:"said"`               // what was understood
	Cautions []string `json:"cautions,omitempty"` // what it may do to the wine, or to people
	Stand    Stood    `json:"stand"`
}

// event is a new entry, not yet numbered.
func (c *Cellar) event(at time.Time, h batch.Happening) batch.Event {
	now := c.Now()
	return batch.Event{ID: c.newID(now, h), At: at, Recorded: now, Happened: h}
}

// recordWords writes down a happening of a jug, in the place of entry number instead if
// that is not zero.
func (c *Cellar) recordWords(ctx context.Context, jug, when string, instead int, h batch.Happening) (Recorded, error) {
	at, err := c.when("when", when)
	if err != nil {
		return Recorded{}, err
	}
	return c.record(ctx, jug, instead, func(state batch.State, of *batch.Line) (batch.Event, error) {
		if of == nil {
			return c.event(at, h), nil
		}
		if blendID(of.Event.Happened) != "" {
			return batch.Event{}, ask("instead", fmt.Sprint(of.Event.Seq), "take it back, skep withdraw, and blend again", errors.New("a blend stands in several records and is not corrected in one"))
		}
		correction := batch.Corrected{Of: of.Event.ID, By: h}
		if when != "" {
			correction.At = at
		}
		return c.event(c.Now(), correction), nil
	})
}

// record writes down what write makes of the jug's state; of is the entry to be
// replaced, if any. Nothing is written when the fold of it all would not hold. When
// another program wrote to the jug in the meantime, write is asked again of the new state.
func (c *Cellar) record(ctx context.Context, name string, instead int, write func(batch.State, *batch.Line) (batch.Event, error)) (Recorded, error) {
	const tries = 20 // each loses to another's entry, so the entries of twenty writers at once
	for range tries - 1 {
		recorded, err := c.recordOnce(ctx, name, instead, write)
		if !errors.Is(err, store.ErrConflict) {
			return recorded, err
		}
	}
	return c.recordOnce(ctx, name, instead, write)
}

func (c *Cellar) recordOnce(ctx context.Context, name string, instead int, write func(batch.State, *batch.Line) (batch.Event, error)) (Recorded, error) {
	jug, events, state, err := c.jug(ctx, name)
	if err != nil {
		return Recorded{}, err
	}
	if e := c.sent(events); e != nil {
		return c.recorded(ctx, jug, events, *e), nil
	}
	var of *batch.Line
	if instead != 0 {
		if of, err = entry(events, instead); err != nil {
			return Recorded{}, err
		}
	}
	e, err := write(state, of)
	if err != nil {
		return Recorded{}, err
	}
	if err := state.Check(e.Happened, e.At); err != nil {
		return Recorded{}, err
	}
	e.Jug, e.Seq = jug.ID, state.Seq+1
	if err := c.store.Append(ctx, e); err != nil {
		return Recorded{}, err
	}
	return c.recorded(ctx, jug, events, e), nil
}

// recorded tells of an entry that is on the disk.
func (c *Cellar) recorded(ctx context.Context, jug store.Jug, events []batch.Event, e batch.Event) Recorded {
	return Recorded{
		Jug: jug.Name, Number: e.Seq, Said: describe(e.Happened, numbers(events)),
		Cautions: cautions(events, e), Stand: c.after(ctx, jug.ID),
	}
}

// cautions are those that belong to an entry that was just written.
func cautions(before []batch.Event, e batch.Event) []string {
	after, err := batch.Fold(append(slices.Clip(before), e))
	if err != nil { // sent twice: it was told the first time
		return nil
	}
	return advice.CautionsOn(after, e.Happened)
}

// sent is the first entry that was written under the key of this request; nil if none was.
func (c *Cellar) sent(events []batch.Event) *batch.Event {
	i := slices.IndexFunc(events, func(e batch.Event) bool { return c.key != "" && strings.HasPrefix(e.ID, c.key+"-") })
	if i < 0 {
		return nil
	}
	return &events[i]
}

// numbers are the numbers of entries by their ids.
func numbers(events []batch.Event) map[string]int {
	all := make(map[string]int, len(events))
	for _, e := range events {
		all[e.ID] = e.Seq
	}
	return all
}

// entry finds an entry of a history by its number.
func entry(events []batch.Event, number int) (*batch.Line, error) {
	lines, err := batch.History(events)
	if err != nil {
		return nil, err
	}
	for i := range lines {
		if lines[i].Event.Seq == number {
			return &lines[i], nil
		}
	}
	return nil, ask("number", fmt.Sprint(number), "skep history shows the numbers", errors.New("the history has no such entry"))
}

// LookWords is what was seen on a visit.
type LookWords struct {
	Jug        string   `json:"-"`
	Saw        []string `json:"saw,omitempty"` // anything, each understood by its unit: "4.9 kg", "8/min", "1.032 at 72 F", "clear"
	Mass       string   `json:"mass,omitempty"`
	Bubbles    string   `json:"bubbles,omitempty"`
	Gravity    string   `json:"gravity,omitempty"`
	Brix       string   `json:"brix,omitempty"`          // of a refractometer
	Spent      string   `json:"fermented_out,omitempty"` // gravity of a sample that fresh yeast fermented out
	Room       string   `json:"room,omitempty"`
	Liquid     string   `json:"liquid,omitempty"`
	Drawn      string   `json:"drawn,omitempty"` // taken out and not given back
	PH         string   `json:"ph,omitempty"`
	TA         string   `json:"ta,omitempty"` // titratable acidity as tartaric acid, "6.2 g/L"
	Calibrated string   `json:"calibrated,omitempty"`
	Clarity    string   `json:"clarity,omitempty"`
	Smell      string   `json:"smell,omitempty"`
	Taste      string   `json:"taste,omitempty"`
	Note       string   `json:"note,omitempty"`
	When       string   `json:"when,omitempty"`
	Instead    int      `json:"instead,omitempty"` // number of the entry that this one corrects; 0: a new look
}

// Look records what was seen.
//
// Errors: *AskError; an unknown jug; a look before the jug was made.
func (c *Cellar) Look(ctx context.Context, w LookWords) (Recorded, error) {
	if err := w.sort(c.system); err != nil {
		return Recorded{}, err
	}
	l := batch.Looked{Clarity: w.Clarity, Smell: w.Smell, Taste: w.Taste, Note: w.Note}
	var err error
	for _, f := range []struct {
		into              **measure.Quantity
		field, words, tip string
		kind              measure.Kind
	}{
		{&l.Mass, "mass", w.Mass, `write "4.93 kg" or "10 lb 14 oz"`, measure.Mass},
		{&l.Bubbles, "bubbles", w.Bubbles, `write "8 bubbles a minute", "one every 12 s" or "none"`, measure.BubbleRate},
		{&l.Brix, "refractometer", w.Brix, `write "12 Bx"`, measure.Brix},
		{&l.Room, "room", w.Room, `write "19 C" or "66 F"`, measure.Temperature},
		{&l.Liquid, "liquid", w.Liquid, `write "21 C" or "70 F"`, measure.Temperature},
		{&l.Drawn, "drawn", w.Drawn, `write "100 mL"`, measure.Volume},
		{&l.TA, "ta", w.TA, `write "6.2 g/L", as tartaric acid; skep calc acid turns other figures into it`, measure.Concentration},
	} {
		if *f.into, err = c.quantity(f.field, f.words, f.tip, f.kind); err != nil {
			return Recorded{}, err
		}
	}
	if l.PH, err = c.pH("ph", w.PH); err != nil {
		return Recorded{}, err
	}
	if l.TA != nil {
		if !(l.TA.Value >= 0.5 && l.TA.Value <= 25) {
			return Recorded{}, ask("ta", w.TA, "as tartaric acid, by titration", errors.New("must and wine have 0.5 to 25 g/L"))
		}
		l.TA.SD = max(l.TA.SD, titrationSD)
	}
	if l.Gravity, l.Sample, err = c.reading("gravity", w.Gravity); err != nil {
		return Recorded{}, err
	}
	if l.Spent, l.SpentAt, err = c.reading("fermented-out", w.Spent); err != nil {
		return Recorded{}, err
	}
	if l.Calibrated, err = c.calibrated(w.Calibrated); err != nil {
		return Recorded{}, err
	}
	if err := c.onHydrometer(ctx, &l.Calibrated, l.Gravity, l.Spent); err != nil {
		return Recorded{}, err
	}
	if l == (batch.Looked{}) {
		return Recorded{}, ask("look", "", `write what you saw: skep look elderflower "8 bubbles a minute"`, errors.New("nothing was seen"))
	}
	return c.recordWords(ctx, w.Jug, w.When, w.Instead, l)
}

// pH understands a pH, as a bare number too; nil if nothing was said.
func (c *Cellar) pH(field, words string) (*measure.Quantity, error) {
	if _, err := strconv.ParseFloat(strings.Replace(words, ",", ".", 1), 64); err == nil {
		words = "pH " + words
	}
	return c.quantity(field, words, `write "pH 3.4"`, measure.Acidity)
}

// sort puts what was seen where its unit says it belongs; words without a number are a note.
func (w *LookWords) sort(system measure.System) error {
	for _, words := range w.Saw {
		into := &w.Note
		q, _, err := measure.ParseReading(words, system)
		switch {
		case err != nil && strings.ContainsAny(words, "0123456789"):
			return ask("look", words, "words that hold numbers are a note: --note", err)
		case err != nil:
		case q.Kind == measure.Mass:
			into = &w.Mass
		case q.Kind == measure.BubbleRate:
			into = &w.Bubbles
		case q.Kind == measure.SG || q.Kind == measure.Brix:
			into = &w.Gravity
		case q.Kind == measure.Temperature:
			into = &w.Room
		case q.Kind == measure.Acidity:
			into = &w.PH
		default:
			return ask("look", words, "a look takes a weight, a bubble rate, a gravity, a temperature, a pH or words", fmt.Errorf("a %s is nothing to see in a jug", q.Kind))
		}
		switch {
		case *into == "":
			*into = words
		case into == &w.Note:
			w.Note += "; " + words
		default:
			return ask("look", words, "one look holds one of each kind; take two looks", fmt.Errorf("%q was seen as well", *into))
		}
	}
	return nil
}

// AddWords is something that went into the jug after the start.
type AddWords struct {
	Jug     string   `json:"-"`
	Parts   []string `json:"parts,omitempty"` // "300 g honey", "1 g diammonium phosphate"
	Why     string   `json:"why,omitempty"`
	Keeps   bool     `json:"keeps,omitempty"` // it went in to keep the yeast from waking: sulphite, sorbate
	When    string   `json:"when,omitempty"`
	Instead int      `json:"instead,omitempty"`
}

// Add records that something went in. What is nothing but sulphite and sorbate went in to
// keep the yeast from waking, whether that was said or not.
//
// Errors: *AskError; an unknown jug or ingredient; batch.ErrVolumeUnknown where the
// record does not tell how much is in the jug.
func (c *Cellar) Add(ctx context.Context, w AddWords) (Recorded, error) {
	parts, err := c.parts(ctx, "part", w.Parts)
	if err != nil {
		return Recorded{}, err
	}
	var h batch.Happening = batch.Added{Parts: parts, Why: w.Why}
	if w.Keeps || !slices.ContainsFunc(parts, func(p batch.Part) bool { return !advice.Stabilises(p.Ingredient) }) {
		h = batch.Stabilised{Parts: parts}
	}
	return c.recordWords(ctx, w.Jug, w.When, w.Instead, h)
}

// RackWords is moving wine off its lees.
type RackWords struct {
	Jug     string `json:"-"`
	To      string `json:"to,omitempty"`    // vessel; empty: one of the same kind
	Left    string `json:"left,omitempty"`  // what stayed behind, "200 mL"; untold and unweighed, must.LeesHigh of the vessel
	Full    string `json:"full,omitempty"`  // weight of the new vessel and wine
	Empty   string `json:"empty,omitempty"` // weight of the new vessel
	When    string `json:"when,omitempty"`
	Instead int    `json:"instead,omitempty"`
}

// Rack records that the wine was moved off its lees.
//
// Errors: *AskError; an unknown jug.
func (c *Cellar) Rack(ctx context.Context, w RackWords) (Recorded, error) {
	_, _, state, err := c.jug(ctx, w.Jug)
	if err != nil {
		return Recorded{}, err
	}
	r, err := c.racking(ctx, w, state)
	if err != nil {
		return Recorded{}, err
	}
	return c.recordWords(ctx, w.Jug, w.When, w.Instead, r)
}

// racking understands how the wine was moved.
func (c *Cellar) racking(ctx context.Context, w RackWords, state batch.State) (batch.Racked, error) {
	r := batch.Racked{To: state.Vessel}
	var err error
	if w.To != "" {
		if r.To, err = c.vessel(ctx, "to", w.To); err != nil {
			return r, err
		}
	}
	if r.Left, err = c.quantity("left", w.Left, `write "200 mL" or "1 cup"`, measure.Volume); err != nil {
		return r, err
	}
	if r.Full, err = c.quantity("full", w.Full, `write "5.1 kg"`, measure.Mass); err != nil {
		return r, err
	}
	tare, err := c.quantity("empty", w.Empty, `write "1.35 kg"`, measure.Mass)
	if err != nil {
		return r, err
	}
	if tare != nil {
		r.To.Tare = tare
	}
	if r.Left == nil && (r.Full == nil || r.To.Tare == nil) {
		litres := must.LeesHigh * float64(state.Vessel.Litres)
		r.Left = &measure.Quantity{
			Words: fmt.Sprintf("lees, about %.0f mL (assumed)", 1000*litres),
			Kind:  measure.Volume, Tool: measure.Jug, Value: litres, SD: litres / 2,
		}
	}
	return r, nil
}

// MoveWords is a jug taken elsewhere, or a room that changed.
type MoveWords struct {
	Jug     string `json:"-"`
	Place   string `json:"place,omitempty"`
	Room    string `json:"room,omitempty"`
	When    string `json:"when,omitempty"`
	Instead int    `json:"instead,omitempty"`
}

// Move records where the jug stands now.
//
// Errors: *AskError; an unknown jug.
func (c *Cellar) Move(ctx context.Context, w MoveWords) (Recorded, error) {
	room, err := c.quantity("room", w.Room, `write "15 C" or "59 F"`, measure.Temperature)
	if err != nil {
		return Recorded{}, err
	}
	if w.Place == "" && room == nil {
		return Recorded{}, ask("place", "", `write skep move elderflower "under the stairs" --room "15 C"`, errors.New("where to"))
	}
	return c.recordWords(ctx, w.Jug, w.When, w.Instead, batch.Moved{Place: w.Place, Room: room})
}

// Withdraw takes back an entry of a history; number 0 means the latest that stands.
// The entry stays in the history, marked. A blend is taken back in all its jugs.
//
// Errors: *AskError for a number that is not there or was taken back before.
func (c *Cellar) Withdraw(ctx context.Context, jug string, number int, why string) (Recorded, error) {
	if blend, err := c.withdrawBlend(ctx, jug, number, why); err != nil {
		return Recorded{}, err
	} else if blend != nil {
		return *blend, nil
	}
	return c.record(ctx, jug, number, func(state batch.State, of *batch.Line) (batch.Event, error) {
		if of == nil {
			var err error
			if of, err = c.latest(ctx, jug); err != nil {
				return batch.Event{}, err
			}
		}
		if !of.Stands() {
			return batch.Event{}, ask("number", fmt.Sprint(of.Event.Seq), "", errors.New("it was taken back before"))
		}
		return c.event(c.Now(), batch.Withdrawn{Of: of.Event.ID, Why: why}), nil
	})
}

// latest is the entry last written that still stands.
func (c *Cellar) latest(ctx context.Context, name string) (*batch.Line, error) {
	_, events, _, err := c.jug(ctx, name)
	if err != nil {
		return nil, err
	}
	lines, err := batch.History(events)
	if err != nil {
		return nil, err
	}
	var last *batch.Line
	for i, l := range lines {
		if _, gone := l.Event.Happened.(batch.Withdrawn); l.Stands() && !gone && (last == nil || l.Event.Seq > last.Event.Seq) {
			last = &lines[i]
		}
	}
	if last == nil {
		return nil, errors.New("the history is empty")
	}
	return last, nil
}
