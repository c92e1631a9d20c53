package app

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"skep/internal/measure"
)

// Difference is one line of two plans side by side.
type Difference struct {
	What string `json:"what"` // "strength"
	One  string `json:"one"`
	Two  string `json:"two"`
	Says string `json:"says,omitempty"` // what the second has beyond the first: "1.9 % vol more"; "" where they are alike
}

// ComparePlans sets two plans side by side. Their ranges are of the same draws, so that
// centres that differ do so by what was asked.
func ComparePlans(one, two Plan) []Difference {
	var all []Difference
	words := func(what, a, b string) {
		d := Difference{What: what, One: orNone(a), Two: orNone(b)}
		if d.One != d.Two {
			d.Says = "another"
			switch {
			case a == "":
				d.Says = "only in the second"
			case b == "":
				d.Says = "only in the first"
			}
		}
		all = append(all, d)
	}
	number := func(what string, a, b measure.Range) {
		all = append(all, Difference{What: what, One: measure.ShowRange(a), Two: measure.ShowRange(b), Says: further(a, b)})
	}
	words("jug", one.Vessel.Name, two.Vessel.Name)
	for _, name := range ingredients(one, two) {
		a, b := amountOf(one, name), amountOf(two, name)
		if a != nil && b != nil {
			all = append(all, Difference{What: name, One: a.words(), Two: b.words(), Says: further(a.Grams, b.Grams)})
		} else {
			words(name, a.words(), b.words())
		}
	}
	words("yeast", one.Yeast.String(), two.Yeast.String())
	number("must", one.Liquid, two.Liquid)
	number("original gravity", one.Prospect.Gravity, two.Prospect.Gravity)
	number("strength", one.Prospect.Strength, two.Prospect.Strength)
	number("final gravity", one.Prospect.Final, two.Prospect.Final)
	number("sugar left", one.Prospect.Sugar, two.Prospect.Sugar)
	number("into bottles", one.Prospect.Bottled, two.Prospect.Bottled)
	for i, m := range one.Timeline {
		if i < len(two.Timeline) {
			number(m.What, m.Days, two.Timeline[i].Days)
		}
	}
	words("feeding", one.Nutrient.fed(), two.Nutrient.fed())
	if one.Cost != nil && two.Cost != nil {
		money := func(what string, a, b float64) {
			all = append(all, Difference{what, fmt.Sprintf("%.2f", a), fmt.Sprintf("%.2f", b), moreOrLess(b-a, fmt.Sprintf("%.2f", math.Abs(b-a)), 0.005)})
		}
		money("cost", one.Cost.Total, two.Cost.Total)
		money("cost of a bottle", one.Cost.PerBottle, two.Cost.PerBottle)
	}
	return all
}

// further says how far the second of two numbers is from the first, to the digits that
// the narrower of their ranges deserves.
func further(a, b measure.Range) string {
	if !a.Known() || !b.Known() {
		if a.Known() != b.Known() {
			return "known of one only"
		}
		return ""
	}
	apart := b.Value - a.Value
	if a.Unit == "g" {
		return moreOrLess(apart, measure.ShowMass(measure.Grams(math.Abs(apart)), measure.Metric), 0.5)
	}
	narrow := max(1e-4, min(a.High-a.Low, b.High-b.Low)/5)
	places := max(0, int(-math.Floor(math.Log10(narrow))))
	text := strconv.FormatFloat(math.Abs(apart), 'f', places, 64)
	if !strings.HasPrefix(a.Unit, "SG") {
		text += " " + a.Unit
	}
	return moreOrLess(apart, text, math.Pow10(-places)/2)
}

// moreOrLess says a difference in words, nothing when it is below what counts.
func moreOrLess(apart float64, words string, counts float64) string {
	switch {
	case apart >= counts:
		return words + " more"
	case apart <= -counts:
		return words + " less"
	}
	return ""
}

// ingredients are those of either plan, each once.
func ingredients(plans ...Plan) []string {
	var names []string
	for _, p := range plans {
		for _, a := range p.Amounts {
			if !slices.Contains(names, a.Ingredient) {
				names = append(names, a.Ingredient)
			}
		}
	}
	return names
}

func amountOf(p Plan, name string) *Amount {
	for i, a := range p.Amounts {
		if a.Ingredient == name {
			return &p.Amounts[i]
		}
	}
	return nil
}

// words reads "1.20 kg (3 1/2 cups)"; nothing for no amount.
func (a *Amount) words() string {
	switch {
	case a == nil:
		return ""
	case a.Kitchen != "":
		return fmt.Sprintf("%s (%s)", a.Metric, a.Kitchen)
	}
	return a.Metric
}

// fed reads "2.4 g diammonium phosphate in 3 portions".
func (n NutrientPlan) fed() string {
	switch len(n.Feedings) {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf("%.1f g %s", n.Grams, n.Salt)
	}
	return fmt.Sprintf("%.1f g %s in %d portions", n.Grams, n.Salt, len(n.Feedings))
}

func orNone(words string) string {
	if words == "" {
		return "none"
	}
	return words
}
