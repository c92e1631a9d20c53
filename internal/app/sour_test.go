package app_test

import (
	"math"
	"strings"
	"testing"

	"skep/internal/advice"
	"skep/internal/app"
	"skep/internal/measure"
	"skep/internal/property/acidity"
)

// sour notes how sour a wine is.
func (b *bench) sour(jug, pH, ta string) {
	b.t.Helper()
	if _, err := b.Look(b.t.Context(), app.LookWords{Jug: jug, PH: pH, TA: ta}); err != nil {
		b.t.Fatal(err)
	}
}

// What tartaric acid does to a wine of known pH and acidity lies in the range that is
// foretold, whichever acid the wine is of; by the charge balance of package acidity, done here apart.
func TestTrialForetellsThePH(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.finished("elder", "1.1 kg honey", "1.080")
	words := app.TrialWords{Jug: "elder", What: "tartaric acid", Chose: 4}
	if a, err := b.Trial(ctx, words); err != nil || a.PHAfter.Known() || !strings.Contains(a.AskPH, "--ta") {
		t.Errorf("nothing read: %+v, asked %q, %v, want both asked for", a.PHAfter, a.AskPH, err)
	}
	b.sour("elder", "3.8", "")
	if a, err := b.Trial(ctx, words); err != nil || a.PHAfter.Known() || a.AskPH == "" {
		t.Errorf("a pH alone: %+v, asked %q, %v, want the acidity asked for", a.PHAfter, a.AskPH, err)
	}
	b.sour("elder", "3.8", "4.5 g/L")
	a, err := b.Trial(ctx, words)
	if err != nil || a.AskPH != "" {
		t.Fatalf("both read: asked %q, %v", a.AskPH, err)
	}
	strength := b.stand("elder").Now.Ethanol.Value
	tartaric, err := acidity.Named("tartaric")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"gluconic", "malic", "tartaric"} {
		main, err := acidity.Named(name)
		if err != nil {
			t.Fatal(err)
		}
		made, cation, err := acidity.Composed(main, 4.5, 3.8, percent(strength))
		if err != nil {
			t.Fatal(err)
		}
		want, err := acidity.PH([]acidity.Amount{made, {Acid: tartaric, GL: litreOf(a.Glasses[4].PerLitre.Value)}}, cation, percent(strength))
		if err != nil || want < a.Glasses[4].PH.Low || want > a.Glasses[4].PH.High || want > 3.8 {
			t.Errorf("a wine of %s acid comes to %.2f, %v; foretold %+v", name, want, err, a.Glasses[4].PH)
		}
	}
	for i, g := range a.Glasses[1:] {
		if g.PH.Value >= a.Glasses[i].PH.Value {
			t.Errorf("glass %d has pH %.3f, no less than the one before", i+1, g.PH.Value)
		}
	}
	if math.Abs(a.PHAfter.Value-a.Glasses[4].PH.Value) > 0.01 || a.PHAfter.High-a.PHAfter.Low < 0.2 {
		t.Errorf("the jug comes to %+v, want that of glass 4, %+v, no surer than it was read", a.PHAfter, a.Glasses[4].PH)
	}
	if a, err := b.Trial(ctx, app.TrialWords{Jug: "elder", What: "acid blend", Chose: 4}); err != nil || !a.PHAfter.Known() {
		t.Errorf("acid blend: %+v, %v", a.PHAfter, err)
	}
	for _, what := range []string{"tannin", "honey"} {
		if a, err := b.Trial(ctx, app.TrialWords{Jug: "elder", What: what, Chose: 1}); err != nil || a.PHAfter.Known() || a.AskPH != "" {
			t.Errorf("%s: pH %+v, asked %q, %v, want no word of it", what, a.PHAfter, a.AskPH, err)
		}
	}
	// Readings from before acid went in are those of another wine.
	words.Done = true
	if _, err := b.Trial(ctx, words); err != nil {
		t.Fatal(err)
	}
	b.now = b.now.AddDate(0, 0, 1)
	words.Done = false
	if a, err := b.Trial(ctx, words); err != nil || a.PHAfter.Known() || a.AskPH == "" {
		t.Errorf("after acid went in: %+v, %v, want it read again", a.PHAfter, err)
	}
}

// A wine too mild for sorbate is told how much acid should help, and with that in it the
// foretold pH is what sorbate asks for.
func TestFinishTellsTheAcidForSorbate(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.finished("elder", "1.1 kg honey", "1.080")
	step := func() advice.FinishStep {
		t.Helper()
		a, err := b.Finish(ctx, app.FinishWords{Jug: "elder", Path: "sweet"})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range a.Plan.Steps {
			if s.Key == advice.StepPH {
				return s
			}
		}
		t.Fatalf("no step of the pH in %+v", a.Plan)
		return advice.FinishStep{}
	}
	b.sour("elder", "3.8", "")
	if s := step(); s.Done || s.Doses != nil {
		t.Errorf("a pH alone: done %t, %+v, want no dose", s.Done, s.Doses)
	}
	b.sour("elder", "3.8", "4.5 g/L")
	s := step()
	if s.Done || len(s.Doses) != 1 || s.Doses[0].Ingredient != "tartaric acid" {
		t.Fatalf("both: done %t, %+v, want a dose of acid", s.Done, s.Doses)
	}
	grams := s.Doses[0].Grams
	// The glass that comes to that many g/L is foretold to come to about 3.5.
	a, err := b.Trial(ctx, app.TrialWords{Jug: "elder", What: "tartaric acid", Step: "0.05 mL", Glasses: 12})
	if err != nil {
		t.Fatal(err)
	}
	perLitre := grams.Value / b.stand("elder").Volume.Value
	var best app.Glass
	for _, g := range a.Glasses {
		if math.Abs(g.PerLitre.Value-perLitre) < math.Abs(best.PerLitre.Value-perLitre) {
			best = g
		}
	}
	if !(grams.Low < grams.Value && grams.Value < grams.High) || math.Abs(best.PH.Value-3.5) > 0.06 {
		t.Errorf("%+v g, which is %.2f g/L, comes to %+v, want about 3.5", grams, perLitre, best.PH)
	}
	b.sour("elder", "3.4", "6 g/L")
	if s := step(); !s.Done || s.Doses != nil {
		t.Errorf("sour enough: done %t, %+v", s.Done, s.Doses)
	}
}

func TestLookRefusesAnAcidityOfNoWine(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	for _, ta := range []string{"60 g/L", "6 g", "0.01 g/L"} {
		if _, err := b.Look(t.Context(), app.LookWords{Jug: "elder", TA: ta}); err == nil {
			t.Errorf("an acidity of %s was taken", ta)
		}
	}
	if r, err := b.Look(t.Context(), app.LookWords{Jug: "elder", TA: "6.2 g/L"}); err != nil || !strings.Contains(r.Said, "acidity 6.2 g/L") {
		t.Errorf("recorded %q, %v", r.Said, err)
	}
}

func percent(x float64) measure.PercentVol    { return measure.PercentVol(x) }
func litreOf(x float64) measure.GramsPerLitre { return measure.GramsPerLitre(x) }

// Acidity adds up; the pH lies where the charges balance, between the parts; and what a goal
// finds, poured, comes to it.
func TestBlendBySourness(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.finished("elder", "1.1 kg honey", "1.080")
	b.finished("heather", "1.25 kg honey", "1.090")
	b.on(8, 1)
	both := []string{"elder", "heather"}
	for _, tt := range []struct {
		words app.BlendWords
		want  string
	}{
		{app.BlendWords{Jugs: both, TA: "5 g/L"}, `the acidity of "elder" was not read`},
		{app.BlendWords{Jugs: both, PH: "3.4"}, "cannot be told yet"},
		{app.BlendWords{Jugs: both, PH: "9"}, "a pH of 2.7 to 4.5"},
	} {
		if _, err := b.Blend(ctx, tt.words); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("nothing read: Blend(%+v) = %v, want %q", tt.words, err, tt.want)
		}
	}
	if a, err := b.Blend(ctx, app.BlendWords{Jugs: both}); err != nil || a.PH.Known() || a.TA.Known() {
		t.Errorf("nothing read: pH %+v, acidity %+v, %v, want neither", a.PH, a.TA, err)
	}
	b.sour("elder", "3.2", "7 g/L")
	b.sour("heather", "3.8", "")
	if a, err := b.Blend(ctx, app.BlendWords{Jugs: both}); err != nil || a.PH.Low > 3.21 || a.PH.High < 3.79 || a.TA.Known() {
		t.Errorf("one acidity: pH %+v, acidity %+v, %v, want anywhere between, and none", a.PH, a.TA, err)
	}
	b.sour("heather", "3.8", "4 g/L")
	half, err := b.Blend(ctx, app.BlendWords{Jugs: both, Take: []string{"1 L", "1 L"}})
	if err != nil || math.Abs(half.TA.Value-5.5) > 1e-9 || half.PH.Value < 3.3 || half.PH.Value > 3.7 || half.PH.Low < 3.1 || half.PH.High > 3.9 {
		t.Errorf("half and half: pH %+v, acidity %+v, %v, want 5.5 g/L, and a pH well between", half.PH, half.TA, err)
	}
	sour, err := b.Blend(ctx, app.BlendWords{Jugs: both, Take: []string{"2 L", "1 L"}})
	if err != nil || sour.PH.Value >= half.PH.Value || math.Abs(sour.TA.Value-6) > 1e-9 {
		t.Errorf("more of the sour one: pH %+v, acidity %+v, %v", sour.PH, sour.TA, err)
	}
	byTA, err := b.Blend(ctx, app.BlendWords{Jugs: both, TA: "5 g/L"})
	if err != nil || byTA.Missed != nil || math.Abs(byTA.TA.Value-5) > 0.02 {
		t.Errorf("to 5 g/L: %+v, %q, %v", byTA.TA, byTA.Missed, err)
	}
	byPH, err := b.Blend(ctx, app.BlendWords{Jugs: both, PH: "3.4"})
	if err != nil || byPH.Missed != nil || math.Abs(byPH.PH.Value-3.4) > 0.03 {
		t.Errorf("to pH 3.4: %+v, %q, %v", byPH.PH, byPH.Missed, err)
	}
	missed, err := b.Blend(ctx, app.BlendWords{Jugs: both, PH: "3.0"})
	if err != nil || len(missed.Missed) != 1 || !strings.Contains(missed.Missed[0], "a pH of 3.0 cannot be had of these: the nearest is 3.2, they have 3.2 to 3.8") {
		t.Errorf("to pH 3.0: %q, %v, want it said that it cannot be had", missed.Missed, err)
	}
}

// Two wines that are read alike make one that is.
func TestBlendOfTheSameSourness(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	b.finished("heather", "1.1 kg honey", "1.080")
	b.sour("elder", "3.5", "5 g/L")
	b.sour("heather", "3.5", "5 g/L")
	a, err := b.Blend(t.Context(), app.BlendWords{Jugs: []string{"elder", "heather"}})
	if err != nil || math.Abs(a.PH.Value-3.5) > 0.01 || math.Abs(a.TA.Value-5) > 1e-9 {
		t.Errorf("pH %+v, acidity %+v, %v, want 3.5 and 5 g/L", a.PH, a.TA, err)
	}
}

// The course of a blend runs from when it was poured to now, and foretells nothing.
func TestCourseOfABlend(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	b.finished("heather", "1.25 kg honey", "1.090")
	b.on(8, 1)
	if _, err := b.Blend(t.Context(), app.BlendWords{Jugs: []string{"elder", "heather"}, To: "summer", Jug: "10 L", Done: true}); err != nil {
		t.Fatal(err)
	}
	b.on(8, 9)
	b.look("summer", "0.996 at 20 C", "20 C")
	j, err := b.Jug(t.Context(), "summer")
	if err != nil {
		t.Fatal(err)
	}
	if len(j.In) != 2 || !strings.HasSuffix(j.In[0], "of elder") {
		t.Errorf("made of %q, want the two wines", j.In)
	}
	c := j.Course("gravity")
	if n := len(c.Days); n < 2 || c.Days[0].At.Day() != 1 || c.Days[n-1].At.Day() != 9 || math.Abs(c.Days[n-1].Value-0.996) > 0.002 || len(c.Seen) != 1 {
		t.Errorf("course %+v with %d readings, want one from 1 to 9 August, at 0.996, with one", c.Days, len(c.Seen))
	}
}
