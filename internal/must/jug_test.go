package must_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/must"
	"skep/internal/property"
)

func TestAbove(t *testing.T) {
	const cylinder = math.Pi / 4 / 1000 // L in a cm of height and cm² of diameter
	jug := must.JugShape{Neck: 3, NeckHeight: 4, Shoulder: 8, Body: 15}
	cone := must.JugShape{Shoulder: 10, Body: 20}
	for _, tt := range []struct {
		name         string
		shape        must.JugShape
		below, round float64
		want         float64
	}{
		{"to the brim", jug, 0, 0.5, 0},
		{"in the neck", jug, 3, 0.5, cylinder * 9 * 3},
		{"at the foot of the neck", jug, 4, 0.5, cylinder * 9 * 4},
		{"under a cone", jug, 12, 0, cylinder*9*4 + cylinder*8*(9+3*15+225)/3},
		{"in the body", jug, 13, 0, cylinder*9*4 + cylinder*8*(9+3*15+225)/3 + cylinder*225},
		{"half down a cone", cone, 5, 0, cylinder * 5 * 100 / 3},
		{"a half ball", cone, 10, 1, 2 * math.Pi / 3},
		{"half down a half ball", cone, 5, 1, math.Pi * 25 * (10 - 5./3) / 1000}, // a cap: π h² (R − h/3)
		{"a bucket", must.JugShape{Neck: 29, Body: 29}, 5, 0.5, cylinder * 29 * 29 * 5},
	} {
		if got, err := tt.shape.Above(tt.below, tt.round); err != nil || math.Abs(float64(got)-tt.want) > 1e-12 {
			t.Errorf("%s: Above(%g cm, %g) = %.12f L, %v, want %.12f", tt.name, tt.below, tt.round, got, err, tt.want)
		}
	}
	beyond := new(property.RangeError)
	for name, call := range map[string]func() error{
		"above the top":  func() error { _, err := jug.Above(-1, 0); return err },
		"not a number":   func() error { _, err := jug.Above(math.NaN(), 0); return err },
		"negative size":  func() error { _, err := must.JugShape{Neck: -1}.Above(1, 0); return err },
		"more than dome": func() error { _, err := jug.Above(1, 1.1); return err },
	} {
		if err := call(); !errors.As(err, &beyond) {
			t.Errorf("%s: %v, want a range error", name, err)
		}
	}
}

func TestAboveLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shape := rapid.SampledFrom(must.JugShapes()).Draw(t, "shape")
		below := rapid.Float64Range(0, 30).Draw(t, "below")
		more := below + rapid.Float64Range(0.001, 10).Draw(t, "more")
		round := rapid.Float64Range(0, 0.9).Draw(t, "round")
		at := func(below, round float64) float64 {
			v, err := shape.Above(below, round)
			if err != nil {
				t.Fatal(err)
			}
			return float64(v)
		}
		widest := math.Pi / 4 * shape.Body * shape.Body / 1000 * (more - below)
		if grown := at(more, round) - at(below, round); grown <= 0 || grown > widest*(1+1e-9) {
			t.Fatalf("%s: %g cm more is %g L more, the body has %g", shape.Name, more-below, grown, widest)
		}
		if shape.Body > shape.Neck && at(below, round) > at(below, round+0.1)+1e-12 {
			t.Fatalf("%s: rounder is smaller at %g cm", shape.Name, below)
		}
	})
}
