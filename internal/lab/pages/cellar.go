package pages

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"skep/internal/batch"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/store"
)

// Entries is how many each jug of the cellar has.
const Entries = 100

// names of what the made-up jugs hold.
var names = []string{"elderflower", "rose hip", "heather honey", "blackberry", "gorse", "quince", "apple", "meadowsweet", "plum", "dandelion"}

// Fill writes a cellar of so many made-up jugs at path, each begun within the three months before
// now and looked at often: the room, and by turns weight, bubbles and words. They ferment as the
// model does, each at its own pace: an estimate from readings that no jug could give would
// take longer than one from a maker's.
//
// Repeats: the same jugs each time.
func Fill(ctx context.Context, path string, jugs int, now time.Time, progress func(done, of int)) error {
	s, err := store.Open(path)
	if err != nil {
		return err
	}
	defer s.Close()
	draw := rand.New(rand.NewPCG(1, 2))
	for j := range jugs {
		events, err := jug(draw, j, now)
		if err != nil {
			return fmt.Errorf("jug %d: %w", j, err)
		}
		if err := s.Append(ctx, events...); err != nil {
			return fmt.Errorf("jug %d: %w", j, err)
		}
		progress(j+1, jugs)
	}
	return nil
}

// jug is the record of one jug.
func jug(draw *rand.Rand, j int, now time.Time) ([]batch.Event, error) {
	const (
		tare   = 1400
		scale  = 5      // g, sd
		bubble = 0.6e-3 // g of gas
		held   = 1.6    // g/L of gas, before it leaves
	)
	age := time.Duration(5+draw.IntN(85)) * 24 * time.Hour
	start := now.Add(-age)
	room := measure.Celsius(17 + 5*draw.Float64())
	parts, all, err := filling(900 + 500*draw.Float64())
	if err != nil {
		return nil, err
	}
	litres, err := all.Volume(20)
	if err != nil {
		return nil, err
	}
	used, err := follow(draw, all, float64(litres), room, age)
	if err != nil {
		return nil, err
	}
	happened := []batch.Happening{
		batch.Made{Name: jugName(j), Vessel: batch.Vessel{Name: "gallon jug", Litres: 4.5, Tare: &measure.Quantity{
			Words: "1.4 kg", Kind: measure.Mass, Tool: measure.Scale, Value: tare, SD: 2,
		}}, Parts: parts},
		batch.Pitched{Yeast: yeast, Grams: 5},
	}
	for i := len(happened); i < Entries; i++ {
		made := used[i].Ethanol * kinetics.CO2PerEthanol // g/L
		gone := float64(litres) * (made - held*(1-math.Exp(-made/held)))
		rate := float64(litres) * used[i].Use * kinetics.CO2PerEthanol / 2 * (1 - math.Exp(-made/held)) / 60 / bubble
		look := batch.Looked{
			Room: &measure.Quantity{Words: "room", Kind: measure.Temperature, Tool: measure.Instrument, Value: float64(room) + 0.5*draw.NormFloat64(), SD: 0.5},
		}
		switch i % 3 {
		case 0:
			look.Mass = &measure.Quantity{Words: "on the scale", Kind: measure.Mass, Tool: measure.Scale, Value: tare + float64(all.Mass()) - gone + scale*draw.NormFloat64(), SD: scale}
		case 1:
			look.Bubbles = &measure.Quantity{Words: "counted", Kind: measure.BubbleRate, Value: rate, SD: 1 + 0.1*rate}
		case 2:
			look.Note = "smells of " + names[j%len(names)]
		}
		happened = append(happened, look)
	}
	events := make([]batch.Event, len(happened))
	for i, h := range happened {
		at := start.Add(age * time.Duration(i) / Entries)
		events[i] = batch.Event{ID: batch.NewID(at, uint64(j*Entries+i)), Seq: i + 1, At: at, Recorded: at, Happened: h}
		events[i].Jug = events[0].ID
	}
	return events, nil
}

const yeast = "white wine yeast"

// filling is so much honey, food for the yeast, and water.
func filling(honey float64) (parts []batch.Part, all must.Must, err error) {
	for _, p := range []struct {
		name      string
		grams, sd float64
	}{{"honey", honey, 5}, {"diammonium phosphate", 2, 0.1}, {"water", 3200, 60}} {
		of, err := must.Find(p.name, nil)
		if err != nil {
			return nil, all, err
		}
		adds := of.PerGram.Scaled(p.grams)
		parts = append(parts, batch.Part{Ingredient: p.name, Words: p.name, Grams: p.grams, GramsSD: p.sd, Adds: adds})
		all = all.Plus(adds)
	}
	return parts, all, nil
}

// follow is what the must holds at each entry, by the model at a pace of its own.
func follow(draw *rand.Rand, all must.Must, litres float64, room measure.Celsius, age time.Duration) ([]kinetics.Levels, error) {
	kind, err := kinetics.YeastNamed(yeast)
	if err != nil {
		return nil, err
	}
	nitrogen := all[must.Nitrogen] / litres
	p := kinetics.Typical(measure.GramsPerLitre(nitrogen), kind)
	for _, rate := range []*float64{&p.Growth, &p.Use} {
		*rate *= 0.8 + 0.4*draw.Float64()
	}
	cells := 0.15 + 0.1*draw.Float64()
	f := kinetics.New()
	if err := f.Begin(p, kinetics.Course{{T: room}}, kinetics.Levels{
		Cells: cells, Active: cells, Nitrogen: nitrogen, Sugar: all.Hexose(must.SlowShare) / litres,
	}); err != nil {
		return nil, err
	}
	times, levels := make([]measure.Hours, Entries), make([]kinetics.Levels, Entries)
	for i := range times {
		times[i] = measure.Hours(age.Hours() * float64(i) / Entries)
	}
	err = f.Follow(measure.Hours(age.Hours()), times, func(i int, l kinetics.Levels) { levels[i] = l })
	return levels, err
}

// jugName is the name of the made-up jug number j.
func jugName(j int) string { return fmt.Sprintf("%s %d", names[j%len(names)], j/len(names)+1) }
