package pages

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/store"
)

// Entries is how many each jug of the cellar has.
const Entries = 100

// names of what the made-up jugs hold.
var names = []string{"elderflower", "rose hip", "heather honey", "blackberry", "gorse", "quince", "apple", "meadowsweet", "plum", "dandelion"}

// Fill writes a cellar of so many made-up jugs at path, each begun within the three months before
// now and looked at often: weight, room and now and then bubbles or a gravity.
//
// Repeats: the same jugs each time.
func Fill(ctx context.Context, path string, jugs int, now time.Time, progress func(done, of int)) error {
	s, err := store.Open(path)
	if err != nil {
		return err
	}
	draw := rand.New(rand.NewPCG(1, 2))
	for j := range jugs {
		if err := s.Append(ctx, jug(draw, j, now)...); err != nil {
			return fmt.Errorf("jug %d: %w", j, err)
		}
		progress(j+1, jugs)
	}
	return s.Close()
}

// jug is the record of one jug. Its sugar goes by a curve of the usual shape; how true to
// a fermentation that is does not matter here.
func jug(draw *rand.Rand, j int, now time.Time) []batch.Event {
	age := time.Duration(5+draw.IntN(85)) * 24 * time.Hour
	start := now.Add(-age)
	honey := 900 + 500*draw.Float64() // g
	sugar := 0.8 * honey
	half := 4 + 6*draw.Float64() // days
	room := 17 + 5*draw.Float64()
	happened := []batch.Happening{
		batch.Made{
			Name: jugName(j), Vessel: batch.Vessel{Name: "gallon jug", Litres: 4.5},
			Parts: []batch.Part{
				{Ingredient: "honey", Words: "honey", Grams: honey, Adds: must.Must{must.Water: 0.17 * honey, must.Glucose: 0.38 * sugar, must.Fructose: 0.5 * sugar}},
				{Ingredient: "water", Words: "water", Grams: 3200, GramsSD: 60, Adds: must.Must{must.Water: 3200}},
			},
		},
		batch.Pitched{Yeast: "white wine yeast", Grams: 5},
	}
	for i := len(happened); i < Entries; i++ {
		days := age.Hours() / 24 * float64(i) / Entries
		gone := 1 / (1 + math.Exp(-(days-half)/(half/3)))
		look := batch.Looked{
			Mass: &measure.Quantity{Words: "on the scale", Kind: measure.Mass, Tool: measure.Scale, Value: 1400 + honey + 3200 - 0.48*sugar*gone + draw.NormFloat64(), SD: 2},
			Room: &measure.Quantity{Words: "room", Kind: measure.Temperature, Tool: measure.Instrument, Value: room + 0.5*draw.NormFloat64(), SD: 0.5},
		}
		if i%10 == 0 {
			look.Bubbles = &measure.Quantity{Words: "counted", Kind: measure.BubbleRate, Value: max(0, 40*gone*(1-gone)), SD: 1}
		}
		happened = append(happened, look)
	}
	events := make([]batch.Event, len(happened))
	for i, h := range happened {
		at := start.Add(age * time.Duration(i) / Entries)
		events[i] = batch.Event{ID: batch.NewID(at, uint64(j*Entries+i)), Seq: i + 1, At: at, Recorded: at, Happened: h}
		events[i].Jug = events[0].ID
	}
	return events
}

// jugName is the name of the made-up jug number j.
func jugName(j int) string { return fmt.Sprintf("%s %d", names[j%len(names)], j/len(names)+1) }
