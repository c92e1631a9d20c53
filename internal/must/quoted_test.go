package must

import (
	"testing"

	"skep/internal/reference/tables"
)

// Light lees are quoted as printed; and a lemon gives the juice that kitchens reckon with,
// which is common practice: logged, deciding nothing.
func TestCellarFiguresAreThoseOfTheTables(t *testing.T) {
	lees := tables.Find("cellar/fining_and_racking.csv", "item", "Light lees").Figures("value") // %
	if 100*LeesLow != lees[0] || 100*LeesHigh != lees[1] {
		t.Errorf("lees are %g to %g %%, the table prints %g to %g", 100*LeesLow, 100*LeesHigh, lees[0], lees[1])
	}
	lemon := the(t, "lemon")
	kitchen := tables.Find("acidity/lemon_and_citrus.csv", "item", "Juice of one medium lemon")
	t.Logf("a lemon gives %.1f mL of juice, in kitchens %s", 1000*lemon.Piece/lemon.Litre, kitchen.Text("value"))
}
