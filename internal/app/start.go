package app

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/store"
)

// StartWords is brew day as a person tells it.
type StartWords struct {
	Name       string   `json:"name"`                 // what the jug is called from now on
	Jug        string   `json:"jug,omitempty"`        // "1 gal", "4.5 L", or a vessel of the kitchen
	With       []string `json:"with,omitempty"`       // "3 lb honey", "2 cups elderflower", "1 lemon"
	Volume     string   `json:"volume,omitempty"`     // made up to this much; without it, by weight or to the shoulder
	Full       string   `json:"full,omitempty"`       // weight of the full jug
	Empty      string   `json:"empty,omitempty"`      // weight of the empty jug, asked once for each vessel
	Gravity    string   `json:"gravity,omitempty"`    // "1.098 at 72 F"
	Calibrated string   `json:"calibrated,omitempty"` // of the hydrometer, "60 F"; default 20 °C
	Yeast      string   `json:"yeast,omitempty"`      // "a packet of champagne yeast"; empty: pitched later
	Must       string   `json:"must,omitempty"`       // temperature of the must
	Room       string   `json:"room,omitempty"`       // temperature where it stands
	Place      string   `json:"place,omitempty"`
	When       string   `json:"when,omitempty"`
	Plan       string   `json:"plan,omitempty"` // a kept plan; the rest of the words go before it
}

// Started is what came of it.
type Started struct {
	Jug     string         `json:"jug"`
	Volume  measure.Range  `json:"volume"`
	Assumed []string       `json:"assumed"` // what was not told and is taken as usual
	Check   *BrewDayResult `json:"check,omitempty"`
	Stand   Stood          `json:"stand"`
}

// How surely a jug is filled to a mark, and to the shoulder when nobody says: relative,
// the latter over a finger's breadth of neck (assumed).
const (
	markSD     = 0.02
	shoulderSD = 0.04
)

// Start records brew day.
//
// The water is what the parts leave open: as told in a part, else up to Volume, else by
// the weights of the full and the empty jug, else up to the shoulder, which is noted
// among Assumed.
//
// Errors: *AskError for words that make no sense; a jug of that name; more in the jug
// than it holds.
func (c *Cellar) Start(ctx context.Context, w StartWords) (Started, error) {
	if jug, err := c.begun(ctx); jug != nil || err != nil {
		return c.startedBefore(ctx, jug, err)
	}
	events, assumed, err := c.brewDay(ctx, w)
	if err != nil {
		return Started{}, err
	}
	made := events[0].Happened.(batch.Made)
	if err := c.store.Append(ctx, events...); err != nil {
		if errors.Is(err, store.ErrNameTaken) {
			err = ask("name", w.Name, "give it another, or put the year behind it", store.ErrNameTaken)
		}
		return Started{}, err
	}
	// A size is no name: the next jug of that size weighs something else.
	if _, err := measure.Parse(made.Vessel.Name, c.system); err != nil && made.Vessel.Tare != nil {
		if err := c.store.Put(ctx, store.Vessels, made.Vessel.Name, made.Vessel); err != nil {
			return Started{}, err
		}
	}
	return c.started(ctx, events[0].ID, made, assumed)
}

// brewDay understands the words of a brew day as the first entries of a jug's record.
func (c *Cellar) brewDay(ctx context.Context, w StartWords) ([]batch.Event, []string, error) {
	made, at, assumed, err := c.made(ctx, w)
	if err != nil {
		return nil, nil, err
	}
	events := []batch.Event{c.event(at, made)}
	if w.Yeast != "" {
		pitched, err := c.pitched(PitchWords{Yeast: w.Yeast, Must: w.Must})
		if err != nil {
			return nil, nil, err
		}
		events = append(events, c.event(at, pitched))
	}
	if w.Room != "" || w.Place != "" {
		room, err := c.quantity("room", w.Room, `write "19 C" or "66 F"`, measure.Temperature)
		if err != nil {
			return nil, nil, err
		}
		events = append(events, c.event(at, batch.Moved{Place: w.Place, Room: room}))
	}
	for i := range events {
		events[i].Jug, events[i].Seq = events[0].ID, i+1
	}
	return events, assumed, nil
}

// started tells of a brew day that is on the disk.
func (c *Cellar) started(ctx context.Context, id string, made batch.Made, assumed []string) (Started, error) {
	stood := c.after(ctx, id)
	check, err := BrewDayCheck(made)
	return Started{Jug: made.Name, Volume: stood.Volume, Assumed: assumed, Stand: stood, Check: check}, err
}

// begun is the jug whose brew day was sent under the key of this request; nil if none was.
func (c *Cellar) begun(ctx context.Context) (*store.Jug, error) {
	if c.key == "" {
		return nil, nil
	}
	all, err := c.store.Jugs(ctx)
	for _, j := range all {
		if strings.HasPrefix(j.ID, c.key+"-") {
			return &j, err
		}
	}
	return nil, err
}

// startedBefore answers a brew day that was sent a second time.
func (c *Cellar) startedBefore(ctx context.Context, jug *store.Jug, err error) (Started, error) {
	if err != nil {
		return Started{}, err
	}
	events, err := c.store.Events(ctx, jug.ID)
	if err != nil {
		return Started{}, err
	}
	state, err := batch.Fold(events)
	if err != nil {
		return Started{}, err
	}
	return c.started(ctx, jug.ID, state.Made.What, nil)
}

// made understands what went into the jug.
func (c *Cellar) made(ctx context.Context, w StartWords) (batch.Made, time.Time, []string, error) {
	var none batch.Made
	at, err := c.when("when", w.When)
	if err != nil {
		return none, at, nil, err
	}
	name := strings.TrimSpace(w.Name)
	if name == "" {
		return none, at, nil, ask("name", "", `give the jug a name: skep start "elderflower 2026" …`, errors.New("the jug has no name"))
	}
	var plan json.RawMessage
	var parts []batch.Part
	var mark *measure.Quantity
	if w.Plan != "" {
		kept, err := c.KeptPlan(ctx, w.Plan)
		if err != nil {
			return none, at, nil, err
		}
		if plan, err = json.Marshal(kept); err != nil {
			return none, at, nil, err
		}
		if w.Jug == "" {
			w.Jug = kept.Words.Jug
		}
		if len(w.With) == 0 {
			parts = kept.Parts
		}
		mark = &measure.Quantity{
			Words: "the mark of the plan, " + measure.ShowVolume(measure.Litres(kept.Fill.Value), c.system),
			Kind:  measure.Volume, Tool: measure.Jug, Value: kept.Fill.Value, SD: markSD * kept.Fill.Value,
		}
	}
	vessel, err := c.vessel(ctx, "jug", w.Jug)
	if err != nil {
		return none, at, nil, err
	}
	told, err := c.parts(ctx, "with", w.With)
	if err != nil {
		return none, at, nil, err
	}
	parts = append(parts, told...)
	if len(parts) == 0 {
		return none, at, nil, ask("with", "", `say what went in: --with "3 lb honey"`, errors.New("nothing is in the jug"))
	}
	m := batch.Made{Name: name, Vessel: vessel, Parts: parts, Plan: plan}
	if m.Volume, err = c.quantity("volume", w.Volume, `write "4.2 L" or "1 gal"`, measure.Volume); err != nil {
		return none, at, nil, err
	}
	if m.Full, err = c.quantity("full", w.Full, `write "5.9 kg" or "13 lb 2 oz"`, measure.Mass); err != nil {
		return none, at, nil, err
	}
	tare, err := c.quantity("empty", w.Empty, `write "1.35 kg" or "3 lb"`, measure.Mass)
	if err != nil {
		return none, at, nil, err
	}
	if tare != nil {
		m.Vessel.Tare = tare
	}
	if m.Gravity, m.Sample, err = c.reading("gravity", w.Gravity); err != nil {
		return none, at, nil, err
	}
	if m.Calibrated, err = c.calibrated(w.Calibrated); err != nil {
		return none, at, nil, err
	}
	if err := c.onHydrometer(ctx, &m.Calibrated, m.Gravity); err != nil {
		return none, at, nil, err
	}
	if m.Volume == nil && (m.Full == nil || m.Vessel.Tare == nil) {
		m.Volume = mark
	}
	assumed, err := fill(&m)
	return m, at, assumed, err
}

// fill adds the water that the parts leave open, and says what it had to assume.
func fill(m *batch.Made) ([]string, error) {
	var in must.Must
	watered := false
	for _, p := range m.Parts {
		in = in.Plus(p.Adds)
		watered = watered || p.Ingredient == "water"
	}
	var assumed []string
	switch {
	case watered:
		return nil, fits(in, m.Vessel)
	case m.Full != nil && m.Vessel.Tare != nil:
		water := m.Full.Value - m.Vessel.Tare.Value - float64(in.Mass())
		if water < -0.02*float64(in.Mass()) {
			return nil, ask("full", m.Full.Words, "is the empty weight right?",
				fmt.Errorf("the jug weighs %.2f kg less than what went into it", -water/1000))
		}
		m.Parts = append(m.Parts, waterPart(max(0, water), m.Full.SD+m.Vessel.Tare.SD, "water, by the weight of the jug"))
		in[must.Water] += max(0, water)
		return nil, fits(in, m.Vessel)
	case m.Volume == nil:
		litres := m.Vessel.Litres * (1 - usualHeadroom(in, m.Vessel))
		m.Volume = &measure.Quantity{
			Words: fmt.Sprintf("the shoulder, %.2f L (assumed)", litres),
			Kind:  measure.Volume, Tool: measure.Jug, Value: litres, SD: shoulderSD * litres,
		}
		assumed = append(assumed, fmt.Sprintf("the jug is filled to the shoulder: %.2f L; weigh it full (--full, and once --empty) or read a mark (--volume) to know it better", litres))
	}
	// A jug of juice alone lacks no water. Honey alone has no volume here, and lacks some.
	if room, err := in.Room(); err == nil && len(assumed) == 0 && math.Abs(float64(room)-m.Volume.Value) <= 2*m.Volume.SD {
		return nil, fits(in, m.Vessel)
	}
	water, err := in.WaterTo(measure.Litres(m.Volume.Value))
	if err != nil {
		return nil, ask("volume", m.Volume.Words, "", err)
	}
	m.Parts = append(m.Parts, waterPart(float64(water), m.Volume.SD*1000, "water, up to "+m.Volume.Words))
	in[must.Water] += float64(water)
	liquid, err := in.Volume(20) // the mark stands above fruit and flowers; the record wants the liquid
	below := *m.Volume
	below.Value = float64(liquid)
	m.Volume = &below
	return assumed, errors.Join(err, fits(in, m.Vessel))
}

// fits refuses what does not go into the vessel.
func fits(in must.Must, v batch.Vessel) error {
	room, err := in.Room()
	if err == nil && float64(room) > v.Litres*1.08 { // a jug holds up to 8 % above its name, to the brim (vessels table, from memory)
		return ask("with", "", "take a larger jug or less water", fmt.Errorf("%.2f L do not go into a jug of %.2f L", room, v.Litres))
	}
	return nil
}

func waterPart(grams, sd float64, words string) batch.Part {
	return batch.Part{
		Ingredient: "water", Words: words, Grams: grams, GramsSD: sd,
		Amount: measure.Quantity{Words: words, Kind: measure.Mass, Tool: measure.Jug, Value: grams, SD: sd},
		Adds:   must.Must{must.Water: grams},
	}
}

// PitchWords is the pitching of yeast as a person tells it.
type PitchWords struct {
	Jug     string `json:"-"`
	Yeast   string `json:"yeast,omitempty"`
	Must    string `json:"must,omitempty"`
	When    string `json:"when,omitempty"`
	Instead int    `json:"instead,omitempty"`
}

// Pitch records that yeast went in.
//
// Errors: *AskError; an unknown jug.
func (c *Cellar) Pitch(ctx context.Context, w PitchWords) (Recorded, error) {
	p, err := c.pitched(w)
	if err != nil {
		return Recorded{}, err
	}
	return c.recordWords(ctx, w.Jug, w.When, w.Instead, p)
}

func (c *Cellar) pitched(w PitchWords) (batch.Pitched, error) {
	kind, amount, grams, err := c.yeast("yeast", w.Yeast)
	if err != nil {
		return batch.Pitched{}, err
	}
	warm, err := c.quantity("must", w.Must, `write "24 C" or "75 F"`, measure.Temperature)
	if err != nil {
		return batch.Pitched{}, err
	}
	if warm != nil && warm.Value > hottestPitch {
		return batch.Pitched{}, ask("must", w.Must, fmt.Sprintf("wait until it is below %d °C, then pitch", int(hottestPitch)),
			fmt.Errorf("yeast dies in a must of %.0f °C", warm.Value))
	}
	return batch.Pitched{Yeast: kind.Name, Amount: amount, Grams: grams, Temperature: warm}, nil
}

// hottestPitch is 35 °C: the low end of the rehydration range of active dry yeast,
// 35 to 40 °C, where it has water alone (common practice, no source).
const hottestPitch = 35.0

// reading understands "1.032 at 72 F".
func (c *Cellar) reading(field, words string) (reading, sample *measure.Quantity, err error) {
	if strings.TrimSpace(words) == "" {
		return nil, nil, nil
	}
	q, t, err := measure.ParseReading(words, c.system)
	if err != nil {
		return nil, nil, ask(field, words, `write "1.032" or "1.032 at 72 F"`, err)
	}
	if q.Kind != measure.SG && q.Kind != measure.Brix {
		return nil, nil, ask(field, words, `write "1.032" or "8 Bx"`, fmt.Errorf("that is a %s, not a gravity", q.Kind))
	}
	if q.Kind == measure.Brix { // the same hydrometer with other figures on its paper
		sg, err := density.GravityFromSucrose(measure.MassFraction(q.Value / 100))
		if err != nil {
			return nil, nil, ask(field, words, "", err)
		}
		q.Kind, q.Value, q.SD = measure.SG, float64(sg), q.SD*gravityPerBrix
	}
	return &q, t, nil
}

// gravityPerBrix is how much a degree Brix is in gravity, near 1.05 (gravity table).
const gravityPerBrix = 0.0042

// calibrated understands the temperature of a hydrometer's scale; 0 is not told.
func (c *Cellar) calibrated(words string) (measure.Celsius, error) {
	q, err := c.quantity("calibrated", words, `write "20 C" or "60 F", as printed on it`, measure.Temperature)
	if err != nil || q == nil {
		return 0, err
	}
	if !(q.Value >= 4 && q.Value <= 30) {
		return 0, ask("calibrated", words, "write what is printed on the hydrometer", errors.New("hydrometers are made for 4 to 30 °C"))
	}
	return measure.Celsius(q.Value), nil
}
