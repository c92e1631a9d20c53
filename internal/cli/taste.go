package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"skep/internal/app"
)

func (d *door) tasteCommand() *cobra.Command {
	var w app.TasteWords
	c := &cobra.Command{
		Use:   "taste JUG [WORDS]",
		Short: "Record what it tasted like; without words, how that changed over time",
		Long: `Record what a wine is like, on a short card or in free words, while it is in the jug
or in bottles. Without any, skep taste JUG tells how it was found to be over time.`,
		Example: `  skep taste elderflower "dry, flowers, a little harsh" --score 6
  skep taste elderflower --look "pale gold, bright" --smell elderflower --taste dry --balance sharp --score 7
  skep taste elderflower`,
	}
	record := d.record(&w.Jug, func(cellar *app.Cellar, words []string) (app.Recorded, error) {
		if len(words) > 0 {
			w.Words = words[0]
		}
		return cellar.Taste(d.ctx, w)
	})
	c.RunE = func(c *cobra.Command, args []string) error {
		told := false
		for _, flag := range []string{"look", "smell", "taste", "balance", "score", "when", "instead-of"} {
			told = told || c.Flags().Changed(flag)
		}
		if len(args) != 1 || told {
			return record(c, args)
		}
		return d.withCellar(func(cellar *app.Cellar) error {
			t, err := cellar.Tastings(d.ctx, args[0])
			if err != nil {
				return err
			}
			return d.answer(t, func(p *page) { showTastings(p, t) })
		})
	}
	f := c.Flags()
	f.StringVar(&w.Look, "look", "", `colour and clearness: "pale gold, bright"`)
	f.StringVar(&w.Smell, "smell", "", `"elderflower, a little bread"`)
	f.StringVar(&w.Taste, "taste", "", `"dry, lemon, short"`)
	f.StringVar(&w.Balance, "balance", "", `sweet, sour, bitter and strong together: "round", "sharp", "hot"`)
	f.IntVar(&w.Score, "score", 0, "1 poor to 10 best, or to your own best: skep kitchen score")
	moment(c, &w.When, &w.Instead)
	return d.onJug(c)
}

func showTastings(p *page, t app.Tastings) {
	if len(t.Tastings) == 0 {
		p.say(`Nobody has tasted it yet. Record a tasting with skep taste %q "what it is like".`, t.Jug)
		return
	}
	p.title("%s, as it was found to be", t.Jug)
	for _, one := range t.Tastings {
		showTasting(p, one)
	}
	if len(t.Changed) > 0 {
		p.WriteString("\n")
		p.say("What changed from the first to the last:")
		for _, line := range t.Changed {
			p.item("*", "%s", line)
		}
	}
}

func showTasting(p *page, t app.Tasting) {
	score := ""
	if t.Score > 0 {
		score = fmt.Sprintf(", %d of %d", t.Score, t.OutOf)
	}
	p.item(">", "%s, %s%s", t.At.Local().Format("2 January 2006"), t.Age, score)
	for _, line := range []struct{ name, words string }{
		{"look", t.Look}, {"smell", t.Smell}, {"taste", t.Taste}, {"balance", t.Balance}, {"", t.Words},
	} {
		if line.words != "" {
			p.row(line.name, "%s", line.words)
		}
	}
}
