package cli

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

func (d *door) finishCommand() *cobra.Command {
	var w app.FinishWords
	c := &cobra.Command{
		Use:   "finish JUG",
		Short: "From a quiet jug to the bottle, step by step: dry, sweet or sparkling",
		Long: `Say which way the wine is to be finished, and see each step with its amounts: what is
done, what is next and not before when. --done writes the next step down; steps that
were recorded otherwise, by look, rack or add, count as well.`,
		Example: `  skep finish elderflower
  skep finish elderflower --path sweet --to 1.012 --with honey
  skep finish elderflower --done
  skep finish elderflower --done heat --heat "66 C" --for "12 min"
  skep finish elderflower --path sparkling --fizz "6 g/L"`,
		Args: func(c *cobra.Command, args []string) error {
			if w.Done == "next" && len(args) == 2 { // --done heat, with a space between
				w.Done, args = args[1], args[:1]
			}
			return exactly("the name of a jug")(c, args)
		},
		RunE: func(_ *cobra.Command, args []string) error {
			w.Jug = args[0]
			return d.withCellar(func(cellar *app.Cellar) error {
				a, err := cellar.Finish(d.ctx, w)
				if err != nil {
					return err
				}
				return d.answer(a, func(p *page) { showFinish(p, a, cellar.Now()) })
			})
		},
	}
	f := c.Flags()
	f.StringVar(&w.Path, "path", "", "dry, sweet, pasteurised, cold or sparkling (default as said or begun before)")
	f.StringVar(&w.To, "to", "", `sweeten to: off-dry, medium, sweet or a gravity, "1.012"`)
	f.StringVar(&w.With, "with", "", "what to sweeten or prime with (default honey, and white sugar to prime)")
	f.StringVar(&w.Fizz, "fizz", "", `CO2 wanted: "5 g/L", "2.5 vol" (default 5 g/L)`)
	f.StringVar(&w.Warmest, "warmest", "", "warmest place the bottles will stand (default 30 C)")
	f.StringVar(&w.Done, "done", "", "the next step was done, or the one named: write it down")
	f.Lookup("done").NoOptDefVal = "next"
	f.StringVar(&w.Heat, "heat", "", `how warm it got in the middle of a bottle: "66 C" (default as planned)`)
	f.StringVar(&w.For, "for", "", `and how long: "12 min"`)
	moment(c, &w.When, nil)
	d.completeFlag(c, "path", func(*app.Cellar) ([]string, error) { return app.FinishPaths(), nil })
	return d.onJug(c)
}

func showFinish(p *page, a app.FinishAnswer, now time.Time) {
	if a.Recorded != nil {
		p.say("Recorded as %d of %q: %s.", a.Recorded.Number, a.Recorded.Jug, a.Recorded.Said)
		for _, caution := range a.Recorded.Cautions {
			p.item("!", "%s", caution)
		}
	}
	if a.Ways != nil {
		p.title("%s: which way?", a.Jug)
		p.say("%s", a.Stand)
		for _, way := range a.Ways {
			said := "first: " + string(way.Next)
			if way.Stop != "" {
				said = "not open: " + way.Stop + "; " + way.Instead
			}
			p.item("*", "--path %s: %s (%s)", way.Path, way.Words, said)
		}
		return
	}
	p.title("%s: %s", a.Jug, a.Plan.Path)
	p.say("%s", a.Stand)
	if a.Plan.Stop != "" {
		p.item("!", "Not this way: %s.", a.Plan.Stop)
		p.item(">", "%s.", a.Plan.Instead)
		return
	}
	p.WriteString("\n")
	for i, s := range a.Plan.Steps {
		mark := fmt.Sprintf("  %d.", i+1)
		switch {
		case s.Done:
			mark = fmt.Sprintf("x %d.", i+1)
		case s.Key == a.Plan.Next:
			mark = fmt.Sprintf("> %d.", i+1)
		}
		when := ""
		if !s.Done && s.From.After(now) {
			when = ", from " + s.From.Format("2 January")
		}
		what := strings.TrimSuffix(s.What, ".")
		if s.Tell != "" && !s.Done {
			what += ": " + s.Tell
		}
		p.item(mark, "%s%s: %s.", s.Key, when, what)
		if s.Done {
			continue
		}
		for _, dose := range s.Doses {
			p.item("     -", "%s", app.DoseWords(dose.Ingredient, dose.Grams))
		}
		if s.Key == a.Plan.Next {
			p.item("    ", "(%s)", strings.TrimSuffix(s.Why, "."))
		}
	}
	if after := a.After; after != nil {
		p.WriteString("\n")
		p.row("sweetened", "gravity %s, %s, %s", measure.ShowRange(after.Gravity), measure.ShowRange(after.Strength), measure.ShowRange(after.Volume))
		if after.Pressure.Known() {
			p.row("if it woke closed", "%s", measure.ShowRange(after.Pressure))
		}
	}
	for _, caution := range a.Plan.Cautions {
		p.item("!", "%s", caution)
	}
}
