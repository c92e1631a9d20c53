package solve

import (
	"errors"
	"math"
)

// ErrNoRoot says that the function has no change of sign between the two ends.
var ErrNoRoot = errors.New("solve: no change of sign between the ends")

// Root finds x between low and high where f crosses zero, by Brent's method.
//
// Shapes: f is continuous from low to high; f(low) and f(high) differ in sign, or one is zero.
// Valid:  tolerance above 0: x is within tolerance (plus a few units in the last
// place of x) of a crossing.
// Errors: ErrNoRoot when the ends have the same sign, or f is not a number at some x tried.
// Repeats: the same arguments give the same bits.
// Source: [brent1973] chapter 4; from memory, checked against problems of known answer.
func Root(f func(float64) float64, low, high, tolerance float64) (float64, error) {
	a, b := low, high
	fa, fb := f(a), f(b)
	if fa == 0 {
		return a, nil
	}
	if fb == 0 {
		return b, nil
	}
	if !(fa*fb < 0) {
		return 0, ErrNoRoot
	}
	// b is the best guess, c the point on the other side, a the guess before b.
	c, fc := a, fa
	step, last := b-a, b-a
	for {
		if (fb > 0) == (fc > 0) {
			c, fc = a, fa
			step = b - a
			last = step
		}
		if math.Abs(fc) < math.Abs(fb) {
			a, b, c = b, c, b
			fa, fb, fc = fb, fc, fb
		}
		near := 2*0x1p-52*math.Abs(b) + tolerance/2
		half := (c - b) / 2
		if math.Abs(half) <= near || fb == 0 {
			return b, nil
		}
		if math.Abs(last) < near || math.Abs(fa) <= math.Abs(fb) {
			step, last = half, half
		} else {
			var p, q float64
			s := fb / fa
			if a == c { // a straight line through two points
				p, q = 2*half*s, 1-s
			} else { // a parabola, x as a function of f, through three
				r, u := fb/fc, fa/fc
				p = s * (2*half*u*(u-r) - (b-a)*(r-1))
				q = (u - 1) * (r - 1) * (s - 1)
			}
			if p > 0 {
				q = -q
			}
			p = math.Abs(p)
			if 2*p < math.Min(3*half*q-math.Abs(near*q), math.Abs(last*q)) {
				last, step = step, p/q
			} else { // the curve leads outside: halve
				step, last = half, half
			}
		}
		a, fa = b, fb
		if math.Abs(step) > near {
			b += step
		} else {
			b += math.Copysign(near, half)
		}
		fb = f(b)
		if math.IsNaN(fb) {
			return 0, ErrNoRoot
		}
	}
}
