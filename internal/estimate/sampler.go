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

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
)

// Sampler draws jugs about the one that the looks make most likely, weighs each draw by how
// well it fits, and keeps as many as asked for, each as likely as the next.
//
// The likeliest jug is climbed to by Gauss and Newton's method from several places. About
// each top so found jugs are drawn, three in five of Draws, from a Student distribution along what
// the looks tell of and as before them along the rest; some are drawn as if nothing had been
// seen, lest another explanation be missed. The distribution is then fitted to the weighted
// draws and a few more are drawn from it, until what the weights amount to is enough even
// draws. If seven times Draws do not, the draws are led to the answer in steps (temper.go).
//
// Valid:  20 draws and 20 members or more.
// Check:  ranks of the truth are even over 1000 simulated jugs (TestRanksAreEven).
// Errors: from Estimate, what is wrong with the situation or a look; *property.RangeError
// or *solve.StepError, wrapped with the draw, when the model cannot follow.
// Repeats: the same situation and looks give the same bits on any number of processors of
// one kind; another kind, which rounds some products otherwise, may differ far behind the point.
// Source: [veach1995] weights of draws from a mixture; [delmoral2006] the steps; our
// choice of both is docs/decisions/0008.
type Sampler struct {
	Draws, Members int
	Led            bool // lead the draws in steps although weighing them does: to compare, and to time
}

// NewSampler returns the sampler of 500 members from 300 draws and 200 at a time more.
func NewSampler() Sampler { return Sampler{Draws: 500, Members: 500} }

// tolerance of the integration: 0.05 g/L of sugar at most, far below what is looked at.
const tolerance = 1e-4

var (
	errNoSugar = errors.New("estimate: there is no sugar in the must")
	errNoUntil = errors.New("estimate: no horizon; say how far to look ahead")
)

// Estimate returns what the evidence says of a jug. Looks from before pitching count as
// at pitching; a look at the time of a change is taken to follow it.
//
// Errors: see Sampler.
func (s Sampler) Estimate(situation Situation, seen []Observation) (*Posterior, error) {
	if s.Members < 20 || s.Draws < 20 {
		return nil, fmt.Errorf("estimate: %d members from %d draws; 20 of each are the least", s.Members, s.Draws)
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
	r := newRun(w, looks, firstMass, seen)
	random := rand.New(rand.NewPCG(situation.Seed, 0x536b6570))
	before := make([]drawn, s.Members)
	for i := range before {
		for k := range before[i] {
			before[i][k] = random.NormFloat64()
		}
	}
	p, err := r.estimate(s, before, random)
	if err != nil {
		return nil, err
	}
	p.unread, p.doubted = unread, r.doubted
	p.Misfits = slices.Concat(unread, p.Misfits)
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
	if err := kinetics.Course(s.Course).Check(); err != nil {
		return nil, err
	}
	if w.vapour, err = vapour(s.Course); err != nil {
		return nil, err
	}
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
	aside     []bool // looks that are not believed
	doubted   []*top // reached while every look was doubted
	workers   []worker
}

// worker follows one jug after another.
type worker struct {
	f    *kinetics.Fermentation
	path path
	want []float64 // room
}

// newRun lays out the looks; seen has the times of all, in order.
func newRun(w *world, looks []look, firstMass *Observation, seen []Observation) *run {
	r := &run{world: w, looks: looks, firstMass: firstMass, clock: w.clockOf(seen), aside: make([]bool, len(looks))}
	for i := range looks {
		looks[i].time = r.clock.find(looks[i].At)
		looks[i].fault, looks[i].shift = r.fault(looks[i].Sense)
	}
	r.workers = make([]worker, runtime.GOMAXPROCS(0))
	for i := range r.workers {
		r.workers[i].f = kinetics.New()
		r.workers[i].f.Tolerance = tolerance
	}
	return r
}

// each does something for every one of n, on all processors. What is done for one depends
// on no other, so the number of processors does not show in the answer.
func (r *run) each(n int, do func(w *worker, i int) error) error {
	workers := min(len(r.workers), n)
	errs := make([]error, workers)
	var wait sync.WaitGroup
	for k := range workers {
		wait.Go(func() {
			for i := k; i < n && errs[k] == nil; i += workers {
				if err := do(&r.workers[k], i); err != nil {
					errs[k] = fmt.Errorf("draw %d: %w", i, err)
				}
			}
		})
	}
	wait.Wait()
	return cmp.Or(errs...)
}

// show fills want with what one jug would show at each look, straight faults apart.
func (r *run) show(w *worker, z *drawn, want []float64) error {
	if err := r.follow(w.f, z, r.clock, &w.path); err != nil {
		return err
	}
	return r.expect(&w.path, z, r.looks, r.firstMass, r.clock, want)
}

// estimate weighs the looks, judges them, and draws the answer.
func (r *run) estimate(s Sampler, before []drawn, random *rand.Rand) (*Posterior, error) {
	if len(r.looks) == 0 {
		return r.posterior(before)
	}
	tops, err := r.judge(before)
	if err != nil {
		return nil, err
	}
	why, err := r.contradiction(tops[0])
	if err != nil {
		return nil, err
	}
	if why != "" {
		p, err := r.posterior(before)
		if err != nil {
			return nil, err
		}
		p.Contradicted, p.LogEvidence = why, math.Inf(-1)
		p.Misfits, err = r.misfits(before)
		return p, err
	}
	members, evidence, err := r.draw(s, tops, random)
	if err != nil {
		return nil, err
	}
	p, err := r.posterior(members)
	if err != nil {
		return nil, err
	}
	p.LogEvidence = evidence
	p.Misfits, err = r.misfits(members)
	return p, err
}

// misfits names the looks set aside, with what the members foresee in their place.
func (r *run) misfits(members []drawn) ([]Misfit, error) {
	if !slices.Contains(r.aside, true) {
		return nil, nil
	}
	columns, err := r.foresee(members)
	if err != nil {
		return nil, err
	}
	var all []Misfit
	for i, aside := range r.aside {
		if aside {
			all = append(all, columns[i].misfit(&r.looks[i]))
		}
	}
	return all, nil
}

// column is what each member foresees for one look.
type column []float64

// foresee returns for each look what each member would have shown, faults and all.
func (r *run) foresee(members []drawn) ([]column, error) {
	columns := make([]column, len(r.looks))
	for i := range columns {
		columns[i] = make(column, len(members))
	}
	first, shown := firsts(members), make([][]float64, len(members))
	err := r.each(len(members), func(w *worker, m int) error {
		if first[m] != m {
			return nil
		}
		shown[m] = make([]float64, len(r.looks))
		return r.show(w, &members[m], shown[m])
	})
	if err != nil {
		return nil, err
	}
	for i, l := range r.looks {
		for m := range members {
			columns[i][m] = shown[first[m]][i] + l.shift*members[m][l.fault]
		}
	}
	return columns, nil
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

// spread is the standard deviation to take for a look.
func (l *look) spread(aside bool) float64 {
	if aside {
		return setAside * l.sd
	}
	return l.sd
}
