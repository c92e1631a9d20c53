package app_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/app"
	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
)

// part is so much of an ingredient, as a kitchen says it.
func part(t testing.TB, words string) batch.Part {
	t.Helper()
	amount, name, err := measure.ParseIngredient(words, measure.US)
	if err != nil {
		t.Fatal(err)
	}
	i, err := must.Find(name, nil)
	if err != nil {
		t.Fatal(err)
	}
	p, err := must.Measured(i, amount)
	if err != nil {
		t.Fatal(err)
	}
	return batch.Part{
		Ingredient: i.Name, Words: words, Amount: amount, Grams: float64(p.Grams), GramsSD: float64(p.SD),
		Adds: p.Adds(), SugarSD: i.SugarSD, NitrogenSD: i.YANSD,
	}
}

func quantity(t testing.TB, words string) *measure.Quantity {
	t.Helper()
	q, err := measure.Parse(words, measure.US)
	if err != nil {
		t.Fatal(err)
	}
	return &q
}

// brewed is a jug made up to a volume with a reading.
func brewed(t testing.TB, litres, gravity string, parts ...string) batch.Made {
	m := batch.Made{Name: "test", Vessel: batch.Vessel{Name: "jug", Litres: 30}, Volume: quantity(t, litres), Gravity: quantity(t, gravity)}
	for _, words := range parts {
		m.Parts = append(m.Parts, part(t, words))
	}
	return m
}

func checked(t testing.TB, m batch.Made) app.BrewDayResult {
	t.Helper()
	r, err := app.BrewDayCheck(m)
	if err != nil || r == nil {
		t.Fatalf("BrewDayCheck = %v, %v", r, err)
	}
	return *r
}

// truth is the gravity of the parts made up to the mark, with a share of the fruit's juice.
func truth(t testing.TB, m batch.Made, share float64) (float64, must.Must) {
	t.Helper()
	var all, out must.Must
	for _, p := range m.Parts {
		all = all.Plus(p.Adds)
		f := 1.0
		if p.Adds[must.Pulp] > 0.01*p.Grams {
			f = share
		}
		out = out.Plus(p.Adds.Scaled(f))
	}
	water, err := all.WaterTo(measure.Litres(m.Volume.Value))
	if err != nil {
		t.Fatal(err)
	}
	out[must.Water] += float64(water)
	g, err := out.Gravity()
	if err != nil {
		t.Fatal(err)
	}
	return float64(g), out
}

// One row a mistake that makers make. Gravities are those of 3 lb of honey in a US
// gallon, and in an imperial one.
func TestBrewDayCheckTellsMistakesFromChance(t *testing.T) {
	right, _ := truth(t, brewed(t, "1 US gal", "1.100", "3 lb honey"), 1)
	imperial, _ := truth(t, brewed(t, "1 imperial gal", "1.100", "3 lb honey"), 1)
	for _, tt := range []struct {
		name    string
		gravity float64
		agree   bool
		says    string
	}{
		{"as it should be", right, true, "they agree"},
		{"three points off is chance", right + 0.003, true, "they agree"},
		{"unmixed: read at the bottom", right + 0.025, false, "stir well and read again"},
		{"unmixed: read at the top", right - 0.025, false, "stir well and read again"},
		{"imperial gallon taken for a US one", imperial, false, "as if US gallons were imperial ones"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := checked(t, brewed(t, "1 US gal", fmt.Sprintf("%.3f", tt.gravity), "3 lb honey"))
			if r.Agree != tt.agree || !strings.Contains(r.Sentence, tt.says) {
				t.Errorf("%.3f against %.3f, z %.1f: agree %v, %q; want %v and %q", tt.gravity, right, r.Z, r.Agree, r.Sentence, tt.agree, tt.says)
			}
			if r.Agree != (r.Would == nil) {
				t.Errorf("agree %v, would %+v", r.Agree, r.Would)
			}
			if r.Expected.Low >= right || r.Expected.High <= right || math.Abs(r.Expected.Value-right) > 1e-4 {
				t.Errorf("expected %+v does not hold %.4f", r.Expected, right)
			}
			t.Log(r.Sentence)
		})
	}
}

// The volume that it would take is the one that was really there.
func TestBrewDayCheckFindsTheGallon(t *testing.T) {
	imperial, _ := truth(t, brewed(t, "1 imperial gal", "1.100", "3 lb honey"), 1)
	m := brewed(t, "1 US gal", "1.100", "3 lb honey")
	m.Gravity.Value = imperial
	r := checked(t, m)
	if r.Would == nil || math.Abs(r.Would.Litres-4.54609) > 0.002*4.54609 {
		t.Errorf("would take %+v; want 4.546 L", r.Would)
	}
}

// Each of the two remedies, applied alone, makes reading and recipe agree.
func TestWhatItWouldTakeReconciles(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := brewed(t, "4 L", "1.100", fmt.Sprintf("%d g honey", rapid.IntRange(600, 1600).Draw(rt, "honey")))
		right, _ := truth(t, m, 1)
		off := rapid.SampledFrom([]float64{-0.03, -0.02, 0.02, 0.03}).Draw(rt, "off")
		m.Gravity.Value = right + off
		r := checked(t, m)
		if r.Agree {
			rt.Fatalf("off by %.3f and they agree: z %.2f", off, r.Z)
		}
		other := m
		other.Volume = quantity(t, fmt.Sprintf("%.4f L", r.Would.Litres))
		if got := checked(t, other); math.Abs(got.Z) > 0.1 {
			rt.Errorf("with %.3f L: z %.2f", r.Would.Litres, got.Z)
		}
		other = m
		other.Parts = []batch.Part{part(t, fmt.Sprintf("%.1f g honey", r.Would.Grams))}
		if got := checked(t, other); math.Abs(got.Z) > 0.1 {
			rt.Errorf("with %.1f g: z %.2f", r.Would.Grams, got.Z)
		}
	})
}

// A hydrometer in a hot sample reads low by physics; the correction takes that off. Not
// told of the heat, the check names the temperature that explains it.
func TestBrewDayCheckOfAHotSample(t *testing.T) {
	m := brewed(t, "4 L", "1.100", "1.2 kg honey")
	right, in := truth(t, m, 1)
	rho, err := in.Density(39)
	if err != nil {
		t.Fatal(err)
	}
	shown, err := density.HydrometerReading(rho, 39, 20)
	if err != nil {
		t.Fatal(err)
	}
	m.Gravity.Value = float64(shown)
	m.Sample = quantity(t, "39 C")
	if r := checked(t, m); !r.Agree || math.Abs(r.Read.Value-right) > 0.0005 { // sugars expand as sucrose in the correction
		t.Errorf("read %.3f at 39 °C, corrected to %.4f, want %.4f: %s", shown, r.Read.Value, right, r.Sentence)
	}
	// Known honey, weighed: now the heat alone is enough to notice.
	m.Sample = nil
	m.Parts[0].SugarSD, m.Volume.SD = 0, 0.01
	if r := checked(t, m); r.Agree || math.Abs(r.Would.Temperature-39) > 1 {
		t.Errorf("told nothing of the heat: %+v, %s", r.Would, r.Sentence)
	}
	m.Sample = quantity(t, "60 C")
	if r := checked(t, m); r.Agree || !strings.Contains(r.Sentence, "cool it") {
		t.Errorf("at 60 °C: %s", r.Sentence)
	}
}

// Fruit whose juice is not out yet counts in the original gravity, and not in the first
// reading; anything between is no contradiction.
func TestBrewDayCheckOfFruit(t *testing.T) {
	m := brewed(t, "4 L", "1.100", "700 g honey", "1.2 kg blackberries")
	none, _ := truth(t, m, 0)
	all, _ := truth(t, m, 1)
	for _, reading := range []float64{none, (none + all) / 2, all} {
		m.Gravity.Value = reading
		r := checked(t, m)
		if !r.Agree || !strings.Contains(r.Sentence, "original gravity that counts") {
			t.Errorf("read %.4f between %.4f and %.4f: z %.2f, %s", reading, none, all, r.Z, r.Sentence)
		}
		if math.Abs(r.Original.Value-all) > 1e-4 {
			t.Errorf("original gravity %.4f, want %.4f", r.Original.Value, all)
		}
	}
}

func TestBrewDayCheckByTheScale(t *testing.T) {
	byMark := brewed(t, "4 L", "1.100", "1.2 kg honey")
	right, in := truth(t, byMark, 1)
	m := brewed(t, "4 L", "1.100", "1.2 kg honey")
	m.Volume, m.Gravity.Value = nil, right
	m.Vessel.Tare = quantity(t, "1400 g")
	m.Full = quantity(t, fmt.Sprintf("%.0f g", 1400+float64(in.Mass())))
	r := checked(t, m)
	if !r.Agree || math.Abs(r.Expected.Value-right) > 1e-4 || math.Abs(r.Volume.Value-4) > 0.002 {
		t.Errorf("by weight: expected %.4f, %.3f L; want %.4f, 4 L", r.Expected.Value, r.Volume.Value, right)
	}
	mark := checked(t, byMark)
	if r.Expected.High-r.Expected.Low >= mark.Expected.High-mark.Expected.Low {
		t.Errorf("a scale (%.4f) tells no more than a mark (%.4f)", r.Expected.High-r.Expected.Low, mark.Expected.High-mark.Expected.Low)
	}
}

func TestNothingToCheckWithoutAReading(t *testing.T) {
	m := brewed(t, "4 L", "1.100", "1.2 kg honey")
	m.Gravity = nil
	if r, err := app.BrewDayCheck(m); r != nil || err != nil {
		t.Errorf("BrewDayCheck = %+v, %v; want nothing", r, err)
	}
}
