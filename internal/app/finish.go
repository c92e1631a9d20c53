package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/gas"
	"skep/internal/reference"
)

// FinishWords asks how a wine is finished, or tells that a step was done.
type FinishWords struct {
	Jug     string `json:"-"`
	Path    string `json:"path,omitempty"`    // "dry", "sweet", "pasteurised", "cold", "sparkling"; default as was said or begun before
	To      string `json:"to,omitempty"`      // sweetened to: "1.012", "off-dry"
	With    string `json:"with,omitempty"`    // to sweeten or to prime: "honey", "white sugar"; default honey, and white sugar to prime
	Fizz    string `json:"fizz,omitempty"`    // CO2 wanted: "5 g/L", "2.5 vol"; default 5 g/L
	Warmest string `json:"warmest,omitempty"` // warmest place the bottles will stand; default 30 °C
	Done    string `json:"done,omitempty"`    // a step that was done, "rack", or "next"; empty: only asked
	Heat    string `json:"heat,omitempty"`    // how warm it got in the middle: "66 C"; default as planned
	For     string `json:"for,omitempty"`     // and how long: "12 min"
	When    string `json:"when,omitempty"`
}

// FinishAnswer is the way to the bottle, as far as the record has come.
type FinishAnswer struct {
	Jug      string           `json:"jug"`
	Stand    string           `json:"stand"` // where it stands, in a sentence
	Plan     advice.Finishing `json:"plan"`  // of the path; without one, Ways
	Verdict  advice.Verdict   `json:"verdict"`
	After    *After           `json:"after,omitempty"` // once it is sweetened
	Ways     []Way            `json:"ways,omitempty"`  // while none was chosen
	Recorded *Recorded        `json:"recorded,omitempty"`
}

// Way is a path that may be taken.
type Way struct {
	Path    advice.Path    `json:"path"`
	Words   string         `json:"words"`
	Next    advice.StepKey `json:"next,omitempty"`
	Stop    string         `json:"stop,omitempty"`
	Instead string         `json:"instead,omitempty"`
}

// After is what a wine comes to with what is to be added.
type After struct {
	Gravity  measure.Range `json:"gravity"`
	Strength measure.Range `json:"strength"` // % vol
	Sugar    measure.Range `json:"sugar"`    // that yeast could take, g/L
	Volume   measure.Range `json:"volume"`   // L
	// Pressure is what the closed bottle would come to at the warmest if all that sugar
	// fermented, bar gauge; not Known beyond the tables.
	Pressure measure.Range `json:"pressure_if_it_wakes"`
}

// usualFizz is the CO2 of a lively drink, g/L: half of the way to sparkling wine (common practice, no source).
const usualFizz = 5.0

// Finish lays out how a wine is finished, with the amounts for this jug, and with Done
// writes down the step that was done, and the path with it. A step that is not the next,
// or that only a look can tell, is not written down: skep add, rack and look take anything.
//
// Errors: *AskError; an unknown jug.
func (c *Cellar) Finish(ctx context.Context, w FinishWords) (FinishAnswer, error) {
	jug, events, state, err := c.jug(ctx, w.Jug)
	if err != nil {
		return FinishAnswer{}, err
	}
	sent := c.sent(events)
	aim, err := c.aim(w, state)
	if err != nil {
		return FinishAnswer{}, err
	}
	stood, evidence, err := c.stand(state)
	if err != nil {
		return FinishAnswer{}, err
	}
	answer := FinishAnswer{Jug: jug.Name, Stand: stood.Standing.Sentence}
	if aim == nil && state.Empty { // no way is open, and that is told once
		aim = &batch.Aimed{Path: string(advice.PathDry)}
	}
	if aim == nil {
		err := c.ways(ctx, w, state, stood, evidence, &answer)
		if err == nil && w.Done != "" && sent == nil {
			err = ask("path", "", "write --path dry, sweet, pasteurised, cold or sparkling", errors.New("which way is it to be finished"))
		}
		return answer, err
	}
	if err := c.lay(ctx, w, *aim, state, stood, evidence, &answer); err != nil {
		return answer, err
	}
	if w.Done == "" {
		return answer, nil
	}
	if sent != nil {
		recorded := c.recorded(ctx, jug, events, *sent)
		answer.Recorded = &recorded
		return answer, nil
	}
	return answer, c.finishStep(ctx, w, *aim, state, &answer)
}

// aim is the path asked for, else that of the record; nil if there is none.
func (c *Cellar) aim(w FinishWords, state batch.State) (*batch.Aimed, error) {
	var aim batch.Aimed
	if state.Aim != nil {
		aim = state.Aim.What
	} else if path, found := advice.PathOf(state); found {
		aim.Path = string(path)
	}
	if words := strings.ToLower(strings.TrimSpace(w.Path)); words != "" {
		if !slices.Contains(FinishPaths(), words) {
			return nil, ask("path", w.Path, "write dry, sweet, pasteurised, cold or sparkling", errors.New("there is no such way"))
		}
		if words != aim.Path {
			aim = batch.Aimed{Path: words}
		}
	}
	to, dry, err := c.final("to", w.To)
	if err != nil || dry {
		if dry {
			err = ask("to", w.To, "write --path dry", errors.New("a dry wine is not sweetened"))
		}
		return nil, err
	}
	if to != 0 {
		aim.To = &measure.Quantity{Words: w.To, Kind: measure.SG, Value: float64(to)}
	}
	if w.With != "" {
		aim.With = w.With
	}
	fizz, err := c.fizz(w.Fizz)
	if err != nil {
		return nil, err
	}
	if fizz != nil {
		aim.Fizz = fizz
	}
	if aim.Path == "" {
		if aim.To != nil || aim.Fizz != nil {
			return nil, ask("path", "", "write --path sweet, pasteurised, cold or sparkling", errors.New("which way is it to be finished"))
		}
		return nil, nil
	}
	return &aim, nil
}

// FinishPaths are the names of the ways to finish a wine.
func FinishPaths() []string {
	var names []string
	for _, p := range advice.Paths {
		names = append(names, string(p.Path))
	}
	return names
}

// fizz understands how much CO2 is wanted, as g/L.
func (c *Cellar) fizz(words string) (*measure.Quantity, error) {
	q, err := c.quantity("fizz", words, `write "5 g/L" or "2.5 vol"`, measure.Concentration, measure.Volumes)
	if err != nil || q == nil {
		return nil, err
	}
	if q.Kind == measure.Volumes {
		q.Kind, q.Value, q.SD = measure.Concentration, float64(gas.FromVolumes(q.Value)), float64(gas.FromVolumes(q.SD))
	}
	if !(q.Value >= 1 && q.Value <= 12) {
		return nil, ask("fizz", words, "5 g/L is lively, 10 like sparkling wine", errors.New("1 to 12 g/L can be had by priming"))
	}
	return q, nil
}

// keep lets a wine that is held keep what it holds: the model ferments on, for it knows of
// no stabiliser, and what it foretells would stand on labels.
func keep(e *advice.Evidence, p *estimate.Posterior) {
	at, held := advice.HeldSince(*e)
	if !held {
		return
	}
	since := e.Jug.Hours(at)
	if e.Outlook.Finish.High <= float64(since) { // it was over before, and nothing went in that ferments
		return
	}
	kept := p.At(since)
	as := func(at measure.Hours) estimate.State {
		s := kept
		s.At = at
		return s
	}
	o := &e.Outlook
	o.Final, o.Finish, o.Unfinished = as(o.Final.At), measure.Exact(float64(since), "h"), 0
	for i, s := range o.States {
		if s.At > since {
			o.States[i] = as(s.At)
		}
	}
}

// ways tells of every path, while none was chosen.
func (c *Cellar) ways(ctx context.Context, w FinishWords, state batch.State, stood Stood, e advice.Evidence, answer *FinishAnswer) error {
	for _, p := range advice.Paths {
		var one FinishAnswer
		if err := c.lay(ctx, w, batch.Aimed{Path: string(p.Path)}, state, stood, e, &one); err != nil {
			return err
		}
		answer.Ways = append(answer.Ways, Way{Path: p.Path, Words: p.Words, Next: one.Plan.Next, Stop: one.Plan.Stop, Instead: one.Plan.Instead})
		if p.Path == advice.PathDry {
			answer.Verdict = one.Verdict
		}
	}
	return nil
}

// lay lays out one path.
func (c *Cellar) lay(ctx context.Context, w FinishWords, aim batch.Aimed, state batch.State, stood Stood, e advice.Evidence, answer *FinishAnswer) error {
	wish := advice.FinishWish{Path: advice.Path(aim.Path)}
	q := c.question(state, e, stood.Standing, usualBottle())
	warm, err := c.warmest(w.Warmest)
	if err != nil {
		return err
	}
	if warm != 0 {
		q.Warmest = warm
	}
	if stood.Now != nil && !state.Empty {
		wine, err := wineLitre(stood.Now, state)
		if err != nil {
			return err
		}
		wine = wine.Scaled(stood.Volume.Value)
		switch {
		case wish.Path == advice.PathSparkling:
			if q.PrimingGL, err = c.prime(ctx, aim, state, stood, &wish); err != nil {
				return err
			}
			kind, err := reference.BottleKindNamed("sparkling-wine glass")
			if err != nil {
				return err
			}
			q.Style, q.Bottle.Kind, q.Bottle.Limit = batch.Sparkling, kind.Name, kind.Limit
		case wish.Path != advice.PathDry:
			wish.Acid = souring(sourOf(state, stood.Now, stood.At), stood.Volume.Value)
			if aim.To == nil {
				break
			}
			if answer.After, err = c.sweeten(ctx, aim, stood, wine, q, &wish); err != nil {
				return err
			}
		}
	}
	switch wish.Path {
	case advice.PathDry:
		q.Style = batch.Still
	case advice.PathSweet:
		q.Style = batch.StillStabilised
	}
	answer.Verdict = advice.MayBottle(q)
	answer.Plan = advice.Finish(e, stood.Standing, answer.Verdict, wish)
	for _, s := range answer.Plan.Steps {
		if s.Key == advice.StepSweeten && s.Done {
			answer.After = nil
		}
	}
	return nil
}

// souring is the tartaric acid that should make a wine that is too mild sour enough for a
// printed dose of sorbate; nil if it is, or nobody can tell.
func souring(wine sourness, litres float64) *advice.Dose {
	if wine.pH == nil || wine.pH.Value <= advice.SorbatePH {
		return nil
	}
	perLitre := wine.toPH(advice.SorbatePH, tartaric)
	if !perLitre.Known() {
		return nil
	}
	grams := func(x float64) float64 { return math.Round(10*x*litres) / 10 }
	return &advice.Dose{Ingredient: "tartaric acid", Grams: measure.Range{
		Value: grams(perLitre.Value), Unit: "g", Low: grams(perLitre.Low), High: grams(perLitre.High),
	}}
}

// sweeten finds what brings the wine to the gravity wanted, and what it comes to.
func (c *Cellar) sweeten(ctx context.Context, aim batch.Aimed, stood Stood, wine must.Must, q advice.Question, wish *advice.FinishWish) (*After, error) {
	name := aim.With
	if name == "" {
		name = "honey"
	}
	with, err := c.ingredient(ctx, "with", name)
	if err != nil {
		return nil, err
	}
	wish.To = measure.Gravity(aim.To.Value)
	grams, err := must.SweetenTo(wine, with, wish.To)
	if err != nil {
		return nil, ask("to", aim.To.Words, "", err)
	}
	if grams < 1 { // it is there, as far as a kitchen scale sees
		return nil, nil
	}
	amount := kitchenGrams(float64(grams))
	// How much more or less it takes, by how surely the gravity is known.
	spread := (stood.Now.Gravity.High - stood.Now.Gravity.Low) / 2 / gravityPerGL * stood.Volume.Value / max(0.1, with.PerGram.Hexose(1))
	wish.Sweeten = &advice.Dose{Ingredient: with.Name, Grams: measure.Range{
		Value: amount, Unit: "g", Low: max(0, amount-spread), High: amount + spread,
	}}
	a, err := after(stood, wine, with.PerGram.Scaled(amount), q)
	if err == nil {
		wish.Litres, wish.Strength = measure.Litres(a.Volume.Value), measure.PercentVol(a.Strength.Value)
	}
	return a, err
}

// after is what a wine becomes with something in it.
func after(stood Stood, wine, more must.Must, q advice.Question) (*After, error) {
	together := wine.Plus(more)
	g, err := together.Gravity()
	if err != nil {
		return nil, err
	}
	strength, err := together.PercentVol()
	if err != nil {
		return nil, err
	}
	litres, err := together.Volume(20)
	if err != nil {
		return nil, err
	}
	grown := float64(litres) / stood.Volume.Value
	sugar := more.Hexose(1) / float64(litres)
	moved := func(r measure.Range, to float64) measure.Range {
		return measure.Range{Value: to, Unit: r.Unit, Low: to - (r.Value - r.Low), High: to + r.High - r.Value}
	}
	a := &After{
		Gravity: moved(stood.Now.Gravity, float64(g)), Strength: moved(stood.Now.Ethanol, float64(strength)),
		Sugar: moved(stood.Now.Hexose, stood.Now.Hexose.Value/grown+sugar), Volume: moved(stood.Volume, float64(litres)),
		Pressure: measure.RangeOf(nil, "bar"),
	}
	if sugar > 0 {
		q.Members = slices.Clone(q.Members)
		for i := range q.Members {
			q.Members[i].EventualHexose = q.Members[i].EventualHexose/grown + sugar
			q.Members[i].SugarGL = q.Members[i].SugarGL/grown + sugar
		}
		q.Style, q.PrimingGL, q.Stabilised = batch.Still, 0, advice.Stabilised{}
		a.Pressure = advice.MayBottle(q).Pressure
	}
	return a, nil
}

// prime finds the priming for the bubbles wanted, and how much sugar that is, g/L.
func (c *Cellar) prime(ctx context.Context, aim batch.Aimed, state batch.State, stood Stood, wish *advice.FinishWish) (float64, error) {
	name := aim.With
	if name == "" {
		name = "white sugar"
	}
	with, err := c.ingredient(ctx, "with", name)
	if err != nil {
		return 0, err
	}
	hexose := with.PerGram.Hexose(1)
	if hexose < leastSweet {
		return 0, ask("with", name, `write --with "white sugar"`, errors.New("it holds too little sugar to prime with"))
	}
	target := usualFizz
	if aim.Fizz != nil {
		target = aim.Fizz.Value
	}
	warmest := measure.Celsius(usualRoom)
	if n := len(state.Temperatures); n > 0 {
		warmest = state.Temperatures[n-1].Value
	}
	liquid := gas.Liquid{Ethanol: measure.PercentVol(stood.Now.Ethanol.Value)}
	var held [2]float64
	for i, law := range []gas.Law{gas.Least, gas.Most} {
		full, err := gas.Saturated(liquid, warmest, law)
		if err != nil {
			return 0, err
		}
		held[i] = min(float64(full), target)
	}
	litres := stood.Volume.Value
	grams := func(held float64) float64 { return (target - held) / gas.UsualYield / hexose * litres }
	amount := kitchenGrams(grams((held[0] + held[1]) / 2))
	wish.Prime = &advice.Dose{Ingredient: with.Name, Grams: measure.Range{
		Value: amount, Unit: "g", Low: min(amount, grams(held[1])), High: max(amount, grams(held[0])),
	}}
	return amount * hexose / litres, nil
}

// finishStep writes down a step that was done, and the path, all or nothing.
func (c *Cellar) finishStep(ctx context.Context, w FinishWords, aim batch.Aimed, state batch.State, answer *FinishAnswer) error {
	plan := answer.Plan
	if plan.Stop != "" {
		return fmt.Errorf("jug %q: %s; %s", answer.Jug, plan.Stop, plan.Instead)
	}
	key := advice.StepKey(strings.ToLower(strings.TrimSpace(w.Done)))
	if key == "next" {
		key = plan.Next
	}
	i := slices.IndexFunc(plan.Steps, func(s advice.FinishStep) bool { return s.Key == key })
	switch {
	case i < 0 && plan.Next == "":
		return fmt.Errorf("jug %q: every step of this way is done", answer.Jug)
	case i < 0:
		return ask("done", w.Done, fmt.Sprintf("the next is %q", plan.Next), errors.New("this way has no such step"))
	case plan.Steps[i].Done:
		return ask("done", w.Done, "", errors.New("that step is done already"))
	case key != plan.Next:
		return ask("done", w.Done, "if it was done all the same, tell so with skep add, rack or look", fmt.Errorf("the step before it is not done: %s", plan.Next))
	}
	at, err := c.when("when", w.When)
	if err != nil {
		return err
	}
	h, err := c.deedOf(ctx, w, plan.Steps[i], state)
	if err != nil {
		return err
	}
	var events []batch.Event
	if state.Aim == nil || !sameAim(state.Aim.What, aim) {
		events = append(events, c.event(at, aim))
	}
	events = append(events, c.event(at, h))
	for i := range events {
		events[i].Jug = state.Jug
	}
	if err := state.Check(h, at); err != nil {
		return err
	}
	if err := c.store.Append(ctx, events...); err != nil {
		return err
	}
	recorded, err := c.recordedAll(ctx, events)
	if err != nil {
		return err
	}
	// What it comes to now, and the next step.
	_, all, after, err := c.jug(ctx, answer.Jug)
	if err != nil {
		return err
	}
	stood, evidence, err := c.stand(after)
	if err != nil {
		return err
	}
	recorded[0].Cautions = cautions(all[:len(all)-1], all[len(all)-1])
	done := FinishAnswer{Jug: answer.Jug, Stand: stood.Standing.Sentence, Recorded: &recorded[0]}
	err = c.lay(ctx, w, aim, after, stood, evidence, &done)
	*answer = done
	return err
}

func sameAim(a, b batch.Aimed) bool {
	same := func(p, q *measure.Quantity) bool { return p == q || p != nil && q != nil && p.Value == q.Value }
	return a.Path == b.Path && a.With == b.With && same(a.To, b.To) && same(a.Fizz, b.Fizz)
}

// deedOf is a step as the record keeps it.
func (c *Cellar) deedOf(ctx context.Context, w FinishWords, s advice.FinishStep, state batch.State) (batch.Happening, error) {
	var parts []batch.Part
	for _, d := range s.Doses {
		p, err := c.part(ctx, "done", fmt.Sprintf("%s g %s", strconv.FormatFloat(d.Grams.Value, 'f', -1, 64), d.Ingredient))
		if err != nil {
			return nil, err
		}
		parts = append(parts, p)
	}
	switch s.Key {
	case advice.StepRack:
		return c.racking(ctx, RackWords{Jug: w.Jug}, state)
	case advice.StepClear:
		return batch.Looked{Clarity: "clear"}, nil
	case advice.StepStabilise:
		if s.Doses == nil || s.Doses[0].Grams.Low < s.Doses[0].Grams.High {
			return nil, ask("done", w.Done, "read the pH first: skep look JUG --ph 3.4", errors.New("how much went in is not known"))
		}
		return batch.Stabilised{Parts: parts}, nil
	case advice.StepSweeten:
		if parts == nil {
			return nil, ask("done", w.Done, `write --to 1.012, or tell what went in: skep add JUG "150 g honey"`, errors.New("how much went in is not known"))
		}
		return batch.Added{Parts: parts, Why: "sweetened"}, nil
	case advice.StepHeat:
		return c.heating(w)
	}
	return nil, ask("done", w.Done, s.Tell, fmt.Errorf("%s is told by its own command", s.Key))
}

// heating is how the wine was pasteurised, as told or as planned.
func (c *Cellar) heating(w FinishWords) (batch.Happening, error) {
	if w.Heat == "" {
		w.Heat = fmt.Sprintf("%g C", float64(advice.HeatTo))
	}
	if w.For == "" {
		w.For = fmt.Sprintf("%d min", advice.HeatMinutes)
	}
	to, err := c.quantity("heat", w.Heat, `write "66 C"`, measure.Temperature)
	if err != nil {
		return nil, err
	}
	length, err := c.quantity("for", w.For, `write "12 min"`, measure.Duration)
	if err != nil {
		return nil, err
	}
	if !(to.Value >= 40 && to.Value <= 80) {
		return nil, ask("heat", w.Heat, "in the middle of a bottle, by a thermometer", errors.New("wine is pasteurised between 40 and 80 °C; its alcohol boils not far above"))
	}
	return batch.Heated{To: *to, For: *length, Bottles: true}, nil
}

// DoseWords is an amount with its range, and as a stock where a kitchen scale does not see it.
func DoseWords(of string, grams measure.Range) string {
	said := fmt.Sprintf("%s %s", measure.ShowMass(measure.Grams(grams.Value), measure.Metric), of)
	if grams.High > grams.Low {
		said += fmt.Sprintf(" (%s to %s)", measure.ShowMass(measure.Grams(grams.Low), measure.Metric), measure.ShowMass(measure.Grams(grams.High), measure.Metric))
	}
	if grams.Value < LeastWeighed {
		said += fmt.Sprintf(": %.1f mL of a stock of 10 g in 100 mL of water", StockPerGram*grams.Value)
	}
	return said
}
