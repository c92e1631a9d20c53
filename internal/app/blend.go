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
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/solve"
)

// BlendWords asks what wines make together, or tells that they were blended.
type BlendWords struct {
	Jugs     []string `json:"jugs,omitempty"`
	Take     []string `json:"take,omitempty"`     // of each jug in turn: "2 L"; empty or "all": all of it, or what the goals ask for
	To       string   `json:"to,omitempty"`       // the jug that takes it: a new name, or one that stands
	Jug      string   `json:"jug,omitempty"`      // a new one's vessel; default one as large as the largest that gives
	Strength string   `json:"strength,omitempty"` // goal: "12 %vol"
	Sweet    string   `json:"sweet,omitempty"`    // goal: "off-dry" or a gravity, "1.006"
	PH       string   `json:"ph,omitempty"`       // goal: "3.4"; pH and acidity of every jug must have been read
	TA       string   `json:"ta,omitempty"`       // goal: titratable acidity as tartaric acid, "5.5 g/L"; it must have been read of every jug
	Volume   string   `json:"volume,omitempty"`   // goal: how much
	Lost     string   `json:"lost,omitempty"`     // in hose and heel, of all that is poured
	Done     bool     `json:"done,omitempty"`     // it was done: write it down
	When     string   `json:"when,omitempty"`
}

// BlendAnswer is what a blend comes to.
type BlendAnswer struct {
	To       string        `json:"to"`
	Parts    []BlendPart   `json:"parts"`
	Volume   measure.Range `json:"volume"`   // L
	Strength measure.Range `json:"strength"` // % vol
	Gravity  measure.Range `json:"gravity"`
	Sugar    measure.Range `json:"sugar"`            // that yeast could take, g/L
	PH       measure.Range `json:"ph"`               // by charge balance; anywhere between its parts where no acidity was read; not Known where a pH was not
	TA       measure.Range `json:"ta"`               // titratable acidity as tartaric acid, g/L; not Known where one was not read
	Missed   []string      `json:"missed,omitempty"` // goals that cannot be met, and why
	Cautions []string      `json:"cautions,omitempty"`
	Recorded []Recorded    `json:"recorded,omitempty"` // first of the jug that took it
}

// BlendPart is what one jug gives.
type BlendPart struct {
	Jug      string        `json:"jug"`
	Take     measure.Range `json:"take"` // L; all that it gives
	Of       measure.Range `json:"of"`   // L that it holds
	Strength measure.Range `json:"strength"`
	Gravity  measure.Range `json:"gravity"`
	Sugar    measure.Range `json:"sugar"`
	PH       measure.Range `json:"ph"` // as read; not Known where it was not
	TA       measure.Range `json:"ta"` // the same, g/L
	Emptied  bool          `json:"emptied,omitempty"`
	Stays    bool          `json:"stays,omitempty"` // it takes the others
	Finished bool          `json:"finished"`        // proven
}

// giver is a jug that goes into a blend.
type giver struct {
	id      string
	state   batch.State
	stood   Stood
	litre   must.Must // of its wine
	sour    sourness
	litres  float64 // that it holds
	take    float64 // L that leave it
	sd      float64 // of take, L
	emptied bool
	stays   bool
	finds   bool // how much of it is found by the goals
}

// pourSD is how surely wine is measured by the jug, relative (assumed).
const pourSD = 0.02

// Blend says what wines of several jugs make together, by amounts or by goal; with Done it
// writes it down in every one of them, all or nothing.
//
// Errors: *AskError; an unknown jug; a jug of which nobody knows what it holds; *HoldsError
// where it holds less than is to be taken; *must.RangeError beyond the tables.
func (c *Cellar) Blend(ctx context.Context, w BlendWords) (BlendAnswer, error) {
	at, err := c.when("when", w.When)
	if err != nil {
		return BlendAnswer{}, err
	}
	if sent, err := c.blendSent(ctx, w); sent != nil || err != nil {
		return *cmp.Or(sent, &BlendAnswer{}), err
	}
	givers, taker, err := c.givers(ctx, w)
	if err != nil {
		return BlendAnswer{}, err
	}
	answer := BlendAnswer{To: strings.TrimSpace(w.To)}
	if answer.Missed, err = c.meet(w, givers); err != nil {
		return answer, err
	}
	lost, err := c.quantity("lost", w.Lost, `write "100 mL"`, measure.Volume)
	if err != nil {
		return answer, err
	}
	blended, err := blendedOf(givers, lost)
	if err != nil {
		return answer, err
	}
	if err := c.foretell(&answer, givers, blended, taker); err != nil {
		return answer, err
	}
	if !w.Done {
		return answer, nil
	}
	if sent, err := c.blendSent(ctx, w); sent != nil || err != nil { // while the jugs were read
		return *cmp.Or(sent, &BlendAnswer{}), err
	}
	answer.Recorded, err = c.writeBlend(ctx, w, at, givers, taker, blended)
	return answer, err
}

// givers finds the jugs, and what each holds; taker is among them if it takes the others,
// or nil if it is to be a new one.
func (c *Cellar) givers(ctx context.Context, w BlendWords) (all []*giver, taker *giver, err error) {
	if len(w.Take) > len(w.Jugs) {
		return nil, nil, ask("take", w.Take[len(w.Jugs)], "give one --take for each jug, in turn", errors.New("there is no jug for it"))
	}
	for i, name := range w.Jugs {
		g, err := c.giver(ctx, name)
		if err != nil {
			return nil, nil, err
		}
		if slices.ContainsFunc(all, func(o *giver) bool { return o.id == g.id }) {
			return nil, nil, ask("jugs", name, "", errors.New("the jug is named twice"))
		}
		words := ""
		if i < len(w.Take) {
			words = strings.TrimSpace(w.Take[i])
		}
		if err := c.take(g, words, w); err != nil {
			return nil, nil, err
		}
		all = append(all, g)
	}
	to := strings.TrimSpace(w.To)
	if to != "" {
		jug, err := c.store.JugByName(ctx, to)
		if err == nil && !jug.Withdrawn && !jug.Emptied {
			if taker, err = c.giver(ctx, to); err != nil {
				return nil, nil, err
			}
			if i := slices.IndexFunc(all, func(o *giver) bool { return o.id == taker.id }); i >= 0 {
				taker = all[i]
			} else {
				all = append(all, taker)
			}
			taker.take, taker.sd, taker.emptied, taker.stays, taker.finds = taker.litres, volumeSD(taker.state)*taker.litres, false, true, false
		}
	}
	if len(all) < 2 {
		return nil, nil, ask("jugs", "", `write skep blend elderflower heather --take "2 L" --to summer`, errors.New("a blend takes two jugs"))
	}
	return all, taker, nil
}

// giver reads a jug against what is known of it.
func (c *Cellar) giver(ctx context.Context, name string) (*giver, error) {
	jug, _, state, err := c.jug(ctx, name)
	if err != nil {
		return nil, err
	}
	if state.Empty {
		return nil, fmt.Errorf("jug %q is empty: nothing is left in it", jug.Name)
	}
	stood, _, err := c.stand(state)
	if err != nil {
		return nil, err
	}
	if stood.Unknown != "" || stood.Now == nil {
		return nil, fmt.Errorf("jug %q: what it holds is not known: %s", jug.Name, stood.Unknown)
	}
	g := &giver{id: jug.ID, state: state, stood: stood, litres: stood.Volume.Value, sour: sourOf(state, stood.Now, stood.At)}
	if g.litre, err = wineLitre(stood.Now, state); err != nil {
		return nil, fmt.Errorf("jug %q: %w", jug.Name, err)
	}
	return g, nil
}

// take understands how much of a jug is poured.
func (c *Cellar) take(g *giver, words string, w BlendWords) error {
	if words == "" && (w.Strength != "" || w.Sweet != "" || w.PH != "" || w.TA != "") {
		g.finds = true
		return nil
	}
	if words == "" || strings.EqualFold(words, "all") {
		learned, _ := c.learned(g.state)
		clear := bottled(g.state, g.stood.Volume, learned)
		g.take, g.sd, g.emptied = clear.Value, (clear.High-clear.Low)/(2*eighty), true
		return nil
	}
	q, err := c.quantity("take", words, `write "2 L" or "all"`, measure.Volume)
	if err != nil {
		return err
	}
	if !(q.Value > 0) {
		return ask("take", words, `write "2 L" or "all"`, errors.New("is nothing"))
	}
	g.take, g.sd = q.Value, max(q.SD, pourSD*q.Value)
	return g.holds()
}

// eighty is half of an 80 % range, in standard deviations.
const eighty = 1.2815515655446004

// holds refuses to take more than there is.
func (g *giver) holds() error {
	if g.take <= g.litres {
		return nil
	}
	return &HoldsError{g.state.Name, g.litres, g.take}
}

// HoldsError says that a jug holds less than is to be taken of it.
type HoldsError struct {
	Jug          string
	Holds, Taken float64 // L
}

// Error reads `jug "x" holds 4.30 L, and 9.00 L were to be taken`.
func (e *HoldsError) Error() string {
	return fmt.Sprintf("jug %q holds %.2f L, and %.2f L were to be taken", e.Jug, e.Holds, e.Taken)
}

// wineLitre is a litre of what a jug holds now, by its estimate: with its ethanol, the sugar
// that yeast could take, and so much else in it that it has its gravity.
//
// Errors: *property.RangeError.
func wineLitre(now *estimate.State, state batch.State) (must.Must, error) {
	var m must.Must
	m[must.Ethanol] = now.Ethanol.Value / 100 * density.EthanolAt20
	m[must.Fructose] = now.Hexose.Value
	if litres, err := state.Volume(); err == nil && litres > 0 {
		m[must.SulphurDioxide] = state.InJug[must.SulphurDioxide] / float64(litres)
	}
	rho := float64(density.FromGravity(measure.Gravity(now.Gravity.Value)))
	known := float64(m.Mass())
	with := func(solids float64) must.Must {
		l := m
		l[must.OtherSolids], l[must.Water] = solids, rho-known-solids
		return l
	}
	var beyond error
	off := func(solids float64) float64 {
		d, err := with(solids).Density(20)
		if err != nil {
			beyond = err
			return math.NaN()
		}
		return float64(d) - rho
	}
	if lightest := off(0); lightest >= 0 || beyond != nil { // as far as the estimate's middle values go together
		return with(0), beyond
	}
	const most = 0.45 // of a must that the tables of density go to is not water
	solids, err := solve.Root(off, 0, most*rho-m[must.Fructose], 1e-9)
	return with(solids), errors.Join(beyond, err)
}

// meet finds how much of each jug meets the goals, where that was not told.
func (c *Cellar) meet(w BlendWords, givers []*giver) ([]string, error) {
	var wish must.BlendWish
	var err error
	if wish.Strength, err = c.strength(w.Strength); err != nil {
		return nil, err
	}
	final, dry, err := c.final("sweet", w.Sweet)
	if err != nil {
		return nil, err
	}
	if dry {
		return nil, ask("sweet", w.Sweet, `write "off-dry" or a gravity: "0.998"`, errors.New("how dry a blend gets depends on what is blended"))
	}
	wish.Gravity = final
	if err := c.sourWish(w, givers, &wish); err != nil {
		return nil, err
	}
	volume, err := c.quantity("volume", w.Volume, `write "4.5 L"`, measure.Volume)
	if err != nil {
		return nil, err
	}
	if wish == (must.BlendWish{}) {
		if volume != nil {
			return nil, ask("volume", w.Volume, `say a goal too: --strength "12 %vol"`, errors.New("goes with a goal"))
		}
		return nil, nil
	}
	if volume != nil {
		wish.Volume = measure.Litres(volume.Value)
	}
	if !slices.ContainsFunc(givers, func(g *giver) bool { return g.finds }) {
		return nil, ask("take", strings.Join(w.Take, ", "), "leave out how much, or the goals", errors.New("how much is taken is told already"))
	}
	var onHand []must.Must
	for _, g := range givers {
		litre := g.litre
		if g.sour.ta != nil { // of what else is dissolved in it, so much is acid
			litre[must.Acid], litre[must.OtherSolids] = g.sour.ta.Value, litre[must.OtherSolids]-g.sour.ta.Value
		}
		onHand = append(onHand, litre.Scaled(g.onHand()))
	}
	found, err := must.Blend(onHand, wish)
	if err != nil {
		return nil, err
	}
	var missed []string
	for i, g := range givers {
		if g.finds {
			g.take = found.Shares[i] * g.litres
			g.sd = pourSD * g.take
		} else if found.Shares[i] < 1-1e-6 {
			missed = append(missed, fmt.Sprintf("with all that was told of %q: %.2f L of it would be right", g.state.Name, found.Shares[i]*g.take))
		}
	}
	for _, m := range found.Missed {
		if m.What == "pH" {
			missed = append(missed, missedPH(wish.Sour.PH, givers, found))
			continue
		}
		show := func(x float64) string { return fmt.Sprintf("%.1f %s", x, m.Unit) }
		if m.What == "gravity" {
			show = func(x float64) string { return fmt.Sprintf("%.3f", x) }
		}
		missed = append(missed, fmt.Sprintf("a %s of %s cannot be had of these: the nearest is %s, they have %s to %s", m.What, show(m.Wanted), show(m.Got), show(m.Low), show(m.High)))
	}
	if found.Short {
		missed = append(missed, fmt.Sprintf("there is not more of it than %.2f L", float64(found.Volume)))
	}
	return missed, nil
}

// onHand is what may be taken of it, L.
func (g *giver) onHand() float64 {
	if g.finds {
		return g.litres
	}
	return g.take
}

// sourWish understands how sour a blend is to be, and what each jug does towards it.
func (c *Cellar) sourWish(w BlendWords, givers []*giver, wish *must.BlendWish) error {
	ta, err := c.quantity("ta", w.TA, `write "5.5 g/L", as tartaric acid`, measure.Concentration)
	if err != nil {
		return err
	}
	if ta != nil {
		for _, g := range givers {
			if g.sour.ta == nil {
				return ask("ta", w.TA, "skep look "+strconv.Quote(g.state.Name)+` --ta "5.5 g/L"`, fmt.Errorf("the acidity of %q was not read, or not as it is now", g.state.Name))
			}
		}
		wish.Acidity = measure.GramsPerLitre(ta.Value)
	}
	pH, err := c.pH("ph", w.PH)
	if err != nil || pH == nil {
		return err
	}
	if !(pH.Value >= 2.7 && pH.Value <= 4.5) {
		return ask("ph", w.PH, "", errors.New("wine and mead have a pH of 2.7 to 4.5"))
	}
	s := must.SourWish{PH: pH.Value}
	buffer, litres := 0.0, 0.0
	for _, g := range givers {
		if !g.sour.known() {
			return ask("ph", w.PH, g.sour.ask(g.state.Name), fmt.Errorf("what the pH of a blend with %q will be cannot be told yet", g.state.Name))
		}
		over, err := g.sour.lacks(pH.Value + seesPH/2)
		if err != nil {
			return ask("ph", w.PH, "", err)
		}
		under, err := g.sour.lacks(pH.Value - seesPH/2)
		if err != nil {
			return ask("ph", w.PH, "", err)
		}
		s.Lacks = append(s.Lacks, (over+under)/2*g.onHand())
		buffer += (over - under) * g.onHand()
		litres += g.onHand()
	}
	s.Sees = buffer / litres
	wish.Sour = &s
	return nil
}

// missedPH says that a pH cannot be had, and what can be.
func missedPH(wanted float64, givers []*giver, found must.Blended) string {
	var parts []poured
	least, most := math.Inf(1), math.Inf(-1)
	for i, g := range givers {
		parts = append(parts, poured{g.sour, found.Shares[i] * g.onHand() / float64(found.Volume)})
		least, most = min(least, g.sour.pH.Value), max(most, g.sour.pH.Value)
	}
	return fmt.Sprintf("a pH of %.1f cannot be had of these: the nearest is %.1f, they have %.1f to %.1f", wanted, pouredPH(parts).Value, least, most)
}

// blendedOf is what reaches the jug that takes it.
func blendedOf(givers []*giver, lost *measure.Quantity) (batch.Blended, error) {
	poured := 0.0
	for _, g := range givers {
		if !g.stays {
			poured += g.take
		}
	}
	b := batch.Blended{Lost: lost}
	arrives := 1.0
	if lost != nil {
		if !(lost.Value < poured) {
			return b, ask("lost", lost.Words, "", fmt.Errorf("no more than %.2f L are poured", poured))
		}
		arrives -= lost.Value / poured
	}
	for _, g := range givers {
		if g.stays || g.take == 0 {
			continue
		}
		wine := g.litre.Scaled(g.take * arrives)
		amount := measure.Quantity{Words: fmt.Sprintf("%.2f L", g.take), Kind: measure.Volume, Tool: measure.Jug, Value: g.take, SD: g.sd}
		s := batch.Source{
			Jug: g.id, Name: g.state.Name, Strength: g.stood.Now.Ethanol, Gravity: g.stood.Now.Gravity, Sugar: g.stood.Now.Hexose,
			Wine: batch.Part{
				Ingredient: batch.WineOf + g.state.Name, Words: amount.Words + " of " + g.state.Name, Amount: amount,
				Grams: float64(wine.Mass()), GramsSD: float64(wine.Mass()) * g.sd / g.take, Adds: wine,
			},
		}
		if g.stood.Doubt == "" {
			s.Over = min(1, g.stood.Now.Phases.Dry+g.stood.Now.Phases.Stopped)
		}
		for _, p := range g.state.Pitches {
			s.Yeast = p.What.Yeast
		}
		for _, in := range g.state.Blends {
			for _, before := range in.What.Sources {
				if s.Yeast == "" {
					s.Yeast = before.Yeast
				}
			}
		}
		s.Sorbate = advice.StabilisedBy(g.state, g.stood.At).SorbateMGL / 1000 * g.take * arrives
		_, s.Bacteria = advice.Bacteria(g.state)
		b.Sources = append(b.Sources, s)
	}
	if len(b.Sources) == 0 {
		return b, ask("take", "", "", errors.New("nothing is taken of any of them"))
	}
	return b, nil
}

// foretell says what the blend comes to.
func (c *Cellar) foretell(answer *BlendAnswer, givers []*giver, b batch.Blended, taker *giver) error {
	sources := b.Sources
	if taker != nil {
		stays := batch.Source{
			Strength: taker.stood.Now.Ethanol, Gravity: taker.stood.Now.Gravity, Sugar: taker.stood.Now.Hexose,
			Wine: batch.Part{Adds: taker.litre.Scaled(taker.litres)},
			Over: taker.stood.Now.Phases.Dry + taker.stood.Now.Phases.Stopped,
		}
		stays.Wine.Grams = float64(stays.Wine.Adds.Mass())
		stays.Wine.GramsSD = stays.Wine.Grams * taker.sd / taker.litres
		sources = append(slices.Clone(sources), stays)
	}
	settled := settledOf(sources, batch.Blended{Sources: sources}.Adds())
	now, _, _, err := settled.Read(nil)
	if err != nil {
		return err
	}
	answer.Strength, answer.Gravity, answer.Sugar = now.Ethanol, now.Gravity, now.Hexose
	litres, err := settled.Must.Volume(20)
	if err != nil {
		return err
	}
	answer.Volume = measure.Normal(float64(litres), massSD(sources)*float64(litres), "L")
	answer.PH, answer.TA = measure.RangeOf(nil, "pH"), measure.RangeOf(nil, "g/L")
	least, most := math.Inf(1), math.Inf(-1)
	var parts []poured
	for _, g := range givers {
		if g.take > 0 {
			pH := advice.StabilisedBy(g.state, g.stood.At).PH
			least, most = min(least, pH), max(most, pH)
			parts = append(parts, poured{g.sour, g.take})
		}
		answer.Parts = append(answer.Parts, BlendPart{
			PH: asRead(g.sour.pH, "pH"), TA: asRead(g.sour.ta, "g/L"),
			Jug: g.state.Name, Take: measure.Normal(g.take, g.sd, "L"), Of: g.stood.Volume,
			Strength: g.stood.Now.Ethanol, Gravity: g.stood.Now.Gravity, Sugar: g.stood.Now.Hexose,
			Emptied: g.emptied, Stays: g.stays, Finished: g.stood.Standing.Proof.Finished,
		})
	}
	if least > 0 && most > 0 {
		answer.PH = between(least, most, "pH")
	}
	if pH := pouredPH(shared(parts)); pH.Known() {
		answer.PH = pH
	}
	answer.TA = pouredTA(shared(parts))
	answer.Cautions = blendCautions(answer, settled.Over)
	return nil
}

// blendCautions are what to know before pouring.
func blendCautions(a *BlendAnswer, over float64) []string {
	var all []string
	for _, p := range a.Parts {
		if !p.Finished && p.Take.Value > 0 {
			all = append(all, fmt.Sprintf("%s is not proven to have finished: blended, it may go on.", p.Jug))
		}
	}
	if a.Sugar.High > advice.LittleSugar {
		all = append(all, fmt.Sprintf("The blend holds up to %.0f g/L of sugar and live yeast: keep it under an airlock; no bottle before it is proven to stand still and stabilised with sulphite and sorbate, both.", a.Sugar.High))
	} else if over < advice.Over {
		all = append(all, "One of the parts may still be working: keep the blend under an airlock.")
	}
	return append(all, "Pour without splashing; two equal readings a week apart prove anew that it stands still, and a sample fermented out that no sugar is left.")
}

// gravityPerGL is how much a g/L of what is dissolved is in gravity (sucrose at 20 °C).
const gravityPerGL = 0.0004

// settledOf is how surely a blend is known: each part's strength and sugar as they were
// known, how much of each there is, and what went in besides.
func settledOf(sources []batch.Source, all must.Must) estimate.Settled {
	s := estimate.Settled{Must: all, Over: 1}
	litres, err := all.Volume(20)
	if err != nil || litres <= 0 {
		return s // Read says why
	}
	strength, err := all.PercentVol()
	if err != nil {
		return s
	}
	gravity, err := all.Gravity()
	if err != nil {
		return s
	}
	sugar := all.Hexose(1) / float64(litres)
	var strengthVar, sugarVar, gravityVar float64
	for _, source := range sources {
		v, err := source.Wine.Adds.Volume(20)
		if err != nil {
			continue
		}
		share := min(1, float64(v/litres))
		relative := 0.0
		if source.Wine.Grams > 0 {
			relative = source.Wine.GramsSD / source.Wine.Grams
		}
		square := func(r measure.Range, middle float64) float64 {
			own := share * (r.High - r.Low) / (2 * eighty)
			much := share * relative * (r.Value - middle)
			return own*own + much*much
		}
		strengthVar += square(source.Strength, float64(strength))
		sugarVar += square(source.Sugar, sugar)
		gravityVar += square(source.Gravity, float64(gravity))
		s.Over = min(s.Over, source.Over)
	}
	s.StrengthSD, s.SugarSD, s.SolidsSD = math.Sqrt(strengthVar), math.Sqrt(sugarVar), math.Sqrt(gravityVar)/gravityPerGL
	return s
}

// massSD is the relative spread of how much of parts there is.
func massSD(sources []batch.Source) float64 {
	var square, all float64
	for _, s := range sources {
		square += s.Wine.GramsSD * s.Wine.GramsSD
		all += s.Wine.Grams
	}
	if all == 0 {
		return 0
	}
	return math.Sqrt(square) / all
}

// standBlended reads a jug that holds a blend and was never given yeast of its own.
func (c *Cellar) standBlended(stood Stood, e advice.Evidence) (Stood, advice.Evidence, error) {
	state := e.Jug
	var sources []batch.Source
	since := state.Made.At
	for _, b := range state.Blends {
		sources = append(sources, b.What.Sources...)
		since = laterOf(since, b.At)
	}
	for _, a := range state.Additions {
		since = laterOf(since, a.At)
	}
	for _, s := range sources {
		if yeast, err := kinetics.YeastNamed(s.Yeast); err == nil {
			e.YeastLow = max(e.YeastLow, yeast.TemperatureLow)
		}
	}
	settled := settledOf(sources, state.InJug)
	settled.Seed = seed(state)
	var seen []estimate.Observation
	for _, o := range state.Observations() {
		if o.At >= state.Hours(since) {
			seen = append(seen, o)
		}
	}
	if litres, err := state.Volume(); err == nil {
		stood.Volume = measure.Normal(float64(litres), massSD(sources)*float64(litres), "L")
	}
	var err error
	e.State, e.Members, e.Outlook, err = settled.Read(seen)
	if err != nil {
		stood.Unknown = err.Error()
		e.Members = nil
		stood.Standing = advice.Stand(e)
		return stood, e, nil
	}
	e.State.At = state.Hours(e.Now)
	e.Outlook.Final = e.State
	for _, at := range []time.Time{since, e.Now} { // it is not followed into what is to come
		s := e.State
		s.At = state.Hours(at)
		stood.Course = append(stood.Course, Point{Day: at, State: s})
	}
	stood.Now, stood.Final, stood.Doubt = &e.State, &e.Outlook.Final, e.Outlook.Contradicted
	stood.Finish = &Dates{Day: since, From: since, To: since, Chance: settled.Over}
	stood.Standing = advice.Stand(e)
	if !state.Empty && !state.Withdrawn {
		verdict := advice.MayBottle(c.question(state, e, stood.Standing, usualBottle()))
		stood.Bottling = &verdict
	}
	return stood, e, nil
}

func laterOf(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// writeBlend writes a blend into all its jugs, in one transaction.
func (c *Cellar) writeBlend(ctx context.Context, w BlendWords, at time.Time, givers []*giver, taker *giver, b batch.Blended) ([]Recorded, error) {
	to := strings.TrimSpace(w.To)
	if to == "" {
		return nil, ask("to", "", `write --to "summer blend"`, errors.New("which jug takes it"))
	}
	var events []batch.Event
	id := ""
	if taker != nil {
		id = taker.id
	} else {
		made := batch.Made{Name: to}
		var err error
		if made.Vessel, err = c.blendVessel(ctx, w.Jug, givers, b); err != nil {
			return nil, err
		}
		e := c.event(at, made)
		id = e.ID
		events = append(events, e)
	}
	b.Blend = c.event(at, b).ID
	took := c.event(at, b)
	took.ID = b.Blend
	events = append(events, took)
	for i := range events {
		events[i].Jug = id
	}
	for _, g := range givers {
		if g.stays || g.take == 0 {
			continue
		}
		p := batch.Poured{
			Blend: b.Blend, Into: id, Name: to, Emptied: g.emptied,
			Litres: measure.Quantity{Words: fmt.Sprintf("%.2f L", g.take), Kind: measure.Volume, Tool: measure.Jug, Value: g.take, SD: g.sd},
		}
		if err := g.state.Check(p, at); err != nil {
			return nil, fmt.Errorf("jug %q: %w", g.state.Name, err)
		}
		e := c.event(at, p)
		e.Jug = g.id
		events = append(events, e)
	}
	if err := c.store.Append(ctx, events...); err != nil {
		return nil, err
	}
	return c.recordedAll(ctx, events)
}

// blendVessel is the vessel of a new blend.
func (c *Cellar) blendVessel(ctx context.Context, words string, givers []*giver, b batch.Blended) (batch.Vessel, error) {
	var v batch.Vessel
	if words != "" {
		var err error
		if v, err = c.vessel(ctx, "jug", words); err != nil {
			return v, err
		}
	} else {
		for _, g := range givers {
			if g.state.Vessel.Litres > v.Litres {
				v = batch.Vessel{Name: measure.ShowVolume(measure.Litres(g.state.Vessel.Litres), c.system), Litres: g.state.Vessel.Litres}
			}
		}
	}
	litres, err := b.Adds().Volume(20)
	if err == nil && float64(litres) > v.Litres*1.08 { // to the brim, as at the start of a jug
		err = ask("jug", words, `name a larger one: --jug "10 L"`, fmt.Errorf("%.2f L do not go into a jug of %.2f L", float64(litres), v.Litres))
	}
	return v, err
}

// recordedAll tells of entries of several jugs that are on the disk: the last of each.
func (c *Cellar) recordedAll(ctx context.Context, written []batch.Event) ([]Recorded, error) {
	var all []Recorded
	for i, e := range written {
		if slices.ContainsFunc(written[i+1:], func(o batch.Event) bool { return o.Jug == e.Jug }) {
			continue
		}
		events, err := c.store.Events(ctx, e.Jug)
		if err != nil {
			return all, err
		}
		state, err := batch.Fold(events)
		if err != nil {
			return all, err
		}
		at := slices.IndexFunc(events, func(o batch.Event) bool { return o.ID == e.ID })
		all = append(all, Recorded{
			Jug: state.Name, Number: events[at].Seq, Said: describe(e.Happened, numbers(events)), Stand: c.after(ctx, e.Jug),
		})
	}
	return all, nil
}

// blendSent answers a blend that was sent a second time under one key.
func (c *Cellar) blendSent(ctx context.Context, w BlendWords) (*BlendAnswer, error) {
	if c.key == "" || !w.Done {
		return nil, nil
	}
	var written []batch.Event
	for _, name := range append(slices.Clone(w.Jugs), w.To) {
		_, events, _, err := c.jug(ctx, name)
		if errors.As(err, new(*NoJugError)) && name == w.To { // a new one, that is not yet there
			continue
		}
		if err != nil {
			return nil, err
		}
		for _, e := range events {
			if c.sent([]batch.Event{e}) != nil {
				written = append(written, e)
			}
		}
	}
	if written == nil {
		return nil, nil
	}
	recorded, err := c.recordedAll(ctx, written)
	slices.Reverse(recorded) // the jug that took it comes first
	return &BlendAnswer{To: strings.TrimSpace(w.To), Recorded: recorded}, err
}

// blendID is the blend that an entry is one end of; "" if it is none.
func blendID(h batch.Happening) string {
	switch h := h.(type) {
	case batch.Poured:
		return h.Blend
	case batch.Blended:
		return h.Blend
	}
	return ""
}

// withdrawBlend takes a blend back in all its jugs, if the entry is an end of one.
//
// Errors: wine of the blend has gone on; taking back what took a blend back.
func (c *Cellar) withdrawBlend(ctx context.Context, name string, number int, why string) (*Recorded, error) {
	jug, events, state, err := c.jug(ctx, name)
	if err != nil {
		return nil, err
	}
	of, err := c.latest(ctx, name)
	if number != 0 {
		of, err = entry(events, number)
	}
	if err != nil {
		return nil, err
	}
	if w, ok := of.Event.Happened.(batch.Withdrawn); ok {
		i := slices.IndexFunc(events, func(e batch.Event) bool { return e.ID == w.Of })
		_, made := events[i].Happened.(batch.Made)
		if blendID(events[i].Happened) != "" || made && slices.ContainsFunc(events, func(e batch.Event) bool { return blendID(e.Happened) != "" }) {
			return nil, ask("number", fmt.Sprint(of.Event.Seq), "blend again: skep blend", errors.New("a blend that was taken back stays so, for it stands in several records"))
		}
		return nil, nil
	}
	blend := blendID(of.Event.Happened)
	if _, made := of.Event.Happened.(batch.Made); made && len(state.Blends) > 0 {
		if len(state.Blends) > 1 {
			return nil, ask("number", fmt.Sprint(of.Event.Seq), "", errors.New("several blends went into this jug: take them back first, one by one"))
		}
		blend = state.Blends[0].What.Blend
	}
	if blend == "" || !of.Stands() {
		return nil, nil
	}
	takes := jug.ID
	if p, ok := of.Event.Happened.(batch.Poured); ok {
		takes = p.Into
	}
	back, err := c.blendEnds(ctx, takes, blend, why)
	if err != nil {
		return nil, err
	}
	if err := c.store.Append(ctx, back...); err != nil {
		return nil, err
	}
	all, err := c.recordedAll(ctx, back)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(all, func(r Recorded) bool { return r.Jug == jug.Name })
	return &all[i], nil
}

// blendEnds are the withdrawals that take a blend back, one for each of its jugs.
func (c *Cellar) blendEnds(ctx context.Context, takes, blend, why string) ([]batch.Event, error) {
	events, err := c.store.Events(ctx, takes)
	if err != nil {
		return nil, err
	}
	state, err := batch.Fold(events)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(state.Blends, func(b batch.Dated[batch.Blended]) bool { return b.What.Blend == blend })
	if i < 0 {
		return nil, fmt.Errorf("jug %q does not tell of this blend", state.Name)
	}
	if len(state.Bottlings) > 0 || len(state.Pourings) > 0 {
		return nil, fmt.Errorf("wine of %q was bottled or poured on since: take that back first", state.Name)
	}
	of := state.Blends[i].ID
	if len(state.Blends) == 1 && len(state.Made.What.Parts) == 0 { // the jug was made by it
		of = state.Made.ID
	}
	withdraw := func(jug, of string) batch.Event {
		e := c.event(c.Now(), batch.Withdrawn{Of: of, Why: why})
		e.Jug = jug
		return e
	}
	back := []batch.Event{withdraw(takes, of)}
	for _, source := range state.Blends[i].What.Sources {
		given, err := c.store.Events(ctx, source.Jug)
		if err != nil {
			return nil, err
		}
		for _, e := range given {
			if p, ok := e.Happened.(batch.Poured); ok && p.Blend == blend {
				back = append(back, withdraw(source.Jug, e.ID))
			}
		}
	}
	return back, nil
}
