package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

func (d *door) trialCommand() *cobra.Command {
	var w app.TrialWords
	c := &cobra.Command{
		Use:   "trial JUG",
		Short: "Glasses to taste before a jug is sweetened or soured, and the best one for the whole jug",
		Example: `  skep trial elderflower --what honey
  skep trial elderflower --what "citric acid" --chose 2
  skep trial elderflower --what honey --chose 3 --done
  skep trial elderflower --what honey --chose 3 --done --despite "it is drunk tonight"`,
		Args: exactly("the name of a jug"),
		RunE: func(_ *cobra.Command, args []string) error {
			w.Jug = args[0]
			return d.withCellar(func(cellar *app.Cellar) error {
				a, err := cellar.Trial(d.ctx, w)
				if err != nil {
					return err
				}
				return d.answer(a, func(p *page) { showTrial(p, a) })
			})
		},
	}
	f := c.Flags()
	f.StringVar(&w.What, "what", "", `what is tried: honey, "white sugar", "citric acid", tannin`)
	f.StringVar(&w.Glass, "glass", "", "wine in each glass (default 50 mL)")
	f.StringVar(&w.Step, "step", "", `of the solution, from glass to glass: "0.5 mL" (default by what is tried)`)
	f.StringVar(&w.Solution, "solution", "", `the dosing solution: "100 g/L" (default by what is tried)`)
	f.IntVar(&w.Glasses, "glasses", 0, "how many, beside the one without (default 4)")
	f.IntVar(&w.Chose, "chose", 0, "the glass that was best")
	f.BoolVar(&w.Done, "done", false, "the jug was given as much: write it down")
	f.StringVar(&w.Despite, "despite", "", "your reason to sweeten a wine that is not proven to stand still; it stays in the record")
	moment(c, &w.When, nil)
	d.completeFlag(c, "what", func(*app.Cellar) ([]string, error) {
		return []string{"honey", "white sugar", "citric acid", "malic acid", "tartaric acid", "tannin"}, nil
	})
	return d.onJug(c)
}

func showTrial(p *page, a app.TrialAnswer) {
	p.title("%s: a trial with %s", a.Jug, a.What)
	p.say("Dissolve %s. Pour %s of wine into each glass, and into each so much of the solution:", a.Solution, measure.ShowVolume(measure.Litres(a.Glass.Value/1000), measure.Metric))
	p.WriteString("\n")
	for _, g := range a.Glasses {
		name := "the one without"
		if g.Number > 0 {
			name = fmt.Sprintf("glass %d", g.Number)
		}
		comes := "gravity " + measure.ShowGravity(measure.Gravity(g.Gravity.Value))
		if g.PH.Known() {
			comes = fmt.Sprintf("pH %.2f, most likely %.1f to %.1f", g.PH.Value, g.PH.Low, g.PH.High)
		}
		p.row(name, "%.4g mL, which is %.3g g/L; %s", g.Dose.Value, g.PerLitre.Value, comes)
	}
	if a.PH > 0 {
		p.row("pH before", "%.1f", a.PH)
	}
	if a.AskPH != "" {
		p.item("*", "%s.", a.AskPH)
	}
	if a.NotYet != "" {
		p.WriteString("\n")
		p.item("!", "Not yet: %s.", a.NotYet)
		p.item(">", "%s.", a.Settles)
	}
	if a.Add != nil {
		p.WriteString("\n")
		p.row("for the jug", "%s", app.DoseWords(a.Add.Ingredient, a.Add.Grams))
		p.row("it comes to", "gravity %s, %s, %s", measure.ShowRange(a.After.Gravity), measure.ShowRange(a.After.Strength), measure.ShowRange(a.After.Volume))
		if a.PHAfter.Known() {
			p.row("pH then", "%s", measure.ShowRange(a.PHAfter))
		}
		if a.After.Pressure.Known() {
			p.row("if it woke closed", "%s", measure.ShowRange(a.After.Pressure))
		}
	}
	for _, caution := range a.Cautions {
		p.item("!", "%s", caution)
	}
	if a.Recorded != nil {
		p.WriteString("\n")
		p.say("Recorded as %d of %q: %s.", a.Recorded.Number, a.Recorded.Jug, a.Recorded.Said)
	}
	if then := a.Then; then != nil {
		p.row("bottling now", "%s: %s", then.Bottling.Answer, then.Bottling.Reason)
		if then.Lacks != "" {
			p.row("stabilise", "%s", then.Lacks)
		}
		for _, dose := range then.Stabilise {
			p.item("-", "%s", app.DoseWords(dose.Ingredient, dose.Grams))
		}
	}
}
