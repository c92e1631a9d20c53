package cli

import (
	"strings"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

func (d *door) kitchenCommand() *cobra.Command {
	kitchen := &cobra.Command{
		Use:   "kitchen",
		Short: "What you have: vessels with their empty weights, your own honey and juice, empty bottles, prices, your units",
		Args:  noSuchCommand,
		RunE: func(*cobra.Command, []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				k, err := cellar.Kitchen(d.ctx)
				if err != nil {
					return err
				}
				return d.answer(k, func(p *page) { showKitchen(p, k) })
			})
		},
	}
	kitchen.AddCommand(
		d.vesselCommand(), d.honeyCommand(), d.juiceCommand(), d.unitsCommand(), d.ingredientCommand(),
		d.emptiesCommand(), d.priceCommand(), d.hydrometerCommand(), d.scoreCommand(), d.lawCommand(), d.learnedCommand(), d.forgetCommand(),
	)
	return kitchen
}

func showKitchen(p *page, k app.Kitchen) {
	p.row("units", "%s", k.Units)
	for _, v := range k.Vessels {
		weight := "empty weight not known"
		if v.Tare != nil {
			weight = "empty " + v.Tare.Words
		}
		p.row("vessel", "%s, %s, %s", v.Name, measure.ShowVolume(measure.Litres(v.Litres), k.Units), weight)
	}
	for _, i := range k.Ingredients {
		p.row("your own", "%s", i.Name)
	}
	for _, b := range k.Bottles {
		p.row("empty bottles", "%d x %.0f mL %s", b.Have, b.SizeML, b.Kind)
	}
	for _, words := range k.Prices {
		p.row("price", "%s", words)
	}
	if len(k.Jugs) > 0 {
		p.row("jugs", "%s", strings.Join(k.Jugs, ", "))
	}
}

func (d *door) vesselCommand() *cobra.Command {
	var size, empty string
	c := &cobra.Command{
		Use:     "vessel NAME",
		Short:   "Keep a vessel: its size, and once and for all its empty weight",
		Example: `  skep kitchen vessel "green demijohn" --size "5 L" --empty "1.42 kg"`,
		Args:    exactly("a name for the vessel"),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				v, err := cellar.KeepVessel(d.ctx, args[0], size, empty)
				if err != nil {
					return err
				}
				return d.answer(v, func(p *page) {
					p.say("Kept: %s, %s.", v.Name, measure.ShowVolume(measure.Litres(v.Litres), cellar.Units()))
				})
			})
		},
	}
	c.Flags().StringVar(&size, "size", "", `"5 L", "1 gal"`)
	c.Flags().StringVar(&empty, "empty", "", `empty weight: "1.42 kg", "3 lb 2 oz"`)
	return c
}

func (d *door) honeyCommand() *cobra.Command {
	var like, moisture string
	c := &cobra.Command{
		Use:     "honey NAME",
		Short:   "Keep a honey whose moisture you measured",
		Example: `  skep kitchen honey "our heather 2026" --moisture "18.4 %mass" --like "heather honey"`,
		Args:    exactly("a name for the honey"),
		RunE: d.keepIngredient(func(cellar *app.Cellar, name string) (app.IngredientFacts, error) {
			return cellar.KeepHoney(d.ctx, name, like, moisture)
		}),
	}
	c.Flags().StringVar(&moisture, "moisture", "", `water in it: "18.4 %mass"`)
	c.Flags().StringVar(&like, "like", "", "the honey of the table that it is most like (default honey)")
	return c
}

func (d *door) juiceCommand() *cobra.Command {
	var gravity, ph string
	c := &cobra.Command{
		Use:     "juice NAME",
		Short:   "Keep a juice of your own, known by its gravity",
		Example: `  skep kitchen juice "garden apple juice" --gravity "1.048 at 18 C" --ph "pH 3.5"`,
		Args:    exactly("a name for the juice"),
		RunE: d.keepIngredient(func(cellar *app.Cellar, name string) (app.IngredientFacts, error) {
			return cellar.KeepJuice(d.ctx, name, gravity, ph)
		}),
	}
	c.Flags().StringVar(&gravity, "gravity", "", `"1.048 at 18 C"`)
	c.Flags().StringVar(&ph, "ph", "", `"pH 3.5", if you measured it`)
	return c
}

// keepIngredient is the run of a command that keeps an ingredient of the maker's own.
func (d *door) keepIngredient(keep func(*app.Cellar, string) (app.IngredientFacts, error)) func(*cobra.Command, []string) error {
	return func(_ *cobra.Command, args []string) error {
		return d.withCellar(func(cellar *app.Cellar) error {
			facts, err := keep(cellar, args[0])
			if err != nil {
				return err
			}
			return d.answer(facts, func(p *page) {
				p.say("Kept: %s.", facts.Name)
				showIngredient(p, facts)
			})
		})
	}
}

func (d *door) unitsCommand() *cobra.Command {
	return &cobra.Command{
		Use:       "units SYSTEM",
		Short:     "Say whose gallons, cups and ounces you mean: us, imperial or metric",
		Example:   "  skep kitchen units us",
		ValidArgs: []cobra.Completion{"us", "imperial", "metric"},
		Args:      exactly("us, imperial or metric"),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				if err := cellar.UseUnits(args[0]); err != nil {
					return err
				}
				if err := cellar.KeepUnits(d.ctx); err != nil {
					return err
				}
				return d.answer(map[string]measure.System{"units": cellar.Units()}, func(p *page) { p.say("From now on: %s.", cellar.Units()) })
			})
		},
	}
}

func (d *door) ingredientCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "ingredient [NAME]",
		Short:   "What an ingredient is made of, and where the figures come from",
		Example: "  skep kitchen ingredient\n  skep kitchen ingredient blackberry",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				if len(args) == 0 {
					names, err := cellar.IngredientNames(d.ctx)
					if err != nil {
						return err
					}
					return d.answer(map[string][]string{"ingredients": names}, func(p *page) { p.say("%s", strings.Join(names, ", ")) })
				}
				i, err := cellar.IngredientFacts(d.ctx, args[0])
				if err != nil {
					return err
				}
				return d.answer(i, func(p *page) { showIngredient(p, i) })
			})
		},
	}
}

func showIngredient(p *page, i app.IngredientFacts) {
	p.title("%s (%s)", i.Name, i.Class)
	for _, part := range i.Parts {
		p.row(part.Component, "%.3g g in 100 g", part.Per100)
	}
	if i.Unknown {
		p.item("!", "Its sugar is not known: measure the gravity of the juice.")
	}
	if i.Caution != "" {
		p.item("!", "%s", i.Caution)
	}
	p.say("Source: %s (%s).", i.Source, i.Status)
}
