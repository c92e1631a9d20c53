package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/batch"
	"skep/internal/exchange"
)

func (d *door) backupCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "backup FILE",
		Short:   "Write a whole copy of the record to a new file",
		Example: "  skep backup cellar-2026-11.db",
		Args:    exactly("a file to write"),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				if err := cellar.Backup(d.ctx, args[0]); err != nil {
					return err
				}
				return d.answer(map[string]string{"file": args[0]}, func(p *page) { p.say("Copied to %s.", args[0]) })
			})
		},
	}
}

func (d *door) checkCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check",
		Short: "Is the record whole?",
		Args:  exactly(),
		RunE: func(*cobra.Command, []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				if err := cellar.Whole(d.ctx); err != nil {
					return fault{fmt.Errorf("the record is not whole: %w", err)}
				}
				return d.answer(map[string]bool{"whole": true}, func(p *page) { p.say("The record is whole.") })
			})
		},
	}
}

func (d *door) restoreCommand() *cobra.Command {
	var replace bool
	c := &cobra.Command{
		Use:   "restore FILE",
		Short: "Bring back the record from a copy that backup wrote",
		Long: `Put a copy of the record, as skep backup wrote it, in its place. The copy is checked first and
stays as it is. A record that is there is never written over: with --replace it is kept
beside, under a name with the time.`,
		Example: `  skep restore cellar-2026-11.db
  skep restore cellar-2026-11.db --replace`,
		Args: exactly("the file to restore"),
		RunE: func(_ *cobra.Command, args []string) error {
			path, clock, err := d.where()
			if err != nil {
				return err
			}
			restored, err := app.Restore(d.ctx, args[0], path, replace, clock)
			if err != nil {
				return err
			}
			return d.answer(restored, func(p *page) {
				p.say("Restored to %s. Jugs in it: %d.", restored.Cellar, restored.Jugs)
				if restored.Kept != "" {
					p.say("The record that was there is kept as %s.", restored.Kept)
				}
			})
		},
	}
	c.Flags().BoolVar(&replace, "replace", false, "though a record is there: keep it beside under another name")
	return c
}

func (d *door) exportCommand() *cobra.Command {
	var out string
	var force bool
	c := &cobra.Command{
		Use:   "export JUG",
		Short: "Write a jug's whole record as an open JSON document",
		Long: `Write all that was ever recorded of a jug, corrections too, as a JSON document that other
programs can read and skep import takes back, word for word. Without --out it is
printed. It holds your own words: look through it before you give it away.`,
		Example: `  skep export elderflower --out elderflower.json
  skep export elderflower`,
		Args: exactly("the name of a jug"),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				events, err := cellar.Record(d.ctx, args[0])
				if err != nil {
					return err
				}
				var document bytes.Buffer
				if err := exchange.WriteJug(&document, events); err != nil {
					return err
				}
				if out == "" {
					_, err := document.WriteTo(d.out)
					return err
				}
				if err := writeNew(out, document.Bytes(), force); err != nil {
					return err
				}
				return d.answer(map[string]any{"file": out, "entries": len(events)}, func(p *page) { p.say("Written: %s, %d entries.", out, len(events)) })
			})
		},
	}
	c.Flags().StringVar(&out, "out", "", "the file to write (default printed)")
	c.Flags().BoolVar(&force, "force", false, "write over a file that is there")
	if err := c.MarkFlagFilename("out", "json"); err != nil {
		panic("cli: " + err.Error())
	}
	return d.onJug(c)
}

func (d *door) importCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "import FILE",
		Short: "Take in a jug's record that export wrote",
		Long: `Take in a jug's record as skep export wrote it; - reads it from standard input. What is
there already is passed over, so that a jug that has grown elsewhere can be taken in again.
A jug that was written to on both sides is refused.`,
		Example: `  skep import elderflower.json
  skep export elderflower | skep --cellar other.db import -`,
		Args: exactly("the file to read"),
		RunE: func(_ *cobra.Command, args []string) error {
			events, err := readJug(args[0], d.in)
			if err != nil {
				return fmt.Errorf("%s: %w", args[0], err)
			}
			return d.withCellar(func(cellar *app.Cellar) error {
				taken, err := cellar.Take(d.ctx, events)
				if err != nil {
					return err
				}
				return d.answer(taken, func(p *page) {
					if taken.New == 0 {
						p.say("All %d entries of %q are here already.", taken.Entries, taken.Jug)
						return
					}
					p.say("Taken in: %q, %d entries, %d of them new.", taken.Jug, taken.Entries, taken.New)
					showStanding(p, taken.Stand, cellar.Units())
				})
			})
		},
	}
}

// readJug reads a jug's document from a file, or from in if it is called -.
func readJug(path string, in io.Reader) ([]batch.Event, error) {
	if path == "-" {
		return exchange.ReadJug(in)
	}
	file, err := os.Open(path)
	if err != nil {
		var of *fs.PathError
		if errors.As(err, &of) {
			err = of.Err
		}
		return nil, err
	}
	defer file.Close() // it was only read
	return exchange.ReadJug(file)
}
