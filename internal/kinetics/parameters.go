package kinetics

import (
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property"
)

// Parameters are the rates at 20 °C, yields and limits of a yeast in a must.
type Parameters struct {
	Growth           float64         // μ_max, 1/h
	GrowthHalf       float64         // K_N, g N/L: at this much nitrogen growth is half as fast
	CellsPerNitrogen float64         // Y_XN, g/g
	Use              float64         // β_max, g ethanol per g of active cells in an hour
	UseHalf          float64         // K_S, g/L
	EthanolPerSugar  float64         // Y_ES, g/g hexose; chemistry allows less than MostEthanol
	Damage           float64         // k_d, 1/h per g/L of ethanol
	Lag              float64         // h at 20 °C until half the cells have started; 0 = none
	EthanolLimit     float64         // g/L at which work ends; 0 = none
	Coldest          measure.Celsius // below it the yeast comes near a pause
	Heat             float64         // K by which the must is warmer for each g/L of sugar that goes in an hour; 0 = none
	Wander           [3]float64      // ln by which use strays as sugar goes: from the start, late, at the very end
}

// Masses that chemistry fixes: C₆H₁₂O₆ → 2 C₂H₅OH + 2 CO₂, from molar masses
// 180.156, 46.068 and 44.010 g/mol (IUPAC abridged atomic weights).
const (
	MostEthanol   = 2 * 46.068 / 180.156 // g per g hexose, if sugar became nothing else
	CO2PerEthanol = 44.010 / 46.068      // g/g
)

// Typical returns central parameters for a must with the given assimilable nitrogen.
//
// Growth and use lie halfway, in ratio, between two published sets that differ by a factor
// of up to 1.7, both known to us at second hand only: growth 0.16 and 0.095 1/h, use 0.30
// and 0.47. Damage is lower than in either (1.0e-4 and 0.43e-4), for with those every real
// series came out too slow at the end: over 31 tank fermentations forecast from half their
// readings, the last gravity was too high by 0.0106 (median) at 6.5e-5, 0.0069 at 4.3e-5
// and 0.0035 at 2.5e-5; on the redlab series by 0.0037, 0.0025 and 0.0019 (docs/decisions/0006).
// The authors of the model warn of that term themselves, [cramer2002]. Cells per nitrogen
// falls as nitrogen rises, from [coleman2007]; from memory, unverified. Whoever uses these
// must keep them wide, a factor of 2 each way on damage. The yield of ethanol is that of
// package must. The lag is assumed. The limit is 2 % vol past the middle of what the kind
// bears: with 1, measured musts were foretold to slow too early (docs/decisions/0009).
//
// Valid:  nitrogen 0 to 0.6 g/L; above, the yield is held.
func Typical(nitrogen measure.GramsPerLitre, y YeastKind) Parameters {
	return Parameters{
		Growth:           0.123,
		GrowthHalf:       0.010,
		CellsPerNitrogen: math.Exp(3.50 - 3.61*min(float64(nitrogen), 0.6)),
		Use:              0.375,
		UseHalf:          10,
		EthanolPerSugar:  must.EthanolYield,
		Damage:           2.5e-5,
		Lag:              12,
		EthanolLimit:     ethanolGL(float64(y.ToleranceLow+y.ToleranceHigh)/2 + 2),
		Coldest:          y.TemperatureLow,
	}
}

// ethanolGL is grams per litre of so many % vol: 789.24 kg/m³ is ethanol at 20 °C [oiml-r22].
func ethanolGL(percentVol float64) float64 { return percentVol * 7.8924 }

// Slopes of the temperature law. They are second hand (growth) or from memory, unverified
// (use, damage) after [coleman2007]; growth and use rise 2.2-fold in 10 K, damage steeply above 25 °C.
const (
	growthSlope  = 0.0782  // 1/K
	useSlope     = 0.0771  // 1/K
	damageSlope  = -0.108  // 1/K
	damageBend   = 0.00478 // 1/K²
	coldestOfLaw = 11.0    // °C, coldest of the flasks behind the law
	warmestOfLaw = 35.0    // °C, warmest
)

// coldWidth is how fast a yeast nears its pause below its coldest temperature: at 8 K
// below it an eighth of what the law says is left. Assumed, no source.
const coldWidth = 4.0 // K

// factors are what temperature does to each rate; all are 1 at 20 °C.
type factors struct{ growth, use, damage float64 }

func (p *Parameters) at(t float64) factors {
	warm := min(t, warmestOfLaw)
	cold := p.cold(t)
	d := max(t, coldestOfLaw)
	return factors{
		growth: cold * math.Exp(growthSlope*(warm-20)),
		use:    cold * math.Exp(useSlope*(warm-20)),
		damage: math.Exp(damageSlope*(d-20) + damageBend*(d*d-400)),
	}
}

// rates are those of growth, of sugar's going and of damage under so much warmth.
func (p *Parameters) rates(f factors) factors {
	return factors{f.growth * p.Growth, f.use * p.Use / p.EthanolPerSugar, f.damage * p.Damage}
}

// pace is by what use has strayed when a share of the sugar is gone. (1 + x/8)⁸ stands for
// the exponential of x: as good for a term of our own, and a fifth of the time.
func (p *Parameters) pace(gone float64) float64 {
	late := gone * gone
	late *= late
	end := late * late
	end *= end
	x := 1 + (p.Wander[0]*gone+p.Wander[1]*late+p.Wander[2]*end)/8
	if x < 0 {
		x = 0
	}
	x *= x
	x *= x
	return x * x
}

// near is at, but for the cold to 1e-5 from a table: a course that changes asks at every step.
func (p *Parameters) near(t float64) factors {
	x := t / tableStep
	i := min(max(0, int(x)), len(lawTable)-2)
	x -= float64(i)
	a, b := &lawTable[i], &lawTable[i+1]
	f := factors{a.growth + x*(b.growth-a.growth), a.use + x*(b.use-a.use), a.damage + x*(b.damage-a.damage)}
	if t < float64(p.Coldest) {
		cold := p.cold(t)
		f.growth, f.use = f.growth*cold, f.use*cold
	}
	return f
}

// lawTable holds the law from 0 to 40 °C, without a yeast's own cold.
var lawTable = func() (table [int(warmestCourse/tableStep) + 1]factors) {
	p := Parameters{Coldest: coldestCourse}
	for i := range table {
		table[i] = p.at(float64(i) * tableStep)
	}
	return table
}()

const tableStep = 0.125 // K

func (p *Parameters) cold(t float64) float64 {
	below := float64(p.Coldest) - t
	if below <= 0 {
		return 1
	}
	return math.Exp(-below * below / (2 * coldWidth * coldWidth))
}

func (p *Parameters) check() error {
	const call = "kinetics.Begin"
	for _, v := range []struct {
		what      string
		value     float64
		low, high float64
		unit      string
	}{
		{"growth", p.Growth, 0, 2, "1/h"},
		{"half growth", p.GrowthHalf, 1e-6, 1, "g/L"},
		{"cells per nitrogen", p.CellsPerNitrogen, 1, 200, "g/g"},
		{"use", p.Use, 0, 10, "g/g/h"},
		{"half use", p.UseHalf, 1e-3, 200, "g/L"},
		{"ethanol per sugar", p.EthanolPerSugar, 0.2, 0.6, "g/g"}, // published fits go above chemistry; Products does not
		{"damage", p.Damage, 0, 0.1, "L/g/h"},
		{"lag", p.Lag, 0, 2000, "h"},
		{"ethanol limit", p.EthanolLimit, 0, 300, "g/L"},
		{"own heat", p.Heat, 0, 10, "K for 1 g/L in an hour"},
		{"wander", p.Wander[0], -10, 10, ""},
		{"late wander", p.Wander[1], -10, 10, ""},
		{"last wander", p.Wander[2], -10, 10, ""},
	} {
		if err := property.Within(call, v.what, v.value, v.low, v.high, v.unit); err != nil {
			return err
		}
	}
	return nil
}

// TemperaturePoint is one point of a course of temperature.
type TemperaturePoint struct {
	At measure.Hours
	T  measure.Celsius
}

// Course is temperature in time: straight between points, flat beyond the ends.
type Course []TemperaturePoint

// Coldest and warmest temperature a course may have. The law was made from 11 to 35 °C.
// Below, growth and use follow it on and damage is held, as for a jug in a cellar; above,
// growth and use are held and damage follows on, so that a hot jug is rather seen to stop.
const coldestCourse, warmestCourse = 0, 40

// Check says what is wrong with a course, if anything is.
//
// Errors: *property.RangeError; no points, or out of order.
func (c Course) Check() error {
	if len(c) == 0 {
		return errNoCourse
	}
	for i, p := range c {
		if i > 0 && !(p.At >= c[i-1].At) {
			return errCourseOrder
		}
		if err := property.Within("kinetics.Begin", "temperature", float64(p.T), coldestCourse, warmestCourse, "°C"); err != nil {
			return err
		}
	}
	return nil
}

// At returns the temperature at time t. It panics on an empty course.
func (c Course) At(t measure.Hours) measure.Celsius {
	last := 0
	return measure.Celsius(c.from(float64(t), &last))
}

// from is At with a place to begin the search, since time moves in small steps.
func (c Course) from(t float64, near *int) float64 {
	i := *near
	for i > 0 && float64(c[i].At) > t {
		i--
	}
	for i+1 < len(c) && float64(c[i+1].At) <= t {
		i++
	}
	*near = i
	a := c[i]
	if i+1 == len(c) || t <= float64(a.At) {
		return float64(a.T)
	}
	b := c[i+1]
	share := (t - float64(a.At)) / float64(b.At-a.At)
	return float64(a.T) + share*float64(b.T-a.T)
}
