package app_test

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"skep/internal/app"
	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/store"
)

// thousandJugs is a cellar of 1,000 jugs with 50 entries each, written as the store
// takes them, and what they want.
func thousandJugs(b *testing.B) string {
	b.Helper()
	path := filepath.Join(b.TempDir(), "cellar.db")
	s, err := store.Open(path)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	start := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	for j := range 1000 {
		events := make([]batch.Event, 50)
		for i := range events {
			at := start.Add(time.Duration(i) * 12 * time.Hour)
			mass := measure.Quantity{Words: "5 kg", Kind: measure.Mass, Tool: measure.Scale, Value: 5000 - float64(i), SD: 2}
			events[i] = batch.Event{ID: batch.NewID(at, uint64(50*j+i)), Seq: i + 1, At: at, Recorded: at, Happened: batch.Looked{Mass: &mass}}
		}
		events[0].Happened = batch.Made{
			Name: fmt.Sprintf("jug %d", j), Vessel: batch.Vessel{Name: "jug", Litres: 5},
			Parts: []batch.Part{{Ingredient: "honey", Grams: 1200, Adds: must.Must{must.Water: 3500, must.Glucose: 500, must.Fructose: 500}}},
		}
		for i := range events {
			events[i].Jug = events[0].ID
		}
		if err := s.Append(b.Context(), events...); err != nil {
			b.Fatal(err)
		}
		if err := s.SaveOutlook(b.Context(), store.Outlook{Jug: events[0].ID, Seq: 50, Model: "3", Body: []byte("{}")}); err != nil {
			b.Fatal(err)
		}
		wants := []store.Want{
			{At: start, Urgency: j % 4, Kind: "look", What: "Look for first bubbles", Why: "they come within a day or two"},
			{At: start.Add(40 * 24 * time.Hour), Kind: "rack", What: "Rack it off its lees", Why: "it is quiet"},
		}
		if err := s.SaveAgenda(b.Context(), events[0].ID, wants); err != nil {
			b.Fatal(err)
		}
	}
	return path
}

// A thousand jugs of fifty entries each, from a closed file to the list: what a person
// waits for. The bound that makers notice is 150 ms.
func BenchmarkToday(b *testing.B) {
	path := thousandJugs(b)
	now := time.Date(2026, 5, 26, 8, 0, 0, 0, time.UTC)
	for b.Loop() {
		c, err := app.Open(b.Context(), path, func() time.Time { return now })
		if err != nil {
			b.Fatal(err)
		}
		list, err := c.Today(b.Context(), 0)
		if err != nil || len(list) != 1000 {
			b.Fatalf("%d wants, %v; want 1000", len(list), err)
		}
		if err := c.Close(); err != nil {
			b.Fatal(err)
		}
	}
}
