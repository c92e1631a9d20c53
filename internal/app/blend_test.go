package app_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"skep/internal/advice"
	"skep/internal/app"
)

// bench is a cellar whose clock a test sets.
type bench struct {
	*app.Cellar
	t   *testing.T
	now time.Time
}

func newBench(t *testing.T) *bench {
	t.Helper()
	b := &bench{t: t, now: time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)}
	cellar, err := app.Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return b.now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cellar.Close() })
	b.Cellar = cellar
	return b
}

// on sets the clock to a day of 2026, at ten.
func (b *bench) on(month time.Month, day int) {
	b.now = time.Date(2026, month, day, 10, 0, 0, 0, time.UTC)
}

// finished makes a jug of 4.5 L that is dry, proven and racked on 21 July.
func (b *bench) finished(name, honey, gravity string) {
	b.t.Helper()
	b.on(5, 1)
	_, err := b.Start(b.t.Context(), app.StartWords{
		Name: name, Jug: "5 L", With: []string{honey}, Volume: "4.5 L", Yeast: "a packet of champagne yeast", Room: "20 C", Gravity: gravity,
	})
	if err != nil {
		b.t.Fatal(err)
	}
	b.on(7, 1)
	b.look(name, "0.996 at 20 C", "20 C")
	b.on(7, 20)
	if _, err := b.Look(b.t.Context(), app.LookWords{Jug: name, Saw: []string{"0.996 at 20 C", "20 C"}, Spent: "0.996 at 20 C"}); err != nil {
		b.t.Fatal(err)
	}
	b.on(7, 21)
	if _, err := b.Rack(b.t.Context(), app.RackWords{Jug: name, Left: "200 mL"}); err != nil {
		b.t.Fatal(err)
	}
}

func (b *bench) look(jug string, saw ...string) app.Recorded {
	b.t.Helper()
	r, err := b.Look(b.t.Context(), app.LookWords{Jug: jug, Saw: saw})
	if err != nil {
		b.t.Fatal(err)
	}
	return r
}

func (b *bench) stand(jug string) app.Stood {
	b.t.Helper()
	s, err := b.Stand(b.t.Context(), jug)
	if err != nil {
		b.t.Fatal(err)
	}
	return s
}

func TestBlendTwoFinishedWines(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.finished("elder", "1.1 kg honey", "1.080")
	b.finished("heather", "1.25 kg honey", "1.090")
	b.on(8, 1)
	elder, heather := b.stand("elder"), b.stand("heather")
	words := app.BlendWords{Jugs: []string{"elder", "heather"}, Take: []string{"2 L", "1 L"}, To: "summer"}
	plan, err := b.Blend(ctx, words)
	if err != nil {
		t.Fatal(err)
	}
	// Wines this near each other blend by volume to some hundredths of a % vol.
	want := (2*elder.Now.Ethanol.Value + heather.Now.Ethanol.Value) / 3
	if math.Abs(plan.Strength.Value-want) > 0.05 || math.Abs(plan.Volume.Value-3) > 0.01 || plan.Recorded != nil {
		t.Errorf("blend of 2 L and 1 L = %+v, %+v, want %.2f %% vol in 3 L, and nothing written", plan.Strength, plan.Volume, want)
	}
	swapped, err := b.Blend(ctx, app.BlendWords{Jugs: []string{"heather", "elder"}, Take: []string{"1 L", "2 L"}})
	if err != nil || math.Abs(swapped.Strength.Value-plan.Strength.Value) > 1e-9 || math.Abs(swapped.Volume.Value-plan.Volume.Value) > 1e-9 {
		t.Errorf("the other way round: %+v, %v, want %+v", swapped.Strength, err, plan.Strength)
	}
	if _, err := b.Stand(ctx, "summer"); err == nil {
		t.Error("a blend that was only asked about is in the record")
	}

	words.Done, words.Lost = true, "150 mL"
	done, err := b.Blend(ctx, words)
	if err != nil || len(done.Recorded) != 3 {
		t.Fatalf("Blend = %+v, %v, want three entries", done.Recorded, err)
	}
	summer := b.stand("summer")
	if math.Abs(summer.Volume.Value-2.85) > 0.01 || math.Abs(summer.Now.Ethanol.Value-want) > 0.05 {
		t.Errorf("summer holds %+v of %+v, want 2.85 L of %.2f %% vol", summer.Volume, summer.Now.Ethanol, want)
	}
	if left := b.stand("elder").Volume.Value; math.Abs(left-elder.Volume.Value+2) > 1e-6 {
		t.Errorf("elder holds %.3f L, want 2 L less than %.3f", left, elder.Volume.Value)
	}
	if now := b.stand("elder").Now.Ethanol.Value; math.Abs(now-elder.Now.Ethanol.Value) > 0.3 {
		t.Errorf("what stayed of elder has %.1f %% vol, and had %.1f", now, elder.Now.Ethanol.Value)
	}
	history := func(jug string) string {
		lines, err := b.History(ctx, jug)
		if err != nil {
			t.Fatal(err)
		}
		return lines[len(lines)-1].Said
	}
	if got := history("summer"); got != "blended of 2.00 L of elder and 1.00 L of heather, lost 150 mL" {
		t.Errorf("history of summer: %s", got)
	}
	if got := history("heather"); got != "1.00 L poured into summer" {
		t.Errorf("history of heather: %s", got)
	}

	// It is proven anew before any bottle, and then it may be.
	may := func() advice.Verdict {
		a, err := b.Bottle(ctx, app.BottleWords{Jug: "summer", Warmest: "20 C"})
		if err != nil {
			t.Fatal(err)
		}
		return a.Verdict
	}
	if v := may(); v.Answer != advice.NotYet || !strings.Contains(v.Settles, "hydrometer reading") {
		t.Errorf("on the day: %s, %s; want not yet for want of readings", v.Answer, v.Settles)
	}
	b.on(8, 2)
	b.look("summer", "0.996 at 20 C", "20 C")
	b.on(8, 20)
	if r := b.look("summer", "0.996 at 20 C", "20 C"); r.Stand.Standing.Phase != advice.Quiet {
		t.Errorf("after two equal readings, no sample: %s, %s", r.Stand.Standing.Phase, r.Stand.Standing.Sentence)
	}
	r, err := b.Look(ctx, app.LookWords{Jug: "summer", Spent: "0.996 at 20 C"})
	if err != nil {
		t.Fatal(err)
	}
	if r.Stand.Standing.Phase != advice.Finished {
		t.Errorf("after two equal readings and a sample: %s, %s", r.Stand.Standing.Phase, r.Stand.Standing.Sentence)
	}
	if v := may(); v.Answer != advice.ReadyStill {
		t.Errorf("after two equal readings and a sample: %s, %s", v.Answer, v.Reason)
	}

	// Taking it back on one side takes it back on all.
	if _, err := b.Withdraw(ctx, "heather", 7, "wrong jug"); err != nil {
		t.Fatal(err)
	}
	if got := b.stand("elder").Volume.Value; math.Abs(got-elder.Volume.Value) > 1e-9 {
		t.Errorf("elder holds %.3f L after all was taken back, want %.3f", got, elder.Volume.Value)
	}
	if _, err := b.Stand(ctx, "summer"); err == nil {
		t.Error("the blend stands although it was taken back")
	}
	var asked *app.AskError
	if _, err := b.Withdraw(ctx, "heather", 8, ""); !errors.As(err, &asked) {
		t.Errorf("taking back the taking back: %v, want it refused", err)
	}
}

func TestBlendIntoAJugThatStands(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	b.finished("heather", "1.25 kg honey", "1.090")
	b.on(8, 1)
	before := b.stand("elder")
	a, err := b.Blend(t.Context(), app.BlendWords{Jugs: []string{"heather"}, Take: []string{"300 mL"}, To: "elder", Done: true})
	if err != nil {
		t.Fatal(err)
	}
	after := b.stand("elder")
	if math.Abs(after.Volume.Value-before.Volume.Value-0.3) > 0.01 || after.Now.Ethanol.Value <= before.Now.Ethanol.Value {
		t.Errorf("topped up with 300 mL: %+v of %+v, before %+v of %+v", after.Volume, after.Now.Ethanol, before.Volume, before.Now.Ethanol)
	}
	if math.Abs(a.Volume.Value-after.Volume.Value) > 0.05 || after.Standing.Proof.Still {
		t.Errorf("foretold %+v, came to %+v; still proven: %t", a.Volume, after.Volume, after.Standing.Proof.Still)
	}
	if _, err := b.Withdraw(t.Context(), "elder", 0, ""); err != nil {
		t.Fatal(err)
	}
	if got := b.stand("heather").Volume.Value; math.Abs(got-4.3) > 0.01 {
		t.Errorf("heather holds %.3f L after it was taken back, want 4.3", got)
	}
}

// A part with sugar and live yeast makes the blend one that may go on, whatever it reads
// and however often.
func TestBlendWithOneThatWorks(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.finished("elder", "1.1 kg honey", "1.080")
	b.on(7, 20)
	if _, err := b.Start(ctx, app.StartWords{Name: "young", Jug: "5 L", With: []string{"1.3 kg honey"}, Volume: "4.5 L", Yeast: "a packet of champagne yeast", Room: "20 C"}); err != nil {
		t.Fatal(err)
	}
	b.on(7, 26)
	b.look("young", "1.060 at 20 C")
	b.on(7, 27)
	a, err := b.Blend(ctx, app.BlendWords{Jugs: []string{"elder", "young"}, Take: []string{"3 L", "1 L"}, To: "summer", Done: true})
	if err != nil {
		t.Fatal(err)
	}
	if all := strings.Join(a.Cautions, " "); !strings.Contains(all, "young is not proven to have finished") || !strings.Contains(all, "live yeast") {
		t.Errorf("cautions %q, want the young one and the live yeast named", a.Cautions)
	}
	reading := a.Gravity.Value
	for _, on := range []struct {
		month time.Month
		day   int
	}{{7, 28}, {8, 10}, {9, 10}} {
		b.on(on.month, on.day)
		b.look("summer", showGravity(reading)+" at 20 C", "20 C")
		answer, err := b.Bottle(ctx, app.BottleWords{Jug: "summer", Warmest: "20 C"})
		if err != nil || answer.Verdict.Answer != advice.NotYet {
			t.Errorf("on %d %s: %s, %v; want not yet", on.day, on.month, answer.Verdict.Answer, err)
		}
	}
}

func showGravity(sg float64) string { return fmt.Sprintf("%.3f", sg) }

func TestBlendRefuses(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	b.finished("heather", "1.25 kg honey", "1.090")
	both := []string{"elder", "heather"}
	for _, tt := range []struct {
		name  string
		words app.BlendWords
		want  string
	}{
		{"more than there is", app.BlendWords{Jugs: both, Take: []string{"9 L"}}, `jug "elder" holds 4.30 L, and 9.00 L were to be taken`},
		{"one jug", app.BlendWords{Jugs: both[:1]}, "takes two jugs"},
		{"no jug", app.BlendWords{}, "takes two jugs"},
		{"one twice", app.BlendWords{Jugs: []string{"elder", "elder"}}, "named twice"},
		{"no such jug", app.BlendWords{Jugs: []string{"elder", "birch"}}, `no jug "birch"`},
		{"a take too many", app.BlendWords{Jugs: both, Take: []string{"1 L", "1 L", "1 L"}}, "no jug for it"},
		{"a mass", app.BlendWords{Jugs: both, Take: []string{"1 kg"}}, "not a volume"},
		{"nothing", app.BlendWords{Jugs: both, Take: []string{"0 L"}}, "is nothing"},
		{"more lost than poured", app.BlendWords{Jugs: both, Take: []string{"1 L", "1 L"}, Lost: "3 L"}, "no more than 2.00 L are poured"},
		{"goals and amounts", app.BlendWords{Jugs: both, Take: []string{"1 L", "1 L"}, Strength: "12 %vol"}, "told already"},
		{"volume without a goal", app.BlendWords{Jugs: both, Volume: "2 L"}, "goes with a goal"},
		{"nowhere to go", app.BlendWords{Jugs: both, Done: true}, "which jug takes it"},
		{"into too small a jug", app.BlendWords{Jugs: both, To: "summer", Jug: "1 L", Done: true}, "do not go into a jug of 1.00 L"},
	} {
		if _, err := b.Blend(t.Context(), tt.words); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: Blend = %v, want %q", tt.name, err, tt.want)
		}
	}
	for _, jug := range both {
		if got := b.stand(jug).Volume.Value; math.Abs(got-4.3) > 0.01 {
			t.Errorf("%s holds %.2f L after refusals, want 4.3", jug, got)
		}
	}
}

func TestBlendByGoal(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	b.finished("heather", "1.25 kg honey", "1.090")
	b.on(8, 1)
	a, err := b.Blend(t.Context(), app.BlendWords{Jugs: []string{"elder", "heather"}, Strength: "12 %vol", Volume: "3 L"})
	if err != nil || math.Abs(a.Strength.Value-12) > 0.05 || math.Abs(a.Volume.Value-3) > 0.01 || a.Missed != nil {
		t.Errorf("12 %% vol in 3 L = %+v, %+v, %q, %v", a.Strength, a.Volume, a.Missed, err)
	}
	a, err = b.Blend(t.Context(), app.BlendWords{Jugs: []string{"elder", "heather"}, Strength: "16 %vol"})
	if err != nil || len(a.Missed) != 1 || !strings.Contains(a.Missed[0], "a strength of 16.0 % vol cannot be had") {
		t.Errorf("16 %% vol of 11 and 13 = %q, %v, want it said that it cannot be had", a.Missed, err)
	}
}

// What one program sends twice stands once.
func TestBlendOnce(t *testing.T) {
	b := newBench(t)
	b.finished("elder", "1.1 kg honey", "1.080")
	b.finished("heather", "1.25 kg honey", "1.090")
	once, err := b.Once("0123456789abcdefBLEND")
	if err != nil {
		t.Fatal(err)
	}
	words := app.BlendWords{Jugs: []string{"elder", "heather"}, To: "summer", Jug: "10 L", Done: true}
	for range 2 {
		b.now = b.now.Add(time.Minute)
		if _, err := once.Blend(context.Background(), words); err != nil {
			t.Fatal(err)
		}
	}
	if lines, err := b.History(t.Context(), "elder"); err != nil || len(lines) != 7 {
		t.Errorf("%d entries of elder, %v, want 7", len(lines), err)
	}
	if s := b.stand("elder"); !strings.Contains(s.Standing.Sentence, "went into summer") {
		t.Errorf("an emptied jug says %q", s.Standing.Sentence)
	}
}
