package cli

import (
	"fmt"
	"slices"
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

func (d *door) forecastCommand() *cobra.Command {
	c := &cobra.Command{
		Use:     "forecast JUG",
		Short:   "Where a jug stands, where it came from and where it is going",
		Example: `  skep forecast elderflower`,
		Args:    exactly("the name of a jug"),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				stood, err := cellar.Stand(d.ctx, args[0])
				if err != nil {
					return err
				}
				return d.answer(stood, func(p *page) {
					showStanding(p, stood, cellar.Units())
					showSealed(p, stood)
					showCourse(p, stood)
				})
			})
		},
	}
	return d.onJug(c)
}

// showSealed says why a working jug is never closed tight.
func showSealed(p *page, s app.Stood) {
	if s.Sealed == nil || !s.Sealed.OneBar.Known() {
		return
	}
	p.WriteString("\n")
	p.row("never seal it", "closed tight it would pass 1 bar in about %s", showHours(s.Sealed.OneBar.Value))
	for _, point := range s.Sealed.Course {
		p.row(fmt.Sprintf("after %.0f h", point.Hours), "%s more than outside", measure.ShowRange(point.Gain))
	}
}

func showHours(h float64) string {
	switch {
	case h < 2:
		return fmt.Sprintf("%.0f minutes", 60*h)
	case h < 48:
		return fmt.Sprintf("%.0f hours", h)
	}
	return fmt.Sprintf("%.0f days", h/24)
}

// showCourse is a table of the past and the future, a dozen lines of it, to a little
// after the end.
func showCourse(p *page, s app.Stood) {
	end := s.At
	if s.Finish != nil && s.Finish.To.After(end) {
		end = s.Finish.To
	}
	end = end.AddDate(0, 0, 7)
	course := s.Course
	if after := slices.IndexFunc(course, func(c app.Point) bool { return c.Day.After(end) }); after >= 0 {
		course = course[:after+1]
	}
	if len(course) == 0 {
		return
	}
	p.title("Course (80 %% of cases)")
	fmt.Fprintf(p, "  %-10s %-24s %-20s %s\n", "", "gravity", "% vol", "sugar left, g/L")
	step := max(1, (len(course)+11)/12)
	now := false
	for i := 0; i < len(course); i += step {
		point := course[i]
		if !now && point.Day.After(s.At) {
			now = true
			fmt.Fprintf(p, "  %s\n", "now -------------------------------------------------------------------")
		}
		fmt.Fprintf(p, "  %-10s %.3f (%.3f to %.3f)   %4.1f (%4.1f to %4.1f)  %4.0f (%.0f to %.0f)\n",
			point.Day.Format("2 Jan"), point.Gravity.Value, point.Gravity.Low, point.Gravity.High,
			point.Ethanol.Value, point.Ethanol.Low, point.Ethanol.High,
			point.Hexose.Value, point.Hexose.Low, point.Hexose.High)
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
