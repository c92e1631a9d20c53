package app

import (
	"math"
	"testing"

	"skep/internal/measure"
	"skep/internal/reference/tables"
)

// The worked examples of the table, printed to a tenth of a drink: 750 mL of 12 and 14 %.
func TestDrinksAgainstTheTable(t *testing.T) {
	const table = "cellar/standard_drinks.csv"
	for row, percent := range map[string]float64{"example 750 mL at 12 %": 12, "example 750 mL at 14 %": 14} {
		printed := tables.Find(table, "country_or_case", row).Figures("note") // of 14 g; units, by 10 mL; of 10 g
		for place, want := range map[Place]float64{UnitedStates: printed[0], UnitedKingdom: printed[1], Europe: printed[3]} {
			got := Drinks(place, measure.Exact(percent, "% vol"), 750)
			if math.Abs(got.Value-want) > 0.051 || got.Low > got.Value || got.High < got.Value {
				t.Errorf("Drinks(%s, %g %%, 750 mL) = %v, the table prints %g", place, percent, got, want)
			}
		}
	}
	for place, row := range map[Place]string{UnitedStates: "US", Europe: "WHO AUDIT example"} {
		if want := tables.Find(table, "country_or_case", row).Number("value"); drink[place].grams != want {
			t.Errorf("a drink of %s is %g g, the table has %g", place, drink[place].grams, want)
		}
	}
}
