package solve

import (
	"fmt"
	"math"
)

// Three is the state of three equations, or their rates. It is a struct and no array or
// slice because Go keeps a small struct in registers.
type Three struct{ A, B, C float64 }

// plus returns v + h·r.
func (v Three) plus(h float64, r Three) Three { return Three{v.A + h*r.A, v.B + h*r.B, v.C + h*r.C} }

// System returns dy/dt at time t and state y.
type System func(t float64, y Three) Three

// StepError says that a system could not be followed any further.
type StepError struct {
	Time float64 // where it stopped
	Step float64 // the step that was tried last
	Why  string
}

// Error reads "solve: stopped at 17.2 with step 1e-14: the step became too small".
func (e *StepError) Error() string {
	return fmt.Sprintf("solve: stopped at %.6g with step %.3g: %s", e.Time, e.Step, e.Why)
}

// DormandPrince follows three equations with the explicit pair of order 5(4), one
// accepted step at a time, with a continuous solution of order 4 inside the last step.
//
// A value is made once with NewDormandPrince and used for any number of problems;
// nothing is allocated. It is not for stiff systems: there it is right but slow.
//
// Source: [dormandprince1980] the pair; [hairer1993] the continuous solution, the first
// step and the control of the step.
type DormandPrince struct {
	Relative float64 // tolerance of a step's error in each component, relative to it
	Absolute Three   // and the tolerance where the component is near zero
	MaxSteps int     // from one Start to the next

	f       System
	t, h    float64 // time reached, step to try next
	from    float64 // where the last accepted step began
	taken   float64 // its length
	steps   int
	before  float64  // squared error of the last accepted step
	y, last Three    // the state at t, and at from
	slope   Three    // dy/dt at t
	bends   [3]Three // of the continuous solution, once somebody looks inside a step
	bent    bool

	k1, k3, k4, k5, k6, k7 Three // slopes of the step being tried; an array would be written twice
}

// NewDormandPrince returns a stepper with a relative tolerance of 1e-6, an absolute one
// of 1e-9 and at most 100 000 steps.
func NewDormandPrince() *DormandPrince {
	return &DormandPrince{Relative: 1e-6, Absolute: Three{1e-9, 1e-9, 1e-9}, MaxSteps: 100_000}
}

// Start begins a problem at time t and state y. step is the first to be tried; 0 leaves it
// to the method, at the cost of a look ahead.
func (d *DormandPrince) Start(f System, t float64, y Three, step float64) {
	d.f, d.steps, d.before = f, 0, 1e-4
	d.Restart(t, y)
	d.h = step
	if !(step > 0) {
		d.h = d.firstStep()
	}
}

// Restart goes on with the same system from a state changed by hand. The step length
// is kept, so that small changes cost nothing.
func (d *DormandPrince) Restart(t float64, y Three) {
	d.t, d.from, d.taken = t, t, 0
	d.y, d.last = y, y
	d.slope = d.f(t, y)
}

// Time returns the time reached.
func (d *DormandPrince) Time() float64 { return d.t }

// Value returns the state at Time.
func (d *DormandPrince) Value() Three { return d.y }

// Within returns the state at a time inside the last accepted step.
func (d *DormandPrince) Within(t float64) Three {
	if !(d.taken > 0) {
		return d.y
	}
	if !d.bent {
		d.bend()
	}
	s := (t - d.from) / d.taken
	r := 1 - s
	at := func(from, to, b0, b1, b2 float64) float64 {
		return from + s*(to-from+r*(b0+s*(b1+r*b2)))
	}
	return Three{
		at(d.last.A, d.y.A, d.bends[0].A, d.bends[1].A, d.bends[2].A),
		at(d.last.B, d.y.B, d.bends[0].B, d.bends[1].B, d.bends[2].B),
		at(d.last.C, d.y.C, d.bends[0].C, d.bends[1].C, d.bends[2].C),
	}
}

// bend lays out the continuous solution of the step just made.
func (d *DormandPrince) bend() {
	h := d.taken
	of := func(from, to, k1, k3, k4, k5, k6, k7 float64) (b0, b1, b2 float64) {
		rise := to - from
		b0 = h*k1 - rise
		return b0, rise - h*k7 - b0, h * (cont1*k1 + cont3*k3 + cont4*k4 + cont5*k5 + cont6*k6 + cont7*k7)
	}
	b := &d.bends
	b[0].A, b[1].A, b[2].A = of(d.last.A, d.y.A, d.k1.A, d.k3.A, d.k4.A, d.k5.A, d.k6.A, d.k7.A)
	b[0].B, b[1].B, b[2].B = of(d.last.B, d.y.B, d.k1.B, d.k3.B, d.k4.B, d.k5.B, d.k6.B, d.k7.B)
	b[0].C, b[1].C, b[2].C = of(d.last.C, d.y.C, d.k1.C, d.k3.C, d.k4.C, d.k5.C, d.k6.C, d.k7.C)
	d.bent = true
}

// The pair's coefficients, and those of its continuous solution.
const (
	c2, c3, c4, c5 = 1.0 / 5, 3.0 / 10, 4.0 / 5, 8.0 / 9

	a21                          = 1.0 / 5
	a31, a32                     = 3.0 / 40, 9.0 / 40
	a41, a42, a43                = 44.0 / 45, -56.0 / 15, 32.0 / 9
	a51, a52, a53, a54           = 19372.0 / 6561, -25360.0 / 2187, 64448.0 / 6561, -212.0 / 729
	a61, a62, a63, a64, a65      = 9017.0 / 3168, -355.0 / 33, 46732.0 / 5247, 49.0 / 176, -5103.0 / 18656
	a71, a73, a74, a75, a76      = 35.0 / 384, 500.0 / 1113, 125.0 / 192, -2187.0 / 6784, 11.0 / 84
	e1, e3, e4, e5, e6, e7       = 71.0 / 57600, -71.0 / 16695, 71.0 / 1920, -17253.0 / 339200, 22.0 / 525, -1.0 / 40
	cont1, cont3, cont4          = -12715105075.0 / 11282082432, 87487479700.0 / 32700410799, -10690763975.0 / 1880347072
	cont5, cont6, cont7          = 701980252875.0 / 199316789632, -1453857185.0 / 822651844, 69997945.0 / 29380423
	safety, shrinkMost, growMost = 0.85, 0.2, 3.0 // by chance an error is told far too small: no leap then
	ofError, ofBefore            = 0.09, 0.05     // half the powers with which a step's error and that before it count
)

// Step takes one accepted step, never beyond until.
//
// Errors: *StepError when the step becomes too small (a derivative that jumps or is
// not a number, or a stiff system) or MaxSteps are used up. The state stays where it was.
func (d *DormandPrince) Step(until float64) error {
	for until > d.t {
		if d.steps++; d.steps > d.MaxSteps {
			return &StepError{Time: d.t, Step: d.h, Why: "too many steps"}
		}
		h, short := d.h, false
		if d.t+1.01*h >= until { // no sliver left over for a step of its own
			h, short = until-d.t, true
		}
		if !(h > 4e-16*math.Abs(d.t)) || math.IsInf(h, 0) {
			return &StepError{Time: d.t, Step: h, Why: "the step became too small"}
		}
		next, square := d.try(h)
		if !(square <= 1) { // also when it is not a number
			factor := shrinkMost
			if square > 1 && !math.IsInf(square, 0) {
				factor = max(shrinkMost, safety*stretch(square, 1))
			}
			d.h = h * factor
			continue
		}
		d.from, d.taken, d.last, d.bent = d.t, h, d.y, false
		d.t, d.y, d.slope = d.t+h, next, d.k7 // the last stage is the next step's first
		if short {
			d.t = until
		}
		factor := growMost
		if square > 0 {
			factor = min(growMost, safety*stretch(square, d.before))
		}
		d.before = max(square, 1e-8)
		if grown := h * factor; !short || grown > d.h {
			d.h = grown
		}
		return nil
	}
	return nil
}

// stretch is what a step may grow by, safety apart, when its squared error, as a share of
// what is allowed, is now and was before: the error of a step goes with its fifth power, and
// the one before keeps steps that shrink one after another from being tried too long. The
// powers are taken of the bits, whose upper ones are a logarithm, to 6 %: near enough to
// choose a step by, and a quarter of all time was spent on better ones.
func stretch(now, before float64) float64 {
	const one = 0x3ff0_0000_0000_0000
	ln := func(v float64) float64 { return float64(int64(math.Float64bits(v)) - one) }
	return math.Float64frombits(uint64(one + int64(ofBefore*ln(before)-ofError*ln(now))))
}

// try computes a step of length h, and its squared error as a share of what is allowed.
func (d *DormandPrince) try(h float64) (next Three, square float64) {
	y, t := d.y, d.t
	k1 := d.slope
	k2 := d.f(t+c2*h, y.plus(h*a21, k1))
	k3 := d.f(t+c3*h, y.plus(h*a31, k1).plus(h*a32, k2))
	k4 := d.f(t+c4*h, y.plus(h*a41, k1).plus(h*a42, k2).plus(h*a43, k3))
	k5 := d.f(t+c5*h, y.plus(h*a51, k1).plus(h*a52, k2).plus(h*a53, k3).plus(h*a54, k4))
	k6 := d.f(t+h, y.plus(h*a61, k1).plus(h*a62, k2).plus(h*a63, k3).plus(h*a64, k4).plus(h*a65, k5))
	next = y.plus(h*a71, k1).plus(h*a73, k3).plus(h*a74, k4).plus(h*a75, k5).plus(h*a76, k6)
	k7 := d.f(t+h, next)
	d.k1, d.k3, d.k4, d.k5, d.k6, d.k7 = k1, k3, k4, k5, k6, k7
	e := Three{}.plus(h*e1, k1).plus(h*e3, k3).plus(h*e4, k4).plus(h*e5, k5).plus(h*e6, k6).plus(h*e7, k7)
	e.A /= d.Absolute.A + d.Relative*larger(y.A, next.A)
	e.B /= d.Absolute.B + d.Relative*larger(y.B, next.B)
	e.C /= d.Absolute.C + d.Relative*larger(y.C, next.C)
	return next, e.A*e.A + e.B*e.B + e.C*e.C
}

// larger is the larger size of two.
func larger(a, b float64) float64 {
	a, b = math.Abs(a), math.Abs(b)
	if a > b {
		return a
	}
	return b
}

// firstStep guesses a step from the size of state, rate and curvature.
func (d *DormandPrince) firstStep() float64 {
	share := func(v Three) float64 {
		a := v.A / (d.Absolute.A + d.Relative*math.Abs(d.y.A))
		b := v.B / (d.Absolute.B + d.Relative*math.Abs(d.y.B))
		c := v.C / (d.Absolute.C + d.Relative*math.Abs(d.y.C))
		return math.Sqrt(a*a + b*b + c*c)
	}
	size, rate := share(d.y), share(d.slope)
	guess := 1e-6
	if size > 1e-5 && rate > 1e-5 {
		guess = 0.01 * size / rate
	}
	ahead := d.f(d.t+guess, d.y.plus(guess, d.slope))
	bend := share(ahead.plus(-1, d.slope)) / guess
	second := max(1e-6, guess*1e-3)
	if most := max(rate, bend); most > 1e-15 {
		second = math.Pow(0.01/most, 0.2)
	}
	if h := min(100*guess, second); h > 0 {
		return h
	}
	return 1e-6
}
