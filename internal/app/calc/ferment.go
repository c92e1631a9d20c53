package calc

import (
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/solve"
)

// fermentMethod is said of every calculation that ferments.
const fermentMethod = "Each gram of sugar, as hexose, becomes 0.47 g of ethanol (0.438 to 0.493: 16 to 18 g/L of sugar " +
	"for each % vol is printed), 0.955 times that of CO2, 0.02 g of yeast (assumed) and for the rest glycerol."

// mostHexose is the limit of density.Must for glucose and fructose, g/g.
const mostHexose = 0.48

// The sugar that a must was read with.
const (
	invertSugar = "invert"
	sucrose     = "sucrose"
)

// sugarMust is a litre, at 20 °C, of a must of that gravity in which all that is
// dissolved is sugar.
//
// Errors: *property.RangeError.
func sugarMust(g measure.Gravity, kind string) (must.Must, error) {
	rho := float64(density.FromGravity(g))
	if kind == sucrose {
		w, err := density.SucroseFromGravity(g)
		return must.Must{must.Water: rho * (1 - float64(w)), must.Sucrose: rho * float64(w)}, err
	}
	w, err := invertFromGravity(g)
	return must.Must{must.Water: rho * (1 - w), must.Glucose: rho * w / 2, must.Fructose: rho * w / 2}, err
}

// invertFromGravity is the invert sugar, g/g, in a solution in water of that gravity.
//
// Errors: *property.RangeError.
func invertFromGravity(g measure.Gravity) (float64, error) {
	if _, err := density.SucroseFromGravity(g); err != nil { // below water
		return 0, err
	}
	rho := float64(density.FromGravity(g))
	return solve.Root(func(w float64) float64 {
		d, _ := density.Must(dissolved(0, w, invertSugar), 20) // w is in its range
		return float64(d) - rho
	}, 0, mostHexose, 1e-12)
}

// fermented is how far a must has come.
type fermented struct {
	from, to measure.Gravity
	dry      measure.Gravity // how low it can go
	said     float64         // g sugar, as it is
	hexose   float64         // g at the start
	taken    float64         // g hexose
	ethanol  float64         // g
	gas      float64         // g CO2
	litres   float64
	strength float64 // % vol
	must     must.Must
}

// fermentedToGravity ferments start until its gravity is to. A reading below the gravity
// when all sugar is gone means that it is gone; believable says whether that can be.
func fermentedToGravity(start must.Must, to measure.Gravity, yield float64) (fermented, error) {
	from, err := start.Gravity()
	if err != nil {
		return fermented{}, err
	}
	hexose := start.Hexose(must.SlowShare)
	off := func(left float64) float64 {
		m, err := start.FermentedTo(left, must.SlowShare, yield)
		if err != nil {
			return math.NaN()
		}
		g, err := m.Gravity()
		if err != nil {
			return math.NaN()
		}
		return float64(g - to)
	}
	left := 0.0
	switch dry := off(0); {
	case math.IsNaN(dry): // say why
		_, err := start.FermentedTo(0, must.SlowShare, yield)
		return fermented{}, err
	case to >= from:
		left = hexose
	case dry < 0:
		if left, err = solve.Root(off, 0, hexose, 1e-8); err != nil {
			return fermented{}, err
		}
	}
	f, err := fermentedTo(start, left, yield)
	f.to, f.dry = to, measure.Gravity(off(0))+to
	return f, err
}

// fermentedTo ferments start until left grams of hexose are left.
func fermentedTo(start must.Must, left, yield float64) (fermented, error) {
	from, err := start.Gravity()
	if err != nil {
		return fermented{}, err
	}
	hexose := start.Hexose(must.SlowShare)
	m, err := start.FermentedTo(left, must.SlowShare, yield)
	if err != nil {
		return fermented{}, err
	}
	rho, err := m.Density(20)
	if err != nil {
		return fermented{}, err
	}
	litres := float64(m.LiquidMass()) / float64(rho)
	return fermented{
		from: from, to: density.Gravity(rho), must: m,
		said:   sugars(start),
		hexose: hexose, taken: hexose - left,
		ethanol: m[must.Ethanol], gas: gasPerEthanol * m[must.Ethanol],
		litres: litres, strength: 100 * m[must.Ethanol] / density.EthanolAt20 / litres,
	}, nil
}

// sugars is g of sugar in m, as it is.
func sugars(m must.Must) float64 {
	return m[must.Glucose] + m[must.Fructose] + m[must.Sucrose] + m[must.SlowSugar]
}

// gasPerEthanol is grams of CO2 for each gram of ethanol: one molecule each [masses].
const gasPerEthanol = 44.0095 / 46.068
