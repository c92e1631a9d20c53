package cli

import (
	"github.com/spf13/cobra"

	"skep/internal/app"
)

// moment adds the flags that every entry of a record takes: when it happened, and which
// entry it corrects.
func moment(c *cobra.Command, when *string, instead *int) {
	c.Flags().StringVar(when, "when", "", `when it happened: "yesterday evening", "2026-05-03 18:30" (default now)`)
	if instead != nil {
		c.Flags().IntVar(instead, "instead-of", 0, "number of the entry in the history that this one corrects")
	}
}

func (d *door) startCommand() *cobra.Command {
	var w app.StartWords
	c := &cobra.Command{
		Use:   "start JUG",
		Short: "Record brew day: what went into which jug",
		Long: `Record brew day. Say what went in, as you would say it aloud; water is worked out
from what is left open: up to --volume, or by the weights of the full and the empty
jug, or up to the shoulder.`,
		Example: `  skep start elderflower --jug "1 gal" --with "3 lb honey" --with "4 cups elderflower" \
      --yeast "a packet of champagne yeast" --units us
  skep start "heather 2026" --jug "green demijohn" --with "1.2 kg heather honey" \
      --full "5.9 kg" --empty "1.35 kg" --gravity "1.092 at 24 C" --room "19 C"
  skep start "heather 2026" --plan heather --gravity "1.092 at 24 C"`,
		Args: exactly("a name for the jug"),
		RunE: func(_ *cobra.Command, args []string) error {
			w.Name = args[0]
			return d.withCellar(func(cellar *app.Cellar) error {
				started, err := cellar.Start(d.ctx, w)
				if err != nil {
					return err
				}
				return d.answer(started, func(p *page) { showStarted(p, started, cellar.Units()) })
			})
		},
	}
	f := c.Flags()
	f.StringVar(&w.Jug, "jug", "", `the vessel: its size, "1 gal" or "4.5 L", or its name in your kitchen`)
	f.StringArrayVar(&w.With, "with", nil, `what went in, one each: "3 lb honey", "4 cups elderflower", "1 lemon"`)
	f.StringVar(&w.Volume, "volume", "", `made up to this much: "4.2 L"`)
	f.StringVar(&w.Full, "full", "", `weight of the full jug: "5.9 kg"`)
	f.StringVar(&w.Empty, "empty", "", `weight of the empty jug, told once: "1.35 kg"`)
	f.StringVar(&w.Gravity, "gravity", "", `first reading: "1.092 at 24 C"`)
	f.StringVar(&w.Calibrated, "calibrated", "", `what the hydrometer is made for: "20 C", "60 F" (default 20 C)`)
	f.StringVar(&w.Yeast, "yeast", "", `"a packet of champagne yeast"; leave it out to pitch later`)
	f.StringVar(&w.Must, "must", "", `temperature of the must: "24 C"`)
	f.StringVar(&w.Room, "room", "", `temperature where it stands: "19 C"`)
	f.StringVar(&w.Place, "place", "", `where it stands: "under the stairs"`)
	f.StringVar(&w.Plan, "plan", "", "a plan that was kept: its amounts count unless --with tells others")
	moment(c, &w.When, nil)
	d.completeFlag(c, "plan", d.planNames)
	return c
}

func (d *door) pitchCommand() *cobra.Command {
	var w app.PitchWords
	c := &cobra.Command{
		Use:     "pitch JUG",
		Short:   "Record that yeast went in",
		Example: `  skep pitch elderflower --yeast "a packet of champagne yeast" --must "24 C"`,
		RunE: d.record(&w.Jug, func(cellar *app.Cellar, _ []string) (app.Recorded, error) {
			return cellar.Pitch(d.ctx, w)
		}),
	}
	c.Flags().StringVar(&w.Yeast, "yeast", "", `"a packet of champagne yeast", "5 g cider yeast"`)
	c.Flags().StringVar(&w.Must, "must", "", `temperature of the must: "24 C"`)
	moment(c, &w.When, nil)
	return d.onJug(c)
}

func (d *door) lookCommand() *cobra.Command {
	var w app.LookWords
	c := &cobra.Command{
		Use:   "look JUG [SEEN...]",
		Short: "Record what you saw: a weight, bubbles, a gravity, a temperature, a smell",
		Long: `Record what you saw. Each thing is known by its unit, so most looks need no flag;
words without a number are kept as a note.`,
		Example: `  skep look elderflower "8 bubbles a minute"
  skep look elderflower "4.93 kg" "19 C" "smells of flowers"
  skep look elderflower "1.032 at 72 F" --clarity clear --taste "medium sweet"
  skep look elderflower 1.011 --instead-of 7`,
		RunE: d.record(&w.Jug, func(cellar *app.Cellar, seen []string) (app.Recorded, error) {
			w.Saw = seen
			return cellar.Look(d.ctx, w)
		}),
	}
	f := c.Flags()
	f.StringVar(&w.Mass, "weight", "", `of the whole jug: "4.93 kg"`)
	f.StringVar(&w.Bubbles, "bubbles", "", `"8 a minute", "one every 12 s", "none"`)
	f.StringVar(&w.Gravity, "gravity", "", `hydrometer: "1.032 at 72 F", "8 Bx"`)
	f.StringVar(&w.Spent, "fermented-out", "", `hydrometer in a sample that fresh yeast fermented out: "0.994 at 21 C"`)
	f.StringVar(&w.Brix, "refractometer", "", `"12 Bx"`)
	f.StringVar(&w.Room, "room", "", `temperature of the room: "19 C"`)
	f.StringVar(&w.Liquid, "liquid", "", `temperature of the must: "21 C"`)
	f.StringVar(&w.Drawn, "drawn", "", `what was taken out and not given back: "100 mL"`)
	f.StringVar(&w.Calibrated, "calibrated", "", `what the hydrometer is made for: "20 C", "60 F" (default 20 C)`)
	f.StringVar(&w.PH, "ph", "", `by strip or meter: "pH 3.4"`)
	f.StringVar(&w.TA, "ta", "", `titratable acidity, as tartaric acid: "6.2 g/L"`)
	f.StringVar(&w.Clarity, "clarity", "", "cloudy, hazy, clear, bright")
	f.StringVar(&w.Smell, "smell", "", "flowers, bread, rotten eggs, vinegar, nail varnish…")
	f.StringVar(&w.Taste, "taste", "", "dry, off-dry, medium, medium sweet, sweet")
	f.StringVar(&w.Note, "note", "", "anything else")
	moment(c, &w.When, &w.Instead)
	return d.onJug(c)
}

func (d *door) addCommand() *cobra.Command {
	var w app.AddWords
	c := &cobra.Command{
		Use:   "add JUG PART...",
		Short: "Record what went in after brew day: nutrient, honey, fruit, water, sulphite",
		Example: `  skep add elderflower "1 g diammonium phosphate" --why "second feeding"
  skep add elderflower "300 g honey" "200 mL water"
  skep add elderflower "0.4 g potassium metabisulphite" "0.7 g potassium sorbate" --stabilise`,
		RunE: d.record(&w.Jug, func(cellar *app.Cellar, parts []string) (app.Recorded, error) {
			if len(parts) == 0 {
				return app.Recorded{}, &usageError{err: errNothingAdded, hint: `write skep add elderflower "300 g honey"`}
			}
			w.Parts = parts
			return cellar.Add(d.ctx, w)
		}),
	}
	c.Flags().StringVar(&w.Why, "why", "", "what for")
	c.Flags().BoolVar(&w.Keeps, "stabilise", false, "it went in to keep the yeast from waking")
	moment(c, &w.When, &w.Instead)
	return d.onJug(c)
}

func (d *door) rackCommand() *cobra.Command {
	var w app.RackWords
	c := &cobra.Command{
		Use:     "rack JUG",
		Short:   "Record that the wine was moved off its lees",
		Example: `  skep rack elderflower --to "1 gal" --left "200 mL"`,
		RunE: d.record(&w.Jug, func(cellar *app.Cellar, _ []string) (app.Recorded, error) {
			return cellar.Rack(d.ctx, w)
		}),
	}
	f := c.Flags()
	f.StringVar(&w.To, "to", "", "the vessel it is in now (default: one like the last)")
	f.StringVar(&w.Left, "left", "", `what stayed behind with the lees: "200 mL"`)
	f.StringVar(&w.Full, "full", "", `weight of the new jug and wine: "5.1 kg"`)
	f.StringVar(&w.Empty, "empty", "", `weight of the new jug empty: "1.35 kg"`)
	moment(c, &w.When, &w.Instead)
	return d.onJug(c)
}

func (d *door) moveCommand() *cobra.Command {
	var w app.MoveWords
	c := &cobra.Command{
		Use:     "move JUG [PLACE]",
		Short:   "Record where the jug stands now, and how warm it is there",
		Example: `  skep move elderflower "under the stairs" --room "15 C"`,
		RunE: d.record(&w.Jug, func(cellar *app.Cellar, place []string) (app.Recorded, error) {
			if len(place) > 0 {
				w.Place = place[0]
			}
			return cellar.Move(d.ctx, w)
		}),
	}
	c.Flags().StringVar(&w.Room, "room", "", `temperature there: "15 C", "59 F"`)
	moment(c, &w.When, &w.Instead)
	return d.onJug(c)
}

func (d *door) withdrawCommand() *cobra.Command {
	var jug, why string
	c := &cobra.Command{
		Use:   "withdraw JUG [NUMBER]",
		Short: "Take back an entry, the latest if no number is given; the history keeps both",
		Example: `  skep withdraw elderflower
  skep withdraw elderflower 7 --why "that was the other jug"`,
		RunE: d.record(&jug, func(cellar *app.Cellar, number []string) (app.Recorded, error) {
			n := 0
			if len(number) > 0 {
				var err error
				if n, err = entryNumber(number[0]); err != nil {
					return app.Recorded{}, err
				}
			}
			return cellar.Withdraw(d.ctx, jug, n, why)
		}),
	}
	c.Flags().StringVar(&why, "why", "", "the reason")
	return d.onJug(c)
}
