package cli

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

func (d *door) forecastCommand() *cobra.Command {
	var ifs []string
	var of string
	var explain, ascii bool
	c := &cobra.Command{
		Use:   "forecast JUG",
		Short: "Where a jug stands, where it came from and where it is going",
		Long: `Where a jug stands, where it came from and where it is going: a chart with the range that
holds four cases in five, what may lie behind what is seen, whether it may be bottled, and
what a look to come would tell.

--if asks what would come of a deed, each for itself, beside leaving it alone; nothing is
recorded. --explain tells what is known without any reading, and what each reading did.`,
		Example: `  skep forecast elderflower
  skep forecast elderflower --if "20 C" --if "300 g honey"
  skep forecast elderflower --explain`,
		Args: exactly("the name of a jug"),
		RunE: func(_ *cobra.Command, args []string) error {
			if explain && len(ifs) > 0 {
				return &usageError{err: errors.New("--if and --explain are two questions"), hint: "ask one at a time"}
			}
			if !slices.ContainsFunc(app.Courses(), func(k [2]string) bool { return k[0] == of }) {
				return &usageError{err: fmt.Errorf("--of %q is none of the courses", of), hint: "write " + courseNames()}
			}
			d.plain = ascii || os.Getenv("TERM") == "dumb"
			return d.withCellar(func(cellar *app.Cellar) error {
				switch {
				case explain:
					return d.explain(cellar, args[0])
				case len(ifs) > 0:
					return d.whatIf(cellar, app.WhatIfWords{Jug: args[0], If: ifs})
				}
				return d.forecast(cellar, args[0], of)
			})
		},
	}
	c.Flags().StringArrayVar(&ifs, "if", nil, `what would come of it: "20 C", "300 g honey", "500 mL water"; may be given again`)
	c.Flags().BoolVar(&explain, "explain", false, "tell what each reading did to the forecast")
	c.Flags().StringVar(&of, "of", "gravity", "what the chart is of: "+courseNames())
	c.Flags().BoolVar(&ascii, "ascii", false, "draw and write in ASCII only, as is done where TERM is dumb")
	d.completeFlag(c, "of", words(courses()...))
	return d.onJug(c)
}

func courses() []string {
	var all []string
	for _, k := range app.Courses() {
		all = append(all, k[0])
	}
	return all
}

func courseNames() string { return strings.Join(courses(), ", ") }

// forecast shows all of a jug.
func (d *door) forecast(cellar *app.Cellar, name, of string) error {
	stood, err := cellar.Stand(d.ctx, name)
	if err != nil {
		return err
	}
	jug, err := cellar.Jug(d.ctx, name)
	if err != nil {
		return err
	}
	jug.Stood = stood
	return d.answer(stood, func(p *page) {
		showStanding(p, stood, cellar.Units())
		showChart(p, jug.Course(of), d.ink())
		showExplanations(p, stood.Explanations)
		showBottling(p, stood)
		showNextLooks(p, stood.NextLooks)
		showSealed(p, stood)
		showCourse(p, stood)
	})
}

func (d *door) ink() ink {
	if d.plain {
		return asciiInk
	}
	return unicodeInk
}

func showChart(p *page, c app.Course, ink ink) {
	drawn := drawCourse(c, ink)
	if drawn == "" {
		return
	}
	p.title("%s", chartTitle(c))
	p.WriteString(drawn)
	p.say("%s", ink.legend())
}

func chartTitle(c app.Course) string {
	if c.Unit == "" {
		return c.Label
	}
	return c.Label + ", " + c.Unit
}

// showExplanations lists what is likelier than one in a hundred.
func showExplanations(p *page, all []app.Explanation) {
	if len(all) == 0 {
		return
	}
	p.title("What may lie behind it")
	for i, x := range all {
		if i > 0 && x.Chance < 0.01 {
			break
		}
		p.item(fmt.Sprintf("%3.0f in 100", 100*x.Chance), "%s: %s", x.Words, strings.Join(x.Why, "; "))
	}
}

// showBottling tells whether it may be bottled, and on what that rests.
func showBottling(p *page, s app.Stood) {
	v := s.Bottling
	if v == nil {
		return
	}
	p.title("May it be bottled? %s", v.Answer)
	p.item("*", "%s", v.Reason)
	if v.Settles != "" {
		p.item("*", "what settles it: %s", v.Settles)
	}
}

// showNextLooks lists what a look would tell, the most telling first.
func showNextLooks(p *page, all []app.NextLook) {
	if len(all) == 0 {
		return
	}
	p.title("What to look at next")
	for _, n := range all {
		have := ""
		if !n.Owned {
			have = " (if you have one)"
		}
		p.item(">", "%s%s", n.Words, have)
	}
}

// whatIf shows what would come of several deeds, side by side.
func (d *door) whatIf(cellar *app.Cellar, w app.WhatIfWords) error {
	branches, err := cellar.WhatIf(d.ctx, w)
	if err != nil {
		return err
	}
	return d.answer(map[string]any{"branches": branches}, func(p *page) {
		p.title("%s, if", w.Jug)
		fmt.Fprintf(p, "  %-26s%-20s%-17s%s\n", "", "% vol at the end", "g/L sugar left", "stops sweet")
		for _, b := range branches {
			fmt.Fprintf(p, "  %-26s%-20s%-17s%.0f in 100\n", b.If,
				fmt.Sprintf("%.1f (%.1f to %.1f)", b.Final.Ethanol.Value, b.Final.Ethanol.Low, b.Final.Ethanol.High),
				fmt.Sprintf("%.0f (%.0f to %.0f)", b.Final.Sugar.Value, b.Final.Sugar.Low, b.Final.Sugar.High), 100*b.StopsSweet)
			p.fold("      over by ", "      ", showDates(&b.Finish))
			for _, c := range b.Cautions {
				p.item("    !", "%s", c)
			}
		}
	})
}

// explain shows what each reading did.
func (d *door) explain(cellar *app.Cellar, name string) error {
	told, err := cellar.Explain(d.ctx, name)
	if err != nil {
		return err
	}
	return d.answer(told, func(p *page) {
		p.title("%s: what is known without any reading", told.Jug)
		for _, k := range told.Prior {
			p.item("*", "%s", k)
		}
		p.title("What each reading did")
		for _, s := range told.Steps {
			p.item("*", "%s: %s left today; over %s", s.Said, measure.ShowRange(s.Left), showDates(&s.Finish))
			if !s.At.IsZero() {
				p.fold("    ", "    ", did(s))
			}
			for _, m := range s.Misfits {
				p.item("    !", "%s", m)
			}
		}
		showExplanations(p, told.Explanations)
		p.WriteString("\n")
		p.say("Sources: skep handbook sources; what the model leaves out: skep handbook how-long.")
	})
}

// did tells what a reading changed.
func did(s app.Did) string {
	words := fmt.Sprintf("moved it by %+.1f g/L and %+.1f days; ", s.Moved, s.Days)
	switch {
	case s.Narrowed > 0.005:
		words += fmt.Sprintf("took %.0f %% of its range away", 100*s.Narrowed)
	case s.Narrowed < -0.005:
		words += fmt.Sprintf("made its range %.0f %% wider", -100*s.Narrowed)
	default:
		words += "left its range as it was"
	}
	return words
}

func (d *door) rescueCommand() *cobra.Command {
	c := &cobra.Command{
		Use:     "rescue JUG",
		Short:   "What to do about a jug that stands still, or smells or looks wrong",
		Long:    "What to do about a jug that stands still, or smells or looks wrong: the least harmful first,\nwith doses for what is in it, what is expected of each, and when to stop.",
		Example: `  skep rescue elderflower`,
		Args:    exactly("the name of a jug"),
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				r, err := cellar.Rescue(d.ctx, args[0])
				if err != nil {
					return err
				}
				return d.answer(r, func(p *page) { showRescue(p, r) })
			})
		},
	}
	return d.onJug(c)
}

func showRescue(p *page, r app.Rescued) {
	p.title("%s, day %d: %s", r.Jug, r.Standing.Day, r.Standing.Phase)
	p.say("%s", r.Standing.Sentence)
	showExplanations(p, r.Explanations)
	if len(r.Findings) > 0 {
		p.title("Keep it or let it go?")
		for _, f := range r.Findings {
			keep := "Let it go"
			if f.Keep {
				keep = "Keep it"
			}
			p.item("*", "%s, %q: %s. %s. %s", f.At.Format("2 January"), f.Seen, f.Is, keep, f.Do)
		}
		p.say("When you cannot tell, let it go. skep handbook mould-or-vinegar says more.")
	}
	if r.Note != "" {
		p.WriteString("\n")
		p.say("No rescue is due: %s.", r.Note)
		return
	}
	p.title("The harmless things first, a week and a reading each")
	for i, m := range r.Remedies {
		showWant(p, fmt.Sprintf("%d.", i+1), m.What, m.Why)
		if m.Effect != "" {
			p.item("   =", "%s", m.Effect)
		}
	}
}

// showSealed says why a working jug is never closed tight.
func showSealed(p *page, s app.Stood) {
	if s.Sealed == nil || !s.Sealed.OneBar.Known() {
		return
	}
	p.WriteString("\n")
	p.row("never seal it", "closed tight it would pass 1 bar in about %s", measure.ShowHours(measure.Hours(s.Sealed.OneBar.Value)))
	for _, point := range s.Sealed.Course {
		p.row(fmt.Sprintf("after %.0f h", point.Hours), "%s more than outside", measure.ShowRange(point.Gain))
	}
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
