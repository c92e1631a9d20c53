package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/paper"
)

// printed is where a sheet goes.
type printed struct {
	out   string
	paper string
	force bool
}

func (d *door) cardCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "card",
		Short: "Print: labels, a jug's tag, brew day, the shelf, a jug's story, a sheet for a class",
		Long: `Draw what is printed, as PDF. Each kind is a command of its own; none writes over a file
that is there unless --force is told.`,
		Example: `  skep card label elderflower --out labels.pdf
  skep card tag elderflower --out tag.pdf`,
		Args: noSuchCommand,
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(d.labelCommand(), d.tagCommand(), d.brewDayCommand(), d.storyCommand(), d.classCommand(), d.shelfListCommand())
	return c
}

// printing adds the flags of everything that is printed.
func (d *door) printing(c *cobra.Command, p *printed) {
	c.Flags().StringVar(&p.out, "out", "", "the PDF file to write")
	c.Flags().BoolVar(&p.force, "force", false, "write over a file that is there")
	if err := c.MarkFlagFilename("out", "pdf"); err != nil {
		panic("cli: " + err.Error())
	}
}

// onPaper adds the flag of which paper, for all but labels, whose sheet says it.
func (d *door) onPaper(c *cobra.Command, p *printed) {
	d.printing(c, p)
	c.Flags().StringVar(&p.paper, "paper", "", "A4 or Letter (default Letter with US units, else A4)")
	d.completeFlag(c, "paper", words("A4", "Letter"))
}

func (p *printed) size(cellar *app.Cellar) (paper.Paper, error) {
	return paper.PaperFor(p.paper, cellar.Units())
}

// sheet draws into memory and then writes the file, so that a fault leaves none behind.
func (d *door) sheet(p *printed, draw func(io.Writer) error, more map[string]any, notes ...string) error {
	if p.out == "" {
		return &usageError{err: errors.New("--out is not told: where to write the PDF"), hint: "write --out FILE.pdf"}
	}
	var pdf bytes.Buffer
	if err := draw(&pdf); err != nil {
		return err
	}
	if err := writeNew(p.out, pdf.Bytes(), p.force); err != nil {
		return err
	}
	answer := map[string]any{"file": p.out}
	for k, v := range more {
		answer[k] = v
	}
	return d.answer(answer, func(page *page) {
		page.say("Written: %s.", p.out)
		for _, n := range notes {
			page.item("*", "%s.", strings.ToUpper(n[:1])+n[1:])
		}
	})
}

// writeNew writes a file whole or not at all, and not over one that is there unless force.
func writeNew(path string, content []byte, force bool) (err error) {
	if !force {
		if _, err := os.Stat(path); err == nil {
			return &usageError{err: fmt.Errorf("%s is there already", path), hint: "--force writes over it"}
		}
	}
	part, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no folder %s", path, filepath.Dir(path))
	}
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(part.Name()))
		}
	}()
	_, err = part.Write(content)
	if err = errors.Join(err, part.Chmod(0o644), part.Close()); err != nil {
		return err
	}
	return os.Rename(part.Name(), path)
}

func (d *door) tagCommand() *cobra.Command {
	var p printed
	c := &cobra.Command{
		Use:     "tag JUG...",
		Short:   "What hangs on jugs: name, date, next look, and lines to write on; four to a page",
		Example: "  skep card tag elderflower --out tag.pdf\n  skep card tag elderflower heather --out tags.pdf",
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return exactly("the name of a jug")(c, args)
			}
			return d.withCellar(func(cellar *app.Cellar) error {
				size, err := p.size(cellar)
				if err != nil {
					return err
				}
				var cards []app.Card
				for _, name := range args {
					card, err := cellar.Card(d.ctx, name)
					if err != nil {
						return err
					}
					cards = append(cards, card)
				}
				return d.sheet(&p, func(w io.Writer) error { return paper.Tags(w, size, cards, cellar.Now()) }, map[string]any{"tags": len(cards)})
			})
		},
	}
	d.onPaper(c, &p)
	c = d.onJug(c)
	first := c.ValidArgsFunction
	c.ValidArgsFunction = func(c *cobra.Command, _ []string, begun string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return first(c, nil, begun) // any number of jugs
	}
	return c
}

func (d *door) storyCommand() *cobra.Command {
	return d.aboutJug("story", "A jug's whole story: where it stands, what went in, all that was written of it",
		func(w io.Writer, size paper.Paper, card app.Card, cellar *app.Cellar) error {
			return paper.Story(w, size, card, cellar.Now())
		})
}

func (d *door) classCommand() *cobra.Command {
	return d.aboutJug("class", "A sheet for a class: five numbers of a jug to be measured, the answers on page two",
		func(w io.Writer, size paper.Paper, card app.Card, cellar *app.Cellar) error {
			return paper.Class(w, size, card, cellar.Now())
		})
}

// aboutJug is a command that prints what is known of one jug.
func (d *door) aboutJug(name, short string, draw func(io.Writer, paper.Paper, app.Card, *app.Cellar) error) *cobra.Command {
	var p printed
	c := &cobra.Command{
		Use:     name + " JUG",
		Short:   short,
		Example: fmt.Sprintf("  skep card %s elderflower --out %s.pdf", name, name),
		Args:    exactly("the name of a jug"),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				size, err := p.size(cellar)
				if err != nil {
					return err
				}
				card, err := cellar.Card(d.ctx, args[0])
				if err != nil {
					return err
				}
				return d.sheet(&p, func(w io.Writer) error { return draw(w, size, card, cellar) }, map[string]any{"jug": card.Name})
			})
		},
	}
	d.onPaper(c, &p)
	return d.onJug(c)
}

func (d *door) brewDayCommand() *cobra.Command {
	var p printed
	c := &cobra.Command{
		Use:     "sheet PLAN",
		Short:   "Brew day of a plan that was kept, step by step, to tick off",
		Example: "  skep card sheet blackberry --out blackberry.pdf",
		Args:    exactly("the name of a plan"),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				size, err := p.size(cellar)
				if err != nil {
					return err
				}
				plan, err := cellar.KeptPlan(d.ctx, args[0])
				if err != nil {
					return err
				}
				steps, err := cellar.Sheet(d.ctx, plan)
				if err != nil {
					return err
				}
				return d.sheet(&p, func(w io.Writer) error { return paper.BrewDay(w, size, plan, steps, cellar.Now()) }, map[string]any{"plan": plan.Name})
			})
		},
	}
	d.onPaper(c, &p)
	c.ValidArgsFunction = func(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return d.names(d.planNames)
	}
	return c
}

func (d *door) shelfListCommand() *cobra.Command {
	var p printed
	c := &cobra.Command{
		Use:     "shelf",
		Short:   "What is bottled and left, with a box for each bottle to strike out",
		Example: "  skep card shelf --out shelf.pdf",
		Args:    exactly(),
		RunE: func(*cobra.Command, []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				size, err := p.size(cellar)
				if err != nil {
					return err
				}
				lots, err := cellar.Shelf(d.ctx)
				if err != nil {
					return err
				}
				return d.sheet(&p, func(w io.Writer) error { return paper.Shelf(w, size, lots, cellar.Now()) }, map[string]any{"lots": len(lots)})
			})
		},
	}
	d.onPaper(c, &p)
	return c
}

// labelFlags are what a label is asked for beside its words.
type labelFlags struct {
	printed
	words app.LabelWords
	title string
	ask   paper.LabelAsk
}

func (d *door) labelCommand() *cobra.Command {
	var l labelFlags
	var sheets []string
	for _, g := range paper.Grids() {
		sheets = append(sheets, g.String())
	}
	c := &cobra.Command{
		Use:   "label JUG",
		Short: "Labels for the bottles of a jug, on any sheet of labels",
		Long: `Draw labels for the bottles of a jug, as many as are left on the shelf, else a sheet full.

The sheet is told by its dimensions: paper, labels across x down, width x height in mm.
Common ones: ` + strings.Join(sheets, ", ") + `.
"A4 90x60" makes as many of that size as the paper holds, to cut out; "A4 2x4 99.1x67.7 gap
2.5x0 from 4.65x13.1" is measured with a ruler.

Text that does not fit is set smaller, down to 6 points, and then refused, never cut:
choose a larger label, or leave a field out with --without. A label smaller than 80 x 45
mm has no code and no range of the strength unless you ask for them.

What a label must say is the law of your place. Nothing home-made is for sale without a
licence.`,
		Example: `  skep card label elderflower --out labels.pdf
  skep card label elderflower --sheet "A4 3x7 63.5x38.1" --start 8 --count 6 --out labels.pdf
  skep card label elderflower --title "Elderflower for Anna" --words "from the hedge" --law UK --steps 0.1 --out anna.pdf`,
		Args: exactly("the name of a jug"),
		RunE: func(c *cobra.Command, args []string) error {
			l.words.Jug = args[0]
			if c.Flags().Changed("title") {
				l.words.Title = &l.title
			}
			return d.withCellar(func(cellar *app.Cellar) error { return d.labels(cellar, l) })
		},
	}
	f := c.Flags()
	f.StringVar(&l.title, "title", "", "the name on the label (default that of the jug)")
	f.StringVar(&l.words.Words, "words", "", "your own words under the title")
	f.StringVar(&l.words.Size, "size", "", `of the bottles, if several sizes were filled: "375 mL"`)
	f.StringVar(&l.words.Law, "law", "", "EU, UK or US: when sulphites are told of, how large a drink is (default your own, else by your units)")
	f.StringVar(&l.words.Steps, "steps", "", "strength in steps of 0.5 or 0.1 % vol (default 0.5)")
	f.StringVar(&l.words.DrinkFrom, "drink-from", "", `"2027-03-01" (default when a wine of its strength is likely at its best)`)
	f.StringVar(&l.ask.Sheet, "sheet", "", `"A4 2x4 99.1x67.7" (default; with US units "Letter 2x3 101.6x84.7")`)
	f.IntVar(&l.ask.Start, "start", 1, "the first label on the sheet that is still there, counted along the rows")
	f.IntVar(&l.ask.Count, "count", 0, "how many labels (default the bottles left, else a full sheet)")
	f.StringVar(&l.ask.Code, "code", "", `what a phone reads: facts, none, or an address: "http://…" (default facts)`)
	f.StringArrayVar(&l.ask.Without, "without", nil, "leave a field out, one each: "+strings.Join(paper.Droppable, ", "))
	f.BoolVar(&l.ask.Outline, "outline", false, "draw where to cut, for plain paper")
	d.printing(c, &l.printed)
	d.completeFlag(c, "sheet", words(sheets...))
	d.completeFlag(c, "law", words(string(app.Europe), string(app.UnitedKingdom), string(app.UnitedStates)))
	d.completeFlag(c, "steps", words("0.5", "0.1"))
	d.completeFlag(c, "without", words(paper.Droppable...))
	d.completeFlag(c, "code", words("facts", "none"))
	return d.onJug(c)
}

func (d *door) labels(cellar *app.Cellar, l labelFlags) error {
	label, err := cellar.Label(d.ctx, l.words)
	if err != nil {
		return err
	}
	sheet, count, err := l.ask.Lay(label, cellar.Units())
	if err != nil {
		return err
	}
	all := slices.Repeat([]app.Label{label}, count)
	return d.sheet(&l.printed, func(w io.Writer) error { return paper.Labels(w, all, sheet, cellar.Now()) },
		map[string]any{"label": label, "labels": count, "sheet": sheet.Grid.String()}, label.Notes...)
}
