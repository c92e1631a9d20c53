package estimate

import (
	"math"
	"slices"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
)

// path is one jug followed in time.
type path struct {
	world  *world
	jug    jug
	spans  []stretch
	levels []kinetics.Levels // at the times asked for
	room   kinetics.Course   // for the jug's course
}

// stretch is a jug without changes.
type stretch struct {
	must     must.Must       // at its start, gas held included
	litres   float64         // at its start
	mass     float64         // at its start, g, gas included
	closed   float64         // g of slow sugar that stays
	start    kinetics.Levels // at its start
	held     float64         // CO2 in the must at its start, g/L
	goneYet  float64         // CO2 gone off before it, g
	madeYet  float64         // CO2 made before it, g/L
	fastest  float64         // the highest use of sugar seen so far, g/L in an hour
	fastTime measure.Hours   // and when
}

// clock is a list of times in order, each in one of the spans.
type clock struct {
	times []measure.Hours
	span  []int
}

// of returns the times of one span, and where they begin.
func (c *clock) of(span int) (first int, times []measure.Hours) {
	for first < len(c.span) && c.span[first] < span {
		first++
	}
	last := first
	for last < len(c.span) && c.span[last] == span {
		last++
	}
	return first, c.times[first:last]
}

// follow runs one jug through the times of the clock, no further than the last of them.
// Into p goes the answer; what room it has is used again.
func (w *world) follow(f *kinetics.Fermentation, z *drawn, c *clock, p *path) error {
	p.world, p.jug = w, w.jug(z, p.room)
	p.room = p.jug.course
	if w.TemperatureSD == 0 {
		p.room = nil // that is the situation's own
	}
	p.spans = slices.Grow(p.spans[:0], len(w.segments))
	p.levels = slices.Grow(p.levels[:0], len(c.times))[:len(c.times)]
	j := &p.jug
	s := stretch{must: j.must, closed: j.closed * j.must[must.SlowSugar]}
	active, cells := j.active, j.active+j.must[must.Yeast]
	for i, span := range w.segments {
		first, times := c.of(i)
		if first == len(c.times) {
			break
		}
		litres, err := s.must.Volume(20)
		if err != nil {
			return err
		}
		s.litres = float64(litres)
		s.mass = float64(s.must.Mass())
		s.held = s.must[must.CarbonDioxide] / s.litres
		s.start = kinetics.Levels{
			Cells: cells / s.litres, Active: active / s.litres,
			Nitrogen: s.must[must.Nitrogen] / s.litres, Ethanol: s.must[must.Ethanol] / s.litres,
			Sugar: (s.must.Hexose(0) + must.HexosePerSucrose*max(0, s.must[must.SlowSugar]-s.closed)) / s.litres,
		}
		if i == 0 {
			err = f.Begin(j.p, j.course, s.start)
		} else {
			err = f.Change(s.start)
		}
		if err != nil {
			return err
		}
		until := span.until
		if first+len(times) == len(c.times) {
			until = times[len(times)-1]
		}
		show := func(k int, l kinetics.Levels) {
			p.levels[first+k] = l
			if l.Use > s.fastest {
				s.fastest, s.fastTime = l.Use, c.times[first+k]
			}
		}
		if w.Stops > span.from && w.Stops <= until {
			stopped := 0
			for stopped < len(times) && times[stopped] <= w.Stops {
				stopped++
			}
			if err := f.Follow(w.Stops, times[:stopped], show); err != nil {
				return err
			}
			l := f.Levels()
			l.Active = 0
			if err := f.Change(l); err != nil {
				return err
			}
			first, times = first+stopped, times[stopped:]
		}
		if err := f.Follow(until, times, show); err != nil {
			return err
		}
		p.spans = append(p.spans, s)
		if first+len(times) == len(c.times) {
			break
		}
		if s, active, cells, err = w.change(p, s, f.Levels(), i); err != nil {
			return err
		}
	}
	return nil
}

// change does what was done to the jug at the end of a span: part drawn, a must added.
func (w *world) change(p *path, s stretch, end kinetics.Levels, span int) (next stretch, active, cells float64, err error) {
	m, err := p.moment(span, &end)
	if err != nil {
		return s, 0, 0, err
	}
	next = stretch{
		goneYet: m.gone, madeYet: m.made, fastest: s.fastest, fastTime: s.fastTime,
		must: m.must, closed: s.closed,
	}
	active, cells = end.Active*s.litres, end.Cells*s.litres
	for _, c := range w.Changes {
		if c.At != w.segments[span].until {
			continue
		}
		_, left, err := next.must.Draw(c.DrawnShare)
		if err != nil {
			return s, 0, 0, err
		}
		next.must = left.Plus(c.Added)
		stay := 1 - c.DrawnShare
		// Drawing rounds both: what stays closed cannot be more than there is.
		next.closed = min(next.closed*stay+p.jug.closed*c.Added[must.SlowSugar], next.must[must.SlowSugar])
		fresh := pitchAtWork * c.Added[must.Yeast]
		active, cells = active*stay+fresh, cells*stay+fresh
	}
	return next, active, cells, nil
}

// gas is what a jug makes and gives off.
type gas struct {
	used   float64 // hexose since the start of the stretch, g
	litres float64 // at the start of the stretch, to which levels refer
	made   float64 // CO2 since pitching, g/L
	gone   float64 // of it gone off, g
	left   float64 // of it gone off in this stretch, g
	flow   float64 // going off, g in an hour
}

// gas counts CO2. The must keeps it back up to its saturation: with C g/L made, held
// approaches it as held = full − (full − held₀) exp(−C/full), and what is not held goes off.
func (p *path) gas(span int, l *kinetics.Levels) gas {
	s := &p.spans[min(span, len(p.spans)-1)]
	used := max(0, s.start.Sugar-l.Sugar) * s.litres
	per := p.jug.p.EthanolPerSugar * kinetics.CO2PerEthanol // g per g of hexose
	made := per * used / s.litres
	full := p.jug.full
	short := (full - s.held) * math.Exp(-made/full)
	gone := s.litres * max(0, made+s.held-(full-short))
	return gas{
		used: used, litres: s.litres, made: s.madeYet + made, gone: s.goneYet + gone, left: gone,
		flow: max(0, per*l.Use*s.litres*(1-short/full)),
	}
}

// mass is what is in the jug, g, gas included: yeast changes no mass but by what goes off.
func (p *path) mass(span int, g *gas) float64 {
	return p.spans[min(span, len(p.spans)-1)].mass - g.left
}

// moment is what a jug holds and gives off at one time.
type moment struct {
	gas
	must must.Must // with the gas it holds
	open float64   // hexose that can still ferment, slow sugar included, g
}

// moment turns levels within a span into what the jug holds.
func (p *path) moment(span int, l *kinetics.Levels) (moment, error) {
	s := &p.spans[min(span, len(p.spans)-1)]
	g := p.gas(span, l)
	m, err := kinetics.Products(s.must, kinetics.Turnover{
		Hexose: measure.Grams(g.used), Nitrogen: measure.Grams(max(0, s.start.Nitrogen-l.Nitrogen) * s.litres),
		Cells:           measure.Grams(max(0, l.Cells-s.start.Cells) * s.litres),
		EthanolPerSugar: p.jug.p.EthanolPerSugar, SlowClosed: measure.Grams(s.closed),
	})
	if err != nil {
		return moment{}, err
	}
	m[must.CarbonDioxide] = max(0, m[must.CarbonDioxide]-g.left)
	return moment{gas: g, must: m, open: l.Sugar * s.litres}, nil
}
