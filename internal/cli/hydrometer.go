package cli

import (
	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

func (d *door) hydrometerCommand() *cobra.Command {
	var calibrated, water string
	c := &cobra.Command{
		Use:   "hydrometer",
		Short: "Keep your hydrometer: what it is made for, and what it shows in water",
		Long: `Keep your hydrometer: the temperature that is printed in it, and what it shows in plain
water of that temperature. What it shows too much or too little is taken off each gravity
that you tell from then on. Without flags it is shown.`,
		Example: `  skep kitchen hydrometer
  skep kitchen hydrometer --calibrated "60 F" --water 1.002`,
		Args: exactly(),
		RunE: func(*cobra.Command, []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				own, err := cellar.Hydrometer(d.ctx)
				if calibrated != "" || water != "" {
					own, err = cellar.KeepHydrometer(d.ctx, calibrated, water)
				}
				if err != nil {
					return err
				}
				return d.answer(own, func(p *page) {
					p.say("It is made for %s and shows %s in water.", own.Words, measure.ShowGravity(own.Water))
				})
			})
		},
	}
	c.Flags().StringVar(&calibrated, "calibrated", "", `temperature printed in it: "20 C", "60 F" (default 20 C)`)
	c.Flags().StringVar(&water, "water", "", "what it shows in plain water of that temperature: 1.002 (default 1.000)")
	return c
}
