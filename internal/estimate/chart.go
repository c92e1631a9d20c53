package estimate

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"skep/internal/property"
)

// chart gives jugs near a top coordinates in which the answer is about normal. Its axes are
// the eigenvectors of what the looks add to the curve of the cost. Along most of them looks
// tell little, and the coordinate is the distance from the top. Along the first, narrow ones
// good looks leave little room, and where that room is depends on the others in a curve: the
// coordinate is the distance from the place that a few of Gauss and Newton's steps, with the
// slopes of the top, find for the others as they are.
type chart struct {
	middle [searched]float64
	axes   [searched]spot // each of length one
	sd     [searched]float64
	narrow int         // the first so many are
	told   int         // and of so many the looks tell something
	slopes [][]float64 // of each look along the narrow axes
}

const (
	narrowly = 1.0 // an axis that looks tell more of, as a share of what was known, is narrow
	told     = 0.1 // and one of which they tell less is left as it was
	bends    = 1   // steps to the place of the narrow
	farBend  = 3.0 // the longest of them
)

// spot is a place on a chart.
type spot [searched]float64

// chartOf is the chart about a top.
func (r *run) chartOf(t *top) (*chart, error) {
	p, err := r.picture(t)
	if err != nil {
		return nil, err
	}
	for i := range t.slopes {
		t.slopes[i][leak] = 0
	}
	curve := t.curve(p.weights)
	// Straight faults are let go: of the curve of the searched, what they explain is taken off.
	const n, m = int(searched), int(unknowns)
	added := mat.NewSymDense(n, nil)
	for j := range n {
		for k := j; k < n; k++ {
			v := curve.At(j, k)
			if j == k {
				v--
			}
			for f := n; f < m; f++ { // no look has two of them, so they do not mix
				v -= curve.At(j, f) * curve.At(k, f) / curve.At(f, f)
			}
			added.SetSym(j, k, v)
		}
	}
	// A leak is told by none of the slopes, and yet bounded: bubbles were seen.
	added.SetSym(int(leak), int(leak), 1.1*told)
	var eigen mat.EigenSym
	if !eigen.Factorize(added, true) {
		return nil, errCurve
	}
	values := eigen.Values(nil) // rising
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	c := &chart{}
	copy(c.middle[:], t.z[:n])
	for k := range n {
		from := n - 1 - k
		value := max(0, values[from])
		for j := range n {
			c.axes[k][j] = vectors.At(j, from)
		}
		c.sd[k] = 1 / math.Sqrt(1+value)
		if value > told {
			c.told++
		}
		if value > narrowly {
			c.narrow++
		}
	}
	c.slopes = make([][]float64, len(r.looks))
	for i := range c.slopes {
		c.slopes[i] = make([]float64, c.narrow)
		for k := range c.narrow {
			for j, v := range c.axes[k] {
				c.slopes[i][k] += t.slopes[i][j] * v
			}
		}
	}
	return c, nil
}

// from is the jug with so much along the axes from k on, and at the middle along those before.
func (c *chart) from(k int, s *spot) (z drawn) {
	copy(z[:], c.middle[:])
	for ; k < len(s); k++ {
		z.move(s[k], &c.axes[k])
	}
	return z
}

// move moves a jug so far along an axis.
func (z *drawn) move(far float64, axis *spot) {
	for j, v := range axis {
		z[j] += far * v
	}
}

// bend moves a jug along the narrow axes to their place.
func (c *chart) bend(r *run, w *worker, z *drawn) error {
	w.want = slices.Grow(w.want[:0], len(r.looks))[:len(r.looks)]
	for range bends {
		if err := r.show(w, z, w.want); err != nil {
			return beyond(err)
		}
		sums, _ := r.faultSums(w.want)
		var step spot
		for i := range r.looks {
			l := &r.looks[i]
			sd := l.spread(r.aside[i])
			sum := &sums[l.fault-searched]
			e := ((l.value-w.want[i])/sd - l.shift/sd*sum.pull/(1+sum.weight)) / sd
			for k, s := range c.slopes[i] {
				step[k] += s * e
			}
		}
		size := 0.0
		for k := range c.narrow {
			for j, v := range c.axes[k] {
				step[k] -= v * z[j]
			}
			step[k] *= c.sd[k] * c.sd[k]
			size += step[k] * step[k]
		}
		share := min(1, farBend/math.Sqrt(size))
		for k := range c.narrow {
			z.move(share*step[k], &c.axes[k])
		}
	}
	return nil
}

// beyond lets pass that a jug lies beyond what the model covers.
func beyond(err error) error {
	var outside *property.RangeError
	if errors.As(err, &outside) {
		return nil
	}
	return err
}

// jug is the one at a spot.
func (c *chart) jug(r *run, w *worker, s *spot) (drawn, error) {
	z := c.from(c.narrow, s)
	if err := c.bend(r, w, &z); err != nil {
		return z, err
	}
	for k := range c.narrow {
		z.move(s[k], &c.axes[k])
	}
	return z, nil
}

// spot is where a jug is.
func (c *chart) spot(r *run, w *worker, z *drawn) (s spot, err error) {
	bent := *z
	for k := range s {
		for j, v := range c.axes[k] {
			s[k] += v * (z[j] - c.middle[j])
		}
		if k < c.narrow {
			bent.move(-s[k], &c.axes[k])
		}
	}
	if err := c.bend(r, w, &bent); err != nil {
		return s, err
	}
	for k := range c.narrow {
		s[k] = 0
		for j, v := range c.axes[k] {
			s[k] += v * (z[j] - bent[j])
		}
	}
	return s, nil
}

// cloud is a distribution over a chart: a Student's over the axes that looks tell of, as
// before any look over the others.
type cloud struct {
	chart  int // its place among the charts
	count  int // jugs drawn from it
	told   int
	middle []float64      // of the told
	lower  [searched]spot // factor of their spread
	scale  float64        // ln of the density's constant
}

const freedom = 15 // degrees of freedom of the Student distribution

// newCloud has the spread given, of the told axes.
func newCloud(chart int, middle []float64, spread *mat.SymDense) (*cloud, bool) {
	c := &cloud{chart: chart, told: len(middle), middle: middle}
	h, rest := float64(c.told), float64(int(searched)-c.told)
	c.scale = -rest / 2 * math.Log(2*math.Pi)
	if c.told == 0 {
		return c, true
	}
	high, _ := math.Lgamma((freedom + h) / 2)
	low, _ := math.Lgamma(freedom / 2)
	c.scale += high - low - h/2*math.Log(freedom*math.Pi)
	var factor mat.Cholesky
	if !factor.Factorize(spread) {
		return nil, false
	}
	c.lower = rowsOf(&factor)
	c.scale -= factor.LogDet() / 2
	return c, true
}

// rowsOf is the lower factor.
func rowsOf(factor *mat.Cholesky) (lower [searched]spot) {
	var l mat.TriDense
	factor.LTo(&l)
	for k := range factor.SymmetricDim() {
		for j := range k + 1 {
			lower[k][j] = l.At(k, j)
		}
	}
	return lower
}

func (c *cloud) draw(random *rand.Rand) (s spot) {
	var u spot
	for k := range u {
		u[k] = random.NormFloat64()
	}
	s = u
	if c.told == 0 {
		return s
	}
	square := 0.0 // of freedom normals
	for range freedom {
		v := random.NormFloat64()
		square += v * v
	}
	stretch := math.Sqrt(freedom / square)
	for k := range c.told {
		s[k] = c.middle[k]
		for j := range k + 1 {
			s[k] += stretch * c.lower[k][j] * u[j]
		}
	}
	return s
}

// density is the logarithm of it at a spot of its chart.
func (c *cloud) density(s *spot) float64 {
	var u spot
	heavy, rest := 0.0, 0.0
	for k := range c.told {
		row, off := &c.lower[k], s[k]-c.middle[k]
		for j := range k {
			off -= row[j] * u[j]
		}
		u[k] = off / row[k]
		heavy += u[k] * u[k]
	}
	for k := c.told; k < len(s); k++ {
		rest += s[k] * s[k]
	}
	d := c.scale - rest/2
	if c.told > 0 {
		d -= (freedom + float64(c.told)) / 2 * math.Log1p(heavy/freedom)
	}
	return d
}
