package lab

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/lab/safety"
)

// unsafeError says which claims were not met.
type unsafeError struct{ claims []safety.Claim }

func (e *unsafeError) Error() string {
	text := "not met:"
	for _, c := range e.claims {
		text += fmt.Sprintf("\n  %s: %d of %d, asked %s", c.What, c.Count, c.Of, c.Asked)
	}
	return text
}

func safetyCommand(started *bool) *cobra.Command {
	var asJSON, asMarkdown bool
	var jugs, one int
	var seed uint64
	c := &cobra.Command{
		Use:   "safety",
		Short: "Play jugs of which the truth is known, and count what is said wrongly",
		Long: `Play jugs of which the truth is known, and count what is said wrongly.

A maker looks, reads, forgets, mistypes, and does what Skep asks; what it says of finished
and ready is held against what truly would still ferment. docs/safety.md tells how.

In JSON: claims have a count, of how many, and the share in per cent with its 95 % bounds;
by_trouble has the counts by what goes wrong.
Exit status: 0 all claims met, 1 could not, 2 asked wrongly, 3 a claim is not met.`,
		Example: "  skep-lab safety --jugs 500 --seed 7\n  skep-lab safety --seed 7 --jug 41",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if jugs < 1 {
				return fmt.Errorf("--jugs %d: one is the least", jugs)
			}
			*started = true
			if c.Flags().Changed("jug") {
				outcome, err := safety.Play(seed, one, app.Judge)
				for _, line := range outcome.Story {
					fmt.Fprintln(c.OutOrStdout(), line)
				}
				return err
			}
			said := time.Now()
			all, err := safety.Simulate(seed, jugs, app.Judge, func(done, of int) {
				if time.Since(said) > every {
					said = time.Now()
					fmt.Fprintf(c.ErrOrStderr(), "%d of %d jugs\n", done, of)
				}
			})
			if err != nil {
				return err
			}
			report := safety.NewReport(time.Now().Format(time.DateOnly), seed, all)
			write := report.WriteText
			switch {
			case asJSON:
				write = report.WriteJSON
			case asMarkdown:
				write = report.WriteMarkdown
			}
			if err := write(c.OutOrStdout()); err != nil {
				return err
			}
			if missed := report.Missed(); len(missed) > 0 {
				return &unsafeError{missed}
			}
			return nil
		},
	}
	c.Flags().IntVar(&jugs, "jugs", 10000, "how many")
	c.Flags().Uint64Var(&seed, "seed", 1, "another seed, other jugs")
	c.Flags().IntVar(&one, "jug", 0, "tell the story of one jug of the seed, by its number from 0")
	c.Flags().BoolVar(&asJSON, "json", false, "as JSON")
	c.Flags().BoolVar(&asMarkdown, "markdown", false, "the tables of docs/safety.md")
	c.MarkFlagsMutuallyExclusive("json", "markdown", "jug")
	return c
}
