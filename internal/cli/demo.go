package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
)

// scene is one command of the demo: when it is typed, what is said before it, and the words.
type scene struct {
	clock string
	say   string
	args  []string
}

// demo is a jug's life as it might be typed. The readings are invented; everything that
// Skep answers is computed from them.
var demo = []scene{
	{
		"2026-06-14 10:00", `It is June. A kitchen has a 4.5 L glass jug, a bowl of elderflower, a lemon and two
jars of heather honey. What can the jug become? Something dry, about 11 % vol:`,
		[]string{
			"plan", "elderflower", "--jug", "4.5 L", "--honey", "heather honey", "--strength", "11 %vol",
			"--with", "4 cups elderflower", "--with", "1 lemon", "--yeast", "white wine", "--room", "19 C", "--keep",
		},
	},
	{
		"2026-06-14 10:05", "Brew day, step by step, with what to take care of:",
		[]string{"plan", "elderflower", "--sheet"},
	},
	{
		"2026-06-14 16:30", `The jug is filled, weighed and read. Skep checks the reading against the honey that
was weighed, before it is too late to stir:`,
		[]string{
			"start", "elderflower", "--plan", "elderflower", "--full", "5.78 kg", "--empty", "1.32 kg",
			"--gravity", "1.083 at 24 C", "--yeast", "a packet of white wine yeast", "--must", "26 C", "--room", "19 C",
		},
	},
	{
		"2026-06-16 08:00", "Two days later there is a little life at the airlock. A look takes ten seconds:",
		[]string{"look", "elderflower", "3 bubbles a minute", "19 C"},
	},
	{
		"2026-06-24 08:00", "After ten days the jug goes on the kitchen scale. Nothing is opened:",
		[]string{"look", "elderflower", "5.51 kg", "20 C"},
	},
	{
		"2026-06-24 08:05", "May it be bottled?",
		[]string{"bottle", "elderflower"},
	},
	{
		"2026-07-26 18:00", "Six weeks in, the airlock has been silent for days. Silence proves nothing, so a sample is read:",
		[]string{"look", "elderflower", "no bubbles", "0.998 at 21 C", "5.43 kg", "21 C"},
	},
	{
		"2026-07-26 18:05", "One reading shows neither that nothing moves nor whether the yeast has only stopped:",
		[]string{"bottle", "elderflower"},
	},
	{
		"2026-07-27 10:00", "It comes off its lees meanwhile:",
		[]string{"rack", "elderflower", "--left", "200 mL"},
	},
	{
		"2026-08-16 18:00", "Three weeks later, the second reading; and the sample has fermented out:",
		[]string{"look", "elderflower", "0.998 at 21 C", "--fermented-out", "0.998 at 21 C", "--clarity", "clear", "--smell", "flowers", "--taste", "dry"},
	},
	{
		"2026-08-16 18:10", "Now?",
		[]string{"bottle", "elderflower", "--warmest", "26 C"},
	},
	{
		"2026-08-19 20:00", "There is still gas in it. So it is stirred out, gently, evening by evening:",
		[]string{"look", "elderflower", "--note", "degassed: stirred for the third evening", "--room", "20 C"},
	},
	{
		"2026-08-22 20:00", "",
		[]string{"look", "elderflower", "0.997 at 21 C", "--note", "degassed: stirred for the sixth evening", "--room", "20 C"},
	},
	{
		"2026-08-23 19:00", "And now?",
		[]string{"bottle", "elderflower", "--warmest", "26 C"},
	},
	{
		"2026-08-23 20:00", "Done, and on the shelf:",
		[]string{"bottle", "elderflower", "--warmest", "26 C", "--bottles", "5 x 750 mL", "--done"},
	},
	{
		"2026-08-23 20:01", "",
		[]string{"shelf"},
	},
	{
		"2026-08-23 20:02", "",
		[]string{"today", "--ahead", "120"},
	},
}

func (d *door) demoCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "demo",
		Short: "Watch a jug go by, from flowers to bottles, in a few seconds",
		Long:  "Take an elderflower jug through its whole life in a cellar that is thrown away afterwards.",
		Args:  exactly(),
		RunE: func(*cobra.Command, []string) error {
			folder, err := os.MkdirTemp("", "skep-demo-")
			if err != nil {
				return err
			}
			defer os.RemoveAll(folder)
			return d.play(filepath.Join(folder, "cellar.db"))
		},
	}
}

// played is a scene with what was answered.
type played struct {
	Clock   string          `json:"clock"`
	Says    string          `json:"says,omitempty"`
	Command string          `json:"command"`
	Answer  json.RawMessage `json:"answer"`
}

// play runs the demo in a cellar: with --json to be read at the end, else as it goes.
func (d *door) play(cellar string) error {
	var all []played
	for _, s := range demo {
		line := append([]string{"--cellar", cellar, "--clock", s.clock, "--units", "metric"}, s.args...)
		command := "skep " + typed(s.args)
		var answer bytes.Buffer
		if d.json {
			line = append(line, "--json")
		}
		if status := Run(line, strings.NewReader(""), &answer, d.err); status != exitDone {
			return fmt.Errorf("the demo stopped at: %s", command)
		}
		if d.json {
			all = append(all, played{s.clock, strings.ReplaceAll(s.say, "\n", " "), command, answer.Bytes()})
			continue
		}
		if s.say != "" {
			fmt.Fprintf(d.out, "%s\n\n", s.say)
		}
		fmt.Fprintf(d.out, "%s $ %s\n\n%s\n", s.clock, command, answer.String())
	}
	return d.answer(map[string][]played{"scenes": all}, func(p *page) { p.WriteString(afterDemo) })
}

const afterDemo = `That cellar is gone now. To begin your own:

  skep plan --jug "1 gal" --use "3 lb honey" --units us     what would that become?
  skep start NAME --jug "1 gal" --with "3 lb honey" --yeast "a packet of champagne yeast"
  skep look NAME "8 bubbles a minute"                       whenever you pass by
  skep today                                                what every jug wants
  skep calc --list                                          single questions
  skep --help                                               everything else
`

// typed is a command line as a person would type it.
func typed(args []string) string {
	quoted := make([]string, len(args))
	for i, a := range args {
		if strings.ContainsAny(a, " '") {
			a = `"` + a + `"`
		}
		quoted[i] = a
	}
	return strings.Join(quoted, " ")
}
