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
	exact func(t float64) []float64
}{
	{
		"decay", func(_ float64, y, dy []float64) { dy[0] = -2 * y[0] }, 0, 3,
		func(t float64) []float64 { return []float64{math.Exp(-2 * t)} },
	},
	{
		"circle", func(_ float64, y, dy []float64) { dy[0], dy[1] = -y[1], y[0] }, 0, 2 * math.Pi,
		func(t float64) []float64 { return []float64{math.Cos(t), math.Sin(t)} },
	},
	{
		"logistic", func(_ float64, y, dy []float64) { dy[0] = y[0] * (1 - y[0]) }, -4, 4,
		func(t float64) []float64 { return []float64{1 / (1 + math.Exp(-t))} },
	},
	{
		"time in the rate", func(t float64, y, dy []float64) { dy[0] = 2 * t * y[0] }, 0, 1.5,
		func(t float64) []float64 { return []float64{math.Exp(t * t)} },
	},
}

func TestDormandPrinceAgainstExactAnswers(t *testing.T) {
	for _, p := range problems {
		start := p.exact(p.from)
		d := solve.NewDormandPrince(len(start))
		for _, tolerance := range []float64{1e-5, 1e-7, 1e-9} {
			d.Relative, d.Absolute = tolerance, tolerance
			d.Start(p.f, p.from, start)
			inside := make([]float64, len(start))
			worst := 0.0
			for begin := p.from; d.Time() < p.to; begin = d.Time() {
				if err := d.Step(p.to); err != nil {
					t.Fatalf("%s: %v", p.name, err)
				}
				for _, share := range []float64{0, 0.3, 0.7, 1} {
					at := begin + share*(d.Time()-begin)
					d.Within(at, inside)
					for i, want := range p.exact(at) {
						worst = max(worst, math.Abs(inside[i]-want))
					}
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
		d := solve.NewDormandPrince(2)
		d.Relative, d.Absolute = 1, 1 // one step, whatever its error
		f := func(t float64, y, dy []float64) { dy[0], dy[1] = -y[1]*(1+t), y[0]*(1+t) }
		angle := func(t float64) float64 { return t + t*t/2 }
		d.Start(f, 0, []float64{1, 0})
		for d.Time() < h { // the first guess of the step may be shorter: grow until one does it
			d.Restart(0, []float64{1, 0})
			if err := d.Step(h); err != nil {
				t.Fatal(err)
			}
		}
		y := make([]float64, 2)
		d.Within(h/2, y)
		off := func(y []float64, t float64) float64 {
			return math.Hypot(y[0]-math.Cos(angle(t)), y[1]-math.Sin(angle(t)))
		}
		return off(d.Value(), h), off(y, h/2)
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
	d := solve.NewDormandPrince(1)

	blowUp := func(_ float64, y, dy []float64) { dy[0] = y[0] * y[0] } // 1/(1 − t): ends at t = 1
	d.Start(blowUp, 0, []float64{1})
	var err error
	for err == nil && d.Time() < 2 {
		err = d.Step(2)
	}
	if !errors.As(err, &stopped) || math.Abs(stopped.Time-1) > 1e-3 {
		t.Errorf("y' = y² from 1: %v, want a StepError at 1", err)
	}

	nan := func(t float64, _, dy []float64) { dy[0] = math.Sqrt(0.5 - t) }
	d.Start(nan, 0, []float64{1})
	for err = nil; err == nil && d.Time() < 1; {
		err = d.Step(1)
	}
	if !errors.As(err, &stopped) || stopped.Time > 0.5 {
		t.Errorf("a rate that is no number: %v, want a StepError before 0.5", err)
	}

	d.MaxSteps = 3
	d.Start(func(_ float64, y, dy []float64) { dy[0] = math.Cos(100 * y[0]) }, 0, []float64{0})
	for err = nil; err == nil && d.Time() < 100; {
		err = d.Step(100)
	}
	if !errors.As(err, &stopped) || stopped.Why != "too many steps" {
		t.Errorf("3 steps allowed: %v, want too many steps", err)
	}
}

func TestDormandPrinceAllocatesNothing(t *testing.T) {
	d := solve.NewDormandPrince(2)
	f := func(_ float64, y, dy []float64) { dy[0], dy[1] = -y[1], y[0] }
	y := []float64{1, 0}
	if n := testing.AllocsPerRun(20, func() {
		d.Start(f, 0, y)
		for d.Time() < 10 {
			if err := d.Step(10); err != nil {
				t.Fatal(err)
			}
		}
	}); n != 0 {
		t.Errorf("a solved problem allocates %g times, want 0", n)
	}
}
