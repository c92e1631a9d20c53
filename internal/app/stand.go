package app

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property"
	"skep/internal/property/heat"
	"skep/internal/reference"
	"skep/internal/store"
)

// Stood is where a jug stands, what it was and will be.
type Stood struct {
	Jug          string            `json:"jug"`
	At           time.Time         `json:"at"`
	Standing     advice.Standing   `json:"standing"`
	Volume       measure.Range     `json:"volume"`        // L, of the liquid now
	Now          *estimate.State   `json:"now,omitempty"` // nil, as Final and Finish, where there is no estimate
	Final        *estimate.State   `json:"final,omitempty"`
	Finish       *Dates            `json:"finish,omitempty"`
	Sealed       *Sealed           `json:"sealed,omitempty"` // what would become of it if it were closed tight now; nil when it does not work
	Misfits      []estimate.Misfit `json:"misfits,omitempty"`
	Doubt        string            `json:"doubt,omitempty"`        // the evidence contradicts what is known, and how
	Unknown      string            `json:"unknown,omitempty"`      // why there is no estimate, and what is asked
	Assumed      []string          `json:"assumed,omitempty"`      // what nobody told
	Explanations []Explanation     `json:"explanations,omitempty"` // what may lie behind what is seen, the likeliest first; their chances make 1
	NextLooks    []NextLook        `json:"next_looks,omitempty"`   // what a look to come would tell, the most telling first
	Bottling     *advice.Verdict   `json:"bottling,omitempty"`     // in usual bottles; nil where there is no estimate or nothing left to bottle
	Course       []Point           `json:"course,omitempty"`       // the same quantities in time, past and future

	ahead func() ([]NextLook, error) // works out NextLooks; nil where there are none to work out
}

// lookAhead fills in what looks to come would tell.
func (s *Stood) lookAhead() (err error) {
	if s.ahead != nil {
		s.NextLooks, err = s.ahead()
		s.ahead = nil
	}
	return err
}

// Sealed is how soon a working jug that is closed tight passes a pressure: never do it.
type Sealed struct {
	OneBar measure.Range `json:"one_bar"` // hours to 1 bar above the air outside, more than any jug is trusted with
	SixBar measure.Range `json:"six_bar"` // hours to 6 bar, which bursts ordinary glass
	Course []SealedPoint `json:"course"`  // what it would gain, by the simulation
}

// SealedPoint is the pressure gained after some hours.
type SealedPoint struct {
	Hours float64       `json:"hours"`
	Gain  measure.Range `json:"gain"` // bar
}

// sealedHours are the hours after sealing that are told.
var sealedHours = []measure.Hours{1, 3, 6, 12, 24, 48}

// Dates is a day with the range it lies in; Chance is that it comes within the horizon.
type Dates struct {
	Day    time.Time `json:"day"`
	From   time.Time `json:"from"`
	To     time.Time `json:"to"`
	Chance float64   `json:"chance"`
}

// Point is a State with its date.
type Point struct {
	Day time.Time `json:"day"`
	estimate.State
}

// Horizon of an estimate, and what is taken for granted when nobody told.
const (
	horizon     = 150 * 24 * time.Hour
	usualRoom   = 20.0 // °C
	usualRoomSD = 3.0  // K: homes in the season of flowers and fruit (assumed)
	toldRoomSD  = 1.5  // K: a room read now and then, a must that follows it (assumed)
)

// Stand says where a jug stands now.
//
// Errors: an unknown jug; a record that does not fold.
func (c *Cellar) Stand(ctx context.Context, name string) (Stood, error) {
	_, _, state, err := c.jug(ctx, name)
	if err != nil {
		return Stood{}, err
	}
	stood, _, err := c.stand(state)
	return stood, errors.Join(err, stood.lookAhead())
}

// jug finds a jug by its name, or by the beginning of it if no other begins so.
func (c *Cellar) jug(ctx context.Context, name string) (store.Jug, []batch.Event, batch.State, error) {
	jug, err := c.jugNamed(ctx, name)
	if err != nil {
		return jug, nil, batch.State{}, err
	}
	events, err := c.store.Events(ctx, jug.ID)
	if err != nil {
		return jug, nil, batch.State{}, err
	}
	state, err := batch.Fold(events)
	if err != nil {
		return jug, nil, batch.State{}, fmt.Errorf("jug %q: %w", jug.Name, err)
	}
	return jug, events, state, nil
}

// stand reads a jug's state against the model.
func (c *Cellar) stand(state batch.State) (Stood, advice.Evidence, error) {
	now := c.Now()
	stood := Stood{Jug: state.Name, At: now}
	evidence := advice.Evidence{Now: now, Jug: state}
	var err error
	if evidence.Feeding, err = feedings(state); err != nil {
		return stood, evidence, err
	}
	stood.Volume = measure.RangeOf(nil, "L")
	if litres, err := state.Volume(); err == nil {
		stood.Volume = measure.Normal(float64(litres), volumeSD(state)*float64(litres), "L")
	}
	if len(state.Pitches) == 0 && len(state.Blends) > 0 {
		return c.standBlended(stood, evidence)
	}
	if len(state.Pitches) == 0 {
		stood.Unknown = "no yeast is in yet; record it: skep pitch"
		stood.Standing = advice.Stand(evidence)
		return stood, evidence, nil
	}
	situation, yeast, assumed, err := c.situation(state)
	evidence.YeastLow, evidence.YeastTop, evidence.YeastStops = yeast.TemperatureLow, yeast.TemperatureTop, yeast.ToleranceLow
	stood.Assumed = assumed
	if errors.Is(err, batch.ErrVolumeUnknown) {
		stood.Unknown = err.Error()
		stood.Standing = advice.Stand(evidence)
		return stood, evidence, nil
	}
	if err != nil {
		return stood, evidence, err
	}
	follow, err := c.follow(state, situation)
	if err != nil {
		return stood, evidence, err
	}
	posterior, hour := follow.posterior, follow.hour
	evidence.Explanations = follow.explanations
	if !state.Empty {
		stood.Explanations = explained(state, follow.explanations)
	}
	evidence.State = posterior.At(hour)
	evidence.Members = posterior.Members(hour)
	evidence.Outlook = posterior.Outlook()
	keep(&evidence, posterior)
	finish := dates(state, evidence.Outlook)
	stood.Now, stood.Final, stood.Finish = &evidence.State, &evidence.Outlook.Final, &finish
	for _, s := range evidence.Outlook.States {
		stood.Course = append(stood.Course, Point{Day: day(state, float64(s.At)/24), State: s})
	}
	stood.Misfits = posterior.Misfits
	stood.Doubt = posterior.Contradicted
	stood.Standing = advice.Stand(evidence)
	if !state.Empty && !state.Withdrawn {
		verdict := advice.MayBottle(c.question(state, evidence, stood.Standing, usualBottle()))
		stood.Bottling = &verdict
		stood.ahead = func() ([]NextLook, error) { return nextLooks(state, follow, now) }
	}
	if p := stood.Standing.Phase; p == advice.Waiting || p == advice.Working || p == advice.Slowing {
		if stood.Sealed, err = sealed(state, evidence, posterior, hour); err != nil {
			return stood, evidence, err
		}
	}
	return stood, evidence, nil
}

// sealed reckons what a jug closed tight now would come to; nil where its volume is not
// known, it is filled to the brim, or it is sweeter than the tables of gas go.
func sealed(state batch.State, e advice.Evidence, p *estimate.Posterior, now measure.Hours) (*Sealed, error) {
	litres, err := state.Volume()
	air := measure.Litres(state.Vessel.Litres) - litres
	if err != nil || air <= 0 {
		return nil, nil
	}
	t := measure.Celsius(usualRoom)
	if n := len(state.Temperatures); n > 0 {
		t = min(40, max(0, state.Temperatures[n-1].Value))
	}
	one, err := advice.SealedJug(e.Members, litres, air, 1, t)
	if beyond := new(property.RangeError); errors.As(err, &beyond) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	six, err := advice.SealedJug(e.Members, litres, air, 6, t)
	if err != nil {
		return nil, err
	}
	s := &Sealed{OneBar: one.Hours, SixBar: six.Hours}
	for _, h := range sealedHours {
		gain, err := advice.SealedGain(e.Members, p.Members(now+h), litres, air, t)
		if err != nil {
			return nil, err
		}
		s.Course = append(s.Course, SealedPoint{Hours: float64(h), Gain: gain})
	}
	return s, nil
}

// dates puts the end of fermentation on the calendar.
func dates(state batch.State, o estimate.Outlook) Dates {
	return Dates{
		Day:    day(state, o.Finish.Value/24),
		From:   day(state, o.Finish.Low/24),
		To:     day(state, o.Finish.High/24),
		Chance: 1 - o.Unfinished,
	}
}

// situation is what the record tells the model.
func (c *Cellar) situation(state batch.State) (estimate.Situation, kinetics.YeastKind, []string, error) {
	pitch := state.Pitches[0].What
	yeast, err := kinetics.YeastNamed(pitch.Yeast)
	if err != nil {
		return estimate.Situation{}, yeast, nil, err
	}
	if _, err := state.Must.Volume(20); err != nil {
		return estimate.Situation{}, yeast, nil, batch.ErrVolumeUnknown
	}
	sugar, nitrogen := spreads(state.Made.What.Parts)
	s := estimate.Situation{
		Seed: seed(state), Must: state.Must,
		SugarSD: sugar, VolumeSD: volumeSD(state), NitrogenSD: nitrogen,
		Yeast: yeast, YeastGrams: grams(state.Pitches), TemperatureSD: toldRoomSD,
		Until: state.Hours(c.Now().Add(horizon / 2)),
	}
	if whole := measure.Hours(horizon.Hours()); s.Until < whole {
		s.Until = whole
	}
	if tare := state.Made.What.Vessel.Tare; tare != nil {
		s.Tare, s.TareSD = tare.Value, tare.SD
	}
	for _, t := range state.Temperatures {
		// A hot must on brew day is no course for weeks: the model spans 0 to 40 °C.
		s.Course = append(s.Course, estimate.TemperaturePoint{At: state.Hours(t.At), T: min(40, max(0, t.Value))})
	}
	if !slices.ContainsFunc(state.Temperatures, func(t batch.Temperature) bool { return t.Liquid && t.At.After(state.Start()) }) {
		if s.Heat, err = ownHeat(state.Must); err != nil {
			return s, yeast, nil, err
		}
	}
	var assumed []string
	if len(s.Course) == 0 {
		s.Course = []estimate.TemperaturePoint{{T: usualRoom}}
		s.TemperatureSD = usualRoomSD
		assumed = append(assumed, fmt.Sprintf("the room is at %.0f ± %.0f °C; tell its temperature with a look", usualRoom, usualRoomSD))
	}
	for _, change := range state.Changes {
		if change.Unmeasured {
			return s, yeast, assumed, batch.ErrVolumeUnknown
		}
		s.Changes = append(s.Changes, estimate.Change{At: state.Hours(change.At), Added: change.Added, DrawnShare: change.DrawnShare})
	}
	var told string
	if s.Learned, told = c.learned(state); told != "" {
		assumed = append(assumed, told)
	}
	return s, yeast, assumed, nil
}

// ownHeat is by how much a must is warmer than the room for each g/L of sugar that goes in an
// hour, K, in glass of its size.
func ownHeat(m must.Must) (float64, error) {
	litres, err := m.Volume(20)
	if err != nil {
		return 0, err
	}
	v, err := heat.VesselNamed("glass jug in still air")
	if err != nil {
		return 0, err
	}
	rise, err := v.Rise(litres, 1)
	return rise.Value, err
}

// volumeSD is the relative sd of how much is in the jug: that of the water, which
// was poured to a mark or found by weight, against all of it.
func volumeSD(state batch.State) float64 {
	var sd, all float64
	for _, p := range state.Made.What.Parts {
		all += p.Grams
		if p.Ingredient == "water" {
			sd += p.GramsSD
		}
	}
	if all == 0 {
		return 0
	}
	return sd / all
}

func grams(pitches []batch.Dated[batch.Pitched]) float64 {
	sum := 0.0
	for _, p := range pitches {
		sum += p.What.Grams
	}
	return sum
}

// seed makes the draws of a jug its own, and the same wherever and whenever the same record
// is read: by its name and what went in.
func seed(state batch.State) uint64 {
	h := fnv.New64a()
	fmt.Fprintf(h, "%s %.6f", state.Name, float64(state.PutIn.Mass()))
	return h.Sum64()
}

// model is the version of the model behind what is kept of jugs; a change of the model, of
// the advice or of Stood changes it, and what was kept is worked out anew.
const model = "8"

// after works out anew where a jug stands once its record was written to, or leaves that
// to what works in the background. The entry is on the disk by then: what cannot be worked
// out is told, and is no failure of the entry.
func (c *Cellar) after(ctx context.Context, id string) Stood {
	if c.background.ask(id) {
		stood, _, err := c.kept(ctx, store.Jug{ID: id})
		if err != nil {
			stood.Unknown = err.Error()
		}
		return stood
	}
	stood, err := c.refresh(ctx, id)
	if err != nil {
		stood.Unknown = err.Error()
	}
	return stood
}

// refresh works out anew where a jug stands and what it wants, and keeps both.
func (c *Cellar) refresh(ctx context.Context, id string) (Stood, error) {
	events, err := c.store.Events(ctx, id)
	if err != nil {
		return Stood{}, err
	}
	state, err := batch.Fold(events)
	if err != nil {
		return Stood{}, err
	}
	stood, evidence, err := c.stand(state)
	if err = errors.Join(err, stood.lookAhead()); err != nil { // told in its place, so that one jug does not keep all others from being told of
		stood.Unknown = err.Error()
	}
	if err := c.learnFrom(ctx, state, stood.Standing); err != nil {
		return stood, err
	}
	var wants []advice.Want
	if !state.Withdrawn {
		verdict := stood.Bottling
		if verdict == nil {
			none := advice.MayBottle(c.question(state, evidence, stood.Standing, usualBottle()))
			verdict = &none
		}
		wants = append(c.inBottles(state, evidence, stood.Standing), advice.Wants(evidence, stood.Standing, *verdict)...)
	}
	body, err := json.Marshal(stood)
	if err != nil {
		return stood, err
	}
	outlook := store.Outlook{Jug: id, Seq: state.Seq, Model: model, Body: body}
	if err := c.store.SaveOutlook(ctx, outlook); err != nil {
		return stood, err
	}
	if err := c.keepBrief(ctx, state, stood, evidence); err != nil {
		return stood, err
	}
	if err := c.keepWine(ctx, state, stood); err != nil {
		return stood, err
	}
	return stood, c.store.SaveAgenda(ctx, id, agenda(wants))
}

// inBottles are the warnings that bottles already closed want, one for each filling.
func (c *Cellar) inBottles(state batch.State, e advice.Evidence, s advice.Standing) []advice.Want {
	var wants []advice.Want
	for _, lot := range state.Shelf {
		kind, err := reference.BottleKindNamed(lot.Bottles.Kind)
		if err != nil || lot.Left == 0 || len(e.Members) == 0 {
			continue
		}
		some := bottleKind{BottleSize: must.BottleSize{ML: int(math.Round(lot.Bottles.SizeML))}, kind: kind}
		if closure, err := reference.ClosureNamed(lot.Bottles.Closure); err == nil {
			some.closure = &closure
		}
		q := c.question(state, e, s, some.closed())
		filled := e
		filled.Now = lot.At
		q.Style, q.Gas = lot.Style, advice.GasOf(filled)
		for _, b := range state.Bottlings {
			if b.ID != lot.Bottling {
				continue
			}
			q.Warmest = lot.Warmest
			if b.What.Priming != nil {
				q.PrimingGL = b.What.Priming.Adds.Hexose(1) / b.What.Litres()
			}
		}
		if w, warned := advice.Filled(q); warned {
			wants = append(wants, w)
		}
	}
	return wants
}

// feedings are the portions of nutrient that the plan of a jug asks for and that were
// not given yet: each addition of a nutrient stands for the next portion.
func feedings(state batch.State) ([]advice.Feeding, error) {
	if len(state.Made.What.Plan) == 0 || len(state.Pitches) == 0 {
		return nil, nil
	}
	var plan Plan
	if err := json.Unmarshal(state.Made.What.Plan, &plan); err != nil {
		return nil, fmt.Errorf("the plan of jug %q: %w", state.Name, err)
	}
	given := 0
	for _, a := range state.Additions {
		if slices.ContainsFunc(a.What.Parts, func(p batch.Part) bool { return p.Adds[must.Nitrogen] > 0 && p.Adds.Hexose(1) == 0 }) {
			given++
		}
	}
	var left []advice.Feeding
	for i, f := range plan.Nutrient.Feedings {
		if i < given {
			continue
		}
		left = append(left, advice.Feeding{At: day(state, f.Day), Until: day(state, f.Last), What: f.Words})
	}
	return left, nil
}

// day is so many days after pitching.
func day(state batch.State, days float64) time.Time {
	return state.Start().Add(time.Duration(days * 24 * float64(time.Hour)))
}

// kept is what was last worked out of a jug, with the number of the latest entry that it
// knew of: the zero Stood and 0 if nothing was, or by another version of the model only.
func (c *Cellar) kept(ctx context.Context, jug store.Jug) (stood Stood, seq int, err error) {
	kept, err := c.store.Outlook(ctx, jug.ID)
	if errors.Is(err, store.ErrNotFound) || err == nil && kept.Model != model {
		return Stood{Jug: jug.Name}, 0, nil
	}
	if err != nil {
		return stood, 0, err
	}
	return stood, kept.Seq, json.Unmarshal(kept.Body, &stood)
}
