package estimate

import (
	"fmt"
	"math"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	propertygas "skep/internal/property/gas"
)

// How looks go wrong together, and how far a look may stray from the model, as standard
// deviations. The hydrometer's is its makers' usual tolerance; the others are assumed.
const (
	hydrometerSD  = 0.001
	palateSD      = 0.1   // of the scale from dry to sweet
	countSD       = 0.3   // ln: a minute's count against the hour it stands for
	silenceSD     = 2.5   // ln, of all silences together; less, and one silence outweighs what a leaking lid allows
	bubbleMiddle  = 0.447 // mL; 0.1 to 2 mL is what locks do, no published value found
	bubbleSD      = 1.169 // ln: that range as four in five
	leakMiddle    = -1.5  // ln of L; exp(−L) of the gas goes through the lock
	leakSD        = 3.0   // ln of L: one lid in five lets nearly all of the gas by
	gasMillilitre = 544.0 // mL of CO2 in a gram, 20 °C, 1 atm, dry
	// mixtureBrix covers optics.MixtureSpread of any wine to 20 % vol and 200 g/L, °Bx. The
	// instrument is taken to correct for the temperature of its prism itself.
	mixtureBrix   = 0.5
	stillest      = 0.05                // bubbles a minute that count as none
	carriedMiddle = 0.0150              // g of water and ethanol with each g of CO2, at 20 °C: 0.0097 of saturated vapour, the rest ethanol
	carriedSD     = 0.35                // ln
	airing        = 0.05                // g of water from the lock in a day, at 20 °C
	airingSD      = 1.0                 // ln
	sweetHalf     = 20.0                // g/L of sugar that taste half sweet
	asAtScale     = measure.Celsius(20) // where a look tells no temperature
	// A sample fermented out keeps a little, more or less as the next one (0.0005 is some
	// 1.3 g/L), and its yeast, strong as it is, bears no more than so much. Assumed, no source.
	spentSD     = 0.0005
	spentStops  = 15.0 // % vol
	spentLeaves = 0.4  // g/L
)

// look is an observation made ready: on a scale where its error is about normal.
type look struct {
	Observation
	time  int     // its place on the clock
	value float64 // on that scale
	sd    float64
	shift float64 // what a standard deviation of its shared fault moves it by
	fault unknown // which that is
}

// Between these a hydrometer reading is understood.
const coldestSample, hottestSample = 0, 40 // °C, as package density

// prepare puts observations on their scales. Without the weight of the empty vessel the
// first weighing is what the others are held against, and no evidence itself. Readings in
// a sample too cold or hot to be understood come back as misfits.
func (w *world) prepare(seen []Observation) (looks []look, firstMass *Observation, unread []Misfit, err error) {
	silences := 0
	for _, o := range seen {
		if o.Sense == SawBubbles && o.Value <= stillest {
			silences++
		}
	}
	for i, o := range seen {
		l, unreadable, err := scaled(o, silences)
		switch {
		case err != nil:
			return nil, nil, nil, err
		case unreadable != nil:
			unread = append(unread, *unreadable)
		case o.Sense == SawMass && w.Tare == 0 && firstMass == nil:
			firstMass = &seen[i]
		default:
			looks = append(looks, l)
		}
	}
	return looks, firstMass, unread, nil
}

// scaled puts one observation on its scale, or says why it cannot be understood.
func scaled(o Observation, silences int) (l look, unreadable *Misfit, err error) {
	if !(o.SD > 0) || math.IsInf(o.SD, 0) || math.IsNaN(o.Value) || math.IsInf(o.Value, 0) {
		return look{}, nil, fmt.Errorf("look %s: %s %g ± %g; both must be known, the spread above zero", o.ID, o.Sense, o.Value, o.SD)
	}
	l = look{Observation: o, value: o.Value, sd: o.SD}
	switch o.Sense {
	case SawGravity, SawSpent:
		if o.Sense == SawSpent {
			l.sd = math.Hypot(o.SD, spentSD)
		}
		if o.Calibrated == 0 {
			l.Calibrated = asAtScale
		}
		if o.Sample == 0 {
			l.Sample = l.Calibrated
		}
		for _, t := range []measure.Celsius{l.Sample, l.Calibrated} {
			if !(t >= coldestSample && t <= hottestSample) {
				return look{}, &Misfit{
					ID: o.ID, Predicted: measure.RangeOf(nil, o.Sense.unit()),
					Words: fmt.Sprintf("%s was not used: a hydrometer is understood from %d to %d °C, not at %g °C", l.show(o.Value), coldestSample, hottestSample, float64(t)),
				}, nil
			}
		}
	case SawBubbles:
		if o.Value < 0 {
			return look{}, nil, fmt.Errorf("look %s: %g bubbles a minute; none is the least", o.ID, o.Value)
		}
		l.value = math.Log(o.Value + stillest)
		l.sd = math.Hypot(o.SD/(o.Value+stillest), countSD)
		if o.Value <= stillest {
			// A leaking lid is silent every time: many silences tell no more than one.
			l.sd = silenceSD * math.Sqrt(float64(silences))
		}
	case SawMass, SawBrix, SawTaste:
	default:
		return look{}, nil, fmt.Errorf("look %s: unknown sense %q", o.ID, o.Sense)
	}
	return l, nil, nil
}

// expect fills want with what one jug would have shown at each look, but for the faults
// that follow in a straight line: see fault.
func (w *world) expect(p *path, z *drawn, looks []look, firstMass *Observation, c *clock, want []float64) error {
	z = w.taught(z)
	millilitres := bubbleMiddle * math.Exp(bubbleSD*z[bubbleSize])
	bubbles := math.Exp(-math.Exp(leakMiddle+leakSD*z[leak])) * gasMillilitre / 60 / millilitres // a minute, from a g in an hour
	first := 0.0
	if firstMass != nil {
		k := c.find(firstMass.At)
		first = w.weight(p, c.span[k], &p.levels[k], z, firstMass.At) - firstMass.Value
	}
	for i := range looks {
		l := &looks[i]
		span, levels := c.span[l.time], &p.levels[l.time]
		switch l.Sense {
		case SawMass:
			want[i] = w.weight(p, span, levels, z, l.At) - first
			if firstMass == nil {
				want[i] += w.Tare
			}
			continue
		case SawBubbles:
			g := p.gas(span, levels)
			want[i] = math.Log(g.flow*bubbles + stillest)
			continue
		}
		m, err := p.moment(span, levels)
		if err != nil {
			return err
		}
		if l.Sense == SawSpent {
			if m.must, err = p.spent(span, &m); err != nil {
				return err
			}
		}
		switch l.Sense {
		case SawGravity, SawSpent:
			rho, err := m.must.Density(l.Sample)
			if err != nil {
				return err
			}
			reading, err := density.HydrometerReading(rho, l.Sample, l.Calibrated)
			if err != nil {
				return err
			}
			want[i] = float64(reading)
		case SawBrix:
			shown, err := m.must.Refractometer()
			if err != nil {
				return err
			}
			want[i] = 100 * float64(shown)
		case SawTaste:
			litres, err := m.must.Volume(20)
			if err != nil {
				return err
			}
			gl := allSugar(&m.must) / float64(litres)
			want[i] = gl / (gl + sweetHalf)
		}
	}
	return nil
}

// fault is the unknown that a look of a sense is off by in a straight line, and by how much
// for each standard deviation of it; 0 where there is none.
func (r *run) fault(s Sense) (unknown, float64) {
	switch s {
	case SawGravity, SawSpent:
		return hydrometer, hydrometerSD
	case SawBrix:
		return refractometer, mixtureBrix
	case SawTaste:
		return palate, palateSD
	case SawMass:
		if r.firstMass != nil {
			return emptyWeight, r.firstMass.SD
		}
		return emptyWeight, r.TareSD
	}
	return hydrometer, 0
}

// spent is what a must becomes in a sample that fresh, strong yeast ferments out.
func (p *path) spent(span int, m *moment) (must.Must, error) {
	litres, err := m.must.Volume(20)
	if err != nil {
		return m.must, err
	}
	bears := (spentStops/100*density.EthanolAt20*float64(litres) - m.must[must.Ethanol]) / p.jug.p.EthanolPerSugar
	goes := max(0, min(m.open-spentLeaves*float64(litres), bears))
	gas := m.must[must.CarbonDioxide]
	out, err := kinetics.Products(m.must, kinetics.Turnover{
		Hexose: measure.Grams(goes), EthanolPerSugar: p.jug.p.EthanolPerSugar,
		SlowClosed: measure.Grams(min(p.spans[min(span, len(p.spans)-1)].closed, m.must[must.SlowSugar])),
	})
	out[must.CarbonDioxide] = gas
	return out, err
}

// weight is what is in the vessel, g, without what the lock and the gas took along.
func (w *world) weight(p *path, span int, l *kinetics.Levels, z *drawn, at measure.Hours) float64 {
	g := p.gas(span, l)
	return p.mass(span, &g) - w.lostBeside(&g, z) - w.aired(z, at)
}

// lostBeside is the water and ethanol that went with the gas, g.
func (w *world) lostBeside(g *gas, z *drawn) float64 {
	return g.gone * w.vapour * carriedMiddle * math.Exp(carriedSD*z[carried])
}

// aired is the water that the lock has let go by a time, g.
func (w *world) aired(z *drawn, at measure.Hours) float64 {
	return w.vapour * airing * math.Exp(airingSD*z[evaporation]) * float64(max(0, at)) / 24
}

// vapour is how much water gas takes along, saturated over the must, against 20 °C: p/(P − p)
// of its vapour's pressure p. Ethanol's rises with warmth about as steeply. The temperature is
// the mean of the first fortnight's, in which most of the gas goes.
//
// Source: [wagner2002] the pressure.
func vapour(course kinetics.Course) (float64, error) {
	share := func(t measure.Celsius) (float64, error) {
		p, err := propertygas.WaterVapour(t)
		return float64(p / (propertygas.Atmosphere - p)), err
	}
	mean, days := measure.Celsius(0), measure.Celsius(14)
	for day := range int(days) {
		mean += course.At(measure.Hours(24*day)) / days
	}
	here, err := share(mean)
	if err != nil {
		return 0, err
	}
	usual, err := share(20)
	return here / usual, err
}

func allSugar(m *must.Must) float64 {
	return m[must.Glucose] + m[must.Fructose] + m[must.Sucrose] + m[must.SlowSugar]
}

// asSeen takes a value from a look's scale back to what a person reads.
func (l *look) asSeen(v float64) float64 {
	if l.Sense == SawBubbles {
		return max(0, math.Exp(v)-stillest)
	}
	return v
}

// show is a reading in words.
func (l *look) show(v float64) string {
	switch l.Sense {
	case SawGravity, SawSpent:
		return measure.ShowGravity(measure.Gravity(v))
	case SawBrix:
		return fmt.Sprintf("%.1f °Bx", v)
	case SawMass:
		return fmt.Sprintf("%.0f g", v)
	case SawBubbles:
		return fmt.Sprintf("%.1f bubbles a minute", v)
	}
	return fmt.Sprintf("%.1f of 1 in sweetness", v)
}

// unit is the unit of a reading as a Range says it.
func (s Sense) unit() string {
	switch s {
	case SawGravity, SawSpent:
		return "SG"
	case SawBrix:
		return "°Bx"
	case SawMass:
		return "g"
	case SawBubbles:
		return "per minute"
	}
	return ""
}
