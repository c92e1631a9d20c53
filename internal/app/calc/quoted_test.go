package calc

import (
	"testing"

	"skep/internal/reference/tables"
)

// What the gas carries off lies where the table has it: water vapour at 20 °C, and the
// alcohol that was measured in closed ferments below 30 °C, each over the CO2.
func TestCarriedOffAsMeasured(t *testing.T) {
	const table = "gas/airlock_and_losses.csv"
	water := tables.Find(table, "item", "Water carried out").Figures("value")[1] // %, 20 °C
	measured := 0
	for _, row := range tables.Read(table) {
		if row.Text("item") != "Ethanol lost with CO2" || row.Text("unit") != "%" {
			continue
		}
		measured++
		all := (water + row.Number("value")/gasPerEthanol) / 100
		if low, high := carriedOff-carriedOffSD, carriedOff+carriedOffSD; all < low || all > high {
			t.Errorf("%s: %.4f g for each gram of CO2, ours is %.3f to %.3f", row.Text("what"), all, low, high)
		}
	}
	if measured != 4 {
		t.Errorf("%d measurements, want 4", measured)
	}
	sum := tables.Find(table, "item", "Weight loss of a jug").Figures("value") // %
	if carriedOff*100 != sum[0] || 100*(carriedOff+carriedOffSD) != sum[1] {
		t.Errorf("carried off %.3f to %.3f, the table has %g to %g %%", carriedOff, carriedOff+carriedOffSD, sum[0], sum[1])
	}
}

// From pH 3.0 on nothing is printed to hold yeast up, at 2.75 it starts late.
func TestSourLimitsAreThoseOfTheTable(t *testing.T) {
	const table = "cellar/yeast_ph_temperature.csv"
	alike := tables.Find(table, "item", "S. cerevisiae growth rate").Figures("value")
	late := tables.Find(table, "item", "S. cerevisiae, starting pH").Number("value")
	if easyPH != alike[0] || slowPH != late {
		t.Errorf("easyPH %g and slowPH %g, the table prints %g and %g", easyPH, slowPH, alike[0], late)
	}
}
