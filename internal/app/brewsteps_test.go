package app_test

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"skep/internal/app"
)

// A brew day is kept as typed, tried without writing, becomes a jug once, and is there
// again when the jug is taken back.
func TestBrewDaySteps(t *testing.T) {
	now := time.Date(2026, 6, 14, 16, 0, 0, 0, time.UTC)
	c, err := app.Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if _, err := c.BrewDay(t.Context(), "nobody"); !errors.As(err, new(*app.AskError)) {
		t.Errorf("BrewDay of no plan = %v, want *AskError", err)
	}
	p, err := c.Plan(t.Context(), app.PlanWords{Jug: "4.5 L", Strength: "11", Yeast: "champagne"})
	if err == nil {
		err = c.KeepPlan(t.Context(), "plain", p)
	}
	if err != nil {
		t.Fatal(err)
	}
	day, err := c.BrewDay(t.Context(), "Plain")
	if err != nil || day.Step != 1 || day.Plan != "plain" || day.Words.Yeast == "" {
		t.Fatalf("BrewDay = %+v, %v, want a fresh one of the plan with its yeast", day, err)
	}
	day.Step, day.Words.Gravity = 4, "1.11O" // a letter
	if err := c.KeepBrewDay(t.Context(), day); err != nil {
		t.Fatal(err)
	}
	if day, err = c.BrewDay(t.Context(), "plain"); err != nil || day.Step != 4 || day.Words.Gravity != "1.11O" {
		t.Errorf("BrewDay = %+v, %v, want it as typed", day, err)
	}
	var asked *app.AskError
	if _, err := c.WouldStart(t.Context(), day.Words); !errors.As(err, &asked) || asked.Field != "gravity" {
		t.Errorf("WouldStart with a letter for a digit = %v, want an error at the gravity", err)
	}
	day.Words.Gravity = "1.110 at 20 C"
	check, err := c.WouldStart(t.Context(), day.Words)
	if err != nil || check == nil || check.Agree {
		t.Errorf("WouldStart = %+v, %v, want that recipe and reading do not agree", check, err)
	}
	if k, err := c.Kitchen(t.Context()); err != nil || len(k.Jugs) != 0 {
		t.Errorf("jugs %v, %v: trying wrote one", k.Jugs, err)
	}
	if err := c.AnotherBrewDay(t.Context(), "plain"); !errors.As(err, &asked) {
		t.Errorf("another brew day in the middle of one = %v, want *AskError", err)
	}
	started, err := c.StartBrewDay(t.Context(), day)
	if err != nil || started.Jug != "plain" {
		t.Fatalf("StartBrewDay = %+v, %v", started, err)
	}
	if first, err := c.FirstReading(t.Context(), "plain"); err != nil || first.Sentence != check.Sentence {
		t.Errorf("FirstReading = %+v, %v, want what was said before: %q", first, err, check.Sentence)
	}
	if day, err := c.BrewDay(t.Context(), "plain"); err != nil || day.Jug != "plain" {
		t.Errorf("BrewDay = %+v, %v, want that it became the jug", day, err)
	}
	if _, err := c.Withdraw(t.Context(), "plain", 1, ""); err != nil {
		t.Fatal(err)
	}
	if day, err := c.BrewDay(t.Context(), "plain"); err != nil || day.Jug != "" || day.Words.Gravity != "1.110 at 20 C" {
		t.Errorf("BrewDay = %+v, %v, want it open again with what was typed", day, err)
	}
	if _, err := c.StartBrewDay(t.Context(), day); err != nil {
		t.Fatal(err)
	}
	if err := c.AnotherBrewDay(t.Context(), "plain"); err != nil {
		t.Error(err)
	}
	if day, err := c.BrewDay(t.Context(), "plain"); err != nil || day.Step != 1 || day.Words.Gravity != "" {
		t.Errorf("BrewDay = %+v, %v, want a fresh one", day, err)
	}
}

// What cannot be had is told of the wish that it is about.
func TestUnmetWishes(t *testing.T) {
	c, err := app.Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	for _, tt := range []struct {
		name  string
		words app.PlanWords
		field string
	}{
		{"stronger than yeast bears", app.PlanWords{Jug: "4.5 L", Strength: "18", Yeast: "bread"}, "strength"},
		{"too little honey for the strength", app.PlanWords{Jug: "4.5 L", Strength: "12", OnHand: "300 g"}, "strength"},
		{"too little honey for the gravity", app.PlanWords{Jug: "4.5 L", Gravity: "1.090", OnHand: "300 g"}, "gravity"},
		{"more honey than jug", app.PlanWords{Jug: "1 L", Use: "3 kg"}, "use"},
		{"fuller than the jug", app.PlanWords{Jug: "4.5 L", Strength: "11", Fill: "6 L"}, "fill"},
	} {
		_, err := c.Plan(t.Context(), tt.words)
		var unmet *app.UnmetError
		if !errors.As(err, &unmet) || unmet.Field != tt.field || unmet.Hint() == "" {
			t.Errorf("%s: %v, want it at %s with what can be had", tt.name, err, tt.field)
		}
	}
}
