package must_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
	"skep/internal/must"
)

// Against trying every number of every size.
func TestFillBottlesAgainstExhaustiveSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ml := rapid.IntRange(0, 4000).Draw(t, "mL")
		sizes := make([]must.BottleSize, rapid.IntRange(1, 3).Draw(t, "kinds"))
		for i := range sizes {
			sizes[i] = must.BottleSize{ML: rapid.IntRange(150, 1500).Draw(t, "size"), Have: rapid.IntRange(0, 5).Draw(t, "have")}
		}
		most, fewest := 0, 0
		var try func(i, filled, count int)
		try = func(i, filled, count int) {
			if filled > ml {
				return
			}
			if i == len(sizes) {
				if filled > most || filled == most && count < fewest {
					most, fewest = filled, count
				}
				return
			}
			for n := range sizes[i].Have + 1 {
				try(i+1, filled+n*sizes[i].ML, count+n)
			}
		}
		try(0, 0, 0)

		fills, left, err := must.FillBottles(ml, sizes)
		if err != nil {
			t.Fatal(err)
		}
		filled, count := 0, 0
		for _, f := range fills {
			filled += f.ML * f.Count
			count += f.Count
		}
		if filled != most || count != fewest || left != ml-most {
			t.Errorf("FillBottles(%d, %v) fills %d mL in %d bottles and leaves %d; best is %d mL in %d", ml, sizes, filled, count, left, most, fewest)
		}
	})
}

func TestFillBottlesRefusesNonsense(t *testing.T) {
	for _, tt := range []struct {
		ml    int
		sizes []must.BottleSize
	}{
		{-1, []must.BottleSize{{ML: 750, Have: 1}}},
		{60_001, []must.BottleSize{{ML: 750, Have: 1}}},
		{1000, []must.BottleSize{{ML: 0, Have: -1}}},
	} {
		if fills, left, err := must.FillBottles(tt.ml, tt.sizes); err == nil {
			t.Errorf("FillBottles(%d, %v) = %v, %d; want an error", tt.ml, tt.sizes, fills, left)
		}
	}
}

// Of 4.5 L after two rackings the ends are those of lees (2 to 4 %) and racking (0.5 to 2 %
// each); 100 g of pulp holds 100 to 300 g.
func TestBottled(t *testing.T) {
	for _, tt := range []struct {
		rackings  int
		pulp      measure.Grams
		low, high float64
	}{
		{1, 0, 4.5 * 0.96 * 0.98, 4.5 * 0.98 * 0.995},
		{0, 0, 4.5 * 0.96 * 0.98, 4.5 * 0.98 * 0.995},
		{2, 0, 4.5 * 0.96 * 0.98 * 0.98, 4.5 * 0.98 * 0.995 * 0.995},
		{1, 100, 4.2 * 0.96 * 0.98, 4.4 * 0.98 * 0.995},
	} {
		got := must.Losses{Rackings: tt.rackings}.Bottled(4.5, tt.pulp)
		middle := (tt.low + tt.high) / 2
		if got.Low < tt.low || got.High > tt.high || got.Low >= got.Value || got.Value >= got.High || math.Abs(got.Value-middle) > 0.1*(tt.high-tt.low) {
			t.Errorf("Bottled of 4.5 L, %d rackings, %g g of pulp = %+v, want within %.3f to %.3f L, near the middle", tt.rackings, tt.pulp, got, tt.low, tt.high)
		}
	}
	if got := (must.Losses{}).Bottled(0.1, 5000); got.High != 0 {
		t.Errorf("Bottled of less than pulp holds = %+v, want nothing", got)
	}
}
