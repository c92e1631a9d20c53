package app_test

import (
	"math"
	"strings"
	"testing"

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
