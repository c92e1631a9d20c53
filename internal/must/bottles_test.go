package must_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/must"
)

// outcome is a filling by what FillBottles wants, the first first.
type outcome struct{ unbottled, parts, bottles, outside, size int }

func (a outcome) less(b outcome) bool {
	for _, d := range []int{a.unbottled - b.unbottled, a.parts - b.parts, a.bottles - b.bottles, a.outside - b.outside, a.size - b.size} {
		if d != 0 {
			return d < 0
		}
	}
	return false
}

// outcomeOf is of so many full bottles and the rest in one of size part; negative: in none.
func outcomeOf(ml int, sizes []must.BottleSize, full []int, part int) (outcome, bool) {
	o := outcome{outside: ml}
	for i, n := range full {
		o.outside -= n * sizes[i].ML
		o.bottles += n
		if n < 0 || sizes[i].Have >= 0 && (n > sizes[i].Have || i == part && n == sizes[i].Have) {
			return o, false
		}
	}
	switch {
	case o.outside < 0:
		return o, false
	case part >= 0:
		o.parts, o.size = 1, sizes[part].ML
		o.bottles++
		if o.outside == 0 || o.outside >= o.size {
			return o, false
		}
	case o.outside > must.TastingGlass:
		o.unbottled = o.outside
	}
	return o, true
}

// Against trying every number of every size, with every bottle for the rest.
func TestFillBottlesAgainstExhaustiveSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sizes := make([]must.BottleSize, rapid.IntRange(1, 5).Draw(t, "kinds"))
		hand, holds := 40, 0
		for i := range sizes {
			have := rapid.IntRange(0, min(hand, 12)).Draw(t, "have")
			hand -= have
			ml := rapid.OneOf(rapid.SampledFrom([]int{187, 330, 355, 375, 473, 500, 750}), rapid.IntRange(50, 1500)).Draw(t, "size")
			sizes[i] = must.BottleSize{ML: ml, Have: have}
			holds += have * ml
		}
		ml := rapid.IntRange(0, min(60_000, holds+holds/4+1000)).Draw(t, "mL")

		best := outcome{unbottled: math.MaxInt}
		full := make([]int, len(sizes))
		var try func(i, room int)
		try = func(i, room int) {
			if i < len(sizes) {
				for full[i] = 0; full[i] <= sizes[i].Have && full[i]*sizes[i].ML <= room; full[i]++ {
					try(i+1, room-full[i]*sizes[i].ML)
				}
				full[i] = 0
				return
			}
			for part := -1; part < len(sizes); part++ {
				if o, fits := outcomeOf(ml, sizes, full, part); fits && o.less(best) {
					best = o
				}
			}
		}
		try(0, ml)

		f, err := must.FillBottles(ml, sizes)
		if err != nil {
			t.Fatal(err)
		}
		got, fits := outcomeOf(ml, sizes, f.Full, f.Part)
		if !fits || got != best {
			t.Errorf("FillBottles(%d, %v) = %+v, which is %+v; best is %+v", ml, sizes, f, got, best)
		}
		if in := f.PartML + f.LeftML; in != got.outside || f.Part < 0 && f.PartML != 0 || f.Part >= 0 && f.LeftML != 0 {
			t.Errorf("FillBottles(%d, %v) = %+v tells of %d mL outside full bottles; there are %d", ml, sizes, f, in, got.outside)
		}
	})
}

// Bottles that abound are chosen as if there were as many as could ever be filled.
func TestFillBottlesAsManyAsNeeded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ml := rapid.IntRange(0, 60_000).Draw(t, "mL")
		abound := make([]must.BottleSize, rapid.IntRange(1, 4).Draw(t, "kinds"))
		enough := make([]must.BottleSize, len(abound))
		for i := range abound {
			size := rapid.IntRange(150, 1500).Draw(t, "size")
			abound[i] = must.BottleSize{ML: size, Have: -1}
			enough[i] = must.BottleSize{ML: size, Have: ml/size + 1}
		}
		a, err := must.FillBottles(ml, abound)
		if err != nil {
			t.Fatal(err)
		}
		e, err := must.FillBottles(ml, enough)
		if err != nil {
			t.Fatal(err)
		}
		got, _ := outcomeOf(ml, abound, a.Full, a.Part)
		want, _ := outcomeOf(ml, enough, e.Full, e.Part)
		if got != want || got.unbottled > 0 {
			t.Errorf("FillBottles(%d, %v) = %+v, want as with %d and more of each, %+v", ml, abound, a, enough[0].Have, e)
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
		if f, err := must.FillBottles(tt.ml, tt.sizes); err == nil {
			t.Errorf("FillBottles(%d, %v) = %+v; want an error", tt.ml, tt.sizes, f)
		}
	}
	if f, err := must.FillBottles(900, nil); err != nil || f.LeftML != 900 || f.Part >= 0 {
		t.Errorf("FillBottles(900 mL, no bottles) = %+v, %v; want 900 mL left", f, err)
	}
}

// 40 bottles of 5 sizes that share no measure but the millilitre, and wine for all but
// the last: the most work there is.
func BenchmarkFillBottles(b *testing.B) {
	sizes := []must.BottleSize{{ML: 1499, Have: 8}, {ML: 1489, Have: 8}, {ML: 1453, Have: 8}, {ML: 1451, Have: 8}, {ML: 1447, Have: 8}}
	for b.Loop() {
		if f, err := must.FillBottles(58_000, sizes); err != nil || f.Part < 0 {
			b.Fatal(f, err)
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
