package calc

import (
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/solve"
)

// What a must of known gravity was made with decides how much of it is sugar.
const (
	madeWithHoney = "honey"
	madeWithSugar = "sugar"
	madeWithJuice = "juice"
)

var madeWith = Input{
	Name: "made-with", Choices: []string{madeWithHoney, madeWithSugar, madeWithJuice},
	Help: "what the must was made with; decides how much of what is dissolved is sugar",
}

// maker returns what makes a litre, at 20 °C, of a must of a gravity, and the relative
// sd of its sugar.
func maker(with string) (make func(measure.Gravity) (must.Must, error), sd float64, err error) {
	if with == madeWithJuice {
		usual, err := must.FromJuice("juice", 1.05, 0)
		return func(g measure.Gravity) (must.Must, error) {
			i, err := must.FromJuice("juice", g, 0)
			return i.PerGram.Scaled(float64(density.FromGravity(g))), err
		}, usual.SugarSD, err
	}
	i, err := must.Find(map[string]string{madeWithHoney: "honey", madeWithSugar: "white sugar"}[with], nil)
	if err != nil {
		return nil, 0, err
	}
	return func(g measure.Gravity) (must.Must, error) {
		if _, err := density.SucroseFromGravity(g); err != nil { // below water
			return must.Must{}, err
		}
		mixed := func(share float64) must.Must {
			m := i.PerGram.Scaled(share)
			m[must.Water] += 1 - share
			return m
		}
		// 55 % of honey is 46 % of sugars and other solids: within the tables.
		share, err := solve.Root(func(share float64) float64 {
			is, err := mixed(share).Gravity()
			if err != nil {
				return math.NaN()
			}
			return float64(is - g)
		}, 0, 0.55, 1e-10)
		return mixed(share).Scaled(float64(density.FromGravity(g))), err
	}, i.SugarSD, nil
}

// sweeter is m with its sugars times a factor, at the cost of something else in it: of
// other solids where the gravity is known, of water where the mass is.
func sweeter(m must.Must, factor float64, cost must.Component) must.Must {
	room := m[cost]
	for _, c := range []must.Component{must.Glucose, must.Fructose, must.Sucrose, must.SlowSugar} {
		room += m[c] - m[c]*factor
		m[c] *= factor
	}
	m[cost] = max(0, room)
	return m
}

// mustVariables brings in what a must of known gravity was made with, and returns a
// litre of it.
func (r *reckoning) mustVariables(gravity *known) (func() (must.Must, error), error) {
	with, err := r.choice("made-with")
	if err != nil {
		return nil, err
	}
	litre, sd, err := maker(with)
	if err != nil {
		return nil, err
	}
	factor := r.constant(1, sd)
	return func() (must.Must, error) {
		g, err := gravityOf(gravity)
		if err != nil {
			return must.Must{}, err
		}
		m, err := litre(g)
		return sweeter(m, factor.is, must.OtherSolids), err
	}, nil
}
