package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

func (d *door) todayCommand() *cobra.Command {
	var ahead int
	c := &cobra.Command{
		Use:   "today",
		Short: "What every jug wants today, and why",
		Example: `  skep today
  skep today --ahead 7`,
		Args: exactly(),
		RunE: func(*cobra.Command, []string) error {
			if ahead < 0 || ahead > 3650 {
				return &usageError{err: fmt.Errorf("--ahead %d is outside 0 to 3650 days", ahead)}
			}
			return d.withCellar(func(cellar *app.Cellar) error {
				list, err := cellar.Today(d.ctx, time.Duration(ahead)*24*time.Hour)
				if err != nil {
					return err
				}
				return d.answer(map[string]any{"wants": list}, func(p *page) { d.showToday(p, list, cellar) })
			})
		},
	}
	c.Flags().IntVar(&ahead, "ahead", 0, "look so many days ahead")
	return c
}

func (d *door) showToday(p *page, list []app.Wanted, cellar *app.Cellar) {
	if len(list) == 0 {
		kitchen, err := cellar.Kitchen(d.ctx)
		if err == nil && len(kitchen.Jugs) == 0 {
			p.say("There is no jug yet. Plan one with skep plan, record one with skep start, or watch one go by with skep demo.")
			return
		}
		p.say("Nothing is wanted today. skep today --ahead 14 looks further.")
		return
	}
	for _, w := range list {
		when := ""
		if w.At.After(cellar.Now()) {
			when = " from " + w.At.Local().Format("2 January")
		}
		showWant(p, w.Jug+when+":", w.What, w.Why)
	}
}

func (d *door) historyCommand() *cobra.Command {
	c := &cobra.Command{
		Use:     "history JUG",
		Short:   "Everything written of a jug, with what was corrected and taken back",
		Example: `  skep history elderflower`,
		Args:    exactly("the name of a jug"),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				lines, err := cellar.History(d.ctx, args[0])
				if err != nil {
					return err
				}
				return d.answer(map[string]any{"history": lines}, func(p *page) { showHistory(p, lines) })
			})
		},
	}
	return d.onJug(c)
}

func showHistory(p *page, lines []app.HistoryLine) {
	for _, l := range lines {
		said := l.Said
		if l.Corrected != 0 {
			said = fmt.Sprintf("[corrected by %d to: %s] %s", l.Corrected, l.CorrectedTo, said)
		}
		if l.Withdrawn != 0 {
			said = fmt.Sprintf("[taken back by %d] %s", l.Withdrawn, said)
		}
		p.item(fmt.Sprintf("%4d  %s ", l.Number, measure.ShowTime(l.At)), "%s", said)
	}
}
