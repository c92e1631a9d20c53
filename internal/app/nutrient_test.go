package app_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"skep/internal/app"
)

// Over yeasts of every demand, strengths and sizes: never above the ceiling, never after
// a third of the sugar may be gone, nothing lost in parting it, and nothing to weigh that
// a kitchen scale cannot.
func TestFeedingKeepsItsBounds(t *testing.T) {
	c := planner(t)
	fed := 0
	for _, yeast := range []string{"champagne", "mead"} {
		for _, strength := range []string{"6", "10", "14"} {
			for _, jug := range []string{"1 L", "23 L"} {
				name := fmt.Sprintf("%s at %s %% vol in %s", yeast, strength, jug)
				p := planned(t, c, app.PlanWords{Jug: jug, Strength: strength, Yeast: yeast})
				n := p.Nutrient
				if n.Grams > 0.96*p.Liquid.Value {
					t.Errorf("%s: %.2f g in %.2f L is above 0.96 g/L", name, n.Grams, p.Liquid.Value)
				}
				sum := 0.0
				third := p.Timeline[1].Days
				for _, f := range n.Feedings {
					sum += f.Grams
					if f.Day > f.Last || f.Last > third.Value {
						t.Errorf("%s: day %.2f, last day %.2f, a third gone on day %.2f", name, f.Day, f.Last, third.Value)
					}
					if stock := f.StockML > 0; stock != (f.Grams < 2) {
						t.Errorf("%s: %.2f g as %.0f mL of stock", name, f.Grams, f.StockML)
					}
					if f.StockML > 0 && math.Abs(f.StockML/10-f.Grams) > 0.05+1e-9 {
						t.Errorf("%s: %.0f mL of 10 g in 100 mL is not %.2f g", name, f.StockML, f.Grams)
					}
				}
				if math.Abs(sum-n.Grams) > 1e-9 {
					t.Errorf("%s: portions make %.3f g of %.3f g", name, sum, n.Grams)
				}
				if len(n.Feedings) > 0 {
					fed++
				}
			}
		}
	}
	if fed < 9 {
		t.Errorf("only %d of 12 honey musts are fed at all", fed)
	}
}

func TestFeedingCountsWhatTheMustHolds(t *testing.T) {
	c := planner(t)
	plain := planned(t, c, app.PlanWords{Jug: "4.5 L", Strength: "11", Yeast: "champagne"}).Nutrient
	juice := planned(t, c, app.PlanWords{Jug: "4.5 L", Strength: "11", Yeast: "champagne", With: []string{"3 L apple juice"}}).Nutrient
	if !(juice.Gap < plain.Gap) {
		t.Errorf("with apple juice %.0f mg/L are lacking, without %.0f", juice.Gap, plain.Gap)
	}
	if !strings.Contains(plain.Note, "unverified") || !strings.Contains(plain.Otherwise, "yeast") {
		t.Errorf("note %q, otherwise %q", plain.Note, plain.Otherwise)
	}
}

func TestFeedingsOnTheCalendar(t *testing.T) {
	p := app.Plan{Nutrient: app.NutrientPlan{Feedings: []app.Feeding{{Day: 1, Last: 2.5, Words: "1 g"}}}}
	pitched := time.Date(2026, 5, 3, 18, 0, 0, 0, time.UTC)
	got := p.Feedings(pitched)
	if len(got) != 1 || !got[0].At.Equal(pitched.AddDate(0, 0, 1)) || !got[0].Until.Equal(pitched.Add(60*time.Hour)) || got[0].What != "1 g" {
		t.Errorf("Feedings = %+v", got)
	}
}

// Whole packets, one at least, for 0.25 g/L: 5 g are enough for 20 L.
func TestYeastComesInWholePackets(t *testing.T) {
	c := planner(t)
	for jug, want := range map[string]int{"1 L": 1, "4.5 L": 1, "20 L": 1, "23 L": 2, "50 L": 3} {
		if got := planned(t, c, app.PlanWords{Jug: jug, Strength: "10"}).Yeast.Packets; got != want {
			t.Errorf("%s: %d packets, want %d", jug, got, want)
		}
	}
}
