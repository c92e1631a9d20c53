package must_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/solve"
)

// dryWine is litres of a wine of so much alcohol, extract and acid, g/L.
func dryWine(t interface{ Fatal(...any) }, litres, strength, extract, acid float64) must.Must {
	m := must.Must{must.Ethanol: strength / 100 * density.EthanolAt20, must.OtherSolids: extract - acid, must.Acid: acid}
	water, err := solve.Root(func(water float64) float64 {
		m[must.Water] = water
		v, err := m.Volume(20)
		if err != nil {
			return math.NaN()
		}
		return float64(v) - 1
	}, 600, 1100, 1e-9)
	if err != nil {
		t.Fatal(err)
	}
	m[must.Water] = water
	return m.Scaled(litres)
}

func value(t interface{ Fatal(...any) }, m must.Must) (strength, gravity, acidity float64) {
	v, err := m.Volume(20)
	if err != nil {
		t.Fatal(err)
	}
	p, err := m.PercentVol()
	if err != nil {
		t.Fatal(err)
	}
	g, err := m.Gravity()
	if err != nil {
		t.Fatal(err)
	}
	return float64(p), float64(g), m[must.Acid] / float64(v)
}

// One part is all taken; of the other as much as brackets find.
func TestBlendOfTwo(t *testing.T) {
	strong, weak := dryWine(t, 5, 14, 30, 7), dryWine(t, 5, 8, 90, 4)
	for _, tt := range []struct {
		name string
		wish must.BlendWish
		off  func(strength, gravity, acidity float64) float64
	}{
		{"strength", must.BlendWish{Strength: 12}, func(p, _, _ float64) float64 { return p - 12 }},
		{"gravity", must.BlendWish{Gravity: 1.005}, func(_, g, _ float64) float64 { return 1000 * (g - 1.005) }},
		{"acidity", must.BlendWish{Acidity: 6.5}, func(_, _, a float64) float64 { return a - 6.5 }},
		{"pH", must.BlendWish{Sour: &must.SourWish{PH: 3.4, Lacks: []float64{40, -100}, Sees: 2}}, nil}, // 40 less 100 times 0.4
	} {
		want, err := 0.4, error(nil)
		if tt.off != nil {
			want, err = solve.Root(func(y float64) float64 { return tt.off(value(t, strong.Plus(weak.Scaled(y)))) }, 0, 1, 1e-13)
		}
		if err != nil {
			t.Fatal(err)
		}
		got, err := must.Blend([]must.Must{strong, weak}, tt.wish)
		if err != nil || got.Shares[0] != 1 || math.Abs(got.Shares[1]-want) > 1e-9 || got.Missed != nil || got.Short {
			t.Errorf("Blend to a %s = %+v, %v, want all of the first and %.9f of the second", tt.name, got, err, want)
		}
	}
}

func TestBlend(t *testing.T) {
	strong, weak, water := dryWine(t, 5, 14, 30, 7), dryWine(t, 5, 12, 30, 4), must.Must{must.Water: 10_000}
	for _, tt := range []struct {
		name           string
		onHand         []must.Must
		wish           must.BlendWish
		litres, within float64
		short          bool
		missed         []string
	}{
		{"two litres", []must.Must{strong, water}, must.BlendWish{Strength: 10, Volume: 2}, 2, 1e-9, false, nil},
		{"more than that makes", []must.Must{strong, water}, must.BlendWish{Strength: 10, Volume: 9}, 7, 0.05, true, nil}, // 5 × 14/10, less contraction
		{"nothing wanted", []must.Must{strong, weak}, must.BlendWish{}, 10, 0.001, false, nil},
		{"more than there is", []must.Must{strong, weak}, must.BlendWish{Volume: 20}, 10, 0.001, true, nil},
		{"stronger than either", []must.Must{strong, weak}, must.BlendWish{Strength: 15}, 5, 1e-9, false, []string{"strength"}},
		{"stronger than either, 6 L", []must.Must{strong, weak}, must.BlendWish{Strength: 15, Volume: 6}, 6, 1e-9, false, []string{"strength"}},
		{"two that do not go together", []must.Must{strong, weak}, must.BlendWish{Strength: 13, Acidity: 4.5}, 6, 0.001, false, []string{"strength"}},
		{"three with water", []must.Must{strong, weak, water}, must.BlendWish{Strength: 11, Acidity: 5}, 9, 3, false, nil},
		{"both too sour", []must.Must{strong, weak}, must.BlendWish{Sour: &must.SourWish{PH: 3.4, Lacks: []float64{40, 10}, Sees: 2}}, 5, 1e-9, false, []string{"pH"}},
		{"an empty jug", []must.Must{strong, {}}, must.BlendWish{Strength: 14}, 5, 1e-9, false, nil},
		{"twice the same", []must.Must{strong, strong}, must.BlendWish{Strength: 14, Acidity: 7}, 10, 1e-9, false, nil},
	} {
		got, err := must.Blend(tt.onHand, tt.wish)
		if err != nil {
			t.Errorf("%s: Blend = %v", tt.name, err)
			continue
		}
		var missed []string
		for _, m := range got.Missed {
			missed = append(missed, m.What)
		}
		if math.Abs(float64(got.Volume)-tt.litres) > tt.within || got.Short != tt.short || !slices.Equal(missed, tt.missed) {
			t.Errorf("%s: Blend = %+v, want %.3f L, short %t, missed %v", tt.name, got, tt.litres, tt.short, tt.missed)
		}
	}
	if _, err := must.Blend([]must.Must{{}, {}}, must.BlendWish{}); !errors.Is(err, must.ErrEmpty) {
		t.Errorf("Blend of nothing = %v, want %v", err, must.ErrEmpty)
	}
	if got, err := must.Blend([]must.Must{strong, weak}, must.BlendWish{Strength: 15}); err != nil ||
		math.Abs(got.Missed[0].Got-14) > 1e-9 || math.Abs(got.Missed[0].Low-12) > 1e-9 || math.Abs(got.Missed[0].High-14) > 1e-9 {
		t.Errorf("Blend to 15 %% vol = %+v, %v, want 14 of 12 to 14", got.Missed, err)
	}
}

// drawMusts draws evenly: rapid's own numbers are mostly the ends of their ranges, and
// where all musts are alike in a goal, contraction decides what is the largest blend.
func drawMusts(t *rapid.T) ([]must.Must, *rand.Rand) {
	random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
	between := func(low, high float64) float64 { return low + (high-low)*random.Float64() }
	var all []must.Must
	for range 2 + random.IntN(4) {
		litres := between(0.05, 25)
		if random.IntN(5) == 0 {
			all = append(all, must.Must{must.Water: 1000 * litres})
			continue
		}
		all = append(all, dryWine(t, litres, between(0, 18), between(15, 250), between(2, 12)))
	}
	return all, random
}

func mixed(musts []must.Must, shares []float64) must.Must {
	var m must.Must
	for i, y := range shares {
		m = m.Plus(musts[i].Scaled(y))
	}
	return m
}

func drawShares(random *rand.Rand, n int) []float64 {
	shares := make([]float64, n)
	for i := range shares {
		shares[i] = random.Float64()
	}
	return shares
}

func asked[T ~float64](goal T) float64 {
	if goal == 0 {
		return 0
	}
	return 1
}

// What one blend is, another can be asked to be: it must be found. Contraction bends what is
// solved as straight: where musts are nearly alike in what is asked of them, a goal may be
// met to a tenth of what an instrument just sees, which is what Blend allows itself, or a
// larger blend be overlooked, but not one time in 500 (of 100,000 it was 62 to 69). Else it
// is exact and largest.
func TestBlendFindsWhatThereIs(t *testing.T) {
	worst, checks, inexact := 0., 0, 0
	rapid.Check(t, func(t *rapid.T) {
		musts, random := drawMusts(t)
		known := mixed(musts, drawShares(random, len(musts)))
		if known.Mass() < 10 {
			t.Skip("nothing in it")
		}
		v, err := known.Volume(20)
		if err != nil {
			t.Fatal(err)
		}
		p, g, a := value(t, known)
		var wish must.BlendWish
		if rapid.Bool().Draw(t, "by strength") {
			wish.Strength = measure.PercentVol(p)
		}
		if rapid.Bool().Draw(t, "by gravity") {
			wish.Gravity = measure.Gravity(g)
		}
		if rapid.Bool().Draw(t, "by acidity") {
			wish.Acidity = measure.GramsPerLitre(a)
		}
		got, err := must.Blend(musts, wish)
		if err != nil {
			t.Fatal(err)
		}
		if got.Missed != nil {
			t.Fatalf("Blend to %+v = %+v, want all of it met", wish, got)
		}
		gotP, gotG, gotA := value(t, got.Must)
		checks++
		exact := float64(got.Volume) > float64(v)*(1-1e-5)
		for _, off := range []float64{
			asked(wish.Strength) * (gotP - p) / 0.1, asked(wish.Gravity) * (gotG - g) / 0.001, asked(wish.Acidity) * (gotA - a) / 0.1,
		} {
			worst = max(worst, math.Abs(off))
			exact = exact && math.Abs(off) < 1e-5
		}
		wish.Volume = v
		if got, err = must.Blend(musts, wish); err != nil || got.Missed != nil {
			t.Fatalf("Blend to %+v = %+v, %v, want all of it met", wish, got, err)
		}
		if !exact || math.Abs(float64(got.Volume/v)-1) > 1e-5 {
			inexact++
		}
	})
	t.Logf("of %d blends %d are not exact or not the largest; furthest from a goal: %.1e of what instruments just see", checks, inexact, worst)
	if worst > 0.1 || inexact > 2+checks/500 {
		t.Errorf("of %d blends %d are not exact or not the largest; furthest from a goal: %.1e of what instruments just see", checks, inexact, worst)
	}
}

// Where goals are missed, no other blend of as much misses them by less, but for what an
// instrument just sees: by contraction the gravity of wine in water lies up to 0.0008 off
// the straight line, which may hide that another is better.
func TestNoBlendIsBetter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		musts, random := drawMusts(t)
		wish := must.BlendWish{
			Strength: measure.PercentVol(rapid.Float64Range(1, 20).Draw(t, "to strength")),
			Gravity:  measure.Gravity(rapid.Float64Range(0.985, 1.1).Draw(t, "to gravity")),
			Acidity:  measure.GramsPerLitre(rapid.Float64Range(1, 12).Draw(t, "to acidity")),
			Volume:   measure.Litres(rapid.Float64Range(0.1, 10).Draw(t, "volume")),
		}
		off := func(m must.Must) float64 {
			p, g, a := value(t, m)
			return 10*math.Abs(p-float64(wish.Strength)) + 1000*math.Abs(g-float64(wish.Gravity)) + 10*math.Abs(a-float64(wish.Acidity))
		}
		got, err := must.Blend(musts, wish)
		if err != nil {
			t.Fatal(err)
		}
		if got.Missed == nil {
			return
		}
		least := off(got.Must)
		for range 20 {
			shares := drawShares(random, len(musts))
			other := mixed(musts, shares)
			if other.Mass() < 10 {
				continue
			}
			v, err := other.Volume(20)
			if err != nil {
				t.Fatal(err)
			}
			if float64(got.Volume/v)*slices.Max(shares) > 1 {
				continue // there is not enough of it
			}
			if off(other) < least-1 {
				t.Fatalf("Blend to %+v = %+v, off by %.5f; shares %v are off by %.5f", wish, got, least, shares, off(other))
			}
		}
	})
}
