package app

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// OpenSample makes a cellar of made-up jugs at path, to look around in: each in another
// state, as of now. Readings are invented; all else is worked out from them.
//
// Errors: as Open; of the file.
func OpenSample(ctx context.Context, path string, clock func() time.Time) (*Cellar, error) {
	c, err := Open(ctx, path, clock)
	if err != nil {
		return nil, err
	}
	now := c.Now()
	late := &background{running: true} // nothing is worked out until all is told
	c.background = late
	for _, j := range sampleJugs {
		for _, s := range j.steps {
			at := now.Add(-time.Duration(s.days * 24 * float64(time.Hour)))
			c.clock = func() time.Time { return at }
			if err := s.do(ctx, c, j.name); err != nil {
				return nil, fmt.Errorf("sample jug %q, %g days ago: %w", j.name, s.days, errors.Join(err, c.Close()))
			}
		}
	}
	c.clock, c.background = clock, nil
	_, err = c.Today(ctx, 0)
	return c, err
}

// sampleStep is what was done so many days ago.
type sampleStep struct {
	days float64
	do   func(ctx context.Context, c *Cellar, jug string) error
}

func started(days float64, w StartWords) sampleStep {
	return sampleStep{days, func(ctx context.Context, c *Cellar, jug string) error {
		w.Name = jug
		_, err := c.Start(ctx, w)
		return err
	}}
}

func looked(days float64, w LookWords) sampleStep {
	return sampleStep{days, func(ctx context.Context, c *Cellar, jug string) error {
		w.Jug = jug
		_, err := c.Look(ctx, w)
		return err
	}}
}

func fed(days float64, part string) sampleStep {
	return sampleStep{days, func(ctx context.Context, c *Cellar, jug string) error {
		_, err := c.Add(ctx, AddWords{Jug: jug, Parts: []string{part}})
		return err
	}}
}

func racked(days float64) sampleStep {
	return sampleStep{days, func(ctx context.Context, c *Cellar, jug string) error {
		_, err := c.Rack(ctx, RackWords{Jug: jug, Left: "200 mL"})
		return err
	}}
}

var sampleJugs = []struct {
	name  string
	steps []sampleStep
}{
	{"elderflower", []sampleStep{
		started(9, StartWords{
			Jug: "4.5 L", With: []string{"1 kg honey", "4 cups elderflower", "1 lemon"}, Gravity: "1.078 at 24 C",
			Full: "5.78 kg", Empty: "1.32 kg", Yeast: "a packet of white wine yeast", Must: "24 C", Room: "19 C", Place: "the pantry",
		}),
		looked(7, LookWords{Bubbles: "6/min", Room: "19 C"}),
		fed(6, "1 g diammonium phosphate"),
		looked(4, LookWords{Mass: "5.66 kg", Bubbles: "24/min", Room: "20 C", Smell: "bread"}),
		looked(1, LookWords{Mass: "5.58 kg", Bubbles: "18/min", Room: "20 C"}),
	}},
	{"blackberry", []sampleStep{
		started(41, StartWords{
			Jug: "1 US gal", With: []string{"1.2 kg blackberries", "700 g sugar"}, Gravity: "1.098 at 22 C",
			Yeast: "a packet of red wine yeast", Must: "22 C", Room: "18 C", Place: "the shed",
		}),
		looked(38, LookWords{Bubbles: "30/min", Room: "17 C"}),
		looked(24, LookWords{Gravity: "1.032 at 15 C", Room: "14 C", Bubbles: "none"}),
		looked(12, LookWords{Gravity: "1.031 at 14 C", Room: "13 C", Taste: "sweet"}),
		looked(1, LookWords{Gravity: "1.031 at 14 C", Room: "13 C", Smell: "fruit"}),
	}},
	{"heather mead", []sampleStep{
		started(52, StartWords{
			Jug: "4.5 L", With: []string{"1.3 kg heather honey"}, Gravity: "1.096 at 22 C",
			Yeast: "a packet of white wine yeast", Must: "23 C", Room: "20 C", Place: "the hall",
		}),
		fed(50, "2 g diammonium phosphate"),
		looked(45, LookWords{Bubbles: "30/min", Gravity: "1.060 at 21 C", Room: "20 C"}),
		looked(30, LookWords{Gravity: "1.014 at 20 C", Room: "20 C"}),
		looked(4, LookWords{Gravity: "0.997 at 20 C", Bubbles: "none", Room: "20 C", Clarity: "hazy"}),
	}},
	{"apple", []sampleStep{
		started(80, StartWords{
			Jug: "4.5 L", With: []string{"4 L apple juice", "200 g sugar"}, Gravity: "1.066 at 20 C",
			Yeast: "a packet of champagne yeast", Must: "20 C", Room: "19 C", Place: "the pantry",
		}),
		looked(45, LookWords{Gravity: "0.997 at 20 C", Bubbles: "none", Room: "20 C"}),
		racked(44),
		looked(25, LookWords{Note: "degassed: stirred for three evenings", Room: "21 C"}),
		looked(15, LookWords{Gravity: "0.996 at 20 C", Spent: "0.996 at 21 C", Clarity: "clear", Taste: "dry", Room: "21 C"}),
		looked(2, LookWords{Gravity: "0.996 at 20 C", Clarity: "clear", Taste: "dry", Room: "21 C"}),
	}},
	{"last year's apple", []sampleStep{
		started(202, StartWords{
			Jug: "4.5 L", With: []string{"4 L apple juice", "200 g sugar"}, Gravity: "1.066 at 20 C",
			Yeast: "a packet of champagne yeast", Must: "20 C", Room: "19 C",
		}),
		looked(167, LookWords{Gravity: "0.997 at 20 C", Bubbles: "none", Room: "20 C"}),
		racked(166),
		looked(147, LookWords{Note: "degassed: stirred for three evenings", Room: "21 C"}),
		looked(137, LookWords{Gravity: "0.996 at 20 C", Spent: "0.996 at 21 C", Clarity: "clear", Taste: "dry", Room: "21 C"}),
		looked(124, LookWords{Gravity: "0.996 at 20 C", Clarity: "clear", Taste: "dry", Room: "21 C"}),
		{123.5, func(ctx context.Context, c *Cellar, jug string) error {
			_, err := c.Bottle(ctx, BottleWords{Jug: jug, Bottles: []string{"5 x 750 mL"}, Warmest: "24 C", Done: true})
			return err
		}},
		{30, func(ctx context.Context, c *Cellar, jug string) error {
			_, err := c.OpenBottle(ctx, OpenWords{Jug: jug, Why: "drunk"})
			return err
		}},
	}},
	{"quince", []sampleStep{
		started(1.5, StartWords{
			Jug: "1 US gal", With: []string{"1 kg quince", "800 g sugar"},
			Yeast: "a packet of white wine yeast", Must: "23 C", Room: "20 C", Place: "the kitchen",
		}),
	}},
}
