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
//	dX/dt  = μ X_A                     μ = μ_max N/(K_N + N)
//	dX_A/dt = μ X_A − k_d E X_A        β = β_max S/(K_S + S)
//	dN/dt  = −μ X_A/Y_XN
//	dE/dt  = β X_A
//	dS/dt  = −β X_A/Y_ES
//
// μ_max, β_max and k_d follow the temperature. μ and β are multiplied by
// t⁴/(Lag⁴ + t⁴), the share of cells that has started, and by 1 − (E/EthanolLimit)⁸;
// both are 1 when the parameter is zero, and both are ours, without a source; the power of
// the second was chosen on measured series (docs/decisions/0007). X and E
// come from the balances X + Y_XN N and E + Y_ES S, which do not change. Nitrogen under
// Tolerance times its start becomes cells at once, sugar likewise ethanol.
//
// Valid:  levels zero or more, sugar to 500 g/L; course 0 to 40 °C.
// Check:  within 1e-4 of 144 computed rows in sugar and ethanol (TestAgainstComputedTrajectories).
// Errors: from Begin *property.RangeError; from Follow *solve.StepError.
// Repeats: the same question gives the same bits on the same kind of processor.
// Source: [coleman2007] equations as quoted by others, [cramer2002].
type Fermentation struct {
	Tolerance float64 // relative error of a step; 1e-6 if left at zero

	stepper *solve.DormandPrince
	system  solve.System
	p       Parameters
	course  Course
	near    int
	steady  bool // one temperature all the time
	f       factors
	lag4    float64
	start   Levels // where the balances begin
	y, at   [3]float64
	fullN   float64 // nitrogen and sugar set out with
	fullS   float64
	trace   float64 // such a share of them is nothing
}

// New returns a Fermentation to be used for any number of musts.
func New() *Fermentation {
	f := &Fermentation{stepper: solve.NewDormandPrince(3)}
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
	if err := course.check(); err != nil {
		return err
	}
	if err := l.check(); err != nil {
		return err
	}
	f.p, f.course, f.near = p, course, 0
	f.f = p.at(float64(course.At(0)))
	f.steady = true
	for _, point := range course {
		f.steady = f.steady && point.T == course[0].T
	}
	// The cold lengthens the lag as it slows growth: by the temperature at pitching.
	f.lag4 = math.Pow(p.Lag/f.f.growth, 4)
	f.trace = f.Tolerance
	if f.trace == 0 {
		f.trace = 1e-6
	}
	f.stepper.Relative, f.stepper.Absolute = f.trace, 0.01*f.trace
	f.settle(l)
	f.stepper.Start(f.system, 0, f.y[:])
	return nil
}

// Change goes on from other levels at the present time, as after feeding or racking.
//
// Errors: *property.RangeError.
func (f *Fermentation) Change(l Levels) error {
	if err := l.check(); err != nil {
		return err
	}
	f.settle(l)
	f.stepper.Restart(f.stepper.Time(), f.y[:])
	return nil
}

func (f *Fermentation) settle(l Levels) {
	f.start = l
	f.y = [3]float64{l.Nitrogen, l.Active, l.Sugar}
	f.fullN, f.fullS = l.Nitrogen, l.Sugar
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
		if err := f.stepper.Step(float64(until)); err != nil {
			return err
		}
		for i < len(times) && float64(times[i]) <= f.stepper.Time() {
			f.stepper.Within(float64(times[i]), f.at[:])
			show(i, f.levels(float64(times[i]), &f.at))
			i++
		}
		f.sweep()
	}
	return nil
}

// Levels returns what the must holds at the present time.
func (f *Fermentation) Levels() Levels {
	copy(f.at[:], f.stepper.Value())
	return f.levels(f.stepper.Time(), &f.at)
}

// sweep turns the last traces into what they are about to become: left to themselves
// they force short steps for ever.
func (f *Fermentation) sweep() {
	copy(f.y[:], f.stepper.Value())
	traceN := f.y[0] != 0 && f.y[0] < f.trace*f.fullN
	traceS := f.y[2] != 0 && f.y[2] < f.trace*f.fullS
	if !traceN && !traceS {
		return
	}
	if traceN {
		f.y[1] += f.p.CellsPerNitrogen * max(f.y[0], 0)
		f.y[0] = 0
	}
	if traceS {
		f.y[2] = 0
	}
	f.stepper.Restart(f.stepper.Time(), f.y[:])
}

// rates is the system; y is nitrogen, active cells, sugar.
func (f *Fermentation) rates(t float64, y, dy []float64) {
	p := &f.p
	n, active, s := max(y[0], 0), y[1], max(y[2], 0)
	warm := &f.f
	if !f.steady {
		now := p.at(f.course.from(t, &f.near))
		warm = &now
	}
	e := f.start.Ethanol + p.EthanolPerSugar*(f.start.Sugar-s)
	working := 1.0
	if f.lag4 > 0 {
		t4 := t * t * t * t
		working = t4 / (f.lag4 + t4)
	}
	if p.EthanolLimit > 0 {
		share := e / p.EthanolLimit
		share *= share
		share *= share
		working *= max(0, 1-share*share)
	}
	grown := working * warm.growth * p.Growth * n / (p.GrowthHalf + n) * active
	made := working * warm.use * p.Use * s / (p.UseHalf + s) * active
	dy[0] = -grown / p.CellsPerNitrogen
	dy[1] = grown - warm.damage*p.Damage*e*active
	dy[2] = -made / p.EthanolPerSugar
}

func (f *Fermentation) levels(t float64, y *[3]float64) Levels {
	var dy [3]float64
	f.rates(t, y[:], dy[:])
	n, s := max(y[0], 0), max(y[2], 0)
	return Levels{
		Cells:    f.start.Cells + f.p.CellsPerNitrogen*(f.start.Nitrogen-n),
		Active:   y[1],
		Nitrogen: n,
		Ethanol:  f.start.Ethanol + f.p.EthanolPerSugar*(f.start.Sugar-s),
		Sugar:    s,
		Use:      -dy[2],
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
