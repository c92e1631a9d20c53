package app

import (
	"math"
	"strings"
	"testing"

	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/reference/tables"
)

// Figures that app quotes stand in the tables of what yeast bears and of lees.
func TestFiguresAreThoseOfTheTables(t *testing.T) {
	const yeast = "cellar/yeast_ph_temperature.csv"
	rehydration := tables.Find(yeast, "item", "Rehydration of active dry").Figures("value")
	if own := tables.Find(yeast, "item", "Do not pitch above").Number("value"); hottestPitch != own || hottestPitch != rehydration[0] {
		t.Errorf("hottestPitch = %g °C, the table has %g, and rehydration from %g", hottestPitch, own, rehydration[0])
	}
	if want := tables.Find(yeast, "item", "Pitching: yeast against must").Number("value"); yeastGap != want {
		t.Errorf("yeastGap = %d K, the table has %g", yeastGap, want)
	}
	// Slower at 3.0 than at 3.5 and 4.0: the bound lies between.
	slow := tables.Find(yeast, "item", "Fermentation at pH 3.0")
	if acidest <= slow.Number("value") || acidest >= 3.5 || !strings.Contains(slow.Text("what"), "slower than 3.5") {
		t.Errorf("acidest = pH %g, the table prints %s at %s", acidest, slow.Text("what"), slow.Text("value"))
	}
	lees := tables.Find("cellar/fining_and_racking.csv", "item", "Light lees").Figures("value") // %
	// What stays behind when a jug was never racked: the middle of the print, at either end.
	full := measure.Range{Value: 100, Low: 100, High: 100, Unit: "L"}
	racked := batch.State{Rackings: make([]batch.Dated[batch.Racked], 1)}
	behind := bottled(racked, full, nil).Value - bottled(batch.State{}, full, nil).Value
	if want := (lees[0] + lees[1]) / 2; math.Abs(behind-want) > 1e-9 {
		t.Errorf("%g of 100 L stay on the lees, the middle of the print is %g", behind, want)
	}
}
