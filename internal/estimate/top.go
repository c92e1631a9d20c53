package estimate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// top is a jug that fits the looks better than all near it, and how the fit falls off.
type top struct {
	z      drawn
	want   []float64           // what it shows, straight faults apart
	slopes [][unknowns]float64 // by how much each look changes with each unknown
	cost   float64             // −ln of prior and likelihood, constants apart
}

// How to climb.
const (
	nudge    = 0.05 // of an unknown, to find a slope: far above what the integration errs by
	climbs   = 15   // steps at most
	flat     = 0.05 // a step that would gain less ends it
	furthest = 5.0  // of an unknown, standard deviations
	tails    = 4.0  // degrees of freedom of a look that may be wrong
	starts   = 48   // jugs tried for a place to start from
	others   = 6    // of them are, at most
	oneOther = 40   // looks in all these climbs: many looks leave one top, few leave several
)

// atLimit is a jug of more sugar than was told whose yeast stops early. It is always climbed
// from: that a strong wine stopped sweet may fit what is read as well as that it is dry, and from
// elsewhere it was found by chance only.
var atLimit = drawn{limit: -1.5, sugar: 1.5}

// climb goes from z to a top, or as far as to one of the known. Doubting, it takes every look for
// one that may be wrong, by a Student distribution, so that no slip of the pen leads it away.
//
// Source: [levenberg1944] the damping.
func (r *run) climb(z drawn, doubting bool, known ...*top) (*top, error) {
	n := len(r.looks)
	t := &top{z: z, want: make([]float64, n), slopes: make([][unknowns]float64, n)}
	if err := r.show(&r.workers[0], &t.z, t.want); err != nil {
		return nil, err
	}
	t.cost = r.cost(&t.z, t.want, doubting)
	room := make([]float64, (int(searched)+1)*n)
	row := func(k int) []float64 { return room[k*n : (k+1)*n] }
	damping := 1e-3
	for range climbs {
		if err := r.each(int(searched), func(w *worker, k int) error {
			moved := t.z
			moved[k] += nudge
			return r.show(w, &moved, row(k))
		}); err != nil {
			return nil, err
		}
		for i := range n {
			for k := range searched {
				t.slopes[i][k] = (row(int(k))[i] - t.want[i]) / nudge
			}
			t.slopes[i][r.looks[i].fault] = r.looks[i].shift
		}
		weights := make([]float64, n)
		for i := range n {
			sd := r.looks[i].spread(r.aside[i])
			weights[i] = 1 / (sd * sd)
			if doubting {
				d := r.off(i, &t.z, t.want) / sd
				weights[i] *= (tails + 1) / (tails + d*d)
			}
		}
		curve, uphill := t.curve(weights), mat.NewVecDense(int(unknowns), nil)
		for k := range unknowns {
			uphill.SetVec(int(k), -t.z[k])
		}
		for i := range n {
			d := weights[i] * r.off(i, &t.z, t.want)
			for k := range unknowns {
				uphill.SetVec(int(k), uphill.AtVec(int(k))+d*t.slopes[i][k])
			}
		}
		gain, better := 0.0, false
		for range 8 {
			damped := mat.NewSymDense(int(unknowns), nil)
			damped.CopySym(curve)
			for k := range int(unknowns) {
				damped.SetSym(k, k, curve.At(k, k)*(1+damping))
			}
			var factor mat.Cholesky
			if !factor.Factorize(damped) {
				return nil, errCurve
			}
			var step mat.VecDense
			if err := factor.SolveVecTo(&step, uphill); err != nil {
				return nil, err
			}
			gain = mat.Dot(&step, uphill) / 2
			tried := t.z
			for k := range tried {
				tried[k] = min(furthest, max(-furthest, tried[k]+step.AtVec(k)))
			}
			want := row(int(searched))
			if err := r.show(&r.workers[0], &tried, want); err != nil {
				return nil, err
			}
			if cost := r.cost(&tried, want, doubting); cost < t.cost {
				gain = max(gain, t.cost-cost)
				t.z, t.cost, better = tried, cost, true
				copy(t.want, want)
				damping = max(1e-4, damping/10)
				break
			}
			if damping *= 8; gain < flat {
				break
			}
		}
		if !better || gain < flat || slices.ContainsFunc(known, t.near) {
			break
		}
	}
	return t, nil
}

// off is by how much a look is above what a jug shows.
func (r *run) off(i int, z *drawn, want []float64) float64 {
	l := &r.looks[i]
	return l.value - want[i] - l.shift*z[l.fault]
}

func (r *run) cost(z *drawn, want []float64, doubting bool) float64 {
	cost := 0.0
	for _, v := range z {
		cost += v * v / 2
	}
	for i := range r.looks {
		d := r.off(i, z, want) / r.looks[i].spread(r.aside[i])
		if doubting {
			cost += (tails + 1) / 2 * math.Log1p(d*d/tails)
		} else {
			cost += d * d / 2
		}
	}
	return cost
}

// curve is the second derivative of the cost, with the looks' weights.
func (t *top) curve(weights []float64) *mat.SymDense {
	const n = int(unknowns)
	var h [n * n]float64
	for k := range n {
		h[k*n+k] = 1
	}
	for i := range t.slopes {
		s := &t.slopes[i]
		for j := range n {
			if ws := weights[i] * s[j]; ws != 0 {
				for k := j; k < n; k++ {
					h[j*n+k] += ws * s[k]
				}
			}
		}
	}
	return mat.NewSymDense(n, h[:])
}

// tops climbs from the middle of what was known, from atLimit and from those of the given jugs
// that fit best, and returns the tops reached, best first.
func (r *run) tops(before []drawn, doubting bool) ([]*top, error) {
	before = before[:min(starts, len(before))]
	costs, order := make([]float64, len(before)), make([]int, len(before))
	if err := r.each(len(before), func(w *worker, i int) error {
		want := make([]float64, len(r.looks))
		if err := r.show(w, &before[i], want); err != nil {
			return err
		}
		costs[i], order[i] = r.cost(&before[i], want, true), i
		return nil
	}); err != nil {
		return nil, err
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if costs[a] < costs[b] {
			return -1
		}
		return 1
	})
	from := []drawn{{}, atLimit}
	for _, i := range order[:min(others, max(1, oneOther/len(r.looks)), len(order))] {
		from = append(from, before[i])
	}
	return r.climbAll(from, doubting)
}

// climbAll climbs from several places and returns the tops that are not the same.
func (r *run) climbAll(from []drawn, doubting bool) ([]*top, error) {
	var tops []*top
	for _, z := range from {
		t, err := r.climb(z, doubting, tops...)
		if err != nil {
			return nil, err
		}
		if !slices.ContainsFunc(tops, t.near) {
			tops = append(tops, t)
		}
	}
	slices.SortStableFunc(tops, func(a, b *top) int {
		if a.cost < b.cost {
			return -1
		}
		return 1
	})
	return tops, nil
}

// near says whether two tops are one: they lie within a standard deviation.
func (t *top) near(other *top) bool {
	square := 0.0
	for k, v := range t.z {
		square += (v - other.z[k]) * (v - other.z[k])
	}
	return square < 1
}
