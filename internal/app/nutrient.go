package app

import (
	"fmt"
	"math"
	"time"

	"skep/internal/advice"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/nutrient"
)

const (
	// smallGap is the lack of nitrogen, mg/L, below which feeding is not worth the trouble:
	// within the spread of what a honey brings (our policy).
	smallGap     = 20.0
	mostFeedings = 3
	salt         = "diammonium phosphate"
)

// LeastWeighed is the grams below which a kitchen scale of 0.1 to 1 g says little: such
// amounts are given as millilitres of a stock of 10 g in 100 mL, StockPerGram for each gram.
const (
	LeastWeighed = 2.0
	StockPerGram = 10.0 // mL
)

// nutrientPlan is what a must lacks, and how to give it; the days come later.
func nutrientPlan(p Plan, demand kinetics.Demand) (NutrientPlan, error) {
	sugar := p.must().Hexose(1) / p.Liquid.Value
	low, high, err := nutrient.Need(nutrient.Demand(demand), measure.GramsPerLitre(sugar))
	if err != nil {
		return NutrientPlan{}, err
	}
	n := NutrientPlan{
		Need: between(float64(low), float64(high), "mg/L"), Salt: salt,
		Note: "what yeast needs by kind, and the ceiling of 0.96 g/L, are from memory, unverified; what honey holds differs twofold from jar to jar",
	}
	n.Gap = max(0, n.Need.Value-p.Prospect.Nitrogen.Value)
	if n.Gap < smallGap {
		n.Gap = 0
		return n, nil
	}
	ingredient, err := must.Find(salt, nil)
	if err != nil {
		return n, err
	}
	perGram := 1000 * ingredient.PerGram[must.Nitrogen] // mg N
	perLitre := n.Gap / perGram
	if most := float64(nutrient.MostSalt); perLitre > most {
		perLitre = most
		n.Note += fmt.Sprintf("; the ceiling allows only %.0f of the %.0f mg/L that are lacking", perLitre*perGram, n.Gap)
	}
	n.Grams = math.Floor(10*perLitre*p.Liquid.Value) / 10
	n.Otherwise, err = WithoutSalts(measure.MgPerLitre(n.Gap), measure.Litres(p.Liquid.Value))
	return n, err
}

// WithoutSalts says what to give when no ammonium salt is wanted, and how far it goes
// where so much nitrogen, above nothing, is lacking.
func WithoutSalts(lacking measure.MgPerLitre, liquid measure.Litres) (string, error) {
	inactivated, err := must.Find("inactivated yeast", nil)
	if err != nil {
		return "", err
	}
	boiled, err := must.Find("boiled bread yeast", nil)
	if err != nil {
		return "", err
	}
	grams := advice.YeastFoodGL * float64(liquid)
	share := func(i must.Ingredient) float64 {
		return min(100, 100*1000*advice.YeastFoodGL*i.PerGram[must.Nitrogen]/float64(lacking))
	}
	return fmt.Sprintf("without ammonium salts: %.0f g of inactivated yeast gives about %.0f %% of the nitrogen that is lacking, "+
		"%.0f g of bread yeast boiled ten minutes in water about %.0f %%; %.1f g of yeast hulls help the yeast to the end but hardly feed it. Expect a slower ferment",
		grams, share(inactivated), grams, share(boiled), advice.HullsGL*float64(liquid)), nil
}

// feed parts the salt over the days: the first portion when the must comes to life, the
// last while two thirds of the sugar are surely left, at most three, half a day apart at
// the least. Yeast takes up no ammonium once there is much alcohol (from memory,
// unverified; common teaching).
func (n *NutrientPlan) feed(alive, third measure.Range) {
	n.Feedings = nil
	if n.Grams == 0 {
		return
	}
	last := max(soonestFeeding, third.Low)
	first := min(max(soonestFeeding, halfDays(alive.Value)), last)
	span := last - first
	count := min(mostFeedings, 1+int(2*span))
	for i := range count {
		day := first
		if count > 1 {
			day += halfDays(span * float64(i) / float64(count-1))
		}
		f := Feeding{Day: day, Last: last, Grams: n.Grams / float64(count)}
		f.Words = fmt.Sprintf("%.1f g %s", f.Grams, n.Salt)
		if f.Grams < LeastWeighed {
			f.StockML = math.Round(StockPerGram * f.Grams)
			f.Words += fmt.Sprintf(": %.0f mL of a stock of 10 g in 100 mL of water", f.StockML)
		}
		n.Feedings = append(n.Feedings, f)
	}
}

// soonestFeeding is the days that a must is left to come to life.
const soonestFeeding = 0.5

// halfDays is the half days that have gone by.
func halfDays(days float64) float64 { return math.Floor(2*days) / 2 }

// Feedings puts the portions of nutrient on the calendar of a jug pitched at a time.
func (p Plan) Feedings(pitched time.Time) []advice.Feeding {
	var all []advice.Feeding
	for _, f := range p.Nutrient.Feedings {
		all = append(all, advice.Feeding{At: daysAfter(pitched, f.Day), Until: daysAfter(pitched, f.Last), What: f.Words})
	}
	return all
}

// daysAfter is so many days after a time.
func daysAfter(from time.Time, days float64) time.Time {
	return from.Add(time.Duration(days * 24 * float64(time.Hour))).Truncate(time.Minute)
}
