package cli

import (
	"bytes"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/exchange"
)

func (d *door) calendarCommand() *cobra.Command {
	var out string
	var force bool
	c := &cobra.Command{
		Use:   "calendar",
		Short: "What jugs and bottles want, day by day; as a file for your calendar with --out",
		Long: `List portions of nutrient, next looks, rackings, bottlings, tastings and when bottles are
at their best, day by day. With --out they are written as an iCalendar file, which any
calendar program reads. Write and read it again when the forecast has moved: the events
move with it, and none is there twice.`,
		Example: `  skep calendar
  skep calendar --out jugs.ics
  skep calendar --out jugs.ics --force`,
		Args: exactly(),
		RunE: func(*cobra.Command, []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				list, err := cellar.Calendar(d.ctx)
				if err != nil {
					return err
				}
				if out != "" {
					var file bytes.Buffer
					if err := exchange.Calendar(&file, list); err != nil {
						return err
					}
					if err := writeNew(out, file.Bytes(), force); err != nil {
						return err
					}
				}
				answer := map[string]any{"occasions": list}
				if out != "" {
					answer["file"] = out
				}
				return d.answer(answer, func(p *page) { showCalendar(p, list, out, cellar) })
			})
		},
	}
	c.Flags().StringVar(&out, "out", "", "the file to write, .ics")
	c.Flags().BoolVar(&force, "force", false, "write over a file that is there")
	if err := c.MarkFlagFilename("out", "ics"); err != nil {
		panic("cli: " + err.Error())
	}
	return c
}

func showCalendar(p *page, list []app.Occasion, out string, cellar *app.Cellar) {
	if out != "" {
		p.say("Written: %s, %d events.", out, len(list))
		return
	}
	if len(list) == 0 {
		p.say("Nothing is on the calendar.")
	}
	for _, o := range list {
		day := o.Begin.Format("Mon 2 Jan 2006")
		if o.Timed {
			day = o.Begin.In(cellar.Now().Location()).Format("Mon 2 Jan 2006 15:04")
		}
		what := o.What
		if o.Cancelled {
			what = "no longer: " + what
		}
		showWant(p, day+" "+o.Jug+":", what, o.Why)
	}
}
