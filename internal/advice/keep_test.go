package advice_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/measure"
)

func lot(style batch.Style, closure string) batch.Lot {
	return batch.Lot{
		Bottling: "b", At: time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC), Style: style, Left: 5,
		Bottles: batch.Bottles{SizeML: 750, Count: 5, Kind: "still-wine glass", Closure: closure},
	}
}

// The table is common practice: held here are its laws.
func TestDrinkingWindow(t *testing.T) {
	var last advice.Window
	for percent := 4.0; percent <= 18; percent++ {
		w := advice.DrinkingWindow(lot(batch.Still, "cork"), measure.Normal(percent, 0.3, "% vol"))
		if w.From.Before(last.From) || w.To.Before(last.To) {
			t.Errorf("%.0f %% vol keeps from %s to %s, a weaker one %s to %s", percent, w.From, w.To, last.From, last.To)
		}
		if !w.From.After(lot("", "").At) || !w.To.After(w.From) || w.Why == "" || w.Source == "" {
			t.Errorf("%.0f %% vol: window %+v", percent, w)
		}
		last = w
		for _, closure := range []string{"PET cap", "hand cork", "swing-top"} {
			short := advice.DrinkingWindow(lot(batch.Still, closure), measure.Normal(percent, 0.3, "% vol"))
			if short.To.After(w.To) || !short.To.After(short.From) || short.To.After(lot("", "").At.AddDate(1, 0, 0)) {
				t.Errorf("%.0f %% vol under a %s keeps %s to %s, under a cork to %s", percent, closure, short.From, short.To, w.To)
			}
		}
	}
	untold := advice.DrinkingWindow(lot(batch.Still, "cork"), measure.RangeOf(nil, "% vol"))
	if usual := advice.DrinkingWindow(lot(batch.Still, "cork"), measure.Normal(11, 0.3, "% vol")); !untold.To.Equal(usual.To) {
		t.Errorf("a strength that is not known keeps to %s, a usual one to %s", untold.To, usual.To)
	}
	part := lot(batch.Still, "cork")
	part.Bottles.Part = true
	if w := advice.DrinkingWindow(part, measure.Normal(14, 0.3, "% vol")); w.To.After(part.At.AddDate(0, 1, 0)) {
		t.Errorf("a part bottle keeps to %s", w.To)
	}
}

func TestBottlingDay(t *testing.T) {
	still, sparkling := strings.Join(advice.BottlingDay(batch.Still, true), "\n"), strings.Join(advice.BottlingDay(batch.Sparkling, false), "\n")
	for _, words := range []string{"test bottle", "PET", "away from people", "children", "eye protection", "cold"} {
		if !strings.Contains(sparkling, words) {
			t.Errorf("of a sparkling wine nothing is said of %q:\n%s", words, sparkling)
		}
	}
	if !strings.Contains(still, "part bottle") || strings.Contains(still, "PET") {
		t.Errorf("of a still wine is said:\n%s", still)
	}
}

// wanted are the wants of bottles at a time.
func wanted(j batch.State, now time.Time) []advice.Want {
	e := advice.Evidence{Now: now, Jug: j}
	e.State.Ethanol = measure.Normal(11, 0.3, "% vol")
	return advice.Wants(e, advice.Standing{}, advice.Verdict{Answer: advice.NotYet})
}

func kinds(wants []advice.Want) (all []string) {
	for _, w := range wants {
		all = append(all, string(w.Kind)+" "+w.At.Format("2006-01-02"))
	}
	return all
}

func TestWantsOfBottles(t *testing.T) {
	bottled := lot(batch.Still, "cork")
	bottling, day := bottled.At, func(n int) time.Time { return bottled.At.AddDate(0, 0, n) }
	tasted := func(at time.Time) []batch.Dated[batch.Tasted] { return []batch.Dated[batch.Tasted]{{At: at}} }
	part := bottled
	part.Bottles.Part, part.Left = true, 1
	fizz := lot(batch.Sparkling, "wired cork")
	gone := bottled
	gone.Left = 0
	for _, tt := range []struct {
		name string
		now  time.Time
		jug  batch.State
		want []string
	}{
		{
			"one of them burst: danger first", day(40),
			batch.State{Empty: true, Shelf: []batch.Lot{bottled}, Openings: []batch.Dated[batch.Opened]{{At: day(39), What: batch.Opened{Of: "b", Why: "Burst in the night"}}}},
			[]string{"release 2026-07-10", "taste 2026-09-01", "taste 2026-12-01", "taste 2027-06-01", "drink 2028-04-01"},
		},
		{
			"another filling burst: no danger for these", day(40),
			batch.State{Empty: true, Shelf: []batch.Lot{bottled}, Openings: []batch.Dated[batch.Opened]{{At: day(39), What: batch.Opened{Of: "other", Why: "burst"}}}},
			[]string{"taste 2026-09-01", "taste 2026-12-01", "taste 2027-06-01", "drink 2028-04-01"},
		},
		{
			"sparkling: a test bottle within a week", day(1),
			batch.State{Empty: true, Shelf: []batch.Lot{fizz}},
			[]string{"taste 2026-06-08", "taste 2026-09-01", "taste 2026-12-01", "taste 2027-06-01", "drink 2027-10-01"},
		},
		{
			"the part bottle comes first", day(1),
			batch.State{Empty: true, Shelf: []batch.Lot{bottled, part}},
			[]string{"taste 2026-06-15", "taste 2026-09-01", "taste 2026-12-01", "taste 2027-06-01", "drink 2028-04-01"},
		},
		{
			"tasted in time: that date is done", day(95),
			batch.State{Empty: true, Shelf: []batch.Lot{bottled}, Tastings: tasted(day(85))},
			[]string{"taste 2026-12-01", "taste 2027-06-01", "drink 2028-04-01"},
		},
		{
			"tasted before it was bottled does not count", day(95),
			batch.State{Empty: true, Shelf: []batch.Lot{bottled}, Tastings: tasted(bottling.Add(-time.Hour))},
			[]string{"taste 2026-09-01", "taste 2026-12-01", "taste 2027-06-01", "drink 2028-04-01"},
		},
		{
			"not tasted for months: the date goes by", day(200),
			batch.State{Empty: true, Shelf: []batch.Lot{bottled}},
			[]string{"taste 2026-12-01", "taste 2027-06-01", "drink 2028-04-01"},
		},
		{
			"past its best: drink it now", day(800),
			batch.State{Empty: true, Shelf: []batch.Lot{bottled}},
			[]string{"drink " + day(800).Format("2006-01-02")},
		},
		{"all drunk: nothing", day(1), batch.State{Empty: true, Shelf: []batch.Lot{gone}}, nil},
	} {
		if got := kinds(wanted(tt.jug, tt.now)); !slices.Equal(got, tt.want) {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}
