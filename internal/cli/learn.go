package cli

import (
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

func (d *door) learnedCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "learned",
		Short: "What your finished jugs told of your yeast, lock, room, cup and losses",
		Long: `What your finished jugs told of your yeast, lock, room, cup and losses: what is thought of
the next jug, beside what was thought before any, and from which jugs. A jug tells once it
is bottled to the last or proven to be finished; one odd jug among many moves little.
skep kitchen forget lets it no longer count.`,
		Example: "  skep kitchen learned",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				learned, err := cellar.Learned(d.ctx)
				if err != nil {
					return err
				}
				return d.answer(learned, func(p *page) { showLearned(p, learned) })
			})
		},
	}
}

func showLearned(p *page, learned app.Taught) {
	if len(learned.Topics) == 0 {
		p.say("No finished jug has told anything that counts: everything is taken as usual.")
	}
	for _, topic := range learned.Topics {
		of := topic.Topic
		if topic.Yeast != "" {
			of = topic.Yeast
		}
		p.say("%s, from %s:", strings.ToUpper(of[:1])+of[1:], strings.Join(topic.Jugs, ", "))
		for _, h := range topic.Habits {
			before, after := measure.ShowRange(h.Before), measure.ShowRange(h.After)
			if after == before {
				p.item("*", "%s: as before, %s", h.Habit, after)
				continue
			}
			p.item("*", "%s: %s (before: %s)", h.Habit, after, before)
		}
	}
	for _, topic := range slices.Sorted(maps.Keys(learned.Forgotten)) {
		p.say("Forgotten of %s: what had finished by %s.", topic, measure.ShowTime(learned.Forgotten[topic]))
	}
}

func (d *door) forgetCommand() *cobra.Command {
	var back bool
	c := &cobra.Command{
		Use:   "forget [WHAT]",
		Short: "Let what finished jugs told no longer count",
		Long: `Let what finished jugs told until now no longer count, of yeast, lock, room, cup or
losses, or of all. No entry is lost: --back lets it count again.`,
		Example: `  skep kitchen forget lock
  skep kitchen forget
  skep kitchen forget lock --back`,
		Args:      cobra.MaximumNArgs(1),
		ValidArgs: []string{"yeast", "lock", "room", "cup", "losses"},
		RunE: func(_ *cobra.Command, args []string) error {
			return d.withCellar(func(cellar *app.Cellar) error {
				if err := cellar.Forget(d.ctx, strings.Join(args, " "), back); err != nil {
					return err
				}
				learned, err := cellar.Learned(d.ctx)
				if err != nil {
					return err
				}
				return d.answer(learned, func(p *page) { showLearned(p, learned) })
			})
		},
	}
	c.Flags().BoolVar(&back, "back", false, "let it count again")
	return c
}
