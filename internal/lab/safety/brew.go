package safety

import (
	"math"
	"math/rand/v2"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/property/gas"
)

// brew is a jug as it truly is. It is followed by rules of its own: those of the model,
// with other numbers for the laws of temperature and sugar, a pace that wanders, and halts
// that the model knows nothing of.
type brew struct {
	random *rand.Rand
	nature

	base    must.Must // as it stood when it was last changed by hand, g; without gas
	litres  float64   // of base
	left    levels    // now, g/L of base
	begun   levels    // when base stood so
	closed  float64   // slow sugar that this yeast never takes, g
	age     float64   // h since pitching
	gone    float64   // CO2 gone off since pitching, g
	held    float64   // CO2 in the liquid, g/L
	full    float64   // CO2 that it holds at rest, g/L
	flow    float64   // CO2 going off, g in an hour
	mood    float64   // ln of the pace, wandering about 0
	stopped bool      // in a halt
	kept    bool      // sulphite and sorbate are in it
}

type levels struct{ cells, active, nitrogen, sugar, ethanol float64 }

// nature is what is drawn for a jug and stays.
type nature struct {
	p          kinetics.Parameters
	warming    float64 // 1/K, of growth and use
	openShare  float64 // of slow sugar that this yeast takes
	wander     float64 // ln, of the pace
	haltAt     float64 // g/L of sugar left at which it halts; 0: never
	wakes      float64 // chance, at each racking, warming and bottling, that a halt ends
	resumes    float64 // 1/h: rate at which it ends by itself
	law        gas.Law // how the gas it holds follows temperature
	oversteeps float64 // times what saturation says that it holds of gas
	airs       float64 // share of its gas that a month under the airlock leaves
	carried    float64 // g of water and alcohol with a gram of gas
	dries      float64 // g of water through the lock in a day
	bubble     float64 // mL
	leaks      float64 // share of the gas that does not pass the lock
}

const (
	wanderHours = 240.0 // over which the pace forgets where it was
	hour        = 0.5   // step, h
)

func normal(random *rand.Rand, sd float64) float64 { return sd * random.NormFloat64() }

func between(random *rand.Rand, low, high float64) float64 {
	return low + (high-low)*random.Float64()
}

// newNature draws a yeast and its ways. The spreads of rates, yields and limit are what
// docs/method.md says is not known of a jug; the others are assumed, and are what the
// model does not have.
func newNature(random *rand.Rand, nitrogenGL float64, y kinetics.YeastKind) nature {
	p := kinetics.Typical(measure.GramsPerLitre(nitrogenGL), y)
	ln := func(v *float64, sd float64) { *v *= math.Exp(normal(random, sd)) }
	ln(&p.Growth, 0.35)
	ln(&p.Use, 0.54)
	ln(&p.UseHalf, 0.3)
	ln(&p.Damage, 0.54)
	ln(&p.CellsPerNitrogen, 0.2)
	ln(&p.Lag, 0.7)
	p.EthanolPerSugar = kinetics.MostEthanol / (1 + math.Exp(-2.43-normal(random, 0.35)))
	half := float64(y.ToleranceHigh-y.ToleranceLow) / 2 / 1.28
	p.EthanolLimit += 7.8924 * math.Hypot(half, 0.6) * random.NormFloat64()
	p.EthanolLimit = max(p.EthanolLimit, 20)
	n := nature{
		p: p, warming: between(random, 0.060, 0.095), openShare: random.Float64(), wander: between(random, 0.1, 0.4),
		wakes: 0.3, law: gas.Steep, oversteeps: between(random, 1, 1.25), airs: between(random, 0.85, 0.98),
		carried: 0.015 * math.Exp(normal(random, 0.35)), dries: 0.05 * math.Exp(normal(random, 1)),
		bubble: 0.447 * math.Exp(normal(random, 1)), leaks: 0.2 * random.Float64(),
	}
	if random.IntN(2) == 0 {
		n.law = gas.Flat
	}
	return n
}

// pitch begins to follow a must.
func pitch(random *rand.Rand, n nature, m must.Must, yeastGrams float64) (*brew, error) {
	b := &brew{random: random, nature: n}
	b.closed = (1 - n.openShare) * m[must.SlowSugar]
	active := 0.5 * yeastGrams * math.Exp(normal(random, 0.5))
	return b, b.stand(m, active, active)
}

// stand takes a must as what is in the jug from now on.
func (b *brew) stand(m must.Must, cells, active float64) error {
	litres, err := m.Volume(20)
	if err != nil {
		return err
	}
	l := float64(litres)
	b.base, b.litres = m, l
	b.left = levels{
		cells: cells / l, active: active / l, nitrogen: m[must.Nitrogen] / l, ethanol: m[must.Ethanol] / l,
		sugar: (m.Hexose(0) + must.HexosePerSucrose*max(0, m[must.SlowSugar]-b.closed)) / l,
	}
	b.begun = b.left
	return nil
}

// now is what is in the jug, without its gas, g.
func (b *brew) now() (must.Must, error) {
	m, err := kinetics.Products(b.base, kinetics.Turnover{
		Hexose:          measure.Grams(b.litres * (b.begun.sugar - b.left.sugar)),
		Nitrogen:        measure.Grams(b.litres * max(0, b.begun.nitrogen-b.left.nitrogen)),
		Cells:           measure.Grams(b.litres * max(0, b.left.cells-b.begun.cells)),
		EthanolPerSugar: b.p.EthanolPerSugar, SlowClosed: measure.Grams(b.closed),
	})
	m[must.CarbonDioxide] = 0
	return m, err
}

// change takes a share out and puts something in.
func (b *brew) change(share float64, in must.Must) error {
	m, err := b.now()
	if err != nil {
		return err
	}
	_, m, err = m.Draw(share)
	if err != nil {
		return err
	}
	stay := (1 - share) * b.litres
	b.closed = min(b.closed*(1-share)+(1-b.openShare)*in[must.SlowSugar], m[must.SlowSugar]+in[must.SlowSugar])
	return b.stand(m.Plus(in), b.left.cells*stay, b.left.active*stay)
}

// rack leaves most cells and some gas behind.
func (b *brew) rack(share float64) error {
	if err := b.change(share, must.Must{}); err != nil {
		return err
	}
	b.left.active *= between(b.random, 0.2, 0.7)
	b.held *= between(b.random, 0.6, 0.85)
	b.stir()
	return nil
}

// degas is stirring over some days.
func (b *brew) degas() {
	b.held *= between(b.random, 0.35, 0.65)
	b.stir()
}

// stir may end a halt.
func (b *brew) stir() {
	if b.stopped && b.random.Float64() < b.wakes {
		b.stopped, b.haltAt = false, 0
	}
}

// rates are those per hour at a temperature: growth, use of sugar at no want of it, and loss of cells.
func (b *brew) rates(t float64) (growth, use, loss float64) {
	warm := math.Exp(b.warming * (min(t, 35) - 20))
	if below := float64(b.p.Coldest) - t; below > 0 {
		warm *= math.Exp(-below * below / 32)
	}
	started := 1.0
	if b.p.Lag > 0 {
		lag := b.p.Lag * math.Exp(-0.0782*(t-20))
		r := math.Pow(b.age/lag, 4)
		started = r / (1 + r)
	}
	at := started * max(0, 1-math.Pow(b.left.ethanol/b.p.EthanolLimit, 8)) * warm * math.Exp(b.mood)
	d := max(t, 11)
	loss = b.p.Damage * b.left.ethanol * math.Exp(-0.108*(d-20)+0.00478*(d*d-400))
	growth, use = b.p.Growth*at, b.p.Use*at/b.p.EthanolPerSugar
	if b.stopped {
		growth, use = 0, 0.002*use
	}
	if b.kept { // sorbate keeps cells from multiplying, sulphite takes those at work
		growth, loss = 0, loss+0.01
	}
	return growth, use, loss
}

// follow goes on for some hours at a temperature. Every step is exact for rates that stay
// as they are in it, so that nothing falls below zero whatever the step.
//
// Errors: of the solubility of gas.
func (b *brew) follow(hours, t float64) error {
	full, err := gas.Saturated(b.liquid(b.left.sugar+b.closed/b.litres), measure.Celsius(t), b.law)
	if err != nil {
		return err
	}
	b.full = float64(full)
	for until := b.age + hours; b.age < until-1e-9; b.age += hour {
		keep := math.Exp(-hour / wanderHours)
		b.mood = b.mood*keep + normal(b.random, b.wander*math.Sqrt(1-keep*keep))
		if !b.stopped && b.haltAt > 0 && b.left.sugar < b.haltAt {
			b.stopped = true
		}
		if b.stopped && b.random.Float64() < b.resumes*hour {
			b.stopped, b.haltAt = false, 0
		}
		growth, use, loss := b.rates(t)
		l := &b.left
		eaten := l.nitrogen * -math.Expm1(-hour*growth*l.active/b.p.CellsPerNitrogen/(b.p.GrowthHalf+l.nitrogen))
		grown := b.p.CellsPerNitrogen * eaten
		used := l.sugar * -math.Expm1(-hour*use*l.active/(b.p.UseHalf+l.sugar))
		l.nitrogen -= eaten
		l.cells += grown
		l.active = (l.active + grown) * math.Exp(-hour*loss)
		l.sugar -= used
		l.ethanol += b.p.EthanolPerSugar * used
		b.breathe(b.p.EthanolPerSugar * kinetics.CO2PerEthanol * used)
	}
	return nil
}

// breathe takes up the gas made in a step, g/L, and lets go what the liquid cannot hold.
func (b *brew) breathe(made float64) {
	had := b.held + made
	working := made/hour*24 > 0.05
	if working {
		b.held = min(had, b.full*b.oversteeps)
	} else if had > b.full {
		b.held = b.full + (had-b.full)*math.Exp(-hour/120)
	} else { // the air that comes in above thins what is left
		b.held = had * math.Pow(b.airs, hour/730)
	}
	gone := b.litres * (had - b.held)
	b.gone += gone
	b.flow = gone / hour
}

// seen is what instruments in a jug would show.
type seen struct {
	density func(measure.Celsius) (measure.Density, error)
	grams   float64 // of all in it
	perMin  float64 // bubbles through the lock
}

func (b *brew) seen() (seen, error) {
	m, err := b.now()
	if err != nil {
		return seen{}, err
	}
	litres, err := m.Volume(20)
	if err != nil {
		return seen{}, err
	}
	return seen{
		density: m.Density,
		grams:   float64(m.Mass()) + b.held*float64(litres) - b.carried*b.gone - b.dries*b.age/24,
		perMin:  b.flow * (1 - b.leaks) * 544 / 60 / b.bubble,
	}, nil
}

// fermentedOut is a sample in which fresh, strong yeast has left a little, or as much as is
// beyond what it bears.
func (b *brew) fermentedOut() (func(measure.Celsius) (measure.Density, error), error) {
	in := *b
	bears := between(b.random, 14.5, 17) * density.EthanolAt20 / 100
	in.left.sugar = max(min(b.left.sugar, between(b.random, 0, 0.8)), b.left.sugar-max(0, bears-b.left.ethanol)/b.p.EthanolPerSugar)
	m, err := in.now()
	return m.Density, err
}

// strength is % vol.
func (b *brew) strength() float64 { return b.left.ethanol / (density.EthanolAt20 / 100) }

// liquid is the jug as gas sees it. Beyond what is printed, the last value printed holds.
func (b *brew) liquid(sugar float64) gas.Liquid {
	return gas.Liquid{Ethanol: measure.PercentVol(min(15, b.strength())), Sugar: measure.GramsPerLitre(min(100, max(0, sugar)))}
}

// yearInBottle returns the sugar that truly ferments in a year in a closed bottle that
// stands at a temperature, with some priming, g/L. Filling may wake what had halted.
func (b *brew) yearInBottle(t, priming float64) (float64, error) {
	in := *b
	in.random = rand.New(rand.NewPCG(b.random.Uint64(), 1))
	if err := in.change(0, must.Must{must.Glucose: priming * in.litres}); err != nil {
		return 0, err
	}
	in.stir()
	before := in.left.sugar
	err := in.follow(365*24, t)
	return before - in.left.sugar, err
}

// gauge returns what a closed bottle comes to, bar, with so much sugar fermented in it.
func (b *brew) gauge(q bottle, fermented float64) (float64, error) {
	p, err := b.sealed(q, fermented).Gauge(measure.Celsius(q.warmest))
	return float64(p), err
}

// bears returns the sugar that the bottle bears beside the gas in the wine, g/L.
func (b *brew) bears(q bottle) (float64, error) {
	gl, err := b.sealed(q, 0).HexoseFor(measure.Bar(q.limit), measure.Celsius(q.warmest))
	return float64(gl), err
}

func (b *brew) sealed(q bottle, fermented float64) gas.ClosedBottle {
	m := b.left.sugar + b.closed/b.litres - fermented
	return gas.ClosedBottle{
		Volume: measure.Litres(q.millilitres / 1000), Headspace: measure.Litres(q.air / 1000), Liquid: b.liquid(m),
		CO2: measure.GramsPerLitre(b.held), Hexose: measure.GramsPerLitre(fermented), Yield: gas.HexoseYield, Law: b.law,
	}
}

// bottle is what the wine is to be closed in, and where it will stand.
type bottle struct {
	limit, millilitres, air, warmest float64
}
