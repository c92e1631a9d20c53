package estimate

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// How the draws are led.
const (
	fewLed  = 100 // jugs, or as many as members are asked for
	moves   = 2   // tries to move each, in a step; after the last twice as many
	far     = 0.5 // of its spread goes such a move, and back to the middle so that the spread stays; every other one half as far
	halved  = 0.5 // a step goes so far that the weights amount to this share of even ones
	mostLed = 12  // steps; the last then goes all the way
)

// temper leads jugs from where they were drawn, with density q, to where prior and
// likelihood p put them, over q^(1−β) p^β with β rising to 1. After each rise they are
// chosen anew by weight, and each tries some moves, on the first chart, that keep the
// density of that step.
//
// Source: [delmoral2006].
func (r *run) temper(s Sampler, g *guesses, m *mixture, random *rand.Rand) ([]drawn, float64, error) {
	ratios := r.ratios(g, m)
	seed := random.Uint64()
	led := max(fewLed, s.Members)
	beta, evidence := 0.0, 0.0
	for step := 0; beta < 1; step++ {
		rise := 1 - beta
		var w []float64
		for {
			part := make([]float64, len(ratios))
			for i, v := range ratios {
				part[i] = rise * v
			}
			var mean, even float64
			if w, mean, even = weights(part); even >= halved*float64(led) || step == mostLed {
				evidence += mean
				break
			}
			rise *= 0.8
		}
		beta += rise
		last := 1-beta < 1e-9
		if last {
			beta = 1
		}
		next := g.chosen(pick(w, led, random))
		ratios = r.ratios(next, m)
		middle, lower := next.spread()
		tries := moves
		if last {
			tries *= 2
		}
		if err := r.each(led, func(worker *worker, i int) error {
			own := rand.New(rand.NewPCG(seed, uint64(step*led+i)))
			want := make([]float64, len(r.looks))
			here := within(&middle, &lower, &next.spots[i][0])
			for try := range tries {
				size := far / float64(1+try%2)
				to, gain := here, 0.0
				for k, v := range here {
					to[k] = math.Sqrt(1-size*size)*v + size*own.NormFloat64()
					gain += (to[k]*to[k] - v*v) / 2 // such moves keep the spread's own density
				}
				at := middle
				for k := range at {
					for j := range k + 1 {
						at[k] += lower[k][j] * to[j]
					}
				}
				z, err := m.charts[0].jug(r, worker, &at)
				if err != nil {
					return err
				}
				var fit float64
				if err := r.weigh(worker, &z, want, &fit); err != nil {
					return err
				}
				if math.IsInf(fit, -1) {
					continue
				}
				spots, err := m.spots(r, worker, &z, 0, &at)
				if err != nil {
					return err
				}
				there, from := m.density(spots, nil)
				there = fit - there
				// ln of q^(1−β) p^β is ln p − (1−β) ln(p/q).
				gain += fit - (1-beta)*there - next.fit[i] + (1-beta)*ratios[i]
				if math.Log(own.Float64()) < gain {
					next.z[i], next.spots[i], next.from[i], next.fit[i], ratios[i] = z, spots, from, fit, there
					copy(next.want[i], want)
					here = to
				}
			}
			return nil
		}); err != nil {
			return nil, 0, err
		}
		g = next
	}
	members := make([]drawn, s.Members)
	for k := range members {
		i := k * led / len(members)
		members[k] = g.z[i]
		r.blame(&members[k], g.want[i], random)
	}
	return members, evidence, nil
}

// chosen are some of the guesses, each with room of its own.
func (g *guesses) chosen(which []int) *guesses {
	next := &guesses{}
	for _, i := range which {
		next.z = append(next.z, g.z[i])
		next.spots = append(next.spots, g.spots[i])
		next.from = append(next.from, slices.Clip(g.from[i]))
		next.want = append(next.want, slices.Clone(g.want[i]))
		next.fit = append(next.fit, g.fit[i])
	}
	return next
}

// within is how many of the spread's standard deviations a spot is from the middle.
func within(middle *spot, lower *[searched]spot, s *spot) (u spot) {
	for k := range u {
		off := s[k] - middle[k]
		for j := range k {
			off -= lower[k][j] * u[j]
		}
		u[k] = off / lower[k][k]
	}
	return u
}

// spread is the mean of the spots on the first chart, and the lower factor of their covariance.
func (g *guesses) spread() (mean spot, lower [searched]spot) {
	const n = int(searched)
	for i := range g.spots {
		for k, v := range g.spots[i][0] {
			mean[k] += v / float64(len(g.spots))
		}
	}
	covariance := mat.NewSymDense(n, nil)
	for i := range g.spots {
		s := &g.spots[i][0]
		for j := range n {
			for k := j; k < n; k++ {
				covariance.SetSym(j, k, covariance.At(j, k)+(s[j]-mean[j])*(s[k]-mean[k])/float64(len(g.spots)))
			}
		}
	}
	for k := range n { // that it has a factor when one jug stands for nearly all
		covariance.SetSym(k, k, covariance.At(k, k)*(1+1e-6)+1e-12)
	}
	var factor mat.Cholesky
	if factor.Factorize(covariance) {
		lower = rowsOf(&factor)
	}
	return mean, lower
}
