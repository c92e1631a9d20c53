package estimate

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"skep/internal/measure"
)

// When a look or the whole evidence is not believed. The distances are in standard
// deviations; with some dozens of looks, 4 is passed by chance once in some hundred jugs.
const (
	alone      = 4.0   // from what all others and the must foretell
	still      = 3.5   // from what the answer foretells
	impossible = 4.0   // an unknown, from where it was thought to be
	setAside   = 100.0 // factor on the spread of a look that is not believed
	rounds     = 3     // of sorting looks
)

var errCurve = errors.New("estimate: the looks' curvature has no inverse")

// judge sets aside the looks that the must and all others speak against, and returns the
// tops that the rest leads to, best first.
func (r *run) judge(before []drawn) ([]*top, error) {
	tops, err := r.tops(before, true)
	if err != nil {
		return nil, err
	}
	r.doubted = tops
	if err := r.outliers(tops[0]); err != nil {
		return nil, err
	}
	for round := range rounds {
		from := make([]drawn, len(tops))
		for i, t := range tops {
			from[i] = t.z
		}
		if round == 0 { // two that are one while every look is doubted may not be when none is
			from = append(from, atLimit)
		}
		if tops, err = r.climbAll(from, false); err != nil {
			return nil, err
		}
		distances, err := r.distances(tops[0])
		if err != nil {
			return nil, err
		}
		changed := false
		for i, d := range distances {
			if wrong := math.Abs(d) > still; wrong != r.aside[i] && round < rounds-1 {
				r.aside[i], changed = wrong, true
			}
		}
		if !changed {
			break
		}
	}
	return tops, nil
}

// outliers sets aside the looks that lie far from what the must and all other looks
// foretell. In the straight picture at a top, with S the slopes, W the inverse variances of
// the looks and d their distance from what was foretold before any, look i lies
//
//	(Wd − WSH⁻¹SᵀWd)ᵢ / √(W − WSH⁻¹SᵀW)ᵢᵢ,   H = 1 + SᵀWS
//
// standard deviations off. The worst is set aside and the others are looked at again
// without it, so that it does not speak against them.
func (r *run) outliers(t *top) error {
	n := len(r.looks)
	clear(r.aside)
	distance := make([]float64, n)
	for i := range distance {
		distance[i] = r.off(i, &t.z, t.want)
		for k, v := range t.z {
			distance[i] += t.slopes[i][k] * v
		}
	}
	for range n / 2 {
		p, err := r.picture(t)
		if err != nil {
			return err
		}
		var pull [unknowns]float64
		for i, w := range p.weights {
			for k, s := range t.slopes[i] {
				pull[k] += w * s * distance[i]
			}
		}
		shift := p.solve(&pull)
		worst, far := -1, alone
		for i, w := range p.weights {
			rest := distance[i]
			for k, s := range t.slopes[i] {
				rest -= s * shift[k]
			}
			z := math.Abs(w*rest) / math.Sqrt(max(1e-12*w, w-w*w*p.variance(t, i)))
			if !r.aside[i] && z > far {
				worst, far = i, z
			}
		}
		if worst < 0 {
			return nil
		}
		r.aside[worst] = true
	}
	return nil
}

// picture is the straight picture at a top: the looks' weights, and the curve factored.
type picture struct {
	weights []float64
	factor  mat.Cholesky
}

func (r *run) picture(t *top) (*picture, error) {
	p := &picture{weights: make([]float64, len(r.looks))}
	for i := range r.looks {
		sd := r.looks[i].spread(r.aside[i])
		p.weights[i] = 1 / (sd * sd)
	}
	if !p.factor.Factorize(t.curve(p.weights)) {
		return nil, errCurve
	}
	return p, nil
}

func (p *picture) solve(v *[unknowns]float64) (x [unknowns]float64) {
	answer := mat.NewVecDense(int(unknowns), x[:])
	if err := p.factor.SolveVecTo(answer, mat.NewVecDense(int(unknowns), v[:])); err != nil {
		panic("estimate: " + err.Error()) // factored, so it has an inverse
	}
	return x
}

// variance is that of what is foretold for a look.
func (p *picture) variance(t *top, i int) float64 {
	x := p.solve(&t.slopes[i])
	v := 0.0
	for k, s := range t.slopes[i] {
		v += s * x[k]
	}
	return v
}

// distances is how far each look lies from what a top foretells, in standard deviations.
func (r *run) distances(t *top) ([]float64, error) {
	p, err := r.picture(t)
	if err != nil {
		return nil, err
	}
	far := make([]float64, len(r.looks))
	for i := range far {
		far[i] = r.off(i, &t.z, t.want) / math.Sqrt(r.looks[i].sd*r.looks[i].sd+p.variance(t, i))
	}
	return far, nil
}

// distance is how far a look lies from what the ensemble foresees, in standard deviations.
func (c column) distance(l *look) float64 {
	mean, sd := c.moments()
	return (l.value - mean) / math.Hypot(sd, l.sd)
}

func (c column) misfit(l *look) Misfit {
	as := make([]float64, len(c))
	for m, v := range c {
		as[m] = l.asSeen(v)
	}
	expected := measure.RangeOf(as, l.Sense.unit())
	return Misfit{
		ID: l.ID, Z: c.distance(l), Predicted: expected, Perhaps: suspects(l, expected),
		Words: fmt.Sprintf("%s does not fit the rest; %s to %s was expected, most likely %s",
			l.show(l.Value), l.show(expected.Low), l.show(expected.High), l.show(expected.Value)),
	}
}

// contradiction says why the evidence as a whole cannot be believed, or "".
func (r *run) contradiction(t *top) (string, error) {
	distances, err := r.distances(t)
	if err != nil {
		return "", err
	}
	bad, used, square := 0, 0, 0.0
	for i, z := range distances {
		if r.aside[i] {
			bad++
			continue
		}
		used++
		square += z * z
	}
	if bad >= 2 && 5*bad >= 2*(bad+used) { // two of five or more
		return fmt.Sprintf("%d of %d readings do not fit the rest of the record", bad, bad+used), nil
	}
	// A mean square of 4 over two readings or more: twice the spread on average.
	if used >= 2 && square > 4*float64(used) {
		return "the readings together fit no course that this must could take", nil
	}
	worst, far := unknown(0), 0.0
	for k, v := range t.z {
		if math.Abs(v) > math.Abs(far) {
			worst, far = unknown(k), v
		}
	}
	if math.Abs(far) > impossible {
		way := "more"
		if far < 0 {
			way = "less"
		}
		return fmt.Sprintf("the readings would need far %s of this than was written down: %s", way, words[worst]), nil
	}
	return "", nil
}
