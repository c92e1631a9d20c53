package estimate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"skep/internal/measure"
)

// outliers says which looks lie far from what the must and all other looks foretell. In
// the linear picture with covariance Σ of all looks, look i lies
//
//	zᵢ = (Σ⁻¹ d)ᵢ / √(Σ⁻¹)ᵢᵢ
//
// standard deviations off, d being its distance from the mean. The worst is set aside and
// the others are looked at again without it, so that it does not speak against them.
func (r *run) outliers(before []column) []bool {
	n := len(r.looks)
	aside := make([]bool, n)
	covariance, _ := spreads(before)
	distance := mat.NewVecDense(n, nil)
	for i := range n {
		mean, _ := before[i].moments()
		distance.SetVec(i, r.looks[i].value-mean)
	}
	total := mat.NewSymDense(n, nil)
	for range n / 2 {
		total.CopySym(covariance)
		for i := range n {
			sd := r.looks[i].spread(aside[i])
			total.SetSym(i, i, total.At(i, i)+sd*sd)
		}
		var factor mat.Cholesky
		if !factor.Factorize(total) {
			return aside
		}
		var inverse mat.SymDense
		if factor.InverseTo(&inverse) != nil {
			return aside
		}
		var pull mat.VecDense
		pull.MulVec(&inverse, distance)
		worst, far := -1, alone
		for i := range n {
			z := math.Abs(pull.AtVec(i)) / math.Sqrt(inverse.At(i, i))
			if !aside[i] && z > far {
				worst, far = i, z
			}
		}
		if worst < 0 {
			return aside
		}
		aside[worst] = true
	}
	return aside
}

// ruledOut is how much less likely than the middle member a member must make the looks
// to be put out: exp(-ruledOut/2), one in a thousand.
const ruledOut = 13.8

// screen puts out the members that the looks rule out, and others in their place.
//
// The passes move all members by one straight line, and leave behind a few for which the
// line is wrong: a jug that stops early is not a jug that ferments on, a little slower.
// Such a member may lie many errors away from every look. Half the members stay at least;
// when all of them fit badly the middle one does too, and none is put out.
func (r *run) screen(members []drawn, foreseen []column, aside []bool, random *rand.Rand) {
	square := make([]float64, len(members))
	for i := range r.looks {
		if aside[i] {
			continue
		}
		for m, v := range foreseen[i] {
			z := (r.looks[i].value - v) / r.looks[i].sd
			square[m] += z * z
		}
	}
	sorted := slices.Sorted(slices.Values(square))
	most := sorted[len(sorted)/2] + ruledOut
	var kept []int
	for m, s := range square {
		if s <= most {
			kept = append(kept, m)
		}
	}
	for m, s := range square {
		if s > most {
			other := kept[random.IntN(len(kept))]
			members[m] = members[other]
			for i := range foreseen {
				foreseen[i][m] = foreseen[i][other]
			}
		}
	}
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
		ID: l.ID, Z: c.distance(l), Predicted: expected,
		Words: fmt.Sprintf("%s does not fit the rest; %s to %s was expected, most likely %s",
			l.show(l.Value), l.show(expected.Low), l.show(expected.High), l.show(expected.Value)),
	}
}

// contradiction says why the evidence as a whole cannot be believed, or "".
func (r *run) contradiction(after []drawn, foreseen []column, aside []bool) string {
	bad, used, square := 0, 0, 0.0
	for i := range r.looks {
		if aside[i] {
			bad++
			continue
		}
		used++
		z := foreseen[i].distance(&r.looks[i])
		square += z * z
	}
	if bad >= 2 && 5*bad >= 2*(bad+used) { // two of five or more
		return fmt.Sprintf("%d of %d readings do not fit the rest of the record", bad, bad+used)
	}
	// A mean square of 4 over two readings or more: twice the spread on average.
	if used >= 2 && square > 4*float64(used) {
		return "the readings together fit no course that this must could take"
	}
	worst, far := unknown(0), 0.0
	for k := range unknowns {
		mean := 0.0
		for m := range after {
			mean += after[m][k] / float64(len(after))
		}
		if math.Abs(mean) > math.Abs(far) {
			worst, far = k, mean
		}
	}
	if math.Abs(far) > impossible {
		way := "more"
		if far < 0 {
			way = "less"
		}
		return fmt.Sprintf("the readings would need far %s of this than was written down: %s", way, words[worst])
	}
	return ""
}
