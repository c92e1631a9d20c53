package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

func (d *door) bottleCommand() *cobra.Command {
	var w app.BottleWords
	c := &cobra.Command{
		Use:   "bottle JUG",
		Short: "May it be bottled, in which bottles; with --done, that it was",
		Long: `Say whether a jug may be bottled: the pressure that the closed bottle could reach at
the warmest place it will stand, against what that kind of bottle bears, and which
bottles it fills. With --done the bottling is written down and the wine is on the shelf.`,
		Example: `  skep bottle elderflower
  skep bottle elderflower --bottles "750 mL" --bottles "3 x 375 mL" --warmest "26 C"
  skep bottle elderflower --priming "28 g white sugar" --kind sparkling
  skep bottle elderflower --bottles "5 x 750 mL" --done`,
		Args: exactly("the name of a jug"),
		RunE: func(_ *cobra.Command, args []string) error {
			w.Jug = args[0]
			return d.withCellar(func(cellar *app.Cellar) error {
				answer, err := cellar.Bottle(d.ctx, w)
				if err != nil {
					return err
				}
				return d.answer(answer, func(p *page) { showBottle(p, answer, cellar.Units()) })
			})
		},
	}
	f := c.Flags()
	f.StringArrayVar(&w.Bottles, "bottles", nil, `sizes: "750 mL" for as many as needed, "6 x 500 mL" for so many (default 750 mL)`)
	f.StringVar(&w.Kind, "kind", "", "kind of bottle: still-wine glass, sparkling-wine glass, beer glass, carbonated PET, swing-top… (default still-wine glass)")
	f.StringVar(&w.Style, "style", "", `still, "still and stabilised" or sparkling (default by what went in)`)
	f.StringVar(&w.Priming, "priming", "", `stirred in before filling, for bubbles: "28 g white sugar"`)
	f.StringVar(&w.Warmest, "warmest", "", "warmest place the bottles will stand (default 30 C)")
	f.StringVar(&w.Left, "left", "", `stays in the jug for another day: "500 mL"`)
	f.BoolVar(&w.Done, "done", false, "it was done: write it down")
	f.BoolVar(&w.Despite, "despite", false, "write it down although the verdict is not yet")
	moment(c, &w.When, &w.Instead)
	return d.onJug(c)
}

func showBottle(p *page, a app.BottleAnswer, sys measure.System) {
	v := a.Verdict
	p.title("%s: %s", a.Jug, v.Answer)
	p.say("%s", v.Reason)
	if v.Settles != "" {
		p.item(">", "%s", v.Settles)
	}
	p.WriteString("\n")
	p.row("pressure", "%s at %s, %s at 20 °C; a %s bears %s",
		measure.ShowRange(v.Pressure), measure.ShowTemperature(v.Warmest, sys), measure.ShowRange(v.PressureAt20), a.Bottle, measure.ShowPressure(v.Limit))
	p.row("chance of more", "%s", percent(v.Chance))
	p.row("wine", "%s", measure.ShowRange(a.Wine))
	var fills []string
	for _, f := range a.Fill {
		fills = append(fills, fmt.Sprintf("%d x %d mL", f.Count, f.ML))
	}
	if len(fills) == 0 {
		fills = []string{"none"}
	}
	p.row("full bottles", "%s, and %s over", strings.Join(fills, ", "), measure.ShowVolume(measure.Litres(a.Left.Value), sys))
	for _, caution := range v.Cautions {
		p.item("!", "%s", caution)
	}
	if a.Recorded != nil {
		p.WriteString("\n")
		p.say("Recorded as %d of %q: %s.", a.Recorded.Number, a.Recorded.Jug, a.Recorded.Said)
	}
}

func percent(chance float64) string {
	switch {
	case chance <= 0:
		return "none in the draws made"
	case chance < 0.01:
		return "less than 1 in 100"
	}
	return fmt.Sprintf("%.0f in 100", 100*chance)
}
