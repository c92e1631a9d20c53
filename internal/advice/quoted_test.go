package advice_test

import (
	"fmt"
	"strings"
	"testing"

	"skep/internal/advice"
	"skep/internal/reference/tables"
)

// What advice quotes is what the tables print: the least pressure of a sparkling wine, the
// limit for carbon dioxide in a room, and from how much on a label must name sulphites.
func TestAdviceQuotesTheTables(t *testing.T) {
	sparkling := tables.Find("gas/bottle_and_co2_limits.csv", "item", "EU sparkling wine")
	if got, want := float64(advice.SparklingLimit), sparkling.Number("value"); got != want {
		t.Errorf("SparklingLimit = %g bar, the table prints %g", got, want)
	}
	held := 0
	_, air := advice.CautionWhen(advice.RoomAir)
	for _, who := range []string{"US OSHA permissible limit", "NIOSH and ACGIH"} {
		for _, row := range tables.Read("gas/co2_room_exposure.csv") {
			if row.Text("item") != who || !strings.HasSuffix(row.Text("what"), "h mean") {
				continue
			}
			held++
			if want := fmt.Sprintf("%g ppm over 8 hours", row.Number("value")); !strings.Contains(air, want) {
				t.Errorf("caution of room air rests on %q; %s: %q", air, who, want)
			}
		}
	}
	for _, row := range tables.Read("sulphite/so2_sorbate_limits.csv") {
		if row.Text("item") != "Label declaration" || !strings.HasPrefix(row.Text("what"), "US") {
			continue
		}
		held++
		if _, label := advice.CautionWhen(advice.Sulphites); !strings.Contains(label, "from "+row.Text("value")+" ppm") {
			t.Errorf("caution of sulphites rests on %q, the table prints %s ppm", label, row.Text("value"))
		}
	}
	if held != 3 {
		t.Errorf("%d rows are held against the cautions, want 3", held)
	}
}
