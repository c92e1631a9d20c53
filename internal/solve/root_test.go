package solve_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/solve"
)

// Problems whose answer is known, among them those that fool a method of curves: a flat
// root, a steep one, one at the end, one far from the middle.
func TestRoot(t *testing.T) {
	for _, tt := range []struct {
		name      string
		f         func(float64) float64
		low, high float64
		want      float64
		tolerance float64
		most      int // calls that are fair for it; halving alone takes about 45
	}{
		{"line", func(x float64) float64 { return 3*x - 1 }, 0, 1, 1.0 / 3, 1e-14, 6},
		{"square root of 2", func(x float64) float64 { return x*x - 2 }, 0, 2, math.Sqrt2, 1e-14, 12},
		{"falling", func(x float64) float64 { return math.Cos(x) }, 0, 3, math.Pi / 2, 1e-14, 12},
		{"flat", func(x float64) float64 { return math.Pow(x-0.3, 9) }, 0, 1, 0.3, 1e-3, 120},
		{"steep", func(x float64) float64 { return math.Atan(1e6 * (x - 0.7)) }, 0, 1, 0.7, 1e-12, 60},
		{"far from the middle", func(x float64) float64 { return math.Log(x) + 20 }, 1e-12, 1, math.Exp(-20), 1e-20, 90},
		{"at the low end", func(x float64) float64 { return x }, 0, 1, 0, 0, 2},
		{"at the high end", func(x float64) float64 { return x - 1 }, 0, 1, 1, 0, 2},
		{"a step", func(x float64) float64 { return math.Copysign(1, x-0.1234) }, 0, 1, 0.1234, 1e-12, 90},
	} {
		calls := 0
		got, err := solve.Root(func(x float64) float64 { calls++; return tt.f(x) }, tt.low, tt.high, tt.tolerance)
		if err != nil || math.Abs(got-tt.want) > tt.tolerance+4*0x1p-52*math.Abs(tt.want) {
			t.Errorf("%s: Root = %.17g, %v, want %.17g within %g", tt.name, got, err, tt.want, tt.tolerance)
		}
		if calls > tt.most {
			t.Errorf("%s: %d calls, want at most %d", tt.name, calls, tt.most)
		}
	}
}

func TestRootOfAnyCubic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64Range(-5, 5).Draw(t, "root")
		slope := rapid.Float64Range(0.01, 10).Draw(t, "slope")
		f := func(x float64) float64 { d := x - want; return d*d*d + slope*d }
		got, err := solve.Root(f, -7, 9, 1e-10)
		if err != nil || math.Abs(got-want) > 1e-10+1e-14 {
			t.Fatalf("Root = %.12g, %v, want %.12g", got, err, want)
		}
	})
}

func TestRootNeedsAChangeOfSign(t *testing.T) {
	for name, f := range map[string]func(float64) float64{
		"above":                func(x float64) float64 { return x*x + 1 },
		"below":                func(x float64) float64 { return -1 - x*x },
		"not a number":         func(float64) float64 { return math.NaN() },
		"not a number between": func(x float64) float64 { return math.Sqrt(math.Abs(x)-0.5) * x },
	} {
		if got, err := solve.Root(f, -1, 1, 1e-9); !errors.Is(err, solve.ErrNoRoot) {
			t.Errorf("%s: Root = %g, %v, want ErrNoRoot", name, got, err)
		}
	}
}
