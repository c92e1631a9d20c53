package app

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/acidity"
)

// TrialWords asks for glasses to taste, or tells which was the best.
type TrialWords struct {
	Jug      string `json:"-"`
	What     string `json:"what"`               // what is dosed: "honey", "white sugar", "citric acid", "tannin"
	Glass    string `json:"glass,omitempty"`    // wine in each; default 50 mL
	Step     string `json:"step,omitempty"`     // from glass to glass: "0.5 mL" of the solution
	Solution string `json:"solution,omitempty"` // the dosing solution: "100 g/L"
	Glasses  int    `json:"glasses,omitempty"`  // beside the one without; default 4
	Chose    int    `json:"chose,omitempty"`    // the glass that was best: 1, 2, …
	Done     bool   `json:"done,omitempty"`     // the jug was given as much: write it down
	Despite  string `json:"despite,omitempty"`  // the reason to sweeten a wine that is not proven to stand still
	When     string `json:"when,omitempty"`
}

// TrialAnswer is the sheet, and with a glass chosen what that means for the jug.
type TrialAnswer struct {
	Jug      string        `json:"jug"`
	What     string        `json:"what"`
	Solution string        `json:"solution"` // how it is made
	Glass    measure.Range `json:"glass"`    // mL of wine in each
	Glasses  []Glass       `json:"glasses"`
	NotYet   string        `json:"not_yet,omitempty"` // why the jug is not to be sweetened now
	Settles  string        `json:"settles,omitempty"` // what settles that
	PHAfter  measure.Range `json:"ph_after"`          // with Add in it; not Known as in a Glass
	Add      *advice.Dose  `json:"add,omitempty"`     // for the jug; the range is half a step each way; nil with NotYet, unless Despite
	After    *After        `json:"after,omitempty"`
	PH       float64       `json:"ph_before,omitempty"` // as last read; 0: not told
	AskPH    string        `json:"ask_ph,omitempty"`    // what to read before the pH can be foretold, of an acid
	Cautions []string      `json:"cautions,omitempty"`
	Recorded *Recorded     `json:"recorded,omitempty"`
	Then     *Sweetened    `json:"then,omitempty"` // once sugar was recorded
}

// Sweetened is what a wine wants once sugar went in.
type Sweetened struct {
	Bottling  advice.Verdict `json:"bottling"`            // in usual bottles
	Lacks     string         `json:"lacks,omitempty"`     // of what keeps its yeast from waking
	Stabilise []advice.Dose  `json:"stabilise,omitempty"` // for the whole jug
}

// Glass is one glass of a trial.
type Glass struct {
	Number   int           `json:"number"`    // 0 is the one without
	Dose     measure.Range `json:"dose"`      // mL of the solution
	PerLitre measure.Range `json:"per_litre"` // g for a litre of wine in the jug
	Gravity  measure.Range `json:"gravity"`   // of the jug, if it were given as much
	PH       measure.Range `json:"ph"`        // the same; not Known but of an acid, in a wine whose pH and acidity were read
}

// trials are the solutions and steps of a trial by what is dosed: made from amounts that a
// kitchen weighs, and as small as a tongue tells apart (common practice, no source).
var trials = map[must.Class]struct {
	grams float64 // in 100 mL of solution
	step  float64 // mL in a glass of 50 mL
}{
	must.Honey: {50, 1}, must.Sugar: {50, 1}, must.AcidSalt: {10, 0.25}, must.Tannin: {1, 0.25},
}

// Trial lays out glasses to taste; with Chose it scales the best one to the jug, and with
// Done writes down that the jug was given as much.
//
// A wine that is not proven to stand still is not sweetened without a reason: that is feeding.
//
// Errors: *AskError; an unknown jug; a jug of which nobody knows what it holds;
// *NotYetError; *property.RangeError for a solution or a dose out of proportion.
func (c *Cellar) Trial(ctx context.Context, w TrialWords) (TrialAnswer, error) {
	if w.Done {
		jug, events, _, err := c.jug(ctx, w.Jug)
		if sent := c.sent(events); err == nil && sent != nil { // it is in the jug already: the wine is another now
			recorded := c.recorded(ctx, jug, events, *sent)
			return TrialAnswer{Jug: jug.Name, What: w.What, Recorded: &recorded}, nil
		}
	}
	g, err := c.giver(ctx, w.Jug)
	if err != nil {
		return TrialAnswer{}, err
	}
	t, err := c.trial(ctx, w)
	if err != nil {
		return TrialAnswer{}, err
	}
	stood, evidence, err := c.stand(g.state)
	if err != nil {
		return TrialAnswer{}, err
	}
	q := c.question(g.state, evidence, stood.Standing, usualBottle())
	wine := g.litre.Scaled(g.litres)
	answer := TrialAnswer{Jug: g.state.Name, What: t.of.Name, Solution: t.made, Glass: measure.Exact(1000*float64(t.Glass), "mL"), PHAfter: measure.RangeOf(nil, "pH"), PH: advice.StabilisedBy(g.state, stood.At).PH}
	sour := sourOf(g.state, stood.Now, stood.At)
	if t.acids != nil {
		answer.AskPH = sour.ask(g.state.Name)
	}
	for i := range t.glasses + 1 {
		grams, err := t.grams(float64(i))
		if err != nil {
			return answer, ask("step", w.Step, "", err)
		}
		a, err := after(stood, wine, t.What.Scaled(grams*g.litres), q)
		if err != nil {
			return answer, err
		}
		answer.Glasses = append(answer.Glasses, Glass{
			Number: i, Dose: measure.Exact(1000*float64(i)*float64(t.step), "mL"), PerLitre: measure.Exact(grams, "g/L"), Gravity: a.Gravity,
			PH: t.pH(sour, grams),
		})
	}
	sweetens := t.What.Hexose(1) > 0
	if sweetens {
		answer.NotYet, answer.Settles = advice.Sweetens(evidence, stood.Standing)
	}
	answer.Cautions = trialCautions(answer.NotYet == "", t.of, g.state, stood, evidence)
	switch {
	case w.Chose == 0 && w.Done:
		return answer, ask("chose", "", "write --chose 3", errors.New("which glass was the best"))
	case w.Chose == 0:
		return answer, nil
	case w.Chose < 0 || w.Chose > t.glasses:
		return answer, ask("chose", strconv.Itoa(w.Chose), "leave it out if the one without was best", fmt.Errorf("the glasses are 1 to %d", t.glasses))
	}
	despite, err := reason(w.Despite)
	if err != nil {
		return answer, err
	}
	why := fmt.Sprintf("by trial, glass %d", w.Chose)
	if answer.NotYet != "" {
		switch {
		case despite == "" && w.Done:
			return answer, &NotYetError{
				Jug: g.state.Name, Reason: answer.NotYet, Settles: answer.Settles,
				Anyway: fmt.Sprintf(`to feed it, write skep add %q "100 g %s"; to sweeten it all the same, --despite "your reason"`, g.state.Name, t.of.Name),
			}
		case despite == "":
			return answer, nil
		}
		why = list(why, named("against advice:", despite))
	}
	if err := answer.choose(t, float64(w.Chose), g, q); err != nil {
		return answer, err
	}
	answer.PHAfter = t.pH(sour, answer.Add.Grams.Value/g.litres)
	if !w.Done {
		return answer, nil
	}
	part, err := c.part(ctx, "what", fmt.Sprintf("%s g %s", strconv.FormatFloat(answer.Add.Grams.Value, 'f', -1, 64), t.of.Name))
	if err != nil {
		return answer, err
	}
	recorded, err := c.recordWords(ctx, w.Jug, w.When, 0, batch.Added{Parts: []batch.Part{part}, Why: why})
	answer.Recorded = &recorded
	if err == nil && sweetens {
		answer.Then, err = c.sweetened(ctx, w.Jug, answer.NotYet == "")
	}
	return answer, err
}

// sweetened is what a wine wants that was just sweetened: of stabilisers, which stop no
// ferment that is under way, only if it had stood still.
func (c *Cellar) sweetened(ctx context.Context, jug string, still bool) (*Sweetened, error) {
	_, _, state, err := c.jug(ctx, jug)
	if err != nil {
		return nil, err
	}
	stood, evidence, err := c.stand(state)
	if err != nil || stood.Bottling == nil {
		return nil, err
	}
	then := Sweetened{Bottling: *stood.Bottling}
	if still {
		then.Lacks, then.Stabilise = advice.Lacking(evidence)
	}
	return &then, nil
}

// trialSetup is how a trial is laid out.
type trialSetup struct {
	must.Trial
	of      must.Ingredient
	made    string
	acids   []acidity.Acid // that What may be
	step    measure.Litres
	glasses int
}

// grams is what the glass at so many steps means for a litre in the jug.
func (t trialSetup) grams(steps float64) (float64, error) {
	if steps <= 0 {
		return 0, nil
	}
	t.Dose = measure.Litres(steps) * t.step
	return t.PerLitre()
}

// pH is what so many g/L of an acid are foretold to bring a wine to.
func (t trialSetup) pH(wine sourness, grams float64) measure.Range {
	asTartaric := measure.GramsPerLitre(grams * t.What[must.Acid])
	return wine.with(t.acids, func(a acidity.Acid) measure.GramsPerLitre { return acidity.Convert(asTartaric, tartaric, a) })
}

// acidsOf are the acids that an ingredient may be.
func acidsOf(of must.Ingredient) []acidity.Acid {
	if of.Class != must.AcidSalt {
		return nil
	}
	names := []string{of.MainAcid}
	if of.Name == acidBlend {
		names = []string{"tartaric", "malic", "citric"}
	}
	var all []acidity.Acid
	for _, name := range names {
		if a, err := acidity.Named(name); err == nil {
			all = append(all, a)
		}
	}
	return all
}

// acidBlend is the ingredient that is several acids.
const acidBlend = "acid blend"

// trial understands how the glasses are to be dosed.
func (c *Cellar) trial(ctx context.Context, w TrialWords) (trialSetup, error) {
	t := trialSetup{glasses: 4}
	if w.What == "" {
		return t, ask("what", "", `write --what honey, "citric acid" or tannin`, errors.New("what is to be tried"))
	}
	if w.What == "acid" {
		w.What = acidBlend
	}
	var err error
	if t.of, err = c.ingredient(ctx, "what", w.What); err != nil {
		return t, err
	}
	usual, known := trials[t.of.Class]
	if !known {
		return t, ask("what", w.What, `write --what honey, "white sugar", "citric acid" or tannin`, errors.New("glasses tell sweetness, acid and tannin"))
	}
	t.acids = acidsOf(t.of)
	t.What, t.Glass, t.step = t.of.PerGram, 0.050, measure.Litres(usual.step/1000)
	if w.Glasses != 0 {
		t.glasses = w.Glasses
	}
	if t.glasses < 1 || t.glasses > 12 {
		return t, ask("glasses", strconv.Itoa(w.Glasses), "", errors.New("a tongue tells 1 to 12 glasses apart, at most"))
	}
	glass, err := c.quantity("glass", w.Glass, `write "50 mL"`, measure.Volume)
	if err != nil {
		return t, err
	}
	if glass != nil && !(glass.Value >= 0.005 && glass.Value <= 1) {
		return t, ask("glass", w.Glass, `write "50 mL"`, errors.New("a glass to taste from holds 5 mL to a litre"))
	}
	if glass != nil {
		t.step *= measure.Litres(glass.Value) / t.Glass
		t.Glass = measure.Litres(glass.Value)
	}
	step, err := c.quantity("step", w.Step, `write "0.5 mL"`, measure.Volume)
	if err != nil {
		return t, err
	}
	if step != nil && !(step.Value > 0) {
		return t, ask("step", w.Step, `write "0.5 mL"`, errors.New("is nothing"))
	}
	if step != nil {
		t.step = measure.Litres(step.Value)
	}
	t.Holds = 10 * usual.grams
	solution, err := c.quantity("solution", w.Solution, `write "100 g/L"`, measure.Concentration)
	if err != nil {
		return t, err
	}
	if solution != nil {
		t.Holds = solution.Value
	}
	if !(t.Holds > 0 && t.Holds <= 600) {
		return t, ask("solution", w.Solution, `write "100 g/L"`, errors.New("a dosing solution holds more than nothing, and up to 600 g/L"))
	}
	t.made = fmt.Sprintf("%s g of %s in water, filled up to 100 mL", strconv.FormatFloat(t.Holds/10, 'g', 4, 64), t.of.Name)
	return t, nil
}

// choose scales the best glass to the jug. The best lies evenly within half a step.
func (a *TrialAnswer) choose(t trialSetup, chose float64, g *giver, q advice.Question) error {
	const even = 0.4 // four fifths of half a step
	var ends [3]float64
	for i, steps := range [3]float64{chose - even, chose, chose + even} {
		grams, err := t.grams(steps)
		if err != nil {
			return err
		}
		ends[i] = grams * g.litres
	}
	grams := kitchenGrams(ends[1])
	if grams < LeastWeighed {
		grams, _ = strconv.ParseFloat(strconv.FormatFloat(ends[1], 'f', 2, 64), 64) // as a stock
	}
	a.Add = &advice.Dose{Ingredient: t.of.Name, Grams: measure.Range{Value: grams, Unit: "g", Low: min(grams, ends[0]), High: max(grams, ends[2])}}
	var err error
	a.After, err = after(g.stood, g.litre.Scaled(g.litres), t.What.Scaled(grams), q)
	return err
}

// trialCautions are what to know before the jug is given anything. One that works is not
// sent to be stabilised.
func trialCautions(still bool, of must.Ingredient, state batch.State, stood Stood, e advice.Evidence) []string {
	var all []string
	sweetens := of.PerGram.Hexose(1) > 0
	if _, held := advice.HeldSince(e); sweetens && still && !held {
		all = append(all, "Yeast will ferment it unless the wine is stabilised first: skep finish "+strconv.Quote(state.Name)+" --path sweet.")
	}
	if sweetens {
		all = append(all, advice.Caution(advice.Bursting))
	}
	if of.Class == must.AcidSalt {
		all = append(all, "Read the pH before and after: how far a gram moves it differs from wine to wine, and a foretold pH is no reading.")
	}
	if !sweetens && !stood.Standing.Proof.Still {
		all = append(all, "It is not proven to stand still: what is tasted now is not what it will be.")
	}
	return append(all, "Put in three quarters, stir, wait a day and taste before the rest: out again it does not come.")
}
