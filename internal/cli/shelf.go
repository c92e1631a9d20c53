package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

func (d *door) shelfCommand() *cobra.Command {
	shelf := &cobra.Command{
		Use:   "shelf [LOT]",
		Short: "What is bottled, and what is left of it; the whole story of one lot",
		Long: `List the bottles that are left, with their strength, their place, the time they are
best in and, by the prices in your kitchen, what they cost. A lot is called by its jug
or by its own name: its story goes from what went in to the last bottle.`,
		Example: "  skep shelf\n  skep shelf elderflower\n  skep shelf open elderflower --why drunk\n  skep shelf move elderflower \"under the stairs\"",
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return noSuchCommand(c, args)
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				if len(args) == 1 {
					story, err := cellar.Lot(d.ctx, args[0])
					if err != nil {
						return err
					}
					return d.answer(story, func(p *page) { showLot(p, story) })
				}
				lots, err := cellar.Shelf(d.ctx)
				if err != nil {
					return err
				}
				return d.answer(map[string]any{"lots": lots}, func(p *page) { showShelf(p, lots) })
			})
		},
	}
	shelf.AddCommand(d.openCommand(), d.shelveCommand())
	return d.onJug(shelf)
}

func showShelf(p *page, lots []app.ShelfLot) {
	if len(lots) == 0 {
		p.say("The shelf is empty. skep bottle JUG says whether a jug may be bottled.")
	}
	total, priced := 0.0, false
	for _, l := range lots {
		showShelfLot(p, fmt.Sprintf("%s (%s)", l.Jug, l.Code), l, "")
		if l.Value != nil {
			total, priced = total+*l.Value, true
		}
	}
	if priced {
		p.say("In all %.2f at what went into them; bottles and work are not counted.", total)
	}
	if len(lots) > 0 {
		p.say("When they are best is %s.", lots[0].Window.Source)
	}
}

// showShelfLot tells of one lot; why are words behind the time it is best in.
func showShelfLot(p *page, name string, l app.ShelfLot, why string) {
	part := ""
	if l.Part {
		part = fmt.Sprintf(" with %.0f mL in it", l.HoldsML)
	}
	p.item("*", "%s: %d of %d x %.0f mL%s", name, l.Left, l.Filled, l.SizeML, part)
	strength := ""
	if l.Strength.Known() {
		strength = fmt.Sprintf("%s, %.1f %s each", measure.ShowRange(l.Strength), l.Drinks.Value, l.Drinks.Unit)
	}
	p.row("wine", "%s", listed(string(l.Style), l.Sweetness, strength))
	p.row("bottled", "%s", listed(l.Bottled.Local().Format("2 January 2006"), l.Closure, l.Place))
	p.row("best", "%s to %s%s", l.Window.From.Format("January 2006"), l.Window.To.Format("January 2006"), why)
	if l.Each != nil {
		p.row("cost", "%.2f each", *l.Each)
	}
}

// listed joins what is not empty.
func listed(items ...string) string {
	return strings.Join(slices.DeleteFunc(items, func(s string) bool { return s == "" }), ", ")
}

func showLot(p *page, s app.LotStory) {
	p.title("%s", s.Jug)
	p.say("Made %s of %s.", s.Made.Local().Format("2 January 2006"), strings.Join(s.In, ", "))
	if len(s.Lots) == 0 {
		p.say("It is not in bottles. skep bottle %q says whether it may be.", s.Jug)
	}
	for _, l := range s.Lots {
		showShelfLot(p, "lot "+l.Code, l, fmt.Sprintf(": %s (%s)", l.Window.Why, l.Window.Source))
	}
	for _, g := range s.Gone {
		why := g.Why
		if why == "" {
			why = "opened"
		}
		p.item("-", "%s: %d x %.0f mL, %s", g.At.Local().Format("2 January 2006"), g.Count, g.SizeML, why)
	}
	if c := s.Cost; c != nil {
		p.WriteString("\n")
		p.row("cost of it all", "%.2f, without bottles and work", c.Total)
		if len(c.Unpriced) > 0 {
			p.row("no price of", "%s", strings.Join(c.Unpriced, ", "))
		}
	}
	if len(s.Tastings) > 0 {
		showTastings(p, app.Tastings{Jug: s.Jug, Tastings: s.Tastings, Changed: s.Changed})
	}
	p.title("Its history")
	showHistory(p, s.History)
}

func (d *door) openCommand() *cobra.Command {
	var w app.OpenWords
	c := &cobra.Command{
		Use:   "open LOT",
		Short: "Record that bottles left the shelf: drunk, given away, broken",
		Example: `  skep shelf open elderflower --count 2 --why "given to the neighbours"
  skep shelf open elderflower --part --why drunk --back`,
		RunE: d.record(&w.Jug, func(cellar *app.Cellar, _ []string) (app.Recorded, error) {
			return cellar.OpenBottle(d.ctx, w)
		}),
	}
	c.Flags().IntVar(&w.Count, "count", 1, "how many")
	c.Flags().StringVar(&w.Size, "size", "", `of which size, if there are several: "375 mL"`)
	c.Flags().BoolVar(&w.Part, "part", false, "the part bottle")
	c.Flags().StringVar(&w.Why, "why", "", "drunk, given, broken; burst, and the others are to be seen to")
	c.Flags().BoolVar(&w.Back, "back", false, "the empty bottles are kept, and counted among those of the kitchen")
	moment(c, &w.When, nil)
	return d.onJug(c)
}

func (d *door) shelveCommand() *cobra.Command {
	var w app.ShelveWords
	c := &cobra.Command{
		Use:     "move LOT [PLACE]",
		Short:   "Record where bottles stand now, and how warm it gets there",
		Example: `  skep shelf move elderflower "under the stairs" --warmest "22 C"`,
		RunE: d.record(&w.Jug, func(cellar *app.Cellar, place []string) (app.Recorded, error) {
			if len(place) > 0 {
				w.Place = place[0]
			}
			return cellar.Shelve(d.ctx, w)
		}),
	}
	c.Flags().StringVar(&w.Warmest, "warmest", "", `the warmest it gets there: "22 C", "72 F"`)
	moment(c, &w.When, nil)
	return d.onJug(c)
}
