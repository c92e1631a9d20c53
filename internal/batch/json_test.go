package batch_test

import (
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
)

func grams(words string, value, sd float64) *measure.Quantity {
	return &measure.Quantity{Words: words, Kind: measure.Mass, Tool: measure.Scale, Value: value, SD: sd}
}

func litres(words string, value float64) *measure.Quantity {
	return &measure.Quantity{Words: words, Kind: measure.Volume, Tool: measure.Jug, Value: value, SD: 0.02 * value}
}

func degrees(words string, value float64) *measure.Quantity {
	return &measure.Quantity{Words: words, Kind: measure.Temperature, Tool: measure.Instrument, Value: value, SD: 0.5}
}

func gravity(words string, value float64) *measure.Quantity {
	return &measure.Quantity{Words: words, Kind: measure.SG, Tool: measure.Instrument, Value: value, SD: 0.001}
}

func brix(words string, value float64) *measure.Quantity {
	return &measure.Quantity{Words: words, Kind: measure.Brix, Tool: measure.Instrument, Value: value, SD: 0.2}
}

func bubbles(words string, value float64) *measure.Quantity {
	return &measure.Quantity{Words: words, Kind: measure.BubbleRate, Tool: measure.Count, Value: value, SD: 1}
}

func strip(words string, value float64) *measure.Quantity {
	return &measure.Quantity{Words: words, Kind: measure.Acidity, Tool: measure.Instrument, Value: value, SD: 0.2}
}

func minutes(words string, value float64) *measure.Quantity {
	return &measure.Quantity{Words: words, Kind: measure.Duration, Value: value / 60}
}

func perLitre(words string, value float64) *measure.Quantity {
	return &measure.Quantity{Words: words, Kind: measure.Concentration, Value: value}
}

// wine is a part of a blend: 12 % vol, nearly dry.
func wine(g float64) batch.Part {
	return batch.Part{
		Ingredient: "wine of heather", Words: "2 L of heather", Amount: *litres("2 L", 2), Grams: g, GramsSD: 20,
		Adds: must.Must{must.Water: 0.88 * g, must.Ethanol: 0.095 * g, must.Fructose: 0.003 * g, must.OtherSolids: 0.022 * g},
	}
}

// honey is a part made of 17 % water and 80 % sugar, with the words it came in.
func honey(g float64) batch.Part {
	return batch.Part{
		Ingredient: "honey", Words: "2 1/2 cups honey", Grams: g, GramsSD: 0.05 * g, SugarSD: 0.02,
		Amount: measure.Quantity{Words: "2 1/2 cups", Kind: measure.Volume, Tool: measure.Cup, Value: 0.59, SD: 0.02},
		Adds: must.Must{
			must.Water: 0.17 * g, must.Glucose: 0.36 * g, must.Fructose: 0.42 * g, must.SlowSugar: 0.02 * g, must.OtherSolids: 0.03 * g,
		},
	}
}

func water(g float64) batch.Part {
	return batch.Part{Ingredient: "water", Words: "water", Amount: *grams("water", g, 10), Grams: g, Adds: must.Must{must.Water: g}}
}

// fruit is half juice of 10 % sugar, half pulp, so that pulp is not forgotten.
func fruit(g float64) batch.Part {
	return batch.Part{
		Ingredient: "blackberries", Words: "a bag of berries", Amount: *grams("a bag", g, 50), Grams: g,
		Adds: must.Must{must.Water: 0.4 * g, must.Glucose: 0.03 * g, must.Fructose: 0.03 * g, must.Acid: 0.01 * g, must.Pulp: 0.53 * g},
	}
}

var vessel = batch.Vessel{Name: "glass gallon", Litres: 4.5, Tare: grams("2 lb 10 oz", 1190, 3)}

// everything is one happening of each kind, with every field filled.
var everything = []batch.Happening{
	batch.Made{
		Name: "heather", Vessel: vessel, Parts: []batch.Part{honey(1200), water(3000)}, Volume: litres("4 L", 4),
		Full: grams("5.4 kg", 5400, 5), Gravity: gravity("1.085", 1.085), Sample: degrees("72 F", 22.2), Calibrated: 20,
		Plan: json.RawMessage(`{"strength":"11 %"}`),
	},
	batch.Pitched{Yeast: "white wine", Amount: *grams("5 g", 5, 0.5), Grams: 5, Temperature: degrees("20 C", 20)},
	batch.Looked{
		Mass: grams("5.2 kg", 5200, 5), Bubbles: bubbles("8 a minute", 8), Gravity: gravity("1.032", 1.032), Brix: brix("12 Bx", 12),
		Sample: degrees("20 C", 20), Room: degrees("18 C", 18), Liquid: degrees("19 C", 19), Drawn: litres("100 mL", 0.1),
		Calibrated: 15, PH: strip("pH 3.4", 3.4), Clarity: "hazy", Smell: "bread", Taste: "medium", Note: "foam",
	},
	batch.Added{Parts: []batch.Part{fruit(500)}, Why: "flavour"},
	batch.Racked{To: vessel, Left: litres("1 cup", 0.24), Full: grams("5 kg", 5000, 5)},
	batch.Stabilised{Parts: []batch.Part{water(10)}},
	batch.Heated{To: *degrees("65 C", 65), For: *minutes("10 min", 10), Bottles: true},
	batch.Aimed{Path: "sweet", To: gravity("1.012", 1.012), With: "honey", Fizz: perLitre("5 g/L", 5)},
	batch.Poured{Blend: "x", Into: "y", Name: "summer", Litres: *litres("2 L", 2), Emptied: true},
	batch.Blended{Blend: "x", Lost: litres("50 mL", 0.05), Sources: []batch.Source{{
		Jug: "j", Name: "heather", Wine: wine(2000), Strength: measure.Normal(12, 0.2, "% vol"), Gravity: measure.Normal(0.996, 0.001, "SG"), Sugar: measure.Normal(3, 1, "g/L"), Over: 0.95, Yeast: "white wine yeast", Sorbate: 0.4, Bacteria: true,
	}}},
	batch.Moved{Place: "cellar", Room: degrees("12 C", 12)},
	batch.Bottled{
		Bottles: []batch.Bottles{{SizeML: 750, Count: 4, Kind: "still-wine glass", Closure: "cork", Part: true, HoldsML: 400}}, Style: batch.Still,
		Priming: ptr(honey(20)), Warmest: 25, Left: litres("0.5 L", 0.5), Place: "larder", Code: "H1", Despite: "it is in them already",
		Planned: &batch.Planned{
			Held: measure.Normal(4, 0.1, "L"), Wine: measure.Normal(3.9, 0.1, "L"),
			Bottles: []batch.Bottles{{SizeML: 750, Count: 5, Kind: "still-wine glass"}},
		},
	},
	batch.Shelved{Of: "x", Place: "cellar", Warmest: 18},
	batch.Opened{Of: "x", SizeML: 750, Bottle: "still-wine glass", Part: true, Count: 1, Why: "supper", Back: true},
	batch.Tasted{Words: "thin but clean", Look: "pale", Smell: "flowers", Taste: "dry", Balance: "sharp", Score: 16, OutOf: 20},
	batch.Noted{Note: "label it"},
	batch.Corrected{Of: "x", By: batch.Noted{Note: "y"}, At: time.Date(2026, 5, 3, 18, 30, 0, 0, time.UTC)},
	batch.Withdrawn{Of: "x", Why: "wrong jug"},
}

func ptr[T any](v T) *T { return &v }

func TestEveryHappeningComesBackAsItWas(t *testing.T) {
	seen := map[string]bool{}
	for _, h := range everything {
		body, err := batch.Encode(h)
		if err != nil {
			t.Fatal(err)
		}
		if want := `{"kind":"` + h.Kind() + `"`; !strings.HasPrefix(string(body), want) {
			t.Errorf("Encode(%s) = %s, want it to begin with %s", h.Kind(), body, want)
		}
		back, err := batch.Decode(body)
		if err != nil {
			t.Errorf("Decode(%s): %v", body, err)
		}
		if diff := cmp.Diff(h, back); diff != "" {
			t.Errorf("%s changed on its way (-was +is):\n%s", h.Kind(), diff)
		}
		seen[h.Kind()] = true
	}
	if kinds := batch.Kinds(); len(seen) != len(kinds) {
		t.Errorf("tried %d kinds, want all of %v", len(seen), kinds)
	}
}

func TestWhatANewerVersionWroteIsSaidNotLost(t *testing.T) {
	for _, body := range []string{
		`{"kind":"frozen","at":-18}`,
		`{"kind":"noted","note":"x","mood":"good"}`,
		`{"kind":"corrected","of":"x","by":{"kind":"noted","note":"x","mood":"good"}}`,
		`{"kind":"corrected","of":"x","by":{"kind":"frozen"}}`,
		`{"kind":"added","parts":[{"ingredient":"honey","colour":"amber"}]}`,
		`{"kind":"added","parts":[{"ingredient":"honey","adds":{"tannin":3}}]}`,
		`{"kind":"looked","mass":{"words":"1 kg","kind":"mass","scale":"spring"}}`,
	} {
		if h, err := batch.Decode([]byte(body)); !errors.Is(err, batch.ErrNewer) {
			t.Errorf("Decode(%s) = %v, %v, want ErrNewer", body, h, err)
		}
	}
	for _, body := range []string{``, `null`, `[]`, `{}`, `{"kind":3}`, `{"kind":"noted","note":4}`, `{"kind":"noted"`} {
		if h, err := batch.Decode([]byte(body)); err == nil || errors.Is(err, batch.ErrNewer) {
			t.Errorf("Decode(%s) = %v, %v, want an error that is not ErrNewer", body, h, err)
		}
	}
}

// What versions before this wrote of bottles and tastings, word for word.
func TestOldEntriesOfTheShelfStillRead(t *testing.T) {
	for _, tt := range []struct {
		body string
		want batch.Happening
	}{
		{
			`{"kind":"bottled","bottles":[{"size_ml":750,"count":4,"kind":"still-wine glass"},{"size_ml":375,"count":1,"kind":"jar","part":true}],"style":"still","warmest":25}`,
			batch.Bottled{
				Bottles: []batch.Bottles{{SizeML: 750, Count: 4, Kind: "still-wine glass"}, {SizeML: 375, Count: 1, Kind: "jar", Part: true}},
				Style:   batch.Still, Warmest: 25,
			},
		},
		{`{"kind":"opened","of":"x","size_ml":750,"bottle":"jar","count":1}`, batch.Opened{Of: "x", SizeML: 750, Bottle: "jar", Count: 1}},
		{`{"kind":"tasted","words":"thin but clean","score":6}`, batch.Tasted{Words: "thin but clean", Score: 6}},
	} {
		got, err := batch.Decode([]byte(tt.body))
		if diff := cmp.Diff(tt.want, got); err != nil || diff != "" {
			t.Errorf("Decode(%s): %v (-want +got):\n%s", tt.body, err, diff)
		}
	}
	if best := (batch.Tasted{Score: 6}).Best(); best != 10 {
		t.Errorf("an old score is of %d, want of 10", best)
	}
}

func TestANumberThatIsNoneIsNotWritten(t *testing.T) {
	if body, err := batch.Encode(batch.Looked{Mass: grams("?", math.NaN(), 1)}); err == nil {
		t.Errorf("Encode(NaN g) = %s, want an error", body)
	}
}

func TestIDsSortByTime(t *testing.T) {
	at := time.Date(2026, 5, 3, 18, 30, 0, 0, time.UTC)
	var ids []string
	for i := range 2000 {
		ids = append(ids, batch.NewID(at.Add(time.Duration(i)*time.Millisecond), uint64(i)*0x9e3779b97f4a7c15))
	}
	if !slices.IsSorted(ids) {
		t.Error("ids of rising times are not in order")
	}
	if len(ids[0]) != 23 {
		t.Errorf("NewID = %q, want 23 characters", ids[0])
	}
	if batch.NewID(at, 1) == batch.NewID(at, 2) {
		t.Error("two ids of one millisecond are the same")
	}
}

func FuzzDecode(f *testing.F) {
	for _, h := range everything {
		body, err := batch.Encode(h)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(body)
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		h, err := batch.Decode(body)
		if err != nil {
			return
		}
		again, err := batch.Encode(h)
		if err != nil {
			t.Fatalf("Decode(%q) = %#v, which cannot be written: %v", body, h, err)
		}
		back, err := batch.Decode(again)
		if err != nil {
			t.Fatalf("Decode(%s): %v", again, err)
		}
		third, err := batch.Encode(back)
		if err != nil || string(third) != string(again) {
			t.Fatalf("%s came back as %s, %v", again, third, err)
		}
	})
}
