package cli

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"skep/internal/app/calc"
	"skep/internal/measure"
)

func (d *door) calcCommand() *cobra.Command {
	var list, explain bool
	c := &cobra.Command{
		Use:   "calc NAME",
		Short: "Answer one question with a number: density, strength, pressure, sugar",
		Long: `Answer one question with a number and its range, in which the truth lies in four cases
of five. Quantities are given with their units. No record is needed: gallons, cups and
spoons are metric or imperial unless --units says otherwise.`,
		Example: `  skep calc --list
  skep calc abv --og 1.098 --fg 1.004
  skep calc bottle-pressure --residual-sugar "8 g/L" --bottle "still-wine glass" --explain`,
		Args: noSuchCommand,
		RunE: func(c *cobra.Command, _ []string) error {
			if !list {
				return c.Help()
			}
			return d.answer(map[string][]calc.Calculation{"calculations": calc.All()}, func(p *page) {
				for _, k := range calc.All() {
					p.row(k.Name, "%s", k.Question)
				}
			})
		},
		SuggestionsMinimumDistance: 2,
	}
	c.Flags().BoolVar(&list, "list", false, "list what can be asked")
	c.PersistentFlags().BoolVar(&explain, "explain", false, "show the way there, the sources and what it is good for")
	for _, k := range calc.All() {
		c.AddCommand(d.calculation(k, &explain))
	}
	return c
}

// calculation is the command of one calculation.
func (d *door) calculation(k calc.Calculation, explain *bool) *cobra.Command {
	words := map[string][]string{}
	c := &cobra.Command{
		Use:   k.Name,
		Short: k.Question,
		Long:  k.Question + "\n\n" + folded(k.Method) + "\nGood for: " + k.Valid + ".",
		Args:  exactly(),
		RunE: func(*cobra.Command, []string) error {
			sys, err := d.system()
			if err != nil {
				return err
			}
			answer, err := k.Answer(words, sys)
			if err != nil {
				return err
			}
			return d.answer(answer, func(p *page) {
				showCalculated(p, answer, sys)
				if *explain {
					explainCalculated(p, answer)
				}
			})
		},
	}
	for _, example := range k.Examples {
		c.Example += "  skep calc " + k.Name + " " + example + "\n"
	}
	c.Example = strings.TrimSuffix(c.Example, "\n")
	for _, i := range k.Inputs {
		help := i.Help
		if len(i.Choices) > 0 {
			help += ": " + strings.Join(i.Choices, ", ")
		}
		if i.Many {
			help += "; may be repeated"
		}
		c.Flags().Var(flagWords{i.Name, words}, i.Name, help)
		complete := cobra.NoFileCompletions
		if len(i.Choices) > 0 {
			complete = cobra.FixedCompletions(i.Choices, cobra.ShellCompDirectiveNoFileComp)
		}
		if err := c.RegisterFlagCompletionFunc(i.Name, complete); err != nil {
			panic(err) // a name said twice in the table
		}
	}
	return c
}

// flagWords collects what is said of one input, as often as it is said.
type flagWords struct {
	name string
	all  map[string][]string
}

func (f flagWords) Set(words string) error {
	f.all[f.name] = append(f.all[f.name], words)
	return nil
}

func (f flagWords) String() string { return strings.Join(f.all[f.name], " ") }
func (f flagWords) Type() string   { return "words" }

// system is whose units are meant when no record says so.
func (d *door) system() (measure.System, error) {
	switch s := measure.System(d.units); s {
	case measure.US, measure.Imperial, measure.Metric:
		return s, nil
	case "":
		return measure.Metric, nil
	}
	return "", &usageError{err: fmt.Errorf("--units %q is no system of units", d.units), hint: "write us, imperial or metric"}
}

func folded(words string) string {
	p := &page{}
	p.say("%s", words)
	return p.String()
}

func showCalculated(p *page, a calc.Answer, sys measure.System) {
	width := 0
	for _, r := range a.Results {
		width = max(width, utf8.RuneCountInString(r.Name))
	}
	for _, r := range a.Results {
		text, likely, other := r.Show(sys)
		if likely != "" {
			text += "  (" + likely + ")"
		}
		if other != "" {
			text += "  or " + other
		}
		fmt.Fprintf(p, "  %s%s  %s\n", r.Name, strings.Repeat(" ", width-utf8.RuneCountInString(r.Name)), text)
	}
	for _, n := range a.Notes {
		p.item("!", "%s", n)
	}
}

func explainCalculated(p *page, a calc.Answer) {
	p.title("How")
	p.say("%s", a.Method)
	for n, step := range a.Steps {
		p.item(fmt.Sprintf("%d.", n+1), "%s", step)
	}
	p.say("Good for: %s.", a.Valid)
	p.title("Sources")
	for _, s := range a.Sources {
		p.item("["+s.Key+"]", "%s (%s).", s.Citation, s.Status)
	}
}
