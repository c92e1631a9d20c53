package app_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"skep/internal/advice"
	"skep/internal/app"
)

func TestTrialScalesTheGlassToTheJug(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.finished("elder", "1.1 kg honey", "1.080")
	b.on(7, 25)
	before := b.stand("elder")
	a, err := b.Trial(ctx, app.TrialWords{Jug: "elder", What: "honey"})
	if err != nil || len(a.Glasses) != 5 || a.Add != nil {
		t.Fatalf("Trial = %+v, %v, want one without and four", a.Glasses, err)
	}
	// By hand: 3 mL of 500 g/L in 53 mL of glass are 28.3 g/L; in the jug a litre of wine takes
	// that for each litre that is drunk, and swells by some 0.7 mL a gram.
	tasted := 3 * 500 / 53.0
	if got, want := a.Glasses[3].PerLitre.Value, tasted/(1-0.0007*tasted); math.Abs(got-want) > 0.1 {
		t.Errorf("glass 3 = %.2f g/L, want %.2f", got, want)
	}
	for i, g := range a.Glasses[1:] {
		if g.Gravity.Value <= a.Glasses[i].Gravity.Value {
			t.Errorf("glass %d has gravity %.4f, no more than the one before", i+1, g.Gravity.Value)
		}
	}
	if all := strings.Join(a.Cautions, " "); !strings.Contains(all, "stabilised first") {
		t.Errorf("cautions %q, want that it is to be stabilised first", a.Cautions)
	}

	chosen, err := b.Trial(ctx, app.TrialWords{Jug: "elder", What: "honey", Chose: 3})
	if err != nil || math.Abs(chosen.Add.Grams.Value-a.Glasses[3].PerLitre.Value*before.Volume.Value) > 1 {
		t.Fatalf("chosen %+v, %v, want %.0f g", chosen.Add, err, a.Glasses[3].PerLitre.Value*before.Volume.Value)
	}
	if g := chosen.After.Gravity.Value; math.Abs(g-a.Glasses[3].Gravity.Value) > 0.0002 {
		t.Errorf("the jug comes to %.4f, want the gravity of glass 3, %.4f", g, a.Glasses[3].Gravity.Value)
	}
	if !(chosen.After.Pressure.Value > 5) || chosen.After.Strength.Value >= before.Now.Ethanol.Value {
		t.Errorf("after %+v, want a pressure that bursts glass if it wakes, and less strength", chosen.After)
	}
	if lines, err := b.History(ctx, "elder"); err != nil || len(lines) != 6 {
		t.Errorf("a choice wrote something: %d entries, %v", len(lines), err)
	}
	done, err := b.Trial(ctx, app.TrialWords{Jug: "elder", What: "honey", Chose: 3, Done: true})
	if err != nil || done.Recorded == nil || !strings.HasSuffix(done.Recorded.Said, "g honey, by trial, glass 3") {
		t.Fatalf("recorded %+v, %v", done.Recorded, err)
	}
	if g := b.stand("elder").Now.Gravity.Value; math.Abs(g-chosen.After.Gravity.Value) > 0.0015 {
		t.Errorf("the jug reads %.4f, foretold %.4f", g, chosen.After.Gravity.Value)
	}
}

// Sugar that goes into a jug at work is a feeding: it is not written down as sweetening
// without a reason, and then the reason stands in the history.
func TestTrialOfAJugAtWork(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	if _, err := b.Start(ctx, app.StartWords{Name: "young", Jug: "5 L", With: []string{"1.3 kg honey"}, Volume: "4.5 L", Yeast: "a packet of champagne yeast", Room: "20 C"}); err != nil {
		t.Fatal(err)
	}
	b.on(5, 6)
	number := b.look("young", "1.060 at 20 C").Number
	words := app.TrialWords{Jug: "young", What: "honey", Chose: 2}
	asked, err := b.Trial(ctx, words)
	if err != nil || !strings.Contains(asked.NotYet, "still works") || asked.Settles == "" || asked.Add != nil || len(asked.Glasses) != 5 {
		t.Errorf("asked: not yet %q, settled by %q, %+v, %d glasses, %v; want the glasses, and a not yet without an amount", asked.NotYet, asked.Settles, asked.Add, len(asked.Glasses), err)
	}
	words.Done = true
	var yet *app.NotYetError
	if _, err := b.Trial(ctx, words); !errors.As(err, &yet) || !strings.Contains(yet.Hint(), "skep add") {
		t.Errorf("done: %v, want a *NotYetError that tells how to feed it", err)
	}
	if lines, err := b.History(ctx, "young"); err != nil || len(lines) != number {
		t.Errorf("%d entries, %v, want %d: a refusal writes nothing", len(lines), err, number)
	}
	for _, what := range []string{"tannin", "citric acid"} { // a dry jug at work may want them
		if a, err := b.Trial(ctx, app.TrialWords{Jug: "young", What: what, Chose: 2}); err != nil || a.NotYet != "" || a.Add == nil {
			t.Errorf("%s: %q, %+v, %v, want an amount", what, a.NotYet, a.Add, err)
		}
	}
	words.Despite = "?"
	if _, err := b.Trial(ctx, words); err == nil || !strings.Contains(err.Error(), "own words") {
		t.Errorf("despite ?: %v, want it refused", err)
	}
	words.Despite = "we drink it tonight"
	done, err := b.Trial(ctx, words)
	if err != nil || !strings.HasSuffix(done.Recorded.Said, "by trial, glass 2, against advice: we drink it tonight") {
		t.Fatalf("despite: %+v, %v", done.Recorded, err)
	}
	if then := done.Then; then == nil || then.Bottling.Answer != advice.NotYet || then.Stabilise != nil {
		t.Errorf("then %+v, want not yet, and nothing to stabilise a working wine with", then)
	}
}

// After sweetening it is told what may be bottled, and what is lacking to hold it.
func TestTrialTellsWhatIsToBeStabilised(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.finished("elder", "1.1 kg honey", "1.080")
	b.on(7, 25)
	b.look("elder", "pH 3.4")
	sweet := app.TrialWords{Jug: "elder", What: "honey", Chose: 2, Done: true}
	a, err := b.Trial(ctx, sweet)
	if err != nil || a.Then == nil {
		t.Fatalf("then %+v, %v", a.Then, err)
	}
	if a.Then.Bottling.Answer != advice.NotYet || !strings.Contains(a.Then.Lacks, "sorbate") || len(a.Then.Stabilise) != 2 {
		t.Errorf("sweetened, not held: %s, lacks %q, %+v; want not yet, and sulphite and sorbate", a.Then.Bottling.Answer, a.Then.Lacks, a.Then.Stabilise)
	}
	// What is told, put in, lacks nothing; and acid is no sugar.
	b.on(7, 26)
	var parts []string
	for _, d := range a.Then.Stabilise {
		parts = append(parts, fmt.Sprintf("%.2f g %s", d.Grams.Value, d.Ingredient))
	}
	if _, err := b.Add(ctx, app.AddWords{Jug: "elder", Parts: parts}); err != nil {
		t.Fatal(err)
	}
	b.on(7, 27)
	if a, err = b.Trial(ctx, app.TrialWords{Jug: "elder", What: "tannin", Chose: 1, Done: true}); err != nil || a.Then != nil {
		t.Errorf("tannin: %+v, %v, want no word of stabilising", a.Then, err)
	}
	sweet.Despite = "the first three quarters were too little"
	if a, err = b.Trial(ctx, sweet); err != nil || a.Then.Lacks != "" || a.Then.Stabilise != nil {
		t.Errorf("held: lacks %q, %+v, %v, want nothing", a.Then.Lacks, a.Then.Stabilise, err)
	}
}

func TestTrialOfAcid(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	b.look("elder", "pH 3.8")
	a, err := b.Trial(t.Context(), app.TrialWords{Jug: "elder", What: "tartaric acid", Chose: 2})
	if err != nil {
		t.Fatal(err)
	}
	// 0.5 mL of 100 g/L in 50.5 mL: 0.990 g/L, 4.26 g in 4.3 L.
	if g := a.Add.Grams.Value; math.Abs(g-0.990*4.3) > 0.06 || a.PH != 3.8 || a.After.Pressure.Known() {
		t.Errorf("%.2f g at pH %.1f, pressure %+v; want 4.26 g, pH 3.8, and no word of pressure", g, a.PH, a.After.Pressure)
	}
	if all := strings.Join(a.Cautions, " "); !strings.Contains(all, "Read the pH") || strings.Contains(all, "ferment") {
		t.Errorf("cautions %q, want the pH and nothing of yeast", a.Cautions)
	}
}

func TestTrialRefuses(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	for _, tt := range []struct {
		name  string
		words app.TrialWords
		want  string
	}{
		{"of what", app.TrialWords{}, "what is to be tried"},
		{"of yeast food", app.TrialWords{What: "diammonium phosphate"}, "sweetness, acid and tannin"},
		{"a glass that is not there", app.TrialWords{What: "honey", Chose: 5}, "the glasses are 1 to 4"},
		{"done, and none chosen", app.TrialWords{What: "honey", Done: true}, "which glass"},
		{"too many glasses", app.TrialWords{What: "honey", Glasses: 40}, "1 to 12"},
		{"a solution too thick", app.TrialWords{What: "honey", Solution: "900 g/L"}, "up to 600 g/L"},
		{"more solution than wine", app.TrialWords{What: "honey", Step: "30 mL"}, "outside 0 to 1"},
	} {
		tt.words.Jug = "elder"
		if _, err := b.Trial(t.Context(), tt.words); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: Trial = %v, want %q", tt.name, err, tt.want)
		}
	}
}
