package app_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"skep/internal/advice"
	"skep/internal/app"
)

func (b *bench) finish(w app.FinishWords) app.FinishAnswer {
	b.t.Helper()
	w.Jug = "elder"
	a, err := b.Finish(b.t.Context(), w)
	if err != nil {
		b.t.Fatalf("%s: Finish(%+v): %v", b.now.Format("2 January"), w, err)
	}
	return a
}

// From a quiet jug to a sweet bottle, by the steps told and no others.
func TestFinishSweet(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	b.on(7, 25)
	if a := b.finish(app.FinishWords{}); len(a.Ways) != len(advice.Paths) || a.Ways[0].Next != advice.StepBottle {
		t.Errorf("ways %+v, want all, the dry one at the bottle", a.Ways)
	}
	plan := b.finish(app.FinishWords{Path: "sweet", To: "1.012"})
	if plan.Plan.Next != advice.StepClear || plan.After == nil || math.Abs(plan.After.Gravity.Value-1.012) > 0.0005 {
		t.Errorf("next %q, after %+v; want that it clears, and a gravity of 1.012", plan.Plan.Next, plan.After)
	}
	if lines, err := b.History(t.Context(), "elder"); err != nil || len(lines) != 6 {
		t.Errorf("asking wrote something: %d entries, %v", len(lines), err)
	}
	// By the doors that there are: clear by finish, the pH by a look, sorbate by add.
	if a := b.finish(app.FinishWords{Path: "sweet", To: "1.012", Done: "next"}); a.Recorded == nil || a.Plan.Next != advice.StepPH {
		t.Errorf("clear: next %q, recorded %+v; want the pH", a.Plan.Next, a.Recorded)
	}
	b.look("elder", "pH 3.4")
	var asked *app.AskError
	if _, err := b.Finish(t.Context(), app.FinishWords{Jug: "elder", Done: "sweeten"}); !errors.As(err, &asked) || !strings.Contains(err.Error(), "stabilise") {
		t.Errorf("sweetened before it is stabilised: %v, want it refused", err)
	}
	a := b.finish(app.FinishWords{})
	var doses []string
	for _, s := range a.Plan.Steps {
		if s.Key == a.Plan.Next {
			for _, d := range s.Doses {
				if d.Grams.Low != d.Grams.High {
					t.Errorf("%s: %+v, want one dose, for the pH is known", d.Ingredient, d.Grams)
				}
				doses = append(doses, strings.TrimSpace(strings.Join([]string{fmtGrams(d.Grams.Value), d.Ingredient}, " ")))
			}
		}
	}
	if a.Plan.Next != advice.StepStabilise || len(doses) != 2 {
		t.Fatalf("next %q with doses %q, want two of them", a.Plan.Next, doses)
	}
	for _, dose := range doses { // as two entries, as a person may
		if _, err := b.Add(t.Context(), app.AddWords{Jug: "elder", Parts: []string{dose}}); err != nil {
			t.Fatal(err)
		}
	}
	if a := b.finish(app.FinishWords{}); a.Plan.Next != advice.StepSweeten {
		t.Fatalf("stabilised: next %q, want that it may be sweetened", a.Plan.Next)
	}
	b.on(7, 28)
	if a := b.finish(app.FinishWords{Done: "next"}); a.Plan.Next != advice.StepWatch {
		t.Fatalf("sweetened: next %q, want that it is watched", a.Plan.Next)
	}
	sweetened := b.stand("elder")
	if math.Abs(sweetened.Now.Gravity.Value-1.012) > 0.0015 || math.Abs(sweetened.Final.Ethanol.Value-plan.After.Strength.Value) > 0.2 {
		t.Errorf("gravity %+v, in the end %+v; want 1.012, and that it keeps its %+v", sweetened.Now.Gravity, sweetened.Final.Ethanol, plan.After.Strength)
	}
	b.look("elder", "1.012 at 20 C", "20 C", "degassed, three days")
	b.on(8, 4)
	b.look("elder", "1.012 at 20 C", "20 C")
	if a := b.finish(app.FinishWords{}); a.Plan.Next != advice.StepWatch {
		t.Errorf("watched for a week: next %q, want another", a.Plan.Next)
	}
	b.on(8, 19)
	b.look("elder", "1.012 at 20 C", "20 C")
	if a := b.finish(app.FinishWords{Warmest: "25 C"}); !a.Plan.Ready(a.Verdict) || a.Verdict.Answer != advice.ReadyStabilised {
		t.Errorf("watched for three weeks: next %q, %s (%s); want it ready", a.Plan.Next, a.Verdict.Answer, a.Verdict.Reason)
	}
	// What falls after all is not ready.
	b.on(8, 28)
	b.look("elder", "1.008 at 20 C", "20 C")
	if a := b.finish(app.FinishWords{Warmest: "25 C"}); a.Plan.Ready(a.Verdict) {
		t.Error("its gravity fell, and it is ready")
	}
}

func TestFinishSparkling(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	b.on(7, 25)
	a := b.finish(app.FinishWords{Path: "sparkling", Fizz: "5 g/L"})
	last := a.Plan.Steps[len(a.Plan.Steps)-1]
	if a.Verdict.Answer != advice.ReadySparkling || len(last.Doses) != 1 {
		t.Fatalf("%s, doses %+v; want it ready, with its priming", a.Verdict.Answer, last.Doses)
	}
	// 5 g/L less the 1.3 to 1.5 g/L that wine holds at 20 °C (co2_wine_20C_rows.csv), at
	// 0.47 g of CO2 from a gram of hexose and 1.053 of that from one of sugar, in 4.3 L.
	if g := last.Doses[0].Grams.Value; g < 3.4/0.47/1.053*4.3 || g > 3.8/0.47/1.053*4.3 {
		t.Errorf("%.1f g of sugar for 5 g/L in 4.3 L, want 29.5 to 33", g)
	}
	lively := b.finish(app.FinishWords{Path: "sparkling", Fizz: "12 g/L"})
	if lively.Plan.Ready(lively.Verdict) {
		t.Errorf("12 g/L of CO2: %s, want not yet: at 30 °C that is more than the bottle bears", lively.Verdict.Answer)
	}
}

func TestFinishRefuses(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	for _, tt := range []struct {
		name  string
		words app.FinishWords
		want  string
	}{
		{"no such way", app.FinishWords{Path: "frozen"}, "no such way"},
		{"a sweetness and no way", app.FinishWords{To: "1.012"}, "which way"},
		{"done, and no way", app.FinishWords{Done: "next"}, "which way"},
		{"sweetened to dry", app.FinishWords{Path: "sweet", To: "dry"}, "is not sweetened"},
		{"no such step", app.FinishWords{Path: "dry", Done: "freeze"}, "no such step"},
		{"done already", app.FinishWords{Path: "dry", Done: "rack"}, "done already"},
		{"a step before its time", app.FinishWords{Path: "sweet", Done: "stabilise"}, "the step before it is not done: clear"},
		{"what a look tells", app.FinishWords{Path: "dry", Done: "bottle"}, "told by its own command"},
		{"fizz beyond priming", app.FinishWords{Path: "sparkling", Fizz: "30 g/L"}, "1 to 12 g/L"},
		{"primed with lemon", app.FinishWords{Path: "sparkling", With: "lemon"}, "too little sugar"},
	} {
		tt.words.Jug = "elder"
		if _, err := b.Finish(t.Context(), tt.words); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: Finish = %v, want %q", tt.name, err, tt.want)
		}
	}
	if lines, err := b.History(t.Context(), "elder"); err != nil || len(lines) != 6 {
		t.Errorf("%d entries after refusals, %v, want 6", len(lines), err)
	}
}

// A request sent twice writes its step and its way once.
func TestFinishOnce(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	once, err := b.Once("0123456789abcdefFINISH")
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if a, err := once.Finish(t.Context(), app.FinishWords{Jug: "elder", Path: "sweet", Done: "next"}); err != nil || a.Recorded == nil {
			t.Fatalf("Finish = %+v, %v", a.Recorded, err)
		}
	}
	if lines, err := b.History(t.Context(), "elder"); err != nil || len(lines) != 8 {
		t.Errorf("%d entries, %v, want the way and the step once", len(lines), err)
	}
}

func fmtGrams(g float64) string { return strconv.FormatFloat(g, 'f', -1, 64) + " g" }
