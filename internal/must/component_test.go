package must_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/must"
)

// anyMust is a must that a kitchen might hold: mostly water, to a third sugar.
func anyMust(t *rapid.T) must.Must {
	gram := func(c must.Component, most float64) float64 { return rapid.Float64Range(0, most).Draw(t, c.String()) }
	var m must.Must
	for c := range must.Components {
		m[c] = gram(c, 100)
	}
	m[must.Water] = rapid.Float64Range(1500, 20000).Draw(t, "water")
	return m
}

// Mass is conserved to 1e-9 relative through mixing, fermenting and drawing, component
// by component where nothing reacts.
func TestMassIsConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jug, out := anyMust(t), must.Must{}
		in := jug
		for range rapid.IntRange(1, 12).Draw(t, "steps") {
			switch rapid.SampledFrom([]string{"add", "draw", "ferment"}).Draw(t, "step") {
			case "add":
				more := anyMust(t)
				jug, in = jug.Plus(more), in.Plus(more)
			case "draw":
				drawn, left, err := jug.Draw(rapid.Float64Range(0, 1).Draw(t, "share"))
				if err != nil {
					t.Fatal(err)
				}
				jug, out = left, out.Plus(drawn)
			case "ferment":
				slow := rapid.Float64Range(0, 1).Draw(t, "slow")
				done, err := jug.Fermented(rapid.Float64Range(0, 1).Draw(t, "share")*jug.Hexose(slow), slow,
					rapid.Float64Range(0.40, 0.49).Draw(t, "yield"), rapid.Float64Range(0, 0.03).Draw(t, "cells"))
				if err != nil {
					t.Fatal(err)
				}
				jug = done
			}
		}
		if err := jug.Check(); err != nil {
			t.Error(err)
		}
		was, is := float64(in.Mass()), float64(jug.Mass()+out.Mass())
		if math.Abs(was-is) > 1e-9*was {
			t.Errorf("%.9f g went in, %.9f g are there", was, is)
		}
	})
}

func TestMixingOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := anyMust(t), anyMust(t), anyMust(t)
		one, other := a.Plus(b).Plus(c), c.Plus(a.Plus(b))
		for i := range one {
			if math.Abs(one[i]-other[i]) > 1e-9*one[i] {
				t.Errorf("%s: %g g one way, %g g the other", must.Component(i), one[i], other[i])
			}
		}
	})
}

// Gay-Lussac: 180.156 g of glucose give 92.136 g of ethanol and 88.019 g of carbon
// dioxide at most (molar masses, IUPAC abridged atomic weights).
func TestFermentedByTheEquation(t *testing.T) {
	m := must.Must{must.Water: 1000, must.Glucose: 180.156}
	done, err := m.Fermented(180.156, 0, must.MostEthanol, 0)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(done[must.Ethanol]-92.136) > 1e-3 || math.Abs(done[must.CarbonDioxide]-88.019) > 2e-3 {
		t.Errorf("ethanol %.4f g, carbon dioxide %.4f g; want 92.136 and 88.019", done[must.Ethanol], done[must.CarbonDioxide])
	}
	if done.Hexose(1) != 0 {
		t.Errorf("%.6g g of sugar left, want 0", done.Hexose(1))
	}
}

func TestFermentedRefusesWhatCannotBe(t *testing.T) {
	m := must.Must{must.Water: 1000, must.Glucose: 100}
	for _, tt := range []struct{ hexose, slow, yield, cells float64 }{
		{101, 0, 0.47, 0.02}, {-1, 0, 0.47, 0.02}, {50, 0, 0.52, 0}, {50, 0, 0.5, 0.1}, {math.NaN(), 0, 0.47, 0},
	} {
		if got, err := m.Fermented(tt.hexose, tt.slow, tt.yield, tt.cells); err == nil {
			t.Errorf("Fermented(%+v) = %v; want an error", tt, got)
		}
	}
}
