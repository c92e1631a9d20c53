package app

import (
	"fmt"
	"math"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
)

// kitchenGrams rounds to what a kitchen scale shows: 5 g from 500 g, 1 g from 20 g,
// 0.1 g below (assumed; common divisions).
func kitchenGrams(g float64) float64 {
	switch {
	case g >= 500:
		return 5 * math.Round(g/5)
	case g >= 20:
		return math.Round(g)
	}
	return math.Round(10*g) / 10
}

// yeastPlan is the usual dose in whole packets: half a packet saves nothing and starts
// slower.
func yeastPlan(kind kinetics.YeastKind, liquid measure.Litres) YeastPlan {
	grams := yeastDose * float64(liquid)
	return YeastPlan{
		Kind: kind.Name, Note: kind.Note,
		Stops:       between(float64(kind.ToleranceLow), float64(kind.ToleranceHigh), "% vol"),
		Temperature: between(float64(kind.TemperatureLow), float64(kind.TemperatureTop), "°C"),
		Grams:       grams, Packets: max(1, int(math.Ceil(grams/packetGrams-1e-9))),
	}
}

// between is a range known by its ends.
func between(low, high float64, unit string) measure.Range {
	return measure.Range{Value: (low + high) / 2, Unit: unit, Low: low, High: high}
}

// yeastDose is 0.25 g/L of dry wine yeast: the rehydration procedure of the Australian
// Wine Research Institute, 25 g/hL.
const yeastDose = 0.25

// amount is a portion as a kitchen measures it.
func (c *Cellar) amount(p must.Portion) Amount {
	grams := kitchenGrams(float64(p.Grams))
	a := Amount{
		Ingredient: p.Ingredient.Name, Grams: measure.Normal(grams, float64(p.SD), "g"),
		Metric: measure.ShowMass(measure.Grams(grams), measure.Metric),
		Weight: measure.ShowMass(measure.Grams(grams), measure.US), Caution: p.Ingredient.Caution,
	}
	switch {
	case p.Said.Kind == measure.Volume, p.Said.Kind == measure.Pieces, p.Said.Kind == measure.Packets:
		a.Kitchen = p.Said.Words
	case p.Ingredient.Litre > 0:
		a.Kitchen = measure.ShowCups(measure.Litres(grams/p.Ingredient.Litre), c.system)
	case p.Ingredient.Piece > 0:
		a.Kitchen = fmt.Sprintf("about %.0f", math.Ceil(grams/p.Ingredient.Piece))
	}
	return a
}

// waterAmount is the water up to the mark.
func (c *Cellar) waterAmount(grams measure.Grams) Amount {
	litres := measure.Litres(float64(grams) / waterGL)
	return Amount{
		Ingredient: "water", Grams: measure.Exact(float64(grams), "g"),
		Metric: measure.ShowVolume(litres, measure.Metric), Weight: measure.ShowVolume(litres, c.gallons()),
	}
}

const waterGL = 998.2 // g in a litre of water at 20 °C [tanaka2001]

// gallons is the other system that amounts are shown in beside the metric one.
func (c *Cellar) gallons() measure.System {
	if c.system == measure.Imperial {
		return measure.Imperial
	}
	return measure.US
}

// filled is a volume up to a mark, with the spread of an eye.
func filled(l measure.Litres) measure.Range {
	return measure.Normal(float64(l), fillSpread*float64(l), "L")
}

// fillBottles chooses bottles for the central and the low end of what there is.
func fillBottles(wine measure.Range, sizes []must.BottleSize) (BottlePlan, error) {
	likely, err := must.FillBottles(int(1000*wine.Value), sizes)
	if err != nil {
		return BottlePlan{}, err
	}
	least, err := must.FillBottles(int(1000*max(0, wine.Low)), sizes)
	central, left := likely.Bottles(sizes)
	low, _ := least.Bottles(sizes)
	l := float64(left) / 1000
	return BottlePlan{Central: central, Low: low, LeftOver: measure.Range{
		Value: l, Unit: "L", Low: max(0, l-wine.Value+wine.Low), High: l + wine.High - wine.Value,
	}}, err
}
