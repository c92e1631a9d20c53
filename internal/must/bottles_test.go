package must_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

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

// 4.5 L less 200 g that 100 g of pulp hold, less 3 % of lees and two rackings of 1 %.
func TestBottled(t *testing.T) {
	if got, want := must.Bottled(4.5, 200, 0.03, 0.01, 0.01), 4.3*0.97*0.99*0.99; math.Abs(float64(got)-want) > 1e-12 {
		t.Errorf("Bottled = %.6f L, want %.6f", got, want)
	}
	if got := must.Bottled(0.1, 200, 0.03); got != 0 {
		t.Errorf("Bottled of less than pulp holds = %g L, want nothing", got)
	}
}
