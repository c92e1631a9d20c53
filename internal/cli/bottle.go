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
the warmest place it will stand, against what that kind of bottle bears; and which
bottles it fills best, how full, and what each holds. The bottles are those of your
kitchen (skep kitchen bottle) unless you name others. With --done the bottling is written
down and the wine is on the shelf: as planned, or with the bottles that you counted.`,
		Example: `  skep bottle elderflower
  skep bottle elderflower --bottles "750 mL" --bottles "3 x 375 mL" --closure cork --warmest "26 C"
  skep bottle elderflower --priming "28 g white sugar" --kind "sparkling-wine glass"
  skep bottle elderflower --bottles "5 x 750 mL" --part "400 mL" --place "under the stairs" --done`,
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
	f.StringArrayVar(&w.Bottles, "bottles", nil, `"750 mL" for as many as needed, "6 x 500 mL", "6 x 330 mL beer glass" (default those of the kitchen, else 750 mL)`)
	f.StringVar(&w.Part, "part", "", `with --done: wine in one bottle more, that it does not fill: "400 mL"`)
	f.StringVar(&w.Kind, "kind", "", "kind of bottle: still-wine glass, sparkling-wine glass, beer glass, carbonated PET, swing-top… (default still-wine glass)")
	f.StringVar(&w.Closure, "closure", "", "cork, hand cork, screw cap, crown cap, wired cork, PET cap, swing-top (default what is usual on the bottle)")
	f.StringVar(&w.Style, "style", "", `still, "still and stabilised" or sparkling (default by what went in)`)
	f.StringVar(&w.Priming, "priming", "", `stirred in before filling, for bubbles: "28 g white sugar"`)
	f.StringVar(&w.Warmest, "warmest", "", "warmest place the bottles will stand (default 30 C)")
	f.StringVar(&w.Left, "left", "", `stays in the jug for another day: "500 mL"`)
	f.StringVar(&w.Place, "place", "", `where the bottles stand: "under the stairs"`)
	f.StringVar(&w.Code, "lot", "", "what the lot is called (default by the day the jug was made)")
	f.StringVar(&w.Law, "law", "", "EU, UK or US: how large a drink is (default by your units)")
	f.BoolVar(&w.Done, "done", false, "it was done: write it down")
	f.StringVar(&w.Despite, "despite", "", "your reason to write it down although the verdict is not yet; it stays in the record")
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
	rest := "and " + measure.ShowVolume(measure.Litres(a.Left.Value), sys)
	switch {
	case a.Part != nil:
		rest += fmt.Sprintf(" in a part bottle of %d mL", a.Part.ML)
	case a.Unbottled.Value > 0 && a.Recorded == nil:
		rest += " for which there is no bottle"
	default:
		rest += " over"
	}
	p.row("full bottles", "%s, %s", strings.Join(fills, ", "), rest)
	today := v.Settles == "" || a.Recorded != nil
	if today {
		for _, f := range a.Fill {
			showFill(p, f, sys, f.Kind != a.Fill[0].Kind || f.Kind != a.Fill[len(a.Fill)-1].Kind)
		}
		for _, words := range a.Assumed {
			p.row("taken for granted", "%s", words)
		}
	}
	for _, caution := range v.Cautions {
		p.item("!", "%s", caution)
	}
	if today {
		for _, step := range a.Day {
			p.item("*", "%s.", step)
		}
	}
	if a.Recorded != nil {
		p.WriteString("\n")
		p.say("Recorded as %d of %q: %s.", a.Recorded.Number, a.Recorded.Jug, a.Recorded.Said)
		if v.Settles != "" {
			p.item("!", "That was against the verdict: keep these bottles cold, boxed and away from people, and let the gas out if it gets much.")
		}
	}
}

// showFill tells how full, under which closure, and what a bottle holds; of which kind it
// is, where there are several.
func showFill(p *page, f app.Fill, sys measure.System, several bool) {
	var said []string
	if f.Closure != "" {
		said = append(said, f.Closure)
	}
	switch inch := 25.4; { // mm
	case !f.BelowRim.Known():
	case sys == measure.Metric:
		said = append(said, fmt.Sprintf("fill to %.0f to %.0f mm below the rim", f.BelowRim.Low, f.BelowRim.High))
	default:
		said = append(said, fmt.Sprintf("fill to %.1f to %.1f in below the rim", f.BelowRim.Low/inch, f.BelowRim.High/inch))
	}
	said = append(said, fmt.Sprintf("%.0f mL of room", f.HeadspaceML))
	if f.Drinks.Known() {
		said = append(said, fmt.Sprintf("%.1f %s in each", f.Drinks.Value, f.Drinks.Unit))
	}
	if several {
		said = append(said, f.Kind)
	}
	p.row(fmt.Sprintf("%d mL", f.ML), "%s", strings.Join(said, ", "))
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
