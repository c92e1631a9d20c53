package estimate

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// How draws are made. None decides what the answer is, only how many draws it takes.
const (
	asBefore   = 0.1  // share of draws made as if nothing had been seen
	asTops     = 0.15 // share of later draws made about the tops
	wider      = 1.15 // than it was found is a cloud made: too wide costs little, too narrow much
	fewest     = 120  // even draws that the weights must amount to, or as many as members are asked for
	mostDraws  = 7    // times Sampler.Draws, until they do
	negligible = 1e-3 // share of a top that is let go
	evenFit    = 60   // even draws for a fit of a cloud: weights are flattened to so many
	shrinkage  = 10.0 // even draws' worth of the spread at the top, in that fit
)

// guesses are jugs drawn, where each is on every chart, what it shows, and how well it fits.
type guesses struct {
	z     []drawn
	spots [][]spot    // by chart
	from  [][]float64 // ln of the density of each cloud there, as far as it was asked for
	want  [][]float64
	fit   []float64 // ln of prior and likelihood
}

// mixture is what guesses were drawn from. A cloud whose chart is beyond the charts is over
// the unknowns themselves, as before any look.
type mixture struct {
	charts []*chart
	clouds []*cloud
}

// try draws so many more jugs from a cloud of the mixture.
func (r *run) try(g *guesses, count int, m *mixture, from *cloud, random *rand.Rand) error {
	first, n := len(g.z), len(r.looks)
	from.count += count
	at := make([]spot, count)
	for i := range at {
		at[i] = from.draw(random)
	}
	room := make([]float64, count*n)
	for i := range count {
		g.want = append(g.want, room[i*n:(i+1)*n])
	}
	g.z = append(g.z, make([]drawn, count)...)
	g.spots = append(g.spots, make([][]spot, count)...)
	g.from = append(g.from, make([][]float64, count)...)
	g.fit = append(g.fit, make([]float64, count)...)
	return r.each(count, func(w *worker, i int) (err error) {
		to := first + i
		if from.chart < len(m.charts) {
			if g.z[to], err = m.charts[from.chart].jug(r, w, &at[i]); err != nil {
				return err
			}
		} else {
			copy(g.z[to][:], at[i][:])
		}
		if g.spots[to], err = m.spots(r, w, &g.z[to], from.chart, &at[i]); err != nil {
			return err
		}
		return r.weigh(w, &g.z[to], g.want[to], &g.fit[to])
	})
}

// spots is where a jug is on every chart, one of them known.
func (m *mixture) spots(r *run, w *worker, z *drawn, known int, at *spot) (spots []spot, err error) {
	spots = make([]spot, len(m.charts)+1)
	copy(spots[len(m.charts)][:], z[:])
	for k, c := range m.charts {
		if k == known {
			spots[k] = *at
		} else if spots[k], err = c.spot(r, w, z); err != nil {
			return nil, err
		}
	}
	return spots, nil
}

// density is the ln of the mixture's, each cloud as often in it as was drawn from it, and
// those of its clouds; the first of these may be known.
func (m *mixture) density(spots []spot, of []float64) (ln float64, from []float64) {
	for _, c := range m.clouds[len(of):] {
		of = append(of, c.density(&spots[c.chart]))
	}
	most, all, sum := math.Inf(-1), 0, 0.0
	for k, c := range m.clouds {
		if c.count > 0 {
			most = max(most, of[k])
			all += c.count
		}
	}
	for k, c := range m.clouds {
		sum += float64(c.count) * math.Exp(min(0, of[k]-most))
	}
	return most + math.Log(sum/float64(all)), of
}

// ratios are the ln of how much likelier each guess is than it was to be drawn.
func (r *run) ratios(g *guesses, m *mixture) []float64 {
	ratios := make([]float64, len(g.z))
	_ = r.each(len(ratios), func(_ *worker, i int) error { // none fails
		ratios[i], g.from[i] = m.density(g.spots[i], g.from[i])
		ratios[i] = g.fit[i] - ratios[i]
		return nil
	})
	return ratios
}

// weigh finds what a jug shows and how well that fits: not at all beyond what the model covers.
func (r *run) weigh(w *worker, z *drawn, want []float64, fit *float64) error {
	if err := r.show(w, z, want); err != nil {
		*fit = math.Inf(-1)
		return beyond(err)
	}
	*fit = r.likelihood(want)
	for _, v := range z[:searched] {
		*fit -= v * v / 2
	}
	*fit -= float64(searched) / 2 * math.Log(2*math.Pi)
	return nil
}

// faultSums are, for each straight fault, the sums that all it means is told by.
type faultSums [unknowns - searched]struct{ weight, pull float64 }

func (r *run) faultSums(want []float64) (sums faultSums, square float64) {
	for i := range r.looks {
		l := &r.looks[i]
		sd := l.spread(r.aside[i])
		d, c := (l.value-want[i])/sd, l.shift/sd
		s := &sums[l.fault-searched]
		s.weight += c * c
		s.pull += c * d
		square += d * d
	}
	return sums, square
}

// likelihood is the logarithm of the looks' density, faults that looks share averaged over:
// looks of one sense vary together by C = R + c cᵀ, whose inverse and determinant are known.
func (r *run) likelihood(want []float64) float64 {
	sums, square := r.faultSums(want)
	l := -square / 2
	for _, s := range sums {
		l += (s.pull*s.pull/(1+s.weight) - math.Log1p(s.weight)) / 2
	}
	for i := range r.looks {
		l -= math.Log(r.looks[i].spread(r.aside[i])) + math.Log(2*math.Pi)/2
	}
	return l
}

// blame draws the straight faults of a jug, given what the looks leave over.
func (r *run) blame(z *drawn, want []float64, random *rand.Rand) {
	sums, _ := r.faultSums(want)
	for k, s := range sums {
		z[int(searched)+k] = s.pull/(1+s.weight) + random.NormFloat64()/math.Sqrt(1+s.weight)
	}
}

// draw returns the members, each as likely as the next, and the ln of the looks' evidence.
func (r *run) draw(s Sampler, tops []*top, random *rand.Rand) ([]drawn, float64, error) {
	charts, shares, err := r.charts(tops)
	if err != nil {
		return nil, 0, err
	}
	m := &mixture{charts: charts}
	for i, c := range charts {
		spread := mat.NewSymDense(max(1, c.told), nil)
		for k, sd := range c.sd[:c.told] {
			spread.SetSym(k, k, wider*wider*sd*sd)
		}
		cloud, ok := newCloud(i, make([]float64, c.told), spread)
		if !ok {
			return nil, 0, errCurve
		}
		m.clouds = append(m.clouds, cloud)
	}
	known, _ := newCloud(len(charts), nil, nil)
	m.clouds = append(m.clouds, known)

	var g guesses
	about := 1 - asBefore // share of draws about the tops
	count := s.Draws * 3 / 5
	for {
		for i, share := range shares { // none is left without
			part := about * (0.2/float64(len(shares)) + 0.8*share) * float64(count)
			if err := r.try(&g, int(math.Ceil(part)), m, m.clouds[i], random); err != nil {
				return nil, 0, err
			}
		}
		if err := r.try(&g, int(asBefore*float64(count)), m, known, random); err != nil {
			return nil, 0, err
		}
		if fitted := m.clouds[len(m.clouds)-1]; fitted != known {
			if err := r.try(&g, int((1-asBefore-about)*float64(count)), m, fitted, random); err != nil {
				return nil, 0, err
			}
		}
		w, evidence, even := weights(r.ratios(&g, m))
		if even >= min(fewest, float64(s.Members)) && !s.Led {
			var members []drawn
			for _, i := range pick(w, s.Members, random) {
				z := g.z[i]
				r.blame(&z, g.want[i], random)
				members = append(members, z)
			}
			return members, evidence, nil
		}
		if len(g.z) >= mostDraws*s.Draws {
			return r.temper(s, &g, m, random)
		}
		count = s.Draws / 5
		fitted := g.fitted(m.charts[0], w)
		if fitted == nil { // the looks tell nothing, so that there is nothing to fit
			about = 1 - asBefore
			continue
		}
		about = asTops
		m.clouds = append(m.clouds, fitted)
	}
}

// charts are those of the tops that matter, and the share of each: as likely as the top is
// and the room it has.
func (r *run) charts(tops []*top) (charts []*chart, shares []float64, err error) {
	for _, t := range tops {
		c, err := r.chartOf(t)
		if err != nil {
			return nil, nil, err
		}
		share := -t.cost
		for _, sd := range c.sd {
			share += math.Log(sd)
		}
		charts, shares = append(charts, c), append(shares, share)
	}
	all, _, _ := weights(shares)
	kept := 0
	for i, share := range all {
		if share > negligible {
			charts[kept], shares[kept] = charts[i], share
			kept++
		}
	}
	return charts[:kept], shares[:kept], nil
}

// weights turns ln weights into weights that add to 1. It returns too the ln of their mean,
// and how many even ones they amount to.
func weights(ln []float64) (w []float64, mean, even float64) {
	most := -math.MaxFloat64
	for _, v := range ln {
		most = max(most, v)
	}
	w = make([]float64, len(ln))
	sum, squares := 0.0, 0.0
	for i, v := range ln {
		w[i] = math.Exp(v - most)
		sum += w[i]
		squares += w[i] * w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return w, most + math.Log(sum/float64(len(ln))), sum * sum / squares
}

// fitted is the cloud with the middle and the spread of weighted guesses over the told axes
// of the first chart. Few guesses with all the weight are first evened out.
func (g *guesses) fitted(c *chart, w []float64) *cloud {
	if c.told == 0 {
		return nil
	}
	ln, flatter, even := make([]float64, len(w)), make([]float64, len(w)), 0.0
	for i, v := range w {
		ln[i] = math.Log(max(v, 1e-300))
	}
	for power := 1.0; even < evenFit && power >= 0.05; power *= 0.8 {
		for i, v := range ln {
			flatter[i] = power * v
		}
		w, _, even = weights(flatter)
	}
	middle := make([]float64, c.told)
	for i, weight := range w {
		for k := range middle {
			middle[k] += weight * g.spots[i][0][k]
		}
	}
	var square [searched]spot
	for i, weight := range w {
		s := &g.spots[i][0]
		for j := range middle {
			v := weight * (s[j] - middle[j])
			for k := j; k < len(middle); k++ {
				square[j][k] += v * (s[k] - middle[k])
			}
		}
	}
	spread := mat.NewSymDense(c.told, nil)
	for j := range middle {
		for k := j; k < len(middle); k++ {
			v := even * square[j][k]
			if j == k {
				v += shrinkage * c.sd[k] * c.sd[k]
			}
			spread.SetSym(j, k, wider*wider*v/(even+shrinkage))
		}
	}
	fitted, ok := newCloud(0, middle, spread)
	if !ok {
		return nil
	}
	return fitted
}

// pick chooses so many by weight, evenly (systematic resampling).
func pick(w []float64, count int, random *rand.Rand) []int {
	chosen := make([]int, 0, count)
	at, sum := random.Float64(), 0.0
	for i, v := range w {
		for sum += v * float64(count); at < sum && len(chosen) < count; at++ {
			chosen = append(chosen, i)
		}
	}
	for len(chosen) < count { // rounding
		chosen = append(chosen, len(w)-1)
	}
	return chosen
}
