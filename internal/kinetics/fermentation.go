package kinetics

import (
	"errors"
	"math"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/solve"
)

var (
	errNoCourse    = errors.New("kinetics: no temperature is known; give the course at least one point")
	errCourseOrder = errors.New("kinetics: the points of the course are not in order of time")
)

// Levels is what a must holds at one time, g/L, and how fast sugar goes.
type Levels struct {
	Cells    float64 // X, all that ever grew
	Active   float64 // XA, at work
	Nitrogen float64 // N
	Ethanol  float64 // E
	Sugar    float64 // S, as hexose
	Use      float64 // sugar going, g/L in an hour; an answer, never read
}

// Fermentation follows one must after another; making one allocates, using it does not.
//
//	dX/dt  = w μ X_A                    μ = μ_max N/(K_N + N)
//	dX_A/dt = w μ X_A − k_d E X_A       β = β_max S/(K_S + S)
//	dN/dt  = −w μ X_A/Y_XN
//	dE/dt  = w v β X_A
//	dS/dt  = −w v β X_A/Y_ES
//
// μ_max, β_max and k_d follow the temperature. w = t⁴/(Lag⁴ + t⁴) · (1 − (E/EthanolLimit)⁸)
// is the share of cells that has started and what the limit leaves of their work; v is how
// far this must's pace has wandered from the model's, v = (1 + Wander · (p, p⁴, p¹⁶)/8)⁸, p
// being the share of the sugar that is gone. All three are ours, without a source, and 1 when their
// parameter is zero; the power of the limit was chosen on measured series
// (docs/decisions/0007). X and E come from the balances X + Y_XN N and E + Y_ES S, which do
// not change. Nitrogen under five times Tolerance of its start becomes cells at once, sugar under a
// twentieth of Tolerance ethanol: left to themselves they force short steps for ever.
//
// Valid:  levels zero or more, sugar to 500 g/L; course 0 to 40 °C.
// Check:  within 1e-4 of 144 computed rows in sugar and ethanol (TestAgainstComputedTrajectories).
// Errors: from Begin *property.RangeError; from Follow *solve.StepError.
// Repeats: the same question gives the same bits on the same kind of processor.
// Source: [coleman2007] equations as quoted by others, [cramer2002].
type Fermentation struct {
	Tolerance float64 // relative error of a step; 1e-6 if left at zero

	stepper *solve.DormandPrince // nitrogen, active cells, sugar
	system  solve.System
	p       Parameters
	course  Course
	near    int
	steady  bool    // one temperature all the time
	at      factors // the rates at that temperature
	wanders bool
	lag4    float64
	start   Levels  // where the balances begin
	reached float64 // share of the sugar gone before start; more sugar does not bring it back
	// What the rates need, worked out once.
	longAfter, whole, perCells, perLimit, perWhole float64
}

// New returns a Fermentation to be used for any number of musts.
func New() *Fermentation {
	f := &Fermentation{stepper: solve.NewDormandPrince()}
	f.system = f.rates
	return f
}

// Begin sets out from levels at pitching, time 0.
//
// Errors: *property.RangeError; a course without points or out of order.
func (f *Fermentation) Begin(p Parameters, course Course, l Levels) error {
	if err := p.check(); err != nil {
		return err
	}
	if err := course.Check(); err != nil {
		return err
	}
	if err := l.check(); err != nil {
		return err
	}
	f.p, f.course, f.near = p, course, 0
	start := p.at(float64(course.At(0)))
	f.at = p.rates(start)
	f.steady = true
	for _, point := range course {
		f.steady = f.steady && point.T == course[0].T
	}
	// The cold lengthens the lag as it slows growth: by the temperature at pitching.
	lag := p.Lag / start.growth
	f.lag4, f.longAfter = math.Pow(lag, 4), lagsToAll*lag
	f.perCells, f.perLimit = 1/p.CellsPerNitrogen, 0
	if p.EthanolLimit > 0 {
		f.perLimit = 1 / p.EthanolLimit
	}
	f.reached, f.wanders = 0, p.Wander != [3]float64{}
	f.stepper.Relative = f.Tolerance
	if f.Tolerance == 0 {
		f.stepper.Relative = 1e-6
	}
	f.stepper.Start(f.system, 0, f.settle(l), firstStep)
	return nil
}

// firstStep is tried first, h: hardly any must does anything before.
const firstStep = 1.0

// Change goes on from other levels at the present time, as after feeding or racking.
//
// Errors: *property.RangeError.
func (f *Fermentation) Change(l Levels) error {
	if err := l.check(); err != nil {
		return err
	}
	f.reached = f.gone(f.stepper.Value().C)
	f.stepper.Restart(f.stepper.Time(), f.settle(l))
	return nil
}

// lagsToAll is how many times the lag all but a millionth of the cells have started.
const lagsToAll = 32

// settle lays out the balances. A step may err in sugar, where little is left, by two
// hundredths of what it may where all is there, and in nitrogen by as much as in its cells.
func (f *Fermentation) settle(l Levels) solve.Three {
	f.start = l
	f.whole, f.perWhole = l.Ethanol+f.p.EthanolPerSugar*l.Sugar, 0
	if f.whole > 0 {
		f.perWhole = 1 / f.whole
	}
	r := f.stepper.Relative
	f.stepper.Absolute = solve.Three{A: least + r*l.Nitrogen, B: least, C: least + 0.02*r*l.Sugar}
	return solve.Three{A: l.Nitrogen, B: l.Active, C: l.Sugar}
}

// least is an error that matters nowhere, g/L.
const least = 1e-9

// ethanol is what there is beside so much sugar.
func (f *Fermentation) ethanol(sugar float64) float64 {
	return f.start.Ethanol + f.p.EthanolPerSugar*(f.start.Sugar-sugar)
}

// gone is the share of the sugar that is gone, or was before more was added.
func (f *Fermentation) gone(sugar float64) float64 {
	return max(f.reached, f.ethanol(sugar)*f.perWhole)
}

// Follow goes on to a later time and shows the levels at each of the given times, which
// rise and lie between the present and until.
//
// Errors: *solve.StepError.
func (f *Fermentation) Follow(until measure.Hours, times []measure.Hours, show func(i int, l Levels)) error {
	i := 0
	for i < len(times) && float64(times[i]) <= f.stepper.Time() {
		show(i, f.Levels())
		i++
	}
	for f.stepper.Time() < float64(until) {
		if f.steady && f.spent() {
			f.fade(until, times, i, show)
			return nil
		}
		if err := f.stepper.Step(float64(until)); err != nil {
			return err
		}
		for i < len(times) && float64(times[i]) <= f.stepper.Time() {
			show(i, f.levels(float64(times[i]), f.stepper.Within(float64(times[i]))))
			i++
		}
		f.sweep()
	}
	return nil
}

// Levels returns what the must holds at the present time.
func (f *Fermentation) Levels() Levels {
	return f.levels(f.stepper.Time(), f.stepper.Value())
}

// spent says whether nothing is left to live on.
func (f *Fermentation) spent() bool {
	y := f.stepper.Value()
	return y.A == 0 && y.C == 0
}

// fade goes on where nothing is left to live on and the temperature stays: cells only die,
// which has a closed form.
func (f *Fermentation) fade(until measure.Hours, times []measure.Hours, i int, show func(i int, l Levels)) {
	l, from, rate := f.Levels(), f.stepper.Time(), f.at.damage*f.whole
	active := l.Active
	for ; i < len(times); i++ {
		l.Active = active * math.Exp(-rate*(float64(times[i])-from))
		show(i, l)
	}
	f.stepper.Restart(float64(until), solve.Three{B: active * math.Exp(-rate*(float64(until)-from))})
}

// sweep turns the last traces into what they are about to become.
func (f *Fermentation) sweep() {
	y := f.stepper.Value()
	r := f.stepper.Relative
	traceN := y.A != 0 && y.A < 5*r*f.start.Nitrogen
	traceS := y.C != 0 && y.C < 0.05*r*f.start.Sugar
	if !traceN && !traceS {
		return
	}
	if traceN {
		y = f.ripen(y)
	}
	if traceS {
		y.C = 0
	}
	f.stepper.Restart(f.stepper.Time(), y)
}

// ripen makes cells of all nitrogen left. By itself it would fall as dN/dt = −c N/(K_N + N):
// its cells come (K_N + N/2)/c too soon in the mean, and what sugar they would use till then is
// given back. What is still wrong goes with the square of the nitrogen.
func (f *Fermentation) ripen(y solve.Three) solve.Three {
	n, half := max(y.A, 0), f.p.GrowthHalf
	cells := f.p.CellsPerNitrogen * n
	if r := f.rates(f.stepper.Time(), y); r.A < 0 {
		soon := n / -r.A * (half + n/2) / (half + n)
		y.C -= cells / y.B * r.C * soon
	}
	return solve.Three{A: 0, B: y.B + cells, C: y.C}
}

// rates is the system; y is nitrogen, active cells, sugar. Comparisons stand where max would
// do: it minds what is no number, and takes longer.
func (f *Fermentation) rates(t float64, y solve.Three) solve.Three {
	n, active, s := y.A, y.B, y.C
	if s < 0 {
		s = 0
	}
	at := f.at
	if !f.steady {
		at = f.p.rates(f.p.near(f.course.from(t, &f.near)))
	}
	e := f.whole - f.p.EthanolPerSugar*s
	share := e * f.perLimit
	share *= share
	share *= share
	if share *= share; share > 1 {
		share = 1
	}
	work := active - active*share
	if t < f.longAfter {
		t4 := t * t
		t4 *= t4
		work *= t4 / (f.lag4 + t4)
	}
	use := at.use * s / (f.p.UseHalf + s)
	if f.wanders {
		gone := e * f.perWhole
		if gone < f.reached {
			gone = f.reached
		}
		use *= f.p.pace(gone)
	}
	if f.p.Heat > 0 { // growth and use rise alike with warmth, within 2 % of each other
		// The heat is that of the rate as it is so warmed: w = exp(x w), by its series, which is
		// 1 % low where x is 0.2, some 2.5 K, and more than any jug of 25 L comes to.
		x := useSlope * f.p.Heat * work * use
		warmer := 1 + x*(1+x*(3./2+x*8./3))
		use *= warmer
		at.growth *= warmer
	}
	grown := 0.0
	if n > 0 {
		grown = work * (at.growth * n / (f.p.GrowthHalf + n))
	}
	return solve.Three{A: -grown * f.perCells, B: grown - at.damage*e*active, C: -work * use}
}

func (f *Fermentation) levels(t float64, y solve.Three) Levels {
	n, s := max(y.A, 0), max(y.C, 0) // a step may end a trace below none, of the active cells too
	use := 0.0
	if s > 0 {
		use = -f.rates(t, y).C
	}
	return Levels{
		Cells:    f.start.Cells + f.p.CellsPerNitrogen*(f.start.Nitrogen-n),
		Active:   max(y.B, 0),
		Nitrogen: n,
		Ethanol:  f.ethanol(s),
		Sugar:    s,
		Use:      use,
	}
}

func (l *Levels) check() error {
	const call = "kinetics.Begin"
	for _, v := range []struct {
		what  string
		value float64
		high  float64
	}{
		{"cells", l.Cells, 100},
		{"active cells", l.Active, 100},
		{"nitrogen", l.Nitrogen, 5},
		{"ethanol", l.Ethanol, 300},
		{"sugar", l.Sugar, 500},
	} {
		if err := property.Within(call, v.what, v.value, 0, v.high, "g/L"); err != nil {
			return err
		}
	}
	return nil
}
