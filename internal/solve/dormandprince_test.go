package solve_test

import (
	"errors"
	"math"
	"testing"

	"skep/internal/solve"
)

// problems have exact answers. The tolerance of each is 100 times the relative
// tolerance asked for: a step's error is bounded, and some dozens of steps add up.
var problems = []struct {
	name  string
	f     solve.System
	from  float64
	to    float64
	exact func(t float64) solve.Three
}{
	{
		"decay", func(_ float64, y solve.Three) solve.Three { return solve.Three{A: -2 * y.A} }, 0, 3,
		func(t float64) solve.Three { return solve.Three{A: math.Exp(-2 * t)} },
	},
	{
		"circle", func(_ float64, y solve.Three) solve.Three { return solve.Three{A: -y.B, B: y.A} }, 0, 2 * math.Pi,
		func(t float64) solve.Three { return solve.Three{A: math.Cos(t), B: math.Sin(t)} },
	},
	{
		"logistic", func(_ float64, y solve.Three) solve.Three { return solve.Three{B: y.B * (1 - y.B)} }, -4, 4,
		func(t float64) solve.Three { return solve.Three{B: 1 / (1 + math.Exp(-t))} },
	},
	{
		"time in the rate", func(t float64, y solve.Three) solve.Three { return solve.Three{C: 2 * t * y.C} }, 0, 1.5,
		func(t float64) solve.Three { return solve.Three{C: math.Exp(t * t)} },
	},
}

func TestDormandPrinceAgainstExactAnswers(t *testing.T) {
	for _, p := range problems {
		d := solve.NewDormandPrince()
		for _, tolerance := range []float64{1e-5, 1e-7, 1e-9} {
			d.Relative, d.Absolute = tolerance, solve.Three{A: tolerance, B: tolerance, C: tolerance}
			d.Start(p.f, p.from, p.exact(p.from), 0)
			worst := 0.0
			for begin := p.from; d.Time() < p.to; begin = d.Time() {
				if err := d.Step(p.to); err != nil {
					t.Fatalf("%s: %v", p.name, err)
				}
				for _, share := range []float64{0, 0.3, 0.7, 1} {
					at := begin + share*(d.Time()-begin)
					got, want := d.Within(at), p.exact(at)
					worst = max(worst, math.Abs(got.A-want.A), math.Abs(got.B-want.B), math.Abs(got.C-want.C))
				}
			}
			if d.Time() != p.to {
				t.Errorf("%s: stopped at %g, want %g", p.name, d.Time(), p.to)
			}
			if limit := 100 * tolerance; worst > limit {
				t.Errorf("%s: off by %.3g at tolerance %g, want under %.3g", p.name, worst, tolerance, limit)
			}
		}
	}
}

// One step of length h errs by a multiple of h⁶ at its end (order 5) and of h⁵ inside it
// (order 4): halving h must divide the error by about 64 and 32. The bounds are half an
// order to each side.
func TestDormandPrinceOrder(t *testing.T) {
	oneStep := func(h float64) (end, middle float64) {
		d := solve.NewDormandPrince()
		d.Relative, d.Absolute = 1, solve.Three{A: 1, B: 1, C: 1} // one step, whatever its error
		f := func(t float64, y solve.Three) solve.Three { return solve.Three{A: -y.B * (1 + t), B: y.A * (1 + t)} }
		angle := func(t float64) float64 { return t + t*t/2 }
		d.Start(f, 0, solve.Three{A: 1}, 0)
		for d.Time() < h { // the first guess of the step may be shorter: grow until one does it
			d.Restart(0, solve.Three{A: 1})
			if err := d.Step(h); err != nil {
				t.Fatal(err)
			}
		}
		off := func(y solve.Three, t float64) float64 {
			return math.Hypot(y.A-math.Cos(angle(t)), y.B-math.Sin(angle(t)))
		}
		return off(d.Value(), h), off(d.Within(h/2), h/2)
	}
	for _, h := range []float64{0.1, 0.05} {
		end, middle := oneStep(h)
		endHalf, middleHalf := oneStep(h / 2)
		if order := math.Log2(end / endHalf); order < 5.5 || order > 6.5 {
			t.Errorf("h %g: error of a step falls with power %.2f, want 6", h, order)
		}
		if order := math.Log2(middle / middleHalf); order < 4.5 || order > 5.5 {
			t.Errorf("h %g: error inside a step falls with power %.2f, want 5", h, order)
		}
	}
}

func TestDormandPrinceSaysWhereItStopped(t *testing.T) {
	var stopped *solve.StepError
	d := solve.NewDormandPrince()

	blowUp := func(_ float64, y solve.Three) solve.Three { return solve.Three{A: y.A * y.A} } // 1/(1 − t): ends at t = 1
	d.Start(blowUp, 0, solve.Three{A: 1}, 0)
	var err error
	for err == nil && d.Time() < 2 {
		err = d.Step(2)
	}
	if !errors.As(err, &stopped) || math.Abs(stopped.Time-1) > 1e-3 {
		t.Errorf("y' = y² from 1: %v, want a StepError at 1", err)
	}

	nan := func(t float64, _ solve.Three) solve.Three { return solve.Three{A: math.Sqrt(0.5 - t)} }
	d.Start(nan, 0, solve.Three{A: 1}, 0)
	for err = nil; err == nil && d.Time() < 1; {
		err = d.Step(1)
	}
	if !errors.As(err, &stopped) || stopped.Time > 0.5 {
		t.Errorf("a rate that is no number: %v, want a StepError before 0.5", err)
	}

	d.MaxSteps = 3
	d.Start(func(_ float64, y solve.Three) solve.Three { return solve.Three{A: math.Cos(100 * y.A)} }, 0, solve.Three{}, 0)
	for err = nil; err == nil && d.Time() < 100; {
		err = d.Step(100)
	}
	if !errors.As(err, &stopped) || stopped.Why != "too many steps" {
		t.Errorf("3 steps allowed: %v, want too many steps", err)
	}
}

func TestDormandPrinceAllocatesNothing(t *testing.T) {
	d := solve.NewDormandPrince()
	f := func(_ float64, y solve.Three) solve.Three { return solve.Three{A: -y.B, B: y.A} }
	y := solve.Three{A: 1}
	if n := testing.AllocsPerRun(20, func() {
		d.Start(f, 0, y, 0)
		for d.Time() < 10 {
			if err := d.Step(10); err != nil {
				t.Fatal(err)
			}
		}
	}); n != 0 {
		t.Errorf("a solved problem allocates %g times, want 0", n)
	}
}
