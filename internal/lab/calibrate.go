package lab

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"skep/internal/lab/calibration"
)

// every is how often a long run says how far it is.
const every = 2 * time.Second

func calibrateCommand(started *bool) *cobra.Command {
	var asJSON, asMarkdown bool
	c := &cobra.Command{
		Use:   "calibrate DIR",
		Short: "Hold forecasts against fermentations that others measured",
		Long: `Hold forecasts against fermentations that others measured.

DIR holds series.csv (series_id, time_h, quantity, value, unit) and meta.csv (series_id,
dataset, volume_L, initial_sugar_g_per_L, initial_yan_mg_N_per_L, temperature_degC, yeast;
what is not known is blank or missing). Every series is forecast from the first 25, 50 and
75 % of its readings, and the later ones are held against what was foretold.

In JSON: coverage80 is a share, density_error_median is in SG 20/20, time_error_median a
share of the hour; over all, by_share, by_dataset, by_kind, by_yeast, and in series.
Exit status: 0 done, 1 could not (a malformed folder, with file and row), 2 asked wrongly.`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			*started = true
			folder, err := calibration.Read(args[0])
			if err != nil {
				return err
			}
			said := time.Now()
			report := folder.Calibrate(func(done, of int) {
				if time.Since(said) > every {
					said = time.Now()
					fmt.Fprintf(c.ErrOrStderr(), "%d of %d series\n", done, of)
				}
			})
			switch {
			case asJSON:
				return report.WriteJSON(c.OutOrStdout())
			case asMarkdown:
				return report.WriteMarkdown(c.OutOrStdout())
			}
			return report.WriteText(c.OutOrStdout())
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "as JSON")
	c.Flags().BoolVar(&asMarkdown, "markdown", false, "the tables of docs/calibration.md")
	c.MarkFlagsMutuallyExclusive("json", "markdown")
	return c
}
