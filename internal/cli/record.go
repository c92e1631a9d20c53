package cli

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

var errNothingAdded = errors.New("nothing was added")

// record is the run of a command that writes one entry into a jug's record and tells
// where the jug stands after it.
func (d *door) record(jug *string, write func(*app.Cellar, []string) (app.Recorded, error)) func(*cobra.Command, []string) error {
	return func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return exactly("the name of a jug")(c, args)
		}
		*jug = args[0]
		return d.withCellar(func(cellar *app.Cellar) error {
			recorded, err := write(cellar, args[1:])
			if err != nil {
				return err
			}
			return d.answer(recorded, func(p *page) {
				p.say("Recorded as %d of %q: %s.", recorded.Number, recorded.Jug, strings.TrimSuffix(recorded.Said, "."))
				for _, caution := range recorded.Cautions {
					p.item("!", "%s", caution)
				}
				showStanding(p, recorded.Stand, cellar.Units())
			})
		})
	}
}

// onJug completes the first word with the names of jugs.
func (d *door) onJug(c *cobra.Command) *cobra.Command {
	c.ValidArgsFunction = func(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return d.names(func(cellar *app.Cellar) ([]string, error) {
			kitchen, err := cellar.Kitchen(d.ctx)
			return kitchen.Jugs, err
		})
	}
	return c
}

// completeFlag completes a flag with what names returns.
func (d *door) completeFlag(c *cobra.Command, flag string, names func(*app.Cellar) ([]string, error)) {
	err := c.RegisterFlagCompletionFunc(flag, func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return d.names(names)
	})
	if err != nil {
		panic("cli: " + err.Error())
	}
}

func (d *door) names(names func(*app.Cellar) ([]string, error)) ([]cobra.Completion, cobra.ShellCompDirective) {
	var all []string
	err := d.withCellar(func(cellar *app.Cellar) (err error) {
		all, err = names(cellar)
		return err
	})
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	return all, cobra.ShellCompDirectiveNoFileComp
}

func (d *door) planNames(cellar *app.Cellar) ([]string, error) { return cellar.PlanNames(d.ctx) }

func entryNumber(words string) (int, error) {
	n, err := strconv.Atoi(strings.TrimPrefix(words, "#"))
	if err != nil || n < 1 {
		return 0, &usageError{err: fmt.Errorf("%q is no number of an entry", words), hint: "skep history JUG shows the numbers"}
	}
	return n, nil
}

// showStarted tells what brew day came to.
func showStarted(p *page, s app.Started, sys measure.System) {
	p.say("%q is in the record: %s of must.", s.Jug, measure.ShowVolume(measure.Litres(s.Volume.Value), sys))
	for _, a := range s.Assumed {
		p.item("*", "Taken for granted: %s.", a)
	}
	if s.Check != nil {
		showCheck(p, s.Check)
	}
	showStanding(p, s.Stand, sys)
}

// showStanding tells where a jug stands, in a few lines.
func showStanding(p *page, s app.Stood, sys measure.System) {
	p.title("%s, day %d: %s", s.Jug, s.Standing.Day, s.Standing.Phase)
	p.say("%s", s.Standing.Sentence)
	for _, fact := range s.Standing.Because {
		p.item("*", "%s", fact)
	}
	if s.Unknown != "" {
		p.item("!", "No estimate: %s.", s.Unknown)
	}
	if s.Now == nil {
		return
	}
	if s.Doubt != "" {
		p.item("!", "%s", s.Doubt)
	}
	for _, m := range s.Misfits {
		if !slices.Contains(s.Standing.Because, m.Words) {
			p.item("!", "%s", m.Words)
		}
	}
	p.WriteString("\n")
	p.row("gravity", "%s", measure.ShowRange(s.Now.Gravity))
	p.row("strength now", "%s", measure.ShowRange(s.Now.Ethanol))
	p.row("sugar left", "%s", measure.ShowRange(s.Now.Hexose))
	p.row("at the end", "%s; gravity %s", measure.ShowRange(s.Final.Ethanol), measure.ShowRange(s.Final.Gravity))
	p.row("over by", "%s", showDates(s.Finish))
	if s.Volume.Value > 0 {
		p.row("in the jug", "%s", measure.ShowVolume(measure.Litres(s.Volume.Value), sys))
	}
	for _, a := range s.Assumed {
		p.row("taken for granted", "%s", a)
	}
	if len(s.Standing.Next) > 0 {
		p.WriteString("\n")
		for _, w := range s.Standing.Next {
			showWant(p, "> "+w.At.Format("Mon 2 Jan")+":", w.What, w.Why)
		}
	}
}

// showWant tells what is wanted and why.
func showWant(p *page, mark, what, why string) {
	if why == "" {
		p.item(mark, "%s.", what)
		return
	}
	p.item(mark, "%s (%s).", what, why)
}

// showDates tells a day with its range.
func showDates(f *app.Dates) string {
	const day = "2 January 2006"
	if f.Chance < 0.5 {
		return fmt.Sprintf("not before %s; %.0f of 100 that it stops or takes longer than this looks ahead", f.From.Format(day), 100*(1-f.Chance))
	}
	if f.From.Format(day) == f.To.Format(day) {
		return f.Day.Format(day)
	}
	return fmt.Sprintf("about %s, most likely %s to %s", f.Day.Format(day), f.From.Format("2 January"), f.To.Format(day))
}
