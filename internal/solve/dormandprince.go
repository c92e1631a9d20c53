package solve

import (
	"fmt"
	"math"
)

// System fills dy with dy/dt at time t and state y. It keeps neither slice.
type System func(t float64, y, dy []float64)

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

// DormandPrince follows a small system with the explicit pair of order 5(4), one
// accepted step at a time, with a continuous solution of order 4 inside the last step.
//
// A value is made once with NewDormandPrince and used for any number of problems of
// the same size; after that nothing is allocated. It is not for stiff systems: there it
// is right but slow.
//
// Source: [dormandprince1980] the pair; [hairer1993] the continuous solution, the first
// step and the control of the step.
type DormandPrince struct {
	Relative float64 // tolerance of a step's error in each component, relative to it
	Absolute float64 // and the tolerance where the component is near zero
	MaxSteps int     // from one Start to the next

	f       System
	t, h    float64 // time reached, step to try next
	from    float64 // where the last accepted step began
	taken   float64 // its length
	steps   int
	y, next []float64
	work    []float64
	k       [7][]float64
	dense   [5][]float64
}

// NewDormandPrince returns a stepper for systems of the given size, with a relative
// tolerance of 1e-6, an absolute one of 1e-9 and at most 100 000 steps.
func NewDormandPrince(size int) *DormandPrince {
	d := &DormandPrince{Relative: 1e-6, Absolute: 1e-9, MaxSteps: 100_000}
	room := make([]float64, 15*size)
	take := func() []float64 {
		part := room[:size:size]
		room = room[size:]
		return part
	}
	d.y, d.next, d.work = take(), take(), take()
	for i := range d.k {
		d.k[i] = take()
	}
	for i := range d.dense {
		d.dense[i] = take()
	}
	return d
}

// Start begins a problem at time t and state y, which is copied.
func (d *DormandPrince) Start(f System, t float64, y []float64) {
	if len(y) != len(d.y) {
		panic("solve: state and stepper differ in size")
	}
	d.f, d.steps = f, 0
	d.Restart(t, y)
	d.h = d.firstStep()
}

// Restart goes on with the same system from a state changed by hand. The step length
// is kept, so that small changes cost nothing.
func (d *DormandPrince) Restart(t float64, y []float64) {
	d.t, d.from, d.taken = t, t, 0
	copy(d.y, y)
	for i := range d.dense {
		clear(d.dense[i])
	}
	copy(d.dense[0], d.y)
	d.f(t, d.y, d.k[0])
}

// Time returns the time reached.
func (d *DormandPrince) Time() float64 { return d.t }

// Value returns the state at Time. It is the stepper's own: read it, copy it.
func (d *DormandPrince) Value() []float64 { return d.y }

// Rate returns dy/dt at Time, with the same proviso.
func (d *DormandPrince) Rate() []float64 { return d.k[0] }

// Within fills y with the state at a time inside the last accepted step.
func (d *DormandPrince) Within(t float64, y []float64) {
	s := 0.0
	if d.taken > 0 {
		s = (t - d.from) / d.taken
	}
	r := 1 - s
	for i := range y {
		y[i] = d.dense[0][i] + s*(d.dense[1][i]+r*(d.dense[2][i]+s*(d.dense[3][i]+r*d.dense[4][i])))
	}
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
	safety, shrinkMost, growMost = 0.9, 0.2, 5.0
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
		wrong := d.try(h)
		if !(wrong <= 1) { // also when it is not a number
			factor := shrinkMost
			if wrong > 1 && !math.IsInf(wrong, 0) {
				factor = max(shrinkMost, safety*math.Pow(wrong, -0.2))
			}
			d.h = h * factor
			continue
		}
		d.accept(h)
		if short {
			d.t = until
		}
		factor := growMost
		if wrong > 0 {
			factor = min(growMost, safety*math.Pow(wrong, -0.2))
		}
		if grown := h * factor; !short || grown > d.h {
			d.h = grown
		}
		return nil
	}
	return nil
}

// try computes a step of length h into next, and returns its error as a share of what is allowed.
func (d *DormandPrince) try(h float64) float64 {
	y, w := d.y, d.work
	k1, k2, k3, k4, k5, k6, k7 := d.k[0], d.k[1], d.k[2], d.k[3], d.k[4], d.k[5], d.k[6]
	for i := range y {
		w[i] = y[i] + h*a21*k1[i]
	}
	d.f(d.t+c2*h, w, k2)
	for i := range y {
		w[i] = y[i] + h*(a31*k1[i]+a32*k2[i])
	}
	d.f(d.t+c3*h, w, k3)
	for i := range y {
		w[i] = y[i] + h*(a41*k1[i]+a42*k2[i]+a43*k3[i])
	}
	d.f(d.t+c4*h, w, k4)
	for i := range y {
		w[i] = y[i] + h*(a51*k1[i]+a52*k2[i]+a53*k3[i]+a54*k4[i])
	}
	d.f(d.t+c5*h, w, k5)
	for i := range y {
		w[i] = y[i] + h*(a61*k1[i]+a62*k2[i]+a63*k3[i]+a64*k4[i]+a65*k5[i])
	}
	d.f(d.t+h, w, k6)
	for i := range y {
		d.next[i] = y[i] + h*(a71*k1[i]+a73*k3[i]+a74*k4[i]+a75*k5[i]+a76*k6[i])
	}
	d.f(d.t+h, d.next, k7)
	sum := 0.0
	for i := range y {
		e := h * (e1*k1[i] + e3*k3[i] + e4*k4[i] + e5*k5[i] + e6*k6[i] + e7*k7[i])
		e /= d.Absolute + d.Relative*max(math.Abs(y[i]), math.Abs(d.next[i]))
		sum += e * e
	}
	return math.Sqrt(sum / float64(len(y)))
}

// accept moves on by h and lays out the continuous solution of the step just made.
func (d *DormandPrince) accept(h float64) {
	k := &d.k
	for i := range d.y {
		rise := d.next[i] - d.y[i]
		bend := h*k[0][i] - rise
		d.dense[0][i] = d.y[i]
		d.dense[1][i] = rise
		d.dense[2][i] = bend
		d.dense[3][i] = rise - h*k[6][i] - bend
		d.dense[4][i] = h * (cont1*k[0][i] + cont3*k[2][i] + cont4*k[3][i] + cont5*k[4][i] + cont6*k[5][i] + cont7*k[6][i])
	}
	d.from, d.taken = d.t, h
	d.t += h
	d.y, d.next = d.next, d.y
	k[0], k[6] = k[6], k[0] // the last stage is the next step's first
}

// firstStep guesses a step from the size of state, rate and curvature.
func (d *DormandPrince) firstStep() float64 {
	size, rate := 0.0, 0.0
	for i, y := range d.y {
		allowed := d.Absolute + d.Relative*math.Abs(y)
		size += (y / allowed) * (y / allowed)
		rate += (d.k[0][i] / allowed) * (d.k[0][i] / allowed)
	}
	n := float64(len(d.y))
	size, rate = math.Sqrt(size/n), math.Sqrt(rate/n)
	guess := 1e-6
	if size > 1e-5 && rate > 1e-5 {
		guess = 0.01 * size / rate
	}
	for i, y := range d.y {
		d.work[i] = y + guess*d.k[0][i]
	}
	d.f(d.t+guess, d.work, d.k[1])
	bend := 0.0
	for i, y := range d.y {
		b := (d.k[1][i] - d.k[0][i]) / (d.Absolute + d.Relative*math.Abs(y))
		bend += b * b
	}
	bend = math.Sqrt(bend/n) / guess
	second := max(1e-6, guess*1e-3)
	if most := max(rate, bend); most > 1e-15 {
		second = math.Pow(0.01/most, 0.2)
	}
	if h := min(100*guess, second); h > 0 {
		return h
	}
	return 1e-6
}
