package lab

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"skep/internal/lab/pages"
)

func pagesCommand(started *bool) *cobra.Command {
	var asJSON bool
	var program string
	var jugs int
	c := &cobra.Command{
		Use:   "pages",
		Short: "Measure the pages of a cellar of 1,000 jugs and 100,000 entries",
		Long: `Measure the pages of a cellar of 1,000 jugs and 100,000 entries, made up for it in a folder
that is thrown away: how long 20 browsers wait while a phone writes, what a first visit
loads and when it has been drawn, memory, and size of the program; and how long they wait
while every forecast is made anew, as after an update. Takes some minutes, most of them to
make the thousand forecasts.`,
		Example: "  go build -o skep ./cmd/skep && go run ./cmd/skep-lab pages --program ./skep",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if jugs < 1 {
				return fmt.Errorf("--jugs %d: a cellar has one at least", jugs)
			}
			*started = true
			say := func(format string, args ...any) { fmt.Fprintf(c.ErrOrStderr(), format+"\n", args...) }
			folder, err := os.MkdirTemp("", "skep-pages-")
			if err != nil {
				return err
			}
			defer os.RemoveAll(folder)
			path := filepath.Join(folder, "cellar.db")
			said := time.Now()
			if err := pages.Fill(c.Context(), path, jugs, time.Now().Truncate(time.Second), func(done, of int) {
				if time.Since(said) > every {
					said = time.Now()
					say("%d of %d jugs written", done, of)
				}
			}); err != nil {
				return err
			}
			report, err := pages.Measure(c.Context(), program, path, jugs, say)
			if err != nil {
				return err
			}
			if asJSON {
				encoder := json.NewEncoder(c.OutOrStdout())
				encoder.SetIndent("", "  ")
				return encoder.Encode(report)
			}
			return writePages(c.OutOrStdout(), report)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "as JSON")
	c.Flags().IntVar(&jugs, "jugs", 1000, "how many jugs, of 100 entries each")
	c.Flags().StringVar(&program, "program", "./skep", "the program to measure, built")
	return c
}

func writePages(w io.Writer, r pages.Report) error {
	var err error
	say := func(format string, args ...any) {
		if err == nil {
			_, err = fmt.Fprintf(w, format+"\n", args...)
		}
	}
	waits := func(all []pages.Wait) {
		for _, v := range all {
			say("%-36s %5d asked, %d failed   median %6.1f ms   99 in 100 within %6.1f ms   %d bytes", v.What, v.Asked, v.Failed, v.Median, v.P99, v.Bytes)
		}
	}
	say("%d jugs, %d entries; 20 browsers, a page each half second, while a phone writes", r.Jugs, r.Events)
	waits(r.Waits)
	say("the same while every jug is worked out anew")
	waits(r.Meantime)
	for _, v := range r.FirstRun {
		say("first visit to %-21s %d bytes in %d requests, largest paint after %.0f ms (slow phone, slow line)", v.Page, v.Bytes, v.Requests, v.Largest)
	}
	if r.Skipped != "" {
		say("first visit not measured: %s", r.Skipped)
	}
	say("memory %.0f MB at most; program %.1f MB; every jug worked out anew behind the pages in %.0f s", r.Memory, r.Binary, r.Prepared)
	return err
}
