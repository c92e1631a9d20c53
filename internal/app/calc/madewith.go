package calc

import (
	"math"

	"skep/internal/must"
	"skep/internal/property"
	"skep/internal/solve"
)

// What a must was made with decides how much of what is dissolved in it is sugar.
const (
	madeWithHoney = "honey"
	madeWithSugar = "sugar"
	madeWithJuice = "juice"
)

var madeWith = Input{
	Name: "made-with", Choices: []string{madeWithHoney, madeWithSugar, madeWithJuice},
	Help: "what the must was made with; decides how much of what is dissolved is sugar",
}

// recipe is every must that is made with one thing and water.
type recipe struct {
	solids     must.Must // 1 g of what is dissolved
	sd         float64   // relative, of its sugar
	nitrogenSD float64   // of ln(nitrogen)
}

func recipeOf(with string) (recipe, error) {
	var i must.Ingredient
	var err error
	if with == madeWithJuice {
		i, err = must.FromJuice("juice", 1.05, 0) // what is dissolved is the same at any gravity
	} else {
		i, err = must.Find(map[string]string{madeWithHoney: "honey", madeWithSugar: "white sugar"}[with], nil)
	}
	solids := i.PerGram
	solids[must.Water] = 0
	return recipe{solids.Scaled(1 / float64(solids.Mass())), i.SugarSD, i.YANSD}, err
}

// mostSolids of a must, g/g, is a little within the tables of density and optics.
const mostSolids = 0.47

// litre is a litre, at 20 °C, of the must of which reads gives want.
//
// Errors: *property.RangeError.
func (k recipe) litre(what string, want float64, unit string, reads func(must.Must) (float64, error)) (must.Must, error) {
	mixed := func(solids float64) must.Must {
		m := k.solids.Scaled(solids)
		m[must.Water] = 1 - solids
		return m
	}
	read := func(solids float64) float64 {
		is, err := reads(mixed(solids))
		if err != nil {
			return math.NaN()
		}
		return is
	}
	solids, err := solve.Root(func(solids float64) float64 { return read(solids) - want }, 0, mostSolids, 1e-10)
	if err != nil {
		if beyond := property.Within("must", what, want, read(0), read(mostSolids), unit); beyond != nil {
			err = beyond
		}
		return must.Must{}, err
	}
	m := mixed(solids)
	v, err := m.Volume(20)
	return m.Scaled(1 / float64(v)), err
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

// like returns what makes a litre of the must of which reads gives what want does, with
// more or less of its solids sugar, as factor says. A litre is kept until want changes:
// most of what varies leaves it as it is.
func (k recipe) like(what string, want func() (float64, error), unit string, reads func(must.Must) (float64, error), factor *known) func() (must.Must, error) {
	var litre must.Must
	kept := math.NaN()
	return func() (must.Must, error) {
		now, err := want()
		if err != nil {
			return must.Must{}, err
		}
		if now != kept {
			if litre, err = k.litre(what, now, unit, reads); err != nil {
				return must.Must{}, err
			}
			kept = now
		}
		return sweeter(litre, factor.is, must.OtherSolids), nil
	}
}

// mustVariables brings in what a must of known gravity was made with, and returns a
// litre of it.
func (r *reckoning) mustVariables(gravity *known) (func() (must.Must, error), error) {
	with, err := r.choice("made-with")
	if err != nil {
		return nil, err
	}
	made, err := recipeOf(with)
	if err != nil {
		return nil, err
	}
	want := func() (float64, error) {
		g, err := gravityOf(gravity)
		return float64(g), err
	}
	return made.like("gravity", want, "SG", gravityIn, r.constant(1, made.sd)), nil
}

func gravityIn(m must.Must) (float64, error) {
	g, err := m.Gravity()
	return float64(g), err
}
