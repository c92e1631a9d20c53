package estimate

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
)

// Smoother is the ensemble smoother with multiple data assimilation: in each pass every
// member's unknowns move by
//
//	z ← z + C_zy (C_yy + P·R)⁻¹ (seen + √P·ε − y)
//
// where y is what would have been seen in the member, C are covariances over the ensemble,
// R the errors of the looks, P the number of passes and ε fresh noise from R.
//
// Valid:  20 members and one pass or more.
// Check:  80 % ranges hold the truth in 80 % of 200 simulated jugs (TestRangesHoldTheTruth).
// Errors: from Estimate, what is wrong with the situation or a look; *property.RangeError
// or *solve.StepError, wrapped with the member, when the model cannot follow.
// Repeats: the same situation and looks give the same bits on any number of processors of
// one kind; another kind, which rounds some products otherwise, may differ far behind the point.
// Source: [emerick2013].
type Smoother struct{ Members, Passes int }

// NewSmoother returns the smoother of 500 members and 8 passes: with 4 the present
// strength of a jug came out too vague, with 16 nothing changed any more.
func NewSmoother() Smoother { return Smoother{Members: 500, Passes: 8} }

// tolerance of the members' integration: 0.02 g/L of sugar, far below what is looked at.
const tolerance = 1e-4

// When a look or the whole evidence is not believed. The distances are in standard
// deviations; with some dozens of looks, 4 is passed by chance once in some hundred jugs.
const (
	alone      = 4.0   // from what all others and the must foretell, before the passes
	still      = 3.5   // from what the answer foretells, after them
	impossible = 4.0   // mean of an unknown, from where it was thought to be
	setAside   = 100.0 // factor on the spread of a look that is not believed
	rounds     = 3     // of sorting looks
)

var (
	errNoSugar = errors.New("estimate: there is no sugar in the must")
	errNoUntil = errors.New("estimate: no horizon; say how far to look ahead")
)

// Estimate returns what the evidence says of a jug. Looks from before pitching count as
// at pitching; a look at the time of a change is taken to follow it.
//
// Errors: see Smoother.
func (s Smoother) Estimate(situation Situation, seen []Observation) (*Posterior, error) {
	if s.Members < 20 || s.Passes < 1 {
		return nil, fmt.Errorf("estimate: %d members and %d passes; 20 and 1 are the least", s.Members, s.Passes)
	}
	seen = slices.Clone(seen)
	for i := range seen {
		seen[i].At = max(0, seen[i].At)
	}
	slices.SortStableFunc(seen, func(a, b Observation) int { return cmp.Compare(a.At, b.At) })
	w, err := ready(situation, seen)
	if err != nil {
		return nil, err
	}
	looks, firstMass, unread, err := w.prepare(seen)
	if err != nil {
		return nil, err
	}
	r := &run{world: w, looks: looks, firstMass: firstMass, passes: s.Passes}
	r.clock = w.clockOf(seen)
	for i := range looks {
		looks[i].time = r.clock.find(looks[i].At)
	}
	random := rand.New(rand.NewPCG(situation.Seed, 0x536b6570))
	prior := make([]drawn, s.Members)
	for i := range prior {
		for k := range prior[i] {
			prior[i][k] = random.NormFloat64()
		}
	}
	p, err := r.sort(prior, random)
	if err != nil {
		return nil, err
	}
	p.Misfits = append(unread, p.Misfits...)
	return p, nil
}

// ready checks a situation and lays out its spans.
func ready(s Situation, seen []Observation) (*world, error) {
	if err := s.Must.Check(); err != nil {
		return nil, err
	}
	if !(s.Must.Hexose(1) > 0) {
		return nil, errNoSugar
	}
	if !(s.Until > 0) || math.IsInf(float64(s.Until), 0) {
		return nil, errNoUntil
	}
	s.Changes = slices.Clone(s.Changes)
	for i := range s.Changes {
		c := &s.Changes[i]
		if err := c.Added.Check(); err != nil {
			return nil, err
		}
		if !(c.DrawnShare >= 0 && c.DrawnShare < 1) {
			return nil, fmt.Errorf("estimate: a change draws %g of the jug; 0 to under 1 is possible", c.DrawnShare)
		}
		c.At = max(0, c.At)
		s.Until = max(s.Until, c.At+1)
	}
	slices.SortStableFunc(s.Changes, func(a, b Change) int { return cmp.Compare(a.At, b.At) })
	if n := len(seen); n > 0 {
		s.Until = max(s.Until, seen[n-1].At)
	}
	volume, err := s.Must.Volume(20)
	if err != nil {
		return nil, err
	}
	w := &world{Situation: s}
	w.typical = kinetics.Typical(measure.GramsPerLitre(s.Must[must.Nitrogen]/float64(volume)), s.Yeast)
	from := measure.Hours(0)
	for _, c := range s.Changes {
		if n := len(w.segments); n > 0 && w.segments[n-1].until == c.At {
			continue
		}
		w.segments = append(w.segments, span{from, c.At})
		from = c.At
	}
	w.segments = append(w.segments, span{from, s.Until})
	return w, nil
}

// run is one estimate under way.
type run struct {
	*world
	looks     []look
	firstMass *Observation
	clock     *clock
	passes    int
}

// sort assimilates the looks, again with other looks set aside if that shows that it
// should, and judges the answer.
func (r *run) sort(prior []drawn, random *rand.Rand) (*Posterior, error) {
	if len(r.looks) == 0 {
		return r.posterior(prior)
	}
	before, err := r.foresee(prior)
	if err != nil {
		return nil, err
	}
	aside := r.outliers(before)
	seed := random.Uint64()
	var after []drawn
	var foreseen []column
	for round := range rounds {
		after = slices.Clone(prior)
		if err := r.assimilate(after, before, aside, rand.New(rand.NewPCG(seed, 1))); err != nil {
			return nil, err
		}
		if foreseen, err = r.foresee(after); err != nil {
			return nil, err
		}
		changed := false
		for i := range r.looks {
			far := math.Abs(foreseen[i].distance(&r.looks[i]))
			if wrong := far > still; wrong != aside[i] && round < rounds-1 {
				aside[i], changed = wrong, true
			}
		}
		if !changed {
			break
		}
	}
	why := r.contradiction(after, foreseen, aside)
	if why != "" {
		after, foreseen = prior, before
	} else {
		r.screen(after, foreseen, aside, random)
	}
	p, err := r.posterior(after)
	if err != nil {
		return nil, err
	}
	p.Contradicted = why
	for i := range r.looks {
		if aside[i] {
			p.Misfits = append(p.Misfits, foreseen[i].misfit(&r.looks[i]))
		}
	}
	return p, nil
}

// column is what each member foresees for one look.
type column []float64

// foresee returns for each look what each member would have shown.
func (r *run) foresee(members []drawn) ([]column, error) {
	columns := make([]column, len(r.looks))
	for i := range columns {
		columns[i] = make(column, len(members))
	}
	err := r.each(len(members), func(f *kinetics.Fermentation, m int) error {
		p, err := r.follow(f, &members[m], r.clock)
		if err != nil {
			return err
		}
		want := make([]float64, len(r.looks))
		if err := r.expect(p, &members[m], r.looks, r.firstMass, r.clock, want); err != nil {
			return err
		}
		for i, v := range want {
			columns[i][m] = v
		}
		return nil
	})
	return columns, err
}

// each does something for every member, on all processors. No member's work depends on
// another's, so the number of processors does not show in the answer.
func (r *run) each(members int, do func(f *kinetics.Fermentation, member int) error) error {
	workers := min(runtime.GOMAXPROCS(0), members)
	errs := make([]error, workers)
	var wait sync.WaitGroup
	for worker := range workers {
		wait.Go(func() {
			f := kinetics.New()
			f.Tolerance = tolerance
			for m := worker; m < members && errs[worker] == nil; m += workers {
				if err := do(f, m); err != nil {
					errs[worker] = fmt.Errorf("member %d of the ensemble: %w", m, err)
				}
			}
		})
	}
	wait.Wait()
	return cmp.Or(errs...)
}

// spread is the standard deviation to take for a look.
func (l *look) spread(aside bool) float64 {
	if aside {
		return setAside * l.sd
	}
	return l.sd
}

// assimilate moves the members towards the looks. before is what they foresee as given.
func (r *run) assimilate(members []drawn, before []column, aside []bool, random *rand.Rand) error {
	n := len(r.looks)
	inflate := math.Sqrt(float64(r.passes))
	foreseen := before
	noise := make(column, len(members))
	for pass := range r.passes {
		if pass > 0 {
			var err error
			if foreseen, err = r.foresee(members); err != nil {
				return err
			}
		}
		covariance, deviations := spreads(foreseen)
		for i := range n {
			sd := inflate * r.looks[i].spread(aside[i])
			covariance.SetSym(i, i, covariance.At(i, i)+sd*sd)
		}
		var factor mat.Cholesky
		if !factor.Factorize(covariance) {
			return errors.New("estimate: the looks' covariance has no inverse")
		}
		// Surprise of each member, a column each; noise without a mean of its own.
		surprise := mat.NewDense(n, len(members), nil)
		for i := range n {
			sd := inflate * r.looks[i].spread(aside[i])
			mean := 0.0
			for m := range noise {
				noise[m] = sd * random.NormFloat64()
				mean += noise[m] / float64(len(noise))
			}
			row := surprise.RawRowView(i)
			for m := range row {
				row[m] = r.looks[i].value + noise[m] - mean - foreseen[i][m]
			}
		}
		var pull mat.Dense // (C_yy + P·R)⁻¹ × surprise
		if err := factor.SolveTo(&pull, surprise); err != nil {
			return fmt.Errorf("estimate: %w", err)
		}
		move(members, deviations, &pull)
	}
	return nil
}

// move adds C_zy × pull to the members.
func move(members []drawn, deviations, pull *mat.Dense) {
	n, count := deviations.Dims()
	var mean drawn
	for m := range members {
		for k := range mean {
			mean[k] += members[m][k] / float64(count)
		}
	}
	cross := mat.NewDense(int(unknowns), n, nil)
	for i := range n {
		row := deviations.RawRowView(i)
		for m := range members {
			for k := range mean {
				cross.Set(k, i, cross.At(k, i)+(members[m][k]-mean[k])*row[m]/float64(count-1))
			}
		}
	}
	var shift mat.Dense
	shift.Mul(cross, pull)
	for k := range mean {
		row := shift.RawRowView(k)
		for m := range members {
			members[m][k] = min(furthest, max(-furthest, members[m][k]+row[m]))
		}
	}
}

// spreads returns the covariance of what is foreseen, and each member's deviation.
func spreads(foreseen []column) (*mat.SymDense, *mat.Dense) {
	n, count := len(foreseen), len(foreseen[0])
	deviations := mat.NewDense(n, count, nil)
	for i, c := range foreseen {
		mean, _ := c.moments()
		row := deviations.RawRowView(i)
		for m, v := range c {
			row[m] = v - mean
		}
	}
	covariance := mat.NewSymDense(n, nil)
	covariance.SymOuterK(1/float64(count-1), deviations)
	return covariance, deviations
}

func (c column) moments() (mean, sd float64) {
	for _, v := range c {
		mean += v / float64(len(c))
	}
	for _, v := range c {
		sd += (v - mean) * (v - mean) / float64(len(c)-1)
	}
	return mean, math.Sqrt(sd)
}
