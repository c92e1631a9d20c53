package estimate

import (
	"math"
	"runtime"
	"slices"
	"sync"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
)

// Posterior is what the evidence says of a jug's past, present and future, as an
// ensemble of jugs any of which may be the real one. It is not changed by reading it.
type Posterior struct {
	Misfits      []Misfit // readings that do not fit, in time order
	Contradicted string   // "" or one sentence: the evidence was set aside, and the answer is as wide as without it

	// LogEvidence is ln of the density of the looks, each on the scale where its error is
	// about normal, over all jugs that were thought possible. Of two situations with the same
	// looks, the one with more of it explains them better, by the exponential of the
	// difference; a look set aside counts with its wider spread. 0 without looks.
	LogEvidence float64

	world     *world
	looks     []look       // all that can be understood, in time order
	firstMass *Observation // what weighings are held against when the empty vessel's weight is not known
	unread    []Misfit     // looks that no liquid can have given
	doubted   []*top       // reached while every look was doubted; nil without looks
	until     measure.Hours
	clock     *clock
	paths     []*path
	drawn     []drawn
	ends      []ending
}

// ending is when one jug is over.
type ending struct {
	at   measure.Hours
	over bool // within the horizon
}

// How the end is told. The first is the definition, the others are assumed.
const (
	restGL      = 0.5 // g/L of sugar that will still go: less is over
	sweetGL     = 2.0 // g/L of fermentable sugar: more, and it has stopped, not gone dry
	startedGL   = 0.5 // g/L of CO2 made: less, and it is starting
	slowShare   = 1. / 3
	afterHours  = 720 // if more than restGL would go in 30 days from the horizon at its rate, it is not over
	gridSteps   = 180
	gridBend    = 2   // its times lie closer at the start, where yeast grows
	outlookBend = 1.5 // so do those of an outlook
	outlookSize = 40
)

// posterior follows the members to the horizon.
func (r *run) posterior(members []drawn) (*Posterior, error) {
	p := &Posterior{world: r.world, looks: r.looks, firstMass: r.firstMass, until: r.Until, drawn: members, clock: r.gridClock()}
	p.paths, p.ends = make([]*path, len(members)), make([]ending, len(members))
	first := firsts(members)
	err := r.each(len(members), func(w *worker, m int) error {
		if first[m] != m {
			return nil
		}
		p.paths[m] = &path{}
		if err := r.follow(w.f, &members[m], p.clock, p.paths[m]); err != nil {
			return err
		}
		p.ends[m] = p.end(p.paths[m])
		return nil
	})
	if err != nil {
		return nil, err
	}
	for m, f := range first {
		p.paths[m], p.ends[m] = p.paths[f], p.ends[f]
	}
	return p, nil
}

// firsts is for each member the first that runs the same course. A draw that was chosen more than
// once is followed once: its faults do not change its course.
func firsts(members []drawn) []int {
	first := make([]int, len(members))
	for m := range members {
		first[m] = m
		if m > 0 && [searched]float64(members[m][:searched]) == [searched]float64(members[m-1][:searched]) {
			first[m] = first[m-1]
		}
	}
	return first
}

// gridClock has times all the way, closer at the start, with both sides of every change.
func (w *world) gridClock() *clock {
	c := &clock{}
	k := 1
	for i, s := range w.segments {
		c.add(s.from, i)
		for ; k < gridSteps; k++ {
			t := w.Until * measure.Hours(math.Pow(float64(k)/gridSteps, gridBend))
			if t >= s.until {
				break
			}
			if t > s.from {
				c.add(t, i)
			}
		}
		c.add(s.until, i)
	}
	return c
}

// clockOf has the times of the looks, once each.
func (w *world) clockOf(seen []Observation) *clock {
	c := &clock{}
	for _, o := range seen {
		if n := len(c.times); n > 0 && c.times[n-1] == o.At {
			continue
		}
		span := 0
		for span+1 < len(w.segments) && w.segments[span+1].from <= o.At {
			span++
		}
		c.add(o.At, span)
	}
	return c
}

func (c *clock) add(t measure.Hours, span int) {
	c.times, c.span = append(c.times, t), append(c.span, span)
}

// find returns the last place whose time is at or before t.
func (c *clock) find(t measure.Hours) int {
	i, _ := slices.BinarySearchFunc(c.times, t, func(a, b measure.Hours) int {
		if a <= b {
			return -1
		}
		return 1
	})
	return max(0, i-1)
}

// at returns the levels of a path at any time, a smooth curve through the grid.
func (p *Posterior) at(path *path, t measure.Hours) (span int, l kinetics.Levels) {
	k := p.clock.find(t)
	a := path.levels[k]
	span = p.clock.span[k]
	if k+1 == len(p.clock.times) || p.clock.span[k+1] != span || t <= p.clock.times[k] {
		return span, a
	}
	b := path.levels[k+1]
	h := float64(p.clock.times[k+1] - p.clock.times[k])
	x := float64(t-p.clock.times[k]) / h
	// A cubic for sugar, which is steep; straight lines for the rest.
	s := a.Sugar*(1+2*x)*(1-x)*(1-x) + b.Sugar*x*x*(3-2*x) - h*x*(1-x)*(a.Use*(1-x)-b.Use*x)
	line := func(from, to float64) float64 { return from + x*(to-from) }
	l = kinetics.Levels{
		Cells: line(a.Cells, b.Cells), Active: line(a.Active, b.Active), Nitrogen: line(a.Nitrogen, b.Nitrogen),
		Sugar: min(a.Sugar, max(b.Sugar, s)), Use: line(a.Use, b.Use),
	}
	l.Ethanol = a.Ethanol + path.jug.p.EthanolPerSugar*(a.Sugar-l.Sugar)
	return span, l
}

// end finds when less than restGL of sugar is still to go.
func (p *Posterior) end(path *path) ending {
	last := len(path.levels) - 1
	if path.levels[last].Use*afterHours > restGL {
		return ending{at: p.until}
	}
	rest := 0.0
	for k := last; k > 0; k-- {
		if p.clock.span[k] != p.clock.span[k-1] {
			continue
		}
		step := path.levels[k-1].Sugar - path.levels[k].Sugar
		if rest+step >= restGL {
			share := (restGL - rest) / step
			return ending{at: p.clock.times[k] - measure.Hours(share)*(p.clock.times[k]-p.clock.times[k-1]), over: true}
		}
		rest += step
	}
	return ending{over: true}
}

// view is one member at one time.
type view struct {
	Member
	lost     float64 // g
	nitrogen float64 // mg/L
	made     float64 // CO2, g/L
	use      float64
	span     int
}

func (p *Posterior) view(member int, t measure.Hours) view {
	path := p.paths[member]
	span, l := p.at(path, min(max(t, 0), p.until))
	unseen := view{Member: Member{
		HexoseGL: math.NaN(), SlowGL: math.NaN(), SugarGL: math.NaN(), EthanolPct: math.NaN(),
		Gravity: math.NaN(), RateGLDay: math.NaN(), EventualHexose: math.NaN(),
	}, span: span}
	// The path could be followed through these levels; what could still fail is a property
	// outside its table, and then the member is shown as not known rather than left out.
	m, err := path.moment(span, &l)
	if err != nil {
		return unseen
	}
	rho, err := m.must.Density(20)
	if err != nil {
		return unseen
	}
	litres := (float64(m.must.LiquidMass()) - m.must[must.CarbonDioxide]) / float64(rho)
	return view{
		Member: Member{
			HexoseGL:       m.must.Hexose(0) / litres,
			SlowGL:         m.must[must.SlowSugar] / litres,
			SugarGL:        allSugar(&m.must) / litres,
			EthanolPct:     100 * m.must[must.Ethanol] / density.EthanolAt20 / litres,
			Gravity:        float64(density.Gravity(rho)),
			RateGLDay:      24 * m.flow / litres,
			EventualHexose: m.open / litres,
		},
		lost: m.gone + p.world.lostBeside(&m.gas, &p.drawn[member]), nitrogen: 1000 * l.Nitrogen, made: m.made, use: l.Use, span: span,
	}
}

// Members returns every jug of the ensemble at one time, hours from pitching; times
// outside 0 to the horizon are taken as its nearer end.
func (p *Posterior) Members(h measure.Hours) []Member {
	members := make([]Member, len(p.paths))
	for m := range members {
		members[m] = p.view(m, h).Member
	}
	return members
}

// At returns what the evidence says of the jug at one time, as Members does of each.
func (p *Posterior) At(h measure.Hours) State {
	h = min(max(h, 0), p.until)
	n := len(p.paths)
	s := State{At: h}
	views := make([]view, n)
	var counts [stopped + 1]int
	for m := range views {
		if m > 0 && p.paths[m] == p.paths[m-1] { // chosen more than once
			views[m] = views[m-1]
		} else {
			views[m] = p.view(m, h)
		}
		counts[p.phase(m, h, &views[m])]++
	}
	share := func(p phase) float64 { return float64(counts[p]) / float64(n) }
	s.Phases = Phases{
		Starting: share(starting), Working: share(working), Slowing: share(slowing), Dry: share(dry), Stopped: share(stopped),
	}
	values := make([]float64, n)
	over := func(unit string, of func(*view) float64) measure.Range {
		for m := range views {
			values[m] = of(&views[m])
		}
		return measure.RangeOf(values, unit)
	}
	s.Hexose = over("g/L", func(v *view) float64 { return v.EventualHexose })
	s.Sugar = over("g/L", func(v *view) float64 { return v.SugarGL })
	s.Gravity = over("SG", func(v *view) float64 { return v.Gravity })
	s.Ethanol = over("% vol", func(v *view) float64 { return v.EthanolPct })
	s.WeightLost = over("g", func(v *view) float64 { return v.lost })
	s.Rate = over("g/L/day", func(v *view) float64 { return v.RateGLDay })
	s.Nitrogen = over("mg/L", func(v *view) float64 { return v.nitrogen })
	return s
}

type phase int

const (
	starting phase = iota
	working
	slowing
	dry
	stopped
)

func (p *Posterior) phase(member int, h measure.Hours, v *view) phase {
	end := p.ends[member]
	path := p.paths[member]
	last := &path.spans[len(path.spans)-1]
	switch {
	case end.over && h >= end.at && v.EventualHexose < sweetGL:
		return dry
	case end.over && h >= end.at:
		return stopped
	case v.made < startedGL:
		return starting
	case h <= last.fastTime || v.use >= slowShare*last.fastest:
		return working
	}
	return slowing
}

// Finish returns the hours from pitching until fermentation is over: less than 0.5 g/L
// of sugar will still go. Members that are not over at the horizon count with the
// horizon; Unfinished says how many they are.
func (p *Posterior) Finish() measure.Range {
	hours := make([]float64, len(p.ends))
	for m, e := range p.ends {
		hours[m] = float64(e.at)
	}
	return measure.RangeOf(hours, "h")
}

// Unfinished returns the share of members not over at the horizon.
func (p *Posterior) Unfinished() float64 {
	n := 0
	for _, e := range p.ends {
		if !e.over {
			n++
		}
	}
	return float64(n) / float64(len(p.ends))
}

// Final returns what the evidence says of the jug at the horizon.
func (p *Posterior) Final() State { return p.At(p.until) }

// Outlook returns the posterior in short.
func (p *Posterior) Outlook() Outlook {
	o := Outlook{
		Finish: p.Finish(), Unfinished: p.Unfinished(), Final: p.Final(),
		Misfits: p.Misfits, Contradicted: p.Contradicted,
	}
	o.States = make([]State, outlookSize)
	var wait sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for k := range workers {
		wait.Go(func() {
			for i := k; i < outlookSize; i += workers {
				share := math.Pow(float64(i)/(outlookSize-1), outlookBend)
				o.States[i] = p.At(measure.Hours(share) * p.until)
			}
		})
	}
	wait.Wait()
	return o
}
