package measure_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"skep/internal/measure"
)

var kitchenWords = []string{
	"2 1/2 cups", "2½ cups", "1 lb 9 oz", "9lb3oz", "4,5 l", "1 US gal", "72 F", "-2 C", "1.032", "1032", "SG 1.032", "12 °P",
	"half a packet", "a dozen", "8 bubbles a minute", "one every 12 s", "none", "12% abv", "20 g/L", "3 lemons", "2.5 vol CO2",
	"pH 3.4", "about 3 tbsp", "a bit over a cup and a half", "two and a half cups", "honey, 1.2 kg", "a packet of yeast", "2 cusp", "1/0 g",
}

// mustMark checks that an error is one that can be shown to a person.
func mustMark(t *testing.T, err error) {
	t.Helper()
	var fault *measure.ParseError
	if !errors.As(err, &fault) {
		t.Fatalf("error %v is no *ParseError", err)
	}
	lines := strings.Split(fault.Marked(), "\n")
	if len(lines) != 2 || !strings.HasSuffix(lines[1], "^") || fault.Problem == "" || strings.Contains(err.Error(), "\n") {
		t.Fatalf("error %q is marked %q", err, fault.Marked())
	}
}

// mustBeSound checks that a quantity is finite, and that its own words mean the same again.
func mustBeSound(t *testing.T, q measure.Quantity, sys measure.System) {
	t.Helper()
	for _, x := range []float64{q.Value, q.SD} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Fatalf("%+v is not finite", q)
		}
	}
	if q.SD < 0 || q.Kind == "" || q.Tool == "" {
		t.Fatalf("%+v is not whole", q)
	}
	if again, err := measure.Parse(q.Words, sys); q.Kind != measure.Pieces && (err != nil || again != q) {
		t.Fatalf("%+v reads again as %+v, %v", q, again, err)
	}
	if text := shown(q, sys); text != "" {
		again, err := measure.Parse(text, sys)
		if err != nil || again.Kind != q.Kind || shown(again, sys) != text {
			t.Fatalf("%+v printed %q, read back %+v, %v", q, text, again, err)
		}
	}
}

// shown is what the Show function of its kind prints, if there is one.
func shown(q measure.Quantity, sys measure.System) string {
	switch q.Kind {
	case measure.Mass:
		return measure.ShowMass(measure.Grams(q.Value), sys)
	case measure.Volume:
		return measure.ShowVolume(measure.Litres(q.Value), sys)
	case measure.Temperature:
		return measure.ShowTemperature(measure.Celsius(q.Value), sys)
	case measure.SG:
		return measure.ShowGravity(measure.Gravity(q.Value))
	case measure.Strength:
		return measure.ShowStrength(measure.PercentVol(q.Value))
	case measure.Concentration:
		return measure.ShowConcentration(measure.GramsPerLitre(q.Value))
	case measure.Pressure:
		return measure.ShowPressure(measure.Bar(q.Value))
	}
	return ""
}

func FuzzParse(f *testing.F) {
	for _, words := range kitchenWords {
		f.Add(words)
	}
	f.Fuzz(func(t *testing.T, words string) {
		for _, sys := range []measure.System{measure.US, measure.Imperial, measure.Metric} {
			q, err := measure.Parse(words, sys)
			if err != nil {
				mustMark(t, err)
				continue
			}
			mustBeSound(t, q, sys)
		}
	})
}

func FuzzParseIngredient(f *testing.F) {
	for _, words := range kitchenWords {
		f.Add(words)
		f.Add(words + " of honey")
		f.Add("honey " + words)
	}
	f.Fuzz(func(t *testing.T, words string) {
		q, rest, err := measure.ParseIngredient(words, measure.US)
		if err != nil {
			mustMark(t, err)
			return
		}
		mustBeSound(t, q, measure.US)
		if !strings.Contains(words, rest) {
			t.Fatalf("ParseIngredient(%q) left %q, which was not said", words, rest)
		}
		if _, _, err := measure.ParseReading(words, measure.US); err != nil {
			mustMark(t, err)
		}
		if _, err := measure.ParseParts(words, measure.US); err != nil {
			mustMark(t, err)
		}
	})
}
