package app

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"testing"
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/measure"
)

// quiet is a cellar with a jug of 4.3 L that is proven to stand still, and its clock.
func quiet(t *testing.T) (*Cellar, *time.Time) {
	t.Helper()
	now := time.Date(2026, 3, 1, 10, 0, 0, 0, time.UTC)
	c, err := Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := c.Close(); err != nil {
			t.Error(err)
		}
	})
	_, err = c.Start(t.Context(), StartWords{
		Name: "heather", Jug: "4.5 L", With: []string{"1.2 kg honey"}, Volume: "4.3 L", Gravity: "1.085 at 20 C",
		Yeast: "a packet of champagne yeast", Room: "20 C",
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, look := range []struct {
		day int
		LookWords
	}{
		{50, LookWords{Gravity: "0.998 at 20 C", Bubbles: "none", Room: "20 C"}},
		{70, LookWords{Gravity: "0.998 at 20 C", Note: "degassed: stirred for three evenings", Room: "20 C"}},
		{80, LookWords{Gravity: "0.998 at 20 C", Spent: "0.998 at 20 C", Room: "20 C"}},
	} {
		now = time.Date(2026, 3, 1+look.day, 10, 0, 0, 0, time.UTC)
		look.Jug = "heather"
		if _, err := c.Look(t.Context(), look.LookWords); err != nil {
			t.Fatal(err)
		}
		if look.day == 50 {
			if _, err := c.Rack(t.Context(), RackWords{Jug: "heather", Left: "150 mL"}); err != nil {
				t.Fatal(err)
			}
		}
	}
	return c, &now
}

// What is in bottles and what is not is the wine that there is, by bottles of the kitchen
// and by those that are told; full bottles and the part bottle are on hand.
func TestBottlePlanIsTheWine(t *testing.T) {
	c, _ := quiet(t)
	if _, err := c.KeepBottles(t.Context(), "750 mL", "", 3); err != nil {
		t.Fatal(err)
	}
	if _, err := c.KeepBottles(t.Context(), "330 mL", "beer glass", 4); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		bottles []string
		holds   float64 // L, all that there are
	}{
		{nil, 3*0.75 + 4*0.33},
		{[]string{"750 mL"}, math.Inf(1)},
		{[]string{"2 x 750 mL", "1 x 375 mL"}, 1.875},
		{[]string{"500 mL", "330 mL beer glass"}, math.Inf(1)},
		{[]string{"1 x 5 L"}, 5},
	} {
		bottles := tt.bottles
		a, err := c.Bottle(t.Context(), BottleWords{Jug: "heather", Bottles: bottles, Warmest: "24 C"})
		if err != nil {
			t.Errorf("%q: %v", bottles, err)
			continue
		}
		full, had := 0, map[string]int{}
		for _, f := range a.Fill {
			full += f.Count * f.HoldsML
			had[f.Kind] += f.Count
			if f.HoldsML != f.ML || f.Drinks.Value <= 0 || f.HeadspaceML <= 0 || !f.BelowRim.Known() {
				t.Errorf("%q: %+v is no full bottle", bottles, f)
			}
		}
		if wine := int(1000 * a.Wine.Value); math.Abs(float64(full)+1000*a.Left.Value-float64(wine)) > 1 {
			t.Errorf("%q: %d mL in full bottles and %.3f L outside, of %d mL", bottles, full, a.Left.Value, wine)
		}
		if a.Part != nil && (2*a.Part.HoldsML < a.Part.ML || a.Part.HoldsML >= a.Part.ML || a.Part.BelowRim.Known()) {
			t.Errorf("%q: part bottle %+v", bottles, *a.Part)
		}
		if bottles == nil && (had["still-wine glass"] > 3 || had["beer glass"] > 4) {
			t.Errorf("%v of the kitchen's are filled, which has 3 and 4", had)
		}
		if want := max(0, a.Wine.Value-tt.holds); math.Abs(a.Unbottled.Value-want) > 0.001 {
			t.Errorf("%q: %.3f L without a bottle, want %.3f L", bottles, a.Unbottled.Value, want)
		}
	}
}

// A closure never makes a bottle bear more, and less room under it never makes it readier.
func TestClosuresOnlyTakeAway(t *testing.T) {
	c, _ := quiet(t)
	open := func(w BottleWords) BottleAnswer {
		t.Helper()
		w.Jug = "heather"
		a, err := c.Bottle(t.Context(), w)
		if err != nil {
			t.Fatalf("%+v: %v", w, err)
		}
		return a
	}
	screw, cork := open(BottleWords{}), open(BottleWords{Closure: "cork"})
	if !(cork.Verdict.Pressure.Value > screw.Verdict.Pressure.Value) || cork.Verdict.Chance < screw.Verdict.Chance {
		t.Errorf("under a cork %v (chance %g), under a screw cap %v (chance %g): want more under less room",
			cork.Verdict.Pressure, cork.Verdict.Chance, screw.Verdict.Pressure, screw.Verdict.Chance)
	}
	if len(screw.Assumed) != 1 || cork.Assumed != nil {
		t.Errorf("taken for granted: %q without a closure told, %q with one", screw.Assumed, cork.Assumed)
	}
	capped := open(BottleWords{Kind: "sparkling-wine glass", Closure: "crown cap", Priming: "20 g sugar"})
	if capped.Verdict.Limit != 6 {
		t.Errorf("a crown cap on sparkling-wine glass bears %g bar, want that of the bottle, 6", capped.Verdict.Limit)
	}
	for _, style := range []string{"still", "sparkling"} {
		hand := open(BottleWords{Closure: "hand cork", Style: style})
		if hand.Verdict.Limit != 0.5 || hand.Verdict.Answer == advice.ReadySparkling {
			t.Errorf("%s under a hand cork: %s, bears %g bar, want 0.5", style, hand.Verdict.Answer, hand.Verdict.Limit)
		}
	}
}

// Of several kinds of bottle the one that bears it worst decides, wherever it is named.
func TestTheWeakestBottleDecides(t *testing.T) {
	c, _ := quiet(t)
	for _, bottles := range [][]string{{"750 mL", "1 x 500 mL jar"}, {"1 x 500 mL jar", "750 mL"}, {"375 mL", "1 x 1 L jar"}} {
		a, err := c.Bottle(t.Context(), BottleWords{Jug: "heather", Bottles: bottles, Warmest: "20 C"})
		if err != nil || a.Verdict.Answer != advice.NotYet || a.Bottle != "jar" {
			t.Errorf("%q: %s because of %s, %v; want not yet because of the jar", bottles, a.Verdict.Answer, a.Bottle, err)
		}
	}
}

// A bottling keeps what it was reckoned to come to, beside what was counted.
func TestBottlingKeepsWhatWasPlanned(t *testing.T) {
	c, _ := quiet(t)
	a, err := c.Bottle(t.Context(), BottleWords{
		Jug: "heather", Bottles: []string{"4 x 750 mL"}, Part: "400 mL", Warmest: "24 C", Place: "larder", Done: true,
	})
	if err != nil {
		t.Fatal(err)
	}
	_, _, state, err := c.jug(t.Context(), "heather")
	if err != nil {
		t.Fatal(err)
	}
	b := state.Bottlings[0].What
	if b.Litres() != 3.4 || b.Place != "larder" || b.Despite != "" {
		t.Errorf("bottled %+v, want 3.4 L in the larder", b)
	}
	if p := b.Planned; p == nil || p.Wine != a.Wine || !p.Held.Known() || p.Held.Value <= p.Wine.Value || len(p.Bottles) == 0 {
		t.Errorf("planned %+v, want %v of the wine and the best fill", p, a.Wine)
	}
}

// Too much wine, and a jug that is not ready, are refused and leave no trace; with a reason
// the latter is written, with the reason.
func TestBottlingAgainstTheVerdict(t *testing.T) {
	c, now := quiet(t)
	*now = now.AddDate(0, 0, 1)
	if _, err := c.Add(t.Context(), AddWords{Jug: "heather", Parts: []string{"300 g honey"}}); err != nil {
		t.Fatal(err)
	}
	w := BottleWords{Jug: "heather", Bottles: []string{"4 x 750 mL"}, Done: true}
	var yet *NotYetError
	if _, err := c.Bottle(t.Context(), w); !errors.As(err, &yet) {
		t.Errorf("honey went in yesterday, and bottling it is %v", err)
	}
	w.Despite = "the jug leaks"
	many := w
	many.Bottles = []string{"9 x 750 mL"}
	var much *TooMuchError
	if _, err := c.Bottle(t.Context(), many); !errors.As(err, &much) || much.Bottles != 6.75 {
		t.Errorf("6.75 L out of 4.3 L is %v", err)
	}
	for _, words := range []string{"--json", "  ", "x", "???"} {
		bad := w
		bad.Despite = words
		if _, err := c.Bottle(t.Context(), bad); err == nil {
			t.Errorf("--despite %q was taken for a reason", words)
		}
	}
	_, _, state, err := c.jug(t.Context(), "heather")
	if err != nil || len(state.Bottlings) != 0 {
		t.Fatalf("%d bottlings were written, %v; want none", len(state.Bottlings), err)
	}
	if _, err := c.Bottle(t.Context(), w); err != nil {
		t.Fatal(err)
	}
	if _, _, state, err = c.jug(t.Context(), "heather"); err != nil || state.Bottlings[0].What.Despite != "the jug leaks" {
		t.Errorf("the record keeps %+v, %v", state.Bottlings, err)
	}
	// Put right, it keeps the reason.
	w.Despite, w.Bottles, w.Instead = "", []string{"5 x 750 mL"}, state.Seq
	if _, err := c.Bottle(t.Context(), w); err != nil {
		t.Fatal(err)
	}
	if _, _, state, err = c.jug(t.Context(), "heather"); err != nil || state.Bottlings[0].What.Despite != "the jug leaks" || state.Shelf[0].Left != 5 {
		t.Errorf("put right, the record keeps %+v, %v", state.Bottlings, err)
	}
}

// A phone that lost its line sends again: the jug is bottled once, and the last bottle is
// opened once, with the same answers.
func TestBottlesSentTwice(t *testing.T) {
	c, _ := quiet(t)
	once, err := c.Once("0123456789abcdefBOTTLE")
	if err != nil {
		t.Fatal(err)
	}
	w := BottleWords{Jug: "heather", Bottles: []string{"1 x 3 L"}, Warmest: "24 C", Done: true, Despite: "there is but one bottle"}
	first, err := once.Bottle(t.Context(), w)
	if err != nil {
		t.Fatal(err)
	}
	again, err := once.Bottle(t.Context(), w)
	if err != nil || again.Recorded == nil || again.Recorded.Number != first.Recorded.Number || again.Wine != first.Wine {
		t.Errorf("sent again, bottling is %+v, %v; want %+v", again.Recorded, err, first.Recorded)
	}
	if once, err = c.Once("0123456789abcdefOPEN"); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if opened, err := once.OpenBottle(t.Context(), OpenWords{Jug: "heather", Why: "drunk"}); err != nil || opened.Number != first.Recorded.Number+1 {
			t.Errorf("opening the last bottle is entry %d, %v; want %d each time", opened.Number, err, first.Recorded.Number+1)
		}
	}
}

// A lot is found by what it is called when a younger jug has the name of its own; two lots
// called the same are not mixed up.
func TestLotsByTheirNames(t *testing.T) {
	c, now := quiet(t)
	bottle := func(jug, code string) {
		t.Helper()
		_, err := c.Bottle(t.Context(), BottleWords{Jug: jug, Bottles: []string{"4 x 750 mL"}, Code: code, Done: true, Despite: "to have them on the shelf"})
		if err != nil {
			t.Fatal(err)
		}
	}
	bottle("heather", "H26")
	*now = now.AddDate(0, 0, 7)
	for _, jug := range []string{"heather", "ling"} {
		_, err := c.Start(t.Context(), StartWords{Name: jug, Jug: "4.5 L", With: []string{"1 kg honey"}, Volume: "4.3 L", Yeast: "a packet of champagne yeast"})
		if err != nil {
			t.Fatal(err)
		}
	}
	if _, err := c.OpenBottle(t.Context(), OpenWords{Jug: "heather"}); err == nil {
		t.Error("a bottle was opened of a jug that is full")
	}
	if _, err := c.OpenBottle(t.Context(), OpenWords{Jug: "h26"}); err != nil {
		t.Errorf("opening a bottle of lot H26: %v", err)
	}
	story, err := c.Lot(t.Context(), "H26")
	if err != nil || len(story.Lots) != 1 || story.Lots[0].Left != 3 || len(story.Gone) != 1 {
		t.Errorf("the story of H26 is %+v, %v; want 3 bottles left", story, err)
	}
	*now = now.AddDate(0, 0, 1)
	bottle("ling", "H26")
	if _, err := c.Shelve(t.Context(), ShelveWords{Jug: "H26", Place: "attic"}); !errors.As(err, new(*NoJugError)) {
		t.Errorf("two lots are called H26, and moving it is %v", err)
	}
}

func TestPriceOfABottle(t *testing.T) {
	prices := []price{{yeast: true, each: 2}, {each: 12, grams: 1000}}
	prices[1].ingredient.Name = "honey"
	all := []used{{What: "heather honey", Grams: 1500}, {What: "water", Grams: 3000}, {What: "yeast", Yeast: true, Grams: 7, Packets: 2}, {What: "lemon", Grams: 80}}
	k := costOf(prices, all)
	if k.Total != 22 || len(k.Lines) != 2 || len(k.Unpriced) != 1 || k.Unpriced[0] != "lemon" {
		t.Errorf("1.5 kg of honey at 12 and 2 packets at 2 cost %+v, want 22 without the lemon", k)
	}
	if costOf(nil, all) != nil {
		t.Error("without prices there is a cost")
	}
	if d := drinks(UnitedStates, measure.RangeOf(nil, "% vol"), 750); d.Known() {
		t.Errorf("a wine of unknown strength has %v", d)
	}
}

// Of a record that no version since wrote to, the wine of the shelf is worked out once.
func TestShelfOfAnOldRecord(t *testing.T) {
	c, _ := quiet(t)
	_, err := c.recordWords(t.Context(), "heather", "", 0, batch.Bottled{
		Bottles: []batch.Bottles{{SizeML: 750, Count: 5, Kind: "still-wine glass"}}, Style: batch.Still,
	})
	if err != nil {
		t.Fatal(err)
	}
	fresh, err := c.Shelf(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	lots, err := c.store.Shelf(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	lots[0].Wine = nil
	old, err := c.lots(t.Context(), lots)
	if err != nil || len(old) != 1 || old[0].Strength != fresh[0].Strength || !old[0].Strength.Known() || old[0].Sweetness != "dry" {
		t.Errorf("an old lot is %+v, %v; want %+v", old, err, fresh)
	}
}

// A shelf of a thousand jugs, each in three sizes.
func BenchmarkShelf(b *testing.B) {
	now := time.Date(2026, 6, 1, 10, 0, 0, 0, time.UTC)
	c, err := Open(b.Context(), filepath.Join(b.TempDir(), "cellar.db"), func() time.Time { return now })
	if err != nil {
		b.Fatal(err)
	}
	defer c.Close()
	var bottles []batch.Bottles
	for _, ml := range []float64{750, 500, 375} {
		bottles = append(bottles, batch.Bottles{SizeML: ml, Count: 3, Kind: "still-wine glass", Closure: "cork"})
	}
	body, err := json.Marshal(wine{
		Strength: measure.Normal(11, 0.3, "% vol"), Gravity: measure.Normal(0.998, 0.001, "SG"), Litres: 4.875,
		Used: []used{{What: "honey", Grams: 1200}, {What: "elderflower", Grams: 40}, {What: "yeast", Yeast: true, Grams: 5, Packets: 1}},
	})
	if err != nil {
		b.Fatal(err)
	}
	for i := range 1000 {
		id := fmt.Sprint("jug", i)
		err := c.store.Append(b.Context(),
			batch.Event{ID: id + "m", Jug: id, At: now, Recorded: now, Happened: batch.Made{Name: id, Vessel: batch.Vessel{Litres: 5}}},
			batch.Event{ID: id + "b", Jug: id, At: now, Recorded: now, Happened: batch.Bottled{Bottles: bottles, Style: batch.Still}})
		if err = errors.Join(err, c.store.SaveWine(b.Context(), id, body)); err != nil {
			b.Fatal(err)
		}
	}
	if _, err := c.KeepPrice(b.Context(), "honey 12 per kg"); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		lots, err := c.Shelf(b.Context())
		if err != nil || len(lots) != 3000 {
			b.Fatal(len(lots), err)
		}
	}
}

func FuzzBottleSize(f *testing.F) {
	for _, words := range []string{"750 mL", "6 x 500 mL", "4 × 75 cl", "6 x 330 mL beer glass", "0 x 750 mL", "12 fl oz", "x", "1e9 x 1 L", "-3 x 1 L"} {
		f.Add(words)
	}
	c := &Cellar{system: measure.Metric}
	f.Fuzz(func(t *testing.T, words string) {
		size, _, err := c.bottleSize(words)
		if err == nil && (size.ML < 50 || size.ML > 25_000 || size.Have == 0 || size.Have < -1 || size.Have > 10_000) {
			t.Errorf("bottleSize(%q) = %+v", words, size)
		}
	})
}
