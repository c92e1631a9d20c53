package app

import (
	"errors"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"skep/internal/measure"
	"skep/internal/reference"
)

// labelCellar is a cellar with one jug, of 3 May, that worked and stands still in August.
func labelCellar(t *testing.T, parts ...string) *Cellar {
	t.Helper()
	now := time.Date(2026, 5, 3, 18, 0, 0, 0, time.UTC)
	c, err := Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close() })
	if _, err := c.Start(t.Context(), StartWords{Name: "Elderflower", Jug: "5 L", With: parts, Volume: "4.5 L", Yeast: "a packet of champagne yeast", Room: "20 C"}); err != nil {
		t.Fatal(err)
	}
	for day, words := range map[int]string{60: "0.996 at 20 C", 75: "0.996 at 20 C"} {
		now = time.Date(2026, 5, 3+day, 18, 0, 0, 0, time.UTC)
		if _, err := c.Look(t.Context(), LookWords{Jug: "Elderflower", Saw: []string{words}}); err != nil {
			t.Fatal(err)
		}
	}
	now = time.Date(2026, 8, 1, 18, 0, 0, 0, time.UTC)
	return c
}

func label(t *testing.T, c *Cellar, w LabelWords) Label {
	t.Helper()
	w.Jug = "Elderflower"
	l, err := c.Label(t.Context(), w)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestLabelOfAMead(t *testing.T) {
	c := labelCellar(t, "1.2 kg honey", "4 cups elderflower", "1 lemon")
	l := label(t, c, LabelWords{Size: "750 mL"})
	if l.Title != "Elderflower" || l.Kind != "mead, dry" || l.SizeML != 750 || l.Lot != "260503-1" || !l.Bottled.IsZero() || !l.DrinkFrom.IsZero() {
		t.Errorf("the label of a mead not yet bottled is %+v", l)
	}
	if want := []string{"water", "honey", "elderflower", "lemon juice", "yeast"}; !slices.Equal(l.Contents, want) {
		t.Errorf("contents %q, want %q", l.Contents, want)
	}
	if !slices.Equal(l.Contains, []string{honeyWords}) || len(l.Cautions) != 1 || !strings.Contains(l.Cautions[0], "under one year") {
		t.Errorf("contains %q, cautions %q, want honey and the caution for infants", l.Contains, l.Cautions)
	}
	fine := label(t, c, LabelWords{Size: "750 mL", Steps: "0.1", Law: "us"})
	for _, tt := range []struct {
		got  Label
		step float64
	}{{l, 0.5}, {fine, 0.1}} {
		q, err := measure.Parse(tt.got.Rounded, measure.Metric)
		if err != nil || math.Abs(q.Value-l.Strength.Value) > tt.step/2+1e-9 || math.Abs(math.Remainder(q.Value, tt.step)) > 1e-9 {
			t.Errorf("%.3f %% vol in steps of %g is %q, %v", l.Strength.Value, tt.step, tt.got.Rounded, err)
		}
	}
	if fine.Drinks.Value >= l.Drinks.Value || fine.Drinks.Unit == l.Drinks.Unit {
		t.Errorf("drinks: %v of 14 g, %v of 10 g", fine.Drinks, l.Drinks)
	}
	if facts := l.Facts(); !strings.Contains(facts, "lot 260503-1") || !strings.Contains(facts, l.Rounded) || !strings.Contains(facts, "contains honey") {
		t.Errorf("the facts of the lot are %q", facts)
	}
}

// Sulphite is told of by the law chosen, with what yeast makes itself counted in; what was
// bottled counts, not what stayed.
func TestLabelTellsOfSulphite(t *testing.T) {
	limit := reference.Limits("sulphur dioxide")[7] // the threshold of a label
	for _, tt := range []struct {
		place Place
		mgl   float64
		want  bool
	}{
		{Europe, limit.Value, false},
		{Europe, limit.Value + 0.1, true},
		{UnitedKingdom, limit.Value, false},
		{UnitedStates, limit.Value, true},
		{UnitedStates, limit.Value - 0.1, false},
	} {
		if got := toldOf(tt.place, tt.mgl); got != tt.want {
			t.Errorf("toldOf(%s, %g mg/L) = %v, want %v", tt.place, tt.mgl, got, tt.want)
		}
	}
	for _, tt := range []struct {
		dose string
		want bool
	}{{"0.4 g potassium metabisulphite", true}, {"0.01 g potassium metabisulphite", false}} {
		c := labelCellar(t, "1.1 kg white sugar", "1 lemon")
		if got := label(t, c, LabelWords{}).Contains; len(got) > 0 {
			t.Errorf("without sulphite and honey the label tells of %q", got)
		}
		if _, err := c.Add(t.Context(), AddWords{Jug: "Elderflower", Parts: []string{tt.dose}, Keeps: true}); err != nil {
			t.Fatal(err)
		}
		l := label(t, c, LabelWords{})
		if got := slices.Contains(l.Contains, "sulphites"); got != tt.want || !slices.Contains(l.Contents, "potassium metabisulphite") {
			t.Errorf("with %s the label tells of %q, made from %q", tt.dose, l.Contains, l.Contents)
		}
		if !strings.HasPrefix(l.Kind, "country wine") || len(l.Cautions) > 0 {
			t.Errorf("of sugar it is a %q with cautions %q", l.Kind, l.Cautions)
		}
	}
}

func TestLabelTellsOfOthers(t *testing.T) {
	c := labelCellar(t, "1.1 kg white sugar", "200 g dried apricot", "100 g lactose")
	if got := label(t, c, LabelWords{}).Contains; !slices.Equal(got, []string{"sulphites", "milk (lactose)"}) {
		t.Errorf("with dried fruit and milk sugar the label tells of %q", got)
	}
}

func TestLabelOfBottles(t *testing.T) {
	c := labelCellar(t, "1.2 kg honey")
	_, err := c.Bottle(t.Context(), BottleWords{Jug: "Elderflower", Bottles: []string{"3 x 750 mL", "4 x 375 mL"}, Done: true, Despite: "bottled to try the label"})
	if err != nil {
		t.Fatal(err)
	}
	var asked *AskError
	if _, err := c.Label(t.Context(), LabelWords{Jug: "Elderflower"}); !errors.As(err, &asked) || !strings.Contains(err.Error(), "750 mL or 375 mL") {
		t.Errorf("two sizes: %v, want a question", err)
	}
	l := label(t, c, LabelWords{Size: "375 mL"})
	if l.Left != 4 || l.Bottled.Format(time.DateOnly) != "2026-08-01" || l.DrinkFrom.Before(l.Bottled) || !strings.HasSuffix(l.Kind, "still") {
		t.Errorf("the label of a small bottle is %+v", l)
	}
	if l := label(t, c, LabelWords{Size: "375 mL", DrinkFrom: "2027-01-01"}); l.DrinkFrom.Format(time.DateOnly) != "2027-01-01" {
		t.Errorf("drink from %v, want the day that was told", l.DrinkFrom)
	}
	blank := " "
	for field, w := range map[string]LabelWords{
		"title": {Title: &blank}, "size": {Size: "500 mL"}, "law": {Size: "750 mL", Law: "moon"}, "steps": {Size: "750 mL", Steps: "1"}, "drink-from": {Size: "750 mL", DrinkFrom: "soon"},
	} {
		w.Jug = "Elderflower"
		if _, err := c.Label(t.Context(), w); !errors.As(err, &asked) || asked.Field != field {
			t.Errorf("%+v: %v, want a question of %s", w, err, field)
		}
	}
}

func TestSweetness(t *testing.T) {
	for g, want := range map[measure.Gravity]string{0.992: "dry", 1.001: "dry", 1.006: "off-dry", 1.014: "medium", 1.024: "sweet", 1.05: "sweet"} {
		if got := sweetness(g); got != want {
			t.Errorf("sweetness(%g) = %q, want %q", g, got, want)
		}
	}
}

// Whoever drinks a blend drinks what went into each part of it.
func TestLabelOfABlend(t *testing.T) {
	c := labelCellar(t, "1.2 kg honey", "100 g lactose")
	if _, err := c.Add(t.Context(), AddWords{Jug: "Elderflower", Parts: []string{"0.4 g potassium metabisulphite"}, Keeps: true}); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Start(t.Context(), StartWords{Name: "Plain", Jug: "5 L", With: []string{"900 g white sugar"}, Volume: "4.5 L", Yeast: "a packet of champagne yeast", Room: "20 C", When: "2026-05-04 12:00"}); err != nil {
		t.Fatal(err)
	}
	for _, when := range []string{"2026-07-02 12:00", "2026-07-20 12:00"} {
		if _, err := c.Look(t.Context(), LookWords{Jug: "Plain", Saw: []string{"0.993 at 20 C"}, When: when}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := c.Blend(t.Context(), BlendWords{Jugs: []string{"Elderflower", "Plain"}, Take: []string{"1.5 L", "1 L"}, To: "Both", Jug: "3 L", Done: true}); err != nil {
		t.Fatal(err)
	}
	l, err := c.Label(t.Context(), LabelWords{Jug: "Both"})
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"water", "honey", "white sugar", "lactose", "potassium metabisulphite", "yeast"}; !slices.Equal(l.Contents, want) {
		t.Errorf("a blend is made from %q, want %q", l.Contents, want)
	}
	if want := []string{"sulphites", honeyWords, "milk (lactose)"}; !slices.Equal(l.Contains, want) {
		t.Errorf("a blend contains %q, want %q", l.Contains, want)
	}
}
