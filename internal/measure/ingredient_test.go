package measure_test

import (
	"math"
	"testing"

	"skep/internal/measure"
)

func TestParseIngredient(t *testing.T) {
	const cup, pound = 0.2365882365, 453.59237
	for _, tt := range []struct {
		words string
		kind  measure.Kind
		value float64
		rest  string
		said  string // amount.Words
	}{
		{"2 1/2 cups honey", measure.Volume, 2.5 * cup, "honey", "2 1/2 cups"},
		{"1 lb 9 oz heather honey", measure.Mass, 25 * pound / 16, "heather honey", "1 lb 9 oz"},
		{"a pound and a half of honey", measure.Mass, 1.5 * pound, "honey", "a pound and a half"},
		{"1.2kg Honey", measure.Mass, 1200, "Honey", "1.2kg"},
		{"honey 1.2 kg", measure.Mass, 1200, "honey", "1.2 kg"},
		{"heather honey, 1 lb 9 oz", measure.Mass, 25 * pound / 16, "heather honey", "1 lb 9 oz"},
		{"honey: half a cup", measure.Volume, cup / 2, "honey", "half a cup"},
		{"K1 yeast 2 packets", measure.Packets, 2, "K1 yeast", "2 packets"},
		{"3 lemons", measure.Pieces, 3, "lemons", "3 lemons"},
		{"lemons 3", measure.Pieces, 3, "lemons", "lemons 3"},
		{"half a lemon", measure.Pieces, 0.5, "lemon", "half a lemon"},
		{"a dozen lemons", measure.Pieces, 12, "lemons", "a dozen lemons"},
		{"2 lemons, zest only", measure.Pieces, 2, "lemons, zest only", "2 lemons, zest only"},
		{"a packet of yeast", measure.Packets, 1, "yeast", "a packet"},
		{"about 2 cups of blackberries", measure.Volume, 2 * cup, "blackberries", "about 2 cups"},
		{"0.5 g/L tannin", measure.Concentration, 0.5, "tannin", "0.5 g/L"},
		{"1 gal water", measure.Volume, 3.785411784, "water", "1 gal"},
		{"2 level tsp acid blend", measure.Volume, cup / 24, "acid blend", "2 level tsp"},
		{"2 lb", measure.Mass, 2 * pound, "", "2 lb"},
	} {
		q, rest, err := measure.ParseIngredient(tt.words, measure.US)
		if err != nil || q.Kind != tt.kind || math.Abs(q.Value-tt.value) > 1e-9*tt.value || rest != tt.rest || q.Words != tt.said {
			t.Errorf("ParseIngredient(%q) = %+v, %q, %v; want %s %g, %q", tt.words, q, rest, err, tt.kind, tt.value, tt.rest)
		}
	}
	for _, words := range []string{
		"", "honey", "2 cusp honey", "4 litters water", "honey 2 cusp", "1 galon of water", "1 lb 9 ozz honey",
		"22 C honey", "1.032 at 20 C", "3 days honey", "2 heaped tsp salt", "-1 kg honey", "honey -1 kg",
		"2 kg 3 lemons", "3 lemons 2 kg", "2-3 cups honey", "1,500 g honey", "2 % honey", "2 cups and 3 lemons", "honey 1 kg or so",
		"a pinch of salt", "a handful of raisins", "some honey", "juice of 2 lemons",
	} {
		if q, rest, err := measure.ParseIngredient(words, measure.US); err == nil {
			t.Errorf("ParseIngredient(%q) = %+v, %q, want an error", words, q, rest)
		}
	}
}

// Counted things whose names are near a unit's must not be taken for a slip.
func TestCountedThingsAreNotSlips(t *testing.T) {
	for _, noun := range []string{
		"limes", "lemons", "oranges", "grapes", "grapefruit", "peaches", "pears", "plums", "quinces", "dates", "figs",
		"raisins", "cloves", "pods", "mint leaves", "bay leaves", "bottles", "jars", "tins", "cans", "bags", "sticks",
		"sprigs", "heads of elderflower", "tea bags", "cinnamon sticks", "vanilla pods", "cherries", "bananas", "nuts",
	} {
		q, rest, err := measure.ParseIngredient("4 "+noun, measure.US)
		if err != nil || q.Kind != measure.Pieces || q.Value != 4 || rest != noun {
			t.Errorf("ParseIngredient(4 %s) = %+v, %q, %v", noun, q, rest, err)
		}
	}
}
