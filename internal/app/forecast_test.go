package app_test

import (
	"math"
	"path/filepath"
	"testing"
	"time"

	"skep/internal/app"
)

// followed is a cellar with one jug, read three times until 10 May.
func followed(t *testing.T) *app.Cellar {
	t.Helper()
	now := time.Date(2026, 5, 3, 10, 0, 0, 0, time.UTC)
	c, err := app.Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close() })
	if _, err := c.Start(t.Context(), app.StartWords{
		Name: "elder", Jug: "5 L", With: []string{"1.2 kg honey"}, Volume: "4.2 L", Gravity: "1.088 at 20 C",
		Yeast: "a packet of white wine yeast", Must: "22 C", Room: "18 C",
	}); err != nil {
		t.Fatal(err)
	}
	for day, sg := range map[int]string{6: "1.070 at 18 C", 10: "1.042 at 18 C"} {
		now = time.Date(2026, 5, day, 10, 0, 0, 0, time.UTC)
		if _, err := c.Look(t.Context(), app.LookWords{Jug: "elder", Gravity: sg, Room: "18 C"}); err != nil {
			t.Fatal(err)
		}
	}
	now = time.Date(2026, 5, 10, 12, 0, 0, 0, time.UTC)
	return c
}

// What stands in the record of a jug's place: chances make 1, each rests on a fact or two,
// and looks to come lie ahead, with the tools that were used before them first.
func TestStoodExplains(t *testing.T) {
	stood, err := followed(t).Stand(t.Context(), "elder")
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, x := range stood.Explanations {
		sum += x.Chance
		if x.Words == "" || len(x.Why) == 0 || len(x.Why) > 2 {
			t.Errorf("%+v", x)
		}
	}
	if math.Abs(sum-1) > 1e-9 || stood.Explanations[0].Words != "it is working" {
		t.Errorf("chances add to %g, the first is %+v", sum, stood.Explanations[0])
	}
	owned := true
	for _, n := range stood.NextLooks {
		if n.Day.Before(stood.At) || n.Words == "" || n.Owned && !owned {
			t.Errorf("%+v after owned %t", n, owned)
		}
		owned = n.Owned
		if n.Sense == "mass" {
			t.Errorf("a first weighing of a vessel of unknown weight tells nothing: %+v", n)
		}
	}
	if len(stood.NextLooks) == 0 || stood.Bottling == nil {
		t.Errorf("next looks %v, verdict %v", stood.NextLooks, stood.Bottling)
	}
}

// Deeds are told beside leaving it, which is the forecast itself, and leave no trace.
func TestWhatIf(t *testing.T) {
	c := followed(t)
	all, err := c.WhatIf(t.Context(), app.WhatIfWords{Jug: "elder", If: []string{"23 C", "300 g honey", "500 mL water", "1 g diammonium phosphate"}})
	if err != nil {
		t.Fatal(err)
	}
	stood, err := c.Stand(t.Context(), "elder")
	if err != nil {
		t.Fatal(err)
	}
	left, warm, fed, thin, salts := all[0], all[1], all[2], all[3], all[4]
	if d := left.Final.Ethanol.Value - stood.Final.Ethanol.Value; math.Abs(d) > 0.02 {
		t.Errorf("left alone it ends %.2f %% vol off the forecast", d)
	}
	if !warm.Finish.Day.Before(left.Finish.Day) {
		t.Errorf("warmer, it is over on %s, else on %s", warm.Finish.Day, left.Finish.Day)
	}
	if fed.Final.Ethanol.Value+fed.Final.Sugar.Value/17 < left.Final.Ethanol.Value+left.Final.Sugar.Value/17+1.5 || fed.StopsSweet < left.StopsSweet {
		t.Errorf("fed: %+v", fed)
	}
	if !(thin.Final.Ethanol.Value < 0.95*left.Final.Ethanol.Value) {
		t.Errorf("thinned: %v, else %v", thin.Final.Ethanol, left.Final.Ethanol)
	}
	// Half of the sugar is gone: what yeast does not take up does nothing.
	if len(salts.Cautions) == 0 || math.Abs(salts.Final.Ethanol.Value-left.Final.Ethanol.Value) > 0.02 {
		t.Errorf("late salts: %v, cautions %q", salts.Final.Ethanol, salts.Cautions)
	}
	after, err := c.Stand(t.Context(), "elder")
	if err != nil || after.Final.Ethanol != stood.Final.Ethanol {
		t.Errorf("asking what if changes the forecast: %v, %v", after.Final.Ethanol, err)
	}
	if more, err := c.WhatIf(t.Context(), app.WhatIfWords{Jug: "elder", If: []string{"2 L water"}}); err != nil || len(more[1].Cautions) == 0 {
		t.Errorf("two litres more in a jug of five that holds 4.2: %+v, %v", more, err)
	}
	for _, words := range []string{"", "60 C", "honey", "300 g of nothing known"} {
		if _, err := c.WhatIf(t.Context(), app.WhatIfWords{Jug: "elder", If: []string{words}}); err == nil {
			t.Errorf("%q is understood", words)
		}
	}
}

// Reading by reading, from none to the forecast as it stands.
func TestExplainReadings(t *testing.T) {
	c := followed(t)
	told, err := c.Explain(t.Context(), "elder")
	if err != nil {
		t.Fatal(err)
	}
	if len(told.Steps) != 4 || len(told.Prior) == 0 {
		t.Fatalf("%d steps, prior %q", len(told.Steps), told.Prior)
	}
	moved := told.Steps[0].Left.Value
	for _, s := range told.Steps[1:] {
		moved += s.Moved
	}
	last := told.Steps[3]
	if math.Abs(moved-last.Left.Value) > 1e-9 || last.Left != told.Now.Hexose {
		t.Errorf("the steps lead to %.2f and %v, the forecast says %v", moved, last.Left, told.Now.Hexose)
	}
	if !(last.Left.High-last.Left.Low < 0.5*(told.Steps[0].Left.High-told.Steps[0].Left.Low)) {
		t.Errorf("three readings leave %v of %v", last.Left, told.Steps[0].Left)
	}
}
