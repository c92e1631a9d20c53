package app_test

import (
	"encoding/json"
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"skep/internal/app"
	"skep/internal/must"
)

// planner is a cellar of its own on a day in May.
func planner(t *testing.T) *app.Cellar {
	t.Helper()
	day := time.Date(2026, 5, 3, 12, 0, 0, 0, time.UTC)
	c, err := app.Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return day })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := c.Close(); err != nil {
			t.Error(err)
		}
	})
	return c
}

func planned(t *testing.T, c *app.Cellar, w app.PlanWords) app.Plan {
	t.Helper()
	p, err := c.Plan(t.Context(), w)
	if err != nil {
		t.Fatalf("Plan(%+v): %v", w, err)
	}
	return p
}

// jugOf is what the plan's amounts come to when they are poured together.
func jugOf(p app.Plan) must.Must {
	var m must.Must
	for _, part := range p.Parts {
		m = m.Plus(part.Adds)
	}
	m[must.Water] += p.Amounts[len(p.Amounts)-1].Grams.Value
	return m
}

// What was asked must come back out of the amounts on the list. They are rounded to 5 g
// of honey, at most 2.5 g off in the 950 g and more of these jugs: 0.26 % of strength,
// and of gravity above water.
func TestPlannedAmountsGiveWhatWasAsked(t *testing.T) {
	const rounding = 2.5 / 950
	c := planner(t)
	for _, tt := range []struct {
		name      string
		w         app.PlanWords
		got       func(must.Must) (float64, error)
		want, tol float64
	}{
		{"strength", app.PlanWords{Jug: "4.5 L", Strength: "12", Yeast: "champagne", With: []string{"2 cups elderflower"}}, whenDry, 12, 12 * rounding},
		{"strength, with fruit", app.PlanWords{Jug: "5 L", Strength: "11 %vol", Yeast: "red wine", With: []string{"800 g blackberries"}}, whenDry, 11, 11 * rounding},
		{"original gravity", app.PlanWords{Jug: "1 gal", Gravity: "1.090"}, originalGravity, 1.090, 0.090 * rounding},
		{"exactly this much", app.PlanWords{Jug: "1 US gal", Use: "3 lb", Fill: "1 US gal"}, sugarOf, sugarInPounds(t, 3), 1e-6},
		{"sweet where the yeast stops", app.PlanWords{Jug: "4.5 L", Sweet: "1.020", Yeast: "cider"}, atTwelve, 1.020, 0.12 * rounding},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := planned(t, c, tt.w)
			in := jugOf(p)
			got, err := tt.got(in)
			if err != nil || math.Abs(got-tt.want) > tt.tol {
				t.Errorf("amounts give %.5g, %v; want %.5g within %.2g", got, err, tt.want, tt.tol)
			}
			takes, err := in.Room()
			if err != nil || math.Abs(float64(takes)-p.Fill.Value) > 1e-6 || p.Fill.Value > p.Vessel.Litres+1e-9 {
				t.Errorf("amounts take %.4f L, %v; plan says %.4f L of a jug of %.4f L", takes, err, p.Fill.Value, p.Vessel.Litres)
			}
			if math.Abs(p.Headroom.Value+p.Fill.Value-p.Vessel.Litres) > 1e-9 {
				t.Errorf("fill %.4f L and head room %.4f L do not make the jug, %.4f L", p.Fill.Value, p.Headroom.Value, p.Vessel.Litres)
			}
		})
	}
}

func whenDry(m must.Must) (float64, error) {
	s, err := m.StrengthWhenDry(must.SlowShare, must.EthanolYield)
	return float64(s), err
}

func originalGravity(m must.Must) (float64, error) {
	g, err := m.Gravity()
	return float64(g), err
}

func sugarOf(m must.Must) (float64, error) { return m.Hexose(1), nil }

// atTwelve is the gravity when a cider yeast, of 10 to 14 % vol, stops in the middle.
func atTwelve(m must.Must) (float64, error) {
	end, err := m.AtLimit(12, must.SlowShare, must.EthanolYield)
	if err != nil {
		return 0, err
	}
	return originalGravity(end)
}

func sugarInPounds(t *testing.T, pounds float64) float64 {
	t.Helper()
	honey, err := must.Find("honey", nil)
	if err != nil {
		t.Fatal(err)
	}
	return honey.PerGram.Scaled(pounds * 453.59237).Hexose(1)
}

func TestTheMoreHoneyTheStronger(t *testing.T) {
	c := planner(t)
	before := app.Plan{}
	for _, use := range []string{"500 g", "700 g", "2 lb", "1.2 kg", "4 cups"} {
		p := planned(t, c, app.PlanWords{Jug: "4.5 L", Use: use, Yeast: "champagne"})
		if p.Prospect.IfDry.Value <= before.Prospect.IfDry.Value || p.Prospect.Gravity.Value <= before.Prospect.Gravity.Value {
			t.Errorf("%s: %.3f %% vol, gravity %.4f; no more than with less honey, %.3f and %.4f",
				use, p.Prospect.IfDry.Value, p.Prospect.Gravity.Value, before.Prospect.IfDry.Value, before.Prospect.Gravity.Value)
		}
		before = p
	}
}

func TestWhatCannotBePlannedIsRefusedWithWhatCan(t *testing.T) {
	c := planner(t)
	for _, tt := range []struct {
		name, says, offers string
		w                  app.PlanWords
	}{
		{"18 % from a yeast that stops at 12", "stops at 8 to 12", "high-alcohol yeast (16 to 20 % vol)", app.PlanWords{Jug: "1 gal", Strength: "18", Yeast: "bread yeast"}},
		{"6 L in a 5 L jug", "must stay empty", "jug of 6.3 L", app.PlanWords{Jug: "5 L", Fill: "6 L", Strength: "11"}},
		{"honey too little", "not enough", "% vol", app.PlanWords{Jug: "4.5 L", OnHand: "500 g", Strength: "14", Yeast: "champagne"}},
		{"a jug full of fruit", "fills the jug", "larger jug", app.PlanWords{Jug: "4.5 L", With: []string{"5 kg blackberries"}, Strength: "12"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := c.Plan(t.Context(), tt.w)
			var refused *must.ImpossibleError
			if !errors.As(err, &refused) {
				t.Fatalf("Plan = %v; want *must.ImpossibleError", err)
			}
			if !strings.Contains(err.Error(), tt.says) || !strings.Contains(refused.Hint(), tt.offers) {
				t.Errorf("%v; hint %q; want %q and %q", err, refused.Hint(), tt.says, tt.offers)
			}
		})
	}
}

func TestPlanAsksBackWhereWordsMakeNoSense(t *testing.T) {
	c := planner(t)
	for _, tt := range []struct {
		field string
		w     app.PlanWords
	}{
		{"jug", app.PlanWords{Strength: "12"}},
		{"jug", app.PlanWords{Jug: "blue jug", Strength: "12"}},
		{"strength", app.PlanWords{Jug: "1 gal"}},
		{"strength", app.PlanWords{Jug: "1 gal", Strength: "140"}},
		{"strength", app.PlanWords{Jug: "1 gal", Strength: "12 g/L"}},
		{"strength", app.PlanWords{Jug: "1 gal", Sweet: "dry"}},
		{"gravity", app.PlanWords{Jug: "1 gal", Strength: "12", Gravity: "1.090"}},
		{"sweet", app.PlanWords{Jug: "1 gal", Sweet: "sweet"}},
		{"sweet", app.PlanWords{Jug: "1 gal", Strength: "12", Sweet: "very"}},
		{"yeast", app.PlanWords{Jug: "1 gal", Strength: "12", Yeast: "dragon"}},
		{"honey", app.PlanWords{Jug: "1 gal", Strength: "12", Honey: "hony"}},
		{"honey", app.PlanWords{Jug: "1 gal", Strength: "12", Honey: "lemon juice"}},
		{"with", app.PlanWords{Jug: "1 gal", Strength: "12", With: []string{"2 cusp elderflower"}}},
		{"with", app.PlanWords{Jug: "1 gal", Strength: "12", With: []string{"hemlock"}}},
		{"with", app.PlanWords{Jug: "1 gal", Strength: "12", With: []string{"1 L water"}}},
		{"room", app.PlanWords{Jug: "1 gal", Strength: "12", Room: "60 C"}},
		{"heat", app.PlanWords{Jug: "1 gal", Strength: "12", Heat: "boil"}},
		{"bottles", app.PlanWords{Jug: "1 gal", Strength: "12", Bottles: []string{"750"}}},
		{"price", app.PlanWords{Jug: "1 gal", Strength: "12", Prices: []string{"honey 12"}}},
		{"price", app.PlanWords{Jug: "1 gal", Strength: "12", Prices: []string{"12 per kg"}}},
	} {
		_, err := c.Plan(t.Context(), tt.w)
		var asked *app.AskError
		if !errors.As(err, &asked) || asked.Field != tt.field {
			t.Errorf("Plan(%+v) = %v; want a question about %s", tt.w, err, tt.field)
		}
	}
}

// Sweetened after it is dry: the amount brings the dry wine to the gravity, whether the
// honey of the must was given or found.
func TestSweetWordsSweetenADryWine(t *testing.T) {
	c := planner(t)
	for _, w := range []app.PlanWords{
		{Jug: "4.5 L", Strength: "12", Sweet: "1.014", Yeast: "champagne"},
		{Jug: "4.5 L", Use: "1.1 kg", Sweet: "1.014", Yeast: "champagne"},
		{Jug: "4.5 L", Gravity: "1.080", Sweet: "1.014", Yeast: "champagne"},
	} {
		p := planned(t, c, w)
		if p.Sweeten == nil {
			t.Errorf("Plan(%+v) does not sweeten", w)
			continue
		}
		dry, err := jugOf(p).Dry(must.SlowShare, must.EthanolYield)
		if err != nil {
			t.Fatal(err)
		}
		honey, err := must.Find("honey", nil)
		if err != nil {
			t.Fatal(err)
		}
		got, err := originalGravity(dry.Plus(honey.PerGram.Scaled(p.Sweeten.Grams.Value)))
		if err != nil || math.Abs(got-1.014) > 0.0002 { // grams rounded by 0.5 of 180, and the must by 2.5 of 1100
			t.Errorf("sweetened with %g g: %.5f, %v; want 1.014", p.Sweeten.Grams.Value, got, err)
		}
	}
	if p := planned(t, c, app.PlanWords{Jug: "4.5 L", Strength: "12", Sweet: "dry", Yeast: "champagne"}); p.Sweeten != nil {
		t.Errorf("a dry wine is sweetened with %v", p.Sweeten.Metric)
	}
}

func TestThePlanIsTheSameTwice(t *testing.T) {
	c := planner(t)
	w := app.PlanWords{Jug: "1 gal", Strength: "12", Yeast: "champagne", With: []string{"1 lemon"}}
	if diff := cmp.Diff(planned(t, c, w), planned(t, c, w)); diff != "" {
		t.Error(diff)
	}
}

func TestKeptPlanComesBackWhole(t *testing.T) {
	c := planner(t)
	p := planned(t, c, app.PlanWords{Jug: "5 L", Strength: "11", Sweet: "medium", Yeast: "red wine", With: []string{"800 g blackberries", "1 lemon"}, Prices: []string{"honey 12 per kg"}})
	if err := c.KeepPlan(t.Context(), "blackberry", p); err != nil {
		t.Fatal(err)
	}
	kept, err := c.KeptPlan(t.Context(), "Blackberry")
	if err != nil {
		t.Fatal(err)
	}
	p.Name = "blackberry"
	want, got := asJSON(t, p), asJSON(t, kept)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if _, err := c.KeptPlan(t.Context(), "no such plan"); err == nil {
		t.Error("a plan that was never kept was found")
	}
	if err := c.KeepPlan(t.Context(), " ", p); err == nil {
		t.Error("a plan without a name was kept")
	}
}

func asJSON(t *testing.T, v any) string {
	t.Helper()
	text, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestHeadroomIsWiderWithFruit(t *testing.T) {
	c := planner(t)
	plain := planned(t, c, app.PlanWords{Jug: "5 L", Strength: "11"})
	fruit := planned(t, c, app.PlanWords{Jug: "5 L", Strength: "11", With: []string{"1 kg blackberries"}})
	told := planned(t, c, app.PlanWords{Jug: "5 L", Strength: "11", Headroom: "500 mL"})
	for _, tt := range []struct {
		name      string
		got, want float64
	}{{"plain", plain.Headroom.Value, 0.3}, {"fruit", fruit.Headroom.Value, 1}, {"told", told.Headroom.Value, 0.5}} {
		if math.Abs(tt.got-tt.want) > 1e-6 {
			t.Errorf("%s: head room %.4f L, want %.4f L", tt.name, tt.got, tt.want)
		}
	}
}

// Acids lower pH and salts raise it, whatever else is uncertain.
func TestLemonMakesTheMustSourer(t *testing.T) {
	c := planner(t)
	before := 14.0
	for _, with := range [][]string{nil, {"1 lemon"}, {"3 lemons"}} {
		p := planned(t, c, app.PlanWords{Jug: "4.5 L", Strength: "12", With: with})
		if !p.PH.Known() || p.PH.Value >= before {
			t.Errorf("with %v: pH %.2f; want less than %.2f", with, p.PH.Value, before)
		}
		before = p.PH.Value
	}
}

// A must that is all but one thing has the pH of that thing: honey as thin as
// laboratories take its pH, 10 g in 75 mL of water, 3.91 in the mean of US honeys (White et
// al. 1962); apple juice 3.35 to 4.00 (FDA list of 2003), here with a spoon of honey.
func TestOneThingAloneHasItsOwnPH(t *testing.T) {
	c := planner(t)
	for _, tt := range []struct {
		name      string
		w         app.PlanWords
		low, high float64
	}{
		{"honey", app.PlanWords{Jug: "5 L", Fill: "4.1 L", Use: "500 g"}, 3.91 - 0.02, 3.91 + 0.02}, // 10 g fill 7 mL, within a tenth
		{"apple juice", app.PlanWords{Jug: "5 L", Fill: "4.2 L", Use: "30 g", With: []string{"4.1 L apple juice"}}, 3.35, 4.00},
	} {
		p := planned(t, c, tt.w)
		if !(p.PH.Value >= tt.low && p.PH.Value <= tt.high) {
			t.Errorf("%s: pH %.3f; want %.2f to %.2f", tt.name, p.PH.Value, tt.low, tt.high)
		}
	}
}

func TestWarnings(t *testing.T) {
	c := planner(t)
	for _, tt := range []struct {
		want string
		w    app.PlanWords
	}{
		{"limit is near", app.PlanWords{Jug: "4.5 L", Strength: "13", Yeast: "cider"}},
		{"never bottle it on that hope", app.PlanWords{Jug: "4.5 L", Sweet: "sweet", Yeast: "cider"}},
		{"hard on yeast", app.PlanWords{Jug: "4.5 L", Gravity: "1.130", Yeast: "champagne"}},
		{"is a guess", app.PlanWords{Jug: "4.5 L", Strength: "11", With: []string{"500 g parsnip"}}},
		{"all the honey there is", app.PlanWords{Jug: "4.5 L", Strength: "12", Yeast: "champagne", OnHand: "1140 g"}},
		{"stay empty for foam", app.PlanWords{Jug: "4.5 L", Strength: "12", Fill: "4.45 L"}},
		{"your room has", app.PlanWords{Jug: "4.5 L", Strength: "12", Room: "8 C", Yeast: "champagne"}},
		{"stabilised first", app.PlanWords{Jug: "4.5 L", Strength: "12", Sweet: "medium", Yeast: "champagne"}},
		{"starts slowly", app.PlanWords{Jug: "4.5 L", Strength: "12", With: []string{"20 g citric acid"}}},
	} {
		p := planned(t, c, tt.w)
		if !strings.Contains(strings.Join(p.Warnings, "\n"), tt.want) {
			t.Errorf("Plan(%+v) warns %q; want %q among it", tt.w, p.Warnings, tt.want)
		}
	}
	quiet := planned(t, c, app.PlanWords{Jug: "4.5 L", Strength: "10", Yeast: "champagne", With: []string{"1 lemon"}})
	if len(quiet.Warnings) > 0 {
		t.Errorf("an ordinary plan warns: %q", quiet.Warnings)
	}
}

func TestCost(t *testing.T) {
	c := planner(t)
	p := planned(t, c, app.PlanWords{
		Jug: "4.5 L", Use: "1 kg", Honey: "heather honey", Yeast: "champagne", With: []string{"2 lemons", "2 cups elderflower"},
		Prices: []string{"honey 12 per kg", "lemon 0,40 each", "yeast €2 each"}, Bottles: []string{"500 mL"},
	})
	k := p.Cost
	if k == nil || math.Abs(k.Total-(12+0.8+2)) > 0.01 {
		t.Fatalf("cost %+v; want 14.80 in all", k)
	}
	if diff := cmp.Diff([]string{"elderflower"}, k.Unpriced); diff != "" {
		t.Error(diff)
	}
	bottles := 0
	for _, f := range p.Bottles.Central {
		bottles += f.Count
	}
	if math.Abs(k.PerBottle*float64(bottles)-k.Total) > 1e-9 || bottles == 0 {
		t.Errorf("%.3f for each of %d bottles does not make %.2f", k.PerBottle, bottles, k.Total)
	}
}

func TestMilestonesComeInOrder(t *testing.T) {
	c := planner(t)
	for _, room := range []string{"", "14 C", "24 C"} {
		p := planned(t, c, app.PlanWords{Jug: "4.5 L", Strength: "12", Yeast: "champagne", Room: room})
		before := 0.0
		for _, m := range p.Timeline {
			if !(m.Days.Low <= m.Days.Value && m.Days.Value <= m.Days.High && m.Days.Value > before) {
				t.Errorf("room %q: %s on day %.2f (%.2f to %.2f), after day %.2f", room, m.What, m.Days.Value, m.Days.Low, m.Days.High, before)
			}
			before = m.Days.Value
		}
		t.Logf("room %q: %v", room, p.Timeline)
	}
}

func BenchmarkPlan(b *testing.B) {
	c, err := app.Open(b.Context(), filepath.Join(b.TempDir(), "cellar.db"), time.Now)
	if err != nil {
		b.Fatal(err)
	}
	defer c.Close()
	for b.Loop() {
		if _, err := c.Plan(b.Context(), app.PlanWords{Jug: "1 gal", Strength: "12", Yeast: "champagne"}); err != nil {
			b.Fatal(err)
		}
	}
}
