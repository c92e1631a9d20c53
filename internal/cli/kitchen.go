package cli

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"skep/internal/app"
)

func (d *door) emptiesCommand() *cobra.Command {
	var kind string
	c := &cobra.Command{
		Use:   "bottle SIZE COUNT",
		Short: "Keep how many empty bottles of a size and kind there are",
		Long: `Keep how many empty bottles there are, counted now. Those that you fill from then on
count down, and those that you keep when they are empty count up (skep shelf open --back);
what you take back in a jug's history is taken back here.`,
		Example: `  skep kitchen bottle "750 mL" 12
  skep kitchen bottle "330 mL" 24 --kind "beer glass"`,
		Args: exactly("a size", "how many there are"),
		RunE: func(_ *cobra.Command, args []string) error {
			count, err := wholeNumber(args[1])
			if err != nil {
				return err
			}
			return d.withCellar(func(cellar *app.Cellar) error {
				b, err := cellar.KeepBottles(d.ctx, args[0], kind, count)
				if err != nil {
					return err
				}
				return d.answer(b, func(p *page) { p.say("Kept: %d x %.0f mL %s.", b.Have, b.SizeML, b.Kind) })
			})
		},
	}
	c.Flags().StringVar(&kind, "kind", "", "kind of bottle: still-wine glass, beer glass, carbonated PET… (default still-wine glass)")
	return c
}

func (d *door) priceCommand() *cobra.Command {
	var forget bool
	c := &cobra.Command{
		Use:   "price [WORDS]",
		Short: "Keep what a thing costs: plans and the shelf reckon with it",
		Example: `  skep kitchen price "honey 12 per kg"
  skep kitchen price "yeast 2 each"
  skep kitchen price honey --forget`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				switch {
				case len(args) == 0:
				case forget:
					if err := cellar.ForgetPrice(d.ctx, args[0]); err != nil {
						return err
					}
				default:
					if _, err := cellar.KeepPrice(d.ctx, args[0]); err != nil {
						return err
					}
				}
				k, err := cellar.Kitchen(d.ctx)
				if err != nil {
					return err
				}
				return d.answer(map[string][]string{"prices": k.Prices}, func(p *page) {
					if len(k.Prices) == 0 {
						p.say(`No price is kept. Write skep kitchen price "honey 12 per kg".`)
						return
					}
					p.say("Prices: %s.", strings.Join(k.Prices, "; "))
				})
			})
		},
	}
	c.Flags().BoolVar(&forget, "forget", false, "take the price of that thing out of the kitchen")
	return c
}

func (d *door) scoreCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "score BEST",
		Short:   "Say what your best score is when you taste: 5, 10, 20, 100",
		Example: "  skep kitchen score 20",
		Args:    exactly("your best score"),
		RunE: func(_ *cobra.Command, args []string) error {
			best, err := wholeNumber(args[0])
			if err != nil {
				return err
			}
			return d.withCellar(func(cellar *app.Cellar) error {
				if err := cellar.KeepBestScore(d.ctx, best); err != nil {
					return err
				}
				return d.answer(map[string]int{"best_score": best}, func(p *page) { p.say("From now on scores are of %d.", best) })
			})
		},
	}
}

func (d *door) lawCommand() *cobra.Command {
	return &cobra.Command{
		Use:       "law PLACE",
		Short:     "Say whose way of counting drinks, and whose labels, you mean: EU, UK or US",
		Long:      "Say whose way of counting drinks, and whose limits on labels, you mean: EU, UK or US. Untold it goes by your units.",
		Example:   "  skep kitchen law UK",
		ValidArgs: []cobra.Completion{"EU", "UK", "US"},
		Args:      exactly("EU, UK or US"),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				if err := cellar.KeepPlace(d.ctx, args[0]); err != nil {
					return err
				}
				return d.answer(map[string]app.Place{"law": cellar.Place()}, func(p *page) { p.say("From now on: %s.", cellar.Place()) })
			})
		},
	}
}

func wholeNumber(words string) (int, error) {
	n, err := strconv.Atoi(words)
	if err != nil {
		return 0, &usageError{err: fmt.Errorf("%q is no whole number", words)}
	}
	return n, nil
}
