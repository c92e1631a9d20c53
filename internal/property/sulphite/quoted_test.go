package sulphite

import (
	"testing"

	"skep/internal/reference/tables"
)

// How much is said to stay free, and the ceiling of sorbic acid, stand in the table.
func TestFactsAreThoseOfTheTable(t *testing.T) {
	const table = "sulphite/so2_sorbate_limits.csv"
	free := tables.Find(table, "item", "Share of an addition").Figures("value") // %
	if 100*float64(LeastFree) != free[0] || 100*float64(MostFree) != free[1] {
		t.Errorf("%g to %g of an addition stays free, the table prints %g to %g %%", LeastFree, MostFree, free[0], free[1])
	}
	if ceiling := tables.Find(table, "what", "OIV and EU maximum; add").Number("value"); mostSorbic != ceiling {
		t.Errorf("mostSorbic = %d mg/L, the table prints %g", mostSorbic, ceiling)
	}
}
