package lab

import (
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"
)

// missedError says that tables which decide lie beyond their tolerance.
type missedError struct{ results []Result }

func (e *missedError) Error() string {
	text := "beyond the tolerance:"
	for _, r := range e.results {
		text += fmt.Sprintf("\n  %s: %s at %s (%d of %d rows), tolerance %s", r.Quantity, r.deviation(), r.Where, r.Missed, r.Rows, r.tolerance())
	}
	return text
}

// faults returns a *missedError if a result is a fault.
func faults(results []Result) error {
	missed := slices.DeleteFunc(slices.Clone(results), func(r Result) bool { return !r.fault() })
	if len(missed) == 0 {
		return nil
	}
	return &missedError{missed}
}

// Run carries out one command line and returns the exit status: 0 done, 1 could not,
// 2 asked wrongly, 3 a tolerance was missed.
func Run(args []string, stdout, stderr io.Writer) int {
	started := false
	root := &cobra.Command{
		Use:           "skep-lab",
		Short:         "Run the evaluations behind Skep's figures",
		SilenceErrors: true, SilenceUsage: true,
		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true},
	}
	root.AddCommand(accuracyCommand(&started), calibrateCommand(&started), pagesCommand(&started), safetyCommand(&started), speedCommand(&started))
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.Execute()
	if err == nil {
		return 0
	}
	fmt.Fprintln(stderr, "skep-lab:", err)
	return exitStatus(err, started)
}

// exitStatus tells what was asked wrongly from what went wrong once started.
func exitStatus(err error, started bool) int {
	switch err.(type) {
	case *missedError, *unsafeError:
		return 3
	}
	if started {
		return 1
	}
	return 2
}

func accuracyCommand(started *bool) *cobra.Command {
	var asJSON, asMarkdown bool
	c := &cobra.Command{
		Use:   "accuracy",
		Short: "Hold every published quantity that Skep computes against its tables",
		Long: `Hold every published quantity that Skep computes against its tables, row by row.

A row that says — is from memory, and decides nothing.
Exit status: 0 all within their tolerance, 1 could not, 2 asked wrongly, 3 a tolerance was missed.`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			*started = true
			results, err := Accuracy()
			if err != nil {
				return err
			}
			write := writeText
			switch {
			case asJSON:
				write = writeJSON
			case asMarkdown:
				write = writeMarkdown
			}
			if err := write(c.OutOrStdout(), results); err != nil {
				return err
			}
			return faults(results)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "as JSON, numbers in the unit beside them")
	c.Flags().BoolVar(&asMarkdown, "markdown", false, "as docs/accuracy.md")
	c.MarkFlagsMutuallyExclusive("json", "markdown")
	return c
}
