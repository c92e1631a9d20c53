package lab

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"

	"skep/internal/lab/speed"
)

func speedCommand(started *bool) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "speed",
		Short: "Time the forecast, and beside it a general-purpose solver",
		Long: `Time the forecast, and beside it a general-purpose solver where one is installed.

Timed are an estimate from 30 looks of four kinds, estimates from 10 to 320, and 10 000
fermentations of 60 days; beside them R's deSolve with the same model compiled from C
(Debian: r-cran-desolve, r-base-dev). The machine should have nothing else to do.

In JSON: estimate, estimate_led (what it falls back on) and by_looks in ms,
trajectories.time in ms of all on all threads, each in µs of one thread, error as a share of
sugar (of a g/L where there is less); peer.ratio is theirs over ours for one trajectory with
100 times.
Exit status: 0 done, 1 could not, 2 asked wrongly.`,
		Example: "  skep-lab speed --json",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			*started = true
			result, err := speed.Measure(time.Now)
			if err != nil {
				return err
			}
			dir, err := os.MkdirTemp("", "skep-lab-speed")
			if err != nil {
				return err
			}
			defer os.RemoveAll(dir)
			if result.Peer, err = speed.BesidePeer(time.Now, dir); err != nil {
				result.NoPeer = err.Error()
			}
			if asJSON {
				encoder := json.NewEncoder(c.OutOrStdout())
				encoder.SetIndent("", "  ")
				return encoder.Encode(result)
			}
			return writeSpeed(c.OutOrStdout(), &result)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "as JSON")
	return c
}

func writeSpeed(w io.Writer, r *speed.Result) error {
	text := fmt.Sprintf("on %d threads\n\nan estimate from 30 looks: %.0f ms, four in five %.0f to %.0f, slowest %.0f\n",
		r.Threads, r.Estimate.Value, r.Estimate.Low, r.Estimate.High, r.Slowest.Value)
	text += fmt.Sprintf("where its draws must be led in steps: %.0f ms, four in five %.0f to %.0f, slowest %.0f\n", r.Led.Value, r.Led.Low, r.Led.High, r.SlowestLed.Value)
	for _, b := range r.ByLooks {
		text += fmt.Sprintf("  from %3d: %.0f ms\n", b.Looks, b.Time.Value)
	}
	t := &r.Trajectories
	text += fmt.Sprintf("\n%d fermentations of 60 days: %.0f ms, %.1f µs each on one thread; worst error %.1g of sugar\n", t.Count, t.Time.Value, t.Each.Value, t.Error)
	if p := r.Peer; p != nil {
		text += fmt.Sprintf("one with 100 times: %.1f µs; %s: %.0f µs, %.1f times as long; sugar apart by %.1g\n", p.Ours.Value, p.Name, p.Each.Value, p.Ratio, p.Apart)
	} else {
		text += r.NoPeer + "\n"
	}
	_, err := io.WriteString(w, text)
	return err
}
