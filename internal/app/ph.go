package app

import (
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/acidity"
	"skep/internal/solve"
)

const (
	fruitPH = 3.5 // of fruit whose pH is not known (assumed)
	// mustPHSpread is what package acidity trusts itself with in a must.
	mustPHSpread = 0.3
	// smallAcid is the share of the acid that may be of an unknown kind.
	smallAcid = 0.05
)

// mustPH returns the pH of a must from the acids of its parts and the salts that go
// with them. Salts of the water are not counted: hard water raises it. Not Known where
// more than a twentieth of the acid is of unknown kind, or beyond what acidity covers.
func mustPH(portions []must.Portion, litres float64) measure.Range {
	unknown := measure.Normal(math.NaN(), 0, "pH")
	var amounts []acidity.Amount
	var cation, known, all float64 // meq
	for _, p := range portions {
		acid := p.Adds()[must.Acid]
		if acid == 0 {
			continue
		}
		meq := 1000 * acid / tartaric.Equivalent()
		all += meq
		kind, err := acidity.Named(p.Ingredient.MainAcid)
		if err != nil {
			continue
		}
		known += meq
		salts := saltsOf(p, kind, meq)
		cation += salts
		amounts = append(amounts, acidity.Amount{Acid: kind, GL: measure.GramsPerLitre((meq + salts) / 1000 * kind.Equivalent() / litres)})
	}
	if known == 0 || all-known > smallAcid*all {
		return unknown
	}
	ph, err := acidity.PH(amounts, cation/litres, 0)
	if err != nil {
		return unknown
	}
	return measure.Range{Value: ph, Unit: "pH", Low: ph - mustPHSpread, High: ph + mustPHSpread}
}

var tartaric = func() acidity.Acid {
	a, err := acidity.Named("tartaric")
	if err != nil {
		panic("app: " + err.Error())
	}
	return a
}()

// saltsOf returns the strong cations of a portion, meq, that leave meq of its acid to be
// titrated and give it its own pH. Pure acids have none; neither, as far as is known,
// has a juice too sour for the tables.
func saltsOf(p must.Portion, kind acidity.Acid, meq float64) float64 {
	own := (p.Ingredient.PHLow + p.Ingredient.PHHigh) / 2
	switch p.Ingredient.Class {
	case must.AcidSalt:
		return 0
	case must.Honey:
		kilograms := float64(p.Grams) / 1000
		_, cation, err := acidity.Honey(min(max(acidity.UsualHoneyPH, p.Ingredient.PHLow), p.Ingredient.PHHigh), meq/kilograms)
		if err != nil {
			return 0
		}
		return cation * kilograms
	}
	if own == 0 {
		own = fruitPH
	}
	litres, err := p.Adds().Volume(20)
	if err != nil {
		return 0
	}
	titrated := meq / float64(litres)
	salts, err := solve.Root(func(cation float64) float64 {
		gl := measure.GramsPerLitre((titrated + cation) / 1000 * kind.Equivalent())
		ph, err := acidity.PH([]acidity.Amount{{Acid: kind, GL: gl}}, cation, 0)
		if err != nil {
			return math.NaN()
		}
		return ph - own
	}, 0, titrated, 1e-6)
	if err != nil { // already milder without salts, or beyond the tables
		return 0
	}
	return salts * float64(litres)
}
