package calc

import (
	"errors"
	"fmt"

	"skep/internal/measure"
	"skep/internal/must"
)

var calcTrial = Calculation{
	Name:     "trial",
	Question: "One glass tasted or cleared best: how much is that for the whole jug?",
	Inputs: []Input{
		{Name: "what", Help: "what was dosed", Choices: []string{"acid", "tannin", "bentonite", "honey", "sugar"}},
		{Name: "glass", Help: `wine in each glass (default 50 mL)`},
		{Name: "dose", Help: `what the best glass got, of the solution or weighed: "1.5 mL", "0.15 g"`},
		{Name: "solution", Help: `the dosing solution: "100 g/L", "10 %mass"; not if the dose was weighed`},
		{Name: "step", Help: `from glass to glass, "0.5 mL": the best lies within half a step`},
		{Name: "volume", Help: `wine in the jug now: "4.5 L"`},
	},
	Examples: []string{
		`--what acid --dose "1.5 mL" --solution "100 g/L" --step "0.5 mL" --volume "4.5 L"`,
		`--what honey --dose "2 g" --step "0.5 g" --volume "1 US gal"`,
	},
	Method: "What is dosed is as much in a litre of what is drunk, in the jug as in the glass. Put in as it is, it lacks the water that the solution " +
		"brought to the glass, and swells the wine by its own volume (acid, tannin and bentonite as sugar would); as the solution, it is a proportion. " +
		"The best dose lies evenly within half a step of the best glass.",
	Sources: []string{"textbook", "icumsa-sps4", "crc102-wolf", "fining-doses"},
	Valid:   "glasses of 1 mL and more; doses up to as much as there is wine, solutions to 48 % mass",
	reckon:  (*reckoning).trial,
}

// What is dosed, as must finds it; what is not there counts as other solids.
var dosed = map[string]string{"honey": "honey", "sugar": "white sugar"}

func (r *reckoning) trial() error {
	what, err := r.choice("what")
	if err != nil {
		return err
	}
	perGram := must.Must{must.OtherSolids: 1}
	if name, ok := dosed[what]; ok {
		i, err := must.Find(name, nil)
		if err != nil {
			return err
		}
		perGram = i.PerGram
	}
	glass, err := r.or("glass", 0.050, measure.Volume)
	if err != nil {
		return err
	}
	dose, err := r.needed("dose", measure.Volume, measure.Mass)
	if err != nil {
		return err
	}
	step, err := r.optional("step", dose.kind)
	if err != nil {
		return err
	}
	volume, err := r.litres("volume")
	if err != nil {
		return err
	}
	holds, err := r.solution(dose, perGram)
	if err != nil {
		return err
	}
	off := &known{}
	if step != nil {
		const even = 0.4 // of a step each way: four fifths of half a step
		step.low, step.high = step.is, step.is
		off = r.between(0, -even*step.is, even*step.is)
	}
	best := func() (must.Trial, error) {
		t := must.Trial{What: perGram, Glass: measure.Litres(glass.is)}
		amount := max(0, dose.is+off.is)
		if dose.kind == measure.Mass {
			t.Grams = measure.Grams(amount)
			return t, nil
		}
		t.Dose = measure.Litres(amount)
		t.Holds, err = holds()
		return t, err
	}
	outputs := []output{{"add", what + " for the jug, as it is", "g"}, {"per_litre", "which is", "g/L"}}
	if dose.kind == measure.Volume {
		outputs = append(outputs, output{"solution", "or of the solution", "L"})
	}
	figures := func() ([]float64, error) {
		t, err := best()
		if err != nil {
			return nil, err
		}
		g, err := t.PerLitre()
		return []float64{g * volume.is, g, float64(t.Dose/t.Glass) * volume.is}[:len(outputs)], err
	}
	t, err := best()
	if err != nil {
		return err
	}
	g, err := t.PerLitre()
	if err != nil {
		return err
	}
	if t.Dose > 0 {
		r.step("the solution holds %.1f g/L; the best glass %.3f g in %.1f mL, %.3f g/L", t.Holds, float64(t.Dose)*t.Holds,
			1000*(t.Glass+t.Dose), float64(t.Dose)*t.Holds/float64(t.Glass+t.Dose))
	}
	r.step("a litre of wine needs %.3f g to be as the glass was [textbook, icumsa-sps4]", g)
	r.trialNotes(what, g)
	return r.give(figures, outputs...)
}

// solution understands the dosing solution, as g in a litre.
func (r *reckoning) solution(dose *known, what must.Must) (func() (float64, error), error) {
	if dose.kind == measure.Mass {
		if words := r.said("solution"); words != "" {
			return nil, ask("solution", words, `write --dose "1.5 mL"`, errors.New("goes with a dose by volume"))
		}
		return nil, nil
	}
	if !(dose.is > 0) {
		return nil, ask("dose", r.said("dose"), "", errors.New("is nothing"))
	}
	solution, err := r.needed("solution", measure.Concentration, measure.Fraction)
	if err != nil {
		return nil, err
	}
	return func() (float64, error) {
		if solution.kind == measure.Concentration {
			return solution.is, nil
		}
		return must.SolutionHolds(what, measure.MassFraction(solution.is))
	}, nil
}

// usualBentonite and mostBentonite are g/L for white wine and for one rich in protein
// [fining-doses].
const usualBentonite, mostBentonite = 0.5, 3.0

func (r *reckoning) trialNotes(what string, gramsPerLitre float64) {
	switch what {
	case "bentonite":
		r.note("Let it swell for a day in ten times as much water, then stir it in [fining-doses].")
		if gramsPerLitre > usualBentonite {
			more := fmt.Sprintf("more than the %g g/L of usual white wine", usualBentonite)
			if gramsPerLitre > mostBentonite {
				more = fmt.Sprintf("more than the %g g/L of wine rich in protein", mostBentonite)
			}
			r.note("That is %s [fining-doses].", more)
		}
	case "honey", "sugar":
		r.note("Yeast will ferment it unless the wine has been stabilised.")
	}
	r.note("Put in three quarters, stir, wait a day and taste before the rest: out again it does not come (common practice, no source).")
}
