package cli

import (
	"strings"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

func (d *door) blendCommand() *cobra.Command {
	var w app.BlendWords
	c := &cobra.Command{
		Use:   "blend JUG JUG...",
		Short: "What wines of several jugs make together; --done writes it into all of them",
		Long: `Say how much is taken of each jug, in turn, or what the blend is to have, and see what
it comes to. Nothing is written without --done.`,
		Example: `  skep blend elderflower heather --take "2 L" --take all --to summer
  skep blend elderflower heather --strength "11.5 %vol" --sweet off-dry
  skep blend elderflower heather --ta "5.5 g/L"
  skep blend elderflower heather --take "2 L" --take "1 L" --to summer --done
  skep blend heather --take "300 mL" --to elderflower --done`,
		RunE: func(_ *cobra.Command, args []string) error {
			w.Jugs = args
			return d.withCellar(func(cellar *app.Cellar) error {
				a, err := cellar.Blend(d.ctx, w)
				if err != nil {
					return err
				}
				return d.answer(a, func(p *page) { showBlend(p, a) })
			})
		},
	}
	f := c.Flags()
	f.StringArrayVar(&w.Take, "take", nil, `of each jug in turn: "2 L" or all (default all, or what the goals ask for)`)
	f.StringVar(&w.To, "to", "", "the jug that takes it: a new name, or one that stands")
	f.StringVar(&w.Jug, "jug", "", `vessel of a new jug: "5 L" (default as the largest that gives)`)
	f.StringVar(&w.Strength, "strength", "", `goal: "11.5 %vol"`)
	f.StringVar(&w.Sweet, "sweet", "", `goal: off-dry, medium, sweet or a gravity, "1.006"`)
	f.StringVar(&w.TA, "ta", "", `goal: titratable acidity as tartaric acid, "5.5 g/L"; skep look --ta tells that of each jug`)
	f.StringVar(&w.PH, "ph", "", `goal: a pH, "3.4"; skep look --ph --ta tells those of each jug`)
	f.StringVar(&w.Volume, "volume", "", `goal: how much of it, "4.5 L" (default as much as there is)`)
	f.StringVar(&w.Lost, "lost", "", `in hose and heel, of all that is poured: "100 mL"`)
	f.BoolVar(&w.Done, "done", false, "it was done: write it down")
	moment(c, &w.When, nil)
	c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return d.names(d.jugNames)
	}
	d.completeFlag(c, "to", d.jugNames)
	return c
}

func (d *door) jugNames(cellar *app.Cellar) ([]string, error) {
	kitchen, err := cellar.Kitchen(d.ctx)
	return kitchen.Jugs, err
}

func showBlend(p *page, a app.BlendAnswer) {
	p.title("%s", strings.TrimSpace("Blend "+a.To))
	for _, part := range a.Parts {
		how := "take " + measure.ShowRange(part.Take)
		switch {
		case part.Stays:
			how = "stays, " + measure.ShowRange(part.Take)
		case part.Emptied:
			how += ", all that is clear"
		}
		p.item("*", "%s: %s; %s, gravity %s", part.Jug, how, measure.ShowRange(part.Strength), measure.ShowRange(part.Gravity))
	}
	p.WriteString("\n")
	p.row("makes", "%s", measure.ShowRange(a.Volume))
	p.row("strength", "%s", measure.ShowRange(a.Strength))
	p.row("gravity", "%s", measure.ShowRange(a.Gravity))
	p.row("sugar", "%s", measure.ShowRange(a.Sugar))
	if a.TA.Known() {
		p.row("acidity", "%s, as tartaric acid", measure.ShowRange(a.TA))
	}
	if a.PH.Known() {
		p.row("pH", "%s", measure.ShowRange(a.PH))
	}
	for _, m := range a.Missed {
		p.item("!", "%s.", m)
	}
	for _, caution := range a.Cautions {
		p.item("!", "%s", caution)
	}
	for i, r := range a.Recorded {
		if i == 0 {
			p.WriteString("\n")
		}
		p.say("Recorded as %d of %q: %s.", r.Number, r.Jug, r.Said)
	}
}
