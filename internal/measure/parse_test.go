package measure_test

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"skep/internal/measure"
)

// What the words of a kitchen mean. Values are exact sizes (testdata/units.csv) times
// the number said, so the tolerance is that of arithmetic.
func TestParse(t *testing.T) {
	const cup, pound = 0.2365882365, 453.59237
	for _, tt := range []struct {
		words string
		sys   measure.System
		kind  measure.Kind
		tool  measure.Tool
		value float64
	}{
		{"2 1/2 cups", measure.US, measure.Volume, measure.Cup, 2.5 * cup},
		{"2½ cups", measure.US, measure.Volume, measure.Cup, 2.5 * cup},
		{"2-1/2 cups", measure.US, measure.Volume, measure.Cup, 2.5 * cup},
		{"two and a half cups", measure.US, measure.Volume, measure.Cup, 2.5 * cup},
		{"2 1⁄2 cups", measure.US, measure.Volume, measure.Cup, 2.5 * cup},
		{"a cup", measure.US, measure.Volume, measure.Cup, cup},
		{"a cup and a half", measure.US, measure.Volume, measure.Cup, 1.5 * cup},
		{"half a cup", measure.US, measure.Volume, measure.Cup, cup / 2},
		{"half cup", measure.US, measure.Volume, measure.Cup, cup / 2},
		{"three quarters of a cup", measure.US, measure.Volume, measure.Cup, 0.75 * cup},
		{"a third of a cup", measure.US, measure.Volume, measure.Cup, cup / 3},
		{"2 cups and 1 tbsp", measure.US, measure.Volume, measure.Cup, 2*cup + cup/16},
		{"½ tsp", measure.US, measure.Volume, measure.Spoon, cup / 96},
		{"a quarter teaspoon", measure.US, measure.Volume, measure.Spoon, cup / 192},
		{"2 level tsp.", measure.US, measure.Volume, measure.Spoon, cup / 24},
		{"3 tbsp", measure.US, measure.Volume, measure.Spoon, 3 * cup / 16},

		{"1 lb 9 oz", measure.US, measure.Mass, measure.Scale, 25 * pound / 16},
		{"1 lb. 9 oz.", measure.US, measure.Mass, measure.Scale, 25 * pound / 16},
		{"1 lb, 9 oz", measure.US, measure.Mass, measure.Scale, 25 * pound / 16},
		{"9lb3oz", measure.Metric, measure.Mass, measure.Scale, 147 * pound / 16},
		{"9 lb 3 1/2 oz", measure.Metric, measure.Mass, measure.Scale, 147.5 * pound / 16},
		{"1 kg 200 g", measure.Metric, measure.Mass, measure.Scale, 1200},
		{"1.20kg", measure.Metric, measure.Mass, measure.Scale, 1200},
		{"0,250 kg", measure.Metric, measure.Mass, measure.Scale, 250},
		{"half a kilo", measure.Metric, measure.Mass, measure.Scale, 500},
		{"300 mg", measure.Metric, measure.Mass, measure.Scale, 0.3},
		{"0 g", measure.Metric, measure.Mass, measure.Scale, 0},

		{"4.5 L", measure.Metric, measure.Volume, measure.Jug, 4.5},
		{"4,5 l", measure.Metric, measure.Volume, measure.Jug, 4.5},
		{"750 mL", measure.Metric, measure.Volume, measure.Jug, 0.75},
		{"1 gal", measure.US, measure.Volume, measure.Jug, 3.785411784},
		{"1 gal", measure.Imperial, measure.Volume, measure.Jug, 4.54609},
		{"1 gal", measure.Metric, measure.Volume, measure.Jug, 4.54609},
		{"1 US gal", measure.Imperial, measure.Volume, measure.Jug, 3.785411784},
		{"1 U.S. gallon", measure.Imperial, measure.Volume, measure.Jug, 3.785411784},
		{"1 imperial gallon", measure.US, measure.Volume, measure.Jug, 4.54609},
		{"1 UK gal", measure.US, measure.Volume, measure.Jug, 4.54609},
		{"2 pints", measure.US, measure.Volume, measure.Jug, 3.785411784 / 4},
		{"2 pints", measure.Imperial, measure.Volume, measure.Jug, 4.54609 / 4},
		{"1 qt", measure.US, measure.Volume, measure.Jug, 3.785411784 / 4},
		{"8 fl. oz.", measure.US, measure.Volume, measure.Jug, cup},
		{"8 US fluid ounces", measure.Imperial, measure.Volume, measure.Jug, cup},
		{"20 fl oz", measure.Imperial, measure.Volume, measure.Jug, 4.54609 / 8},

		{"72 F", measure.US, measure.Temperature, measure.Instrument, 200. / 9},
		{"72°F", measure.US, measure.Temperature, measure.Instrument, 200. / 9},
		{"72 degrees F", measure.US, measure.Temperature, measure.Instrument, 200. / 9},
		{"22 °C", measure.US, measure.Temperature, measure.Instrument, 22},
		{"22℃", measure.US, measure.Temperature, measure.Instrument, 22},
		{"22c", measure.US, measure.Temperature, measure.Instrument, 22},
		{"-2 C", measure.US, measure.Temperature, measure.Instrument, -2},
		{"−2 C", measure.US, measure.Temperature, measure.Instrument, -2},

		{"1.032", measure.US, measure.SG, measure.Instrument, 1.032},
		{"1,032", measure.US, measure.SG, measure.Instrument, 1.032},
		{"1032", measure.US, measure.SG, measure.Instrument, 1.032},
		{"998", measure.US, measure.SG, measure.Instrument, 0.998},
		{"SG 1.032", measure.US, measure.SG, measure.Instrument, 1.032},
		{"1.032 S.G.", measure.US, measure.SG, measure.Instrument, 1.032},
		{"1.032 gravity", measure.US, measure.SG, measure.Instrument, 1.032},
		{"12 Bx", measure.US, measure.Brix, measure.Instrument, 12},
		{"12 brix", measure.US, measure.Brix, measure.Instrument, 12},
		{"12 °P", measure.US, measure.Brix, measure.Instrument, 12},
		{"20 Plato", measure.US, measure.Brix, measure.Instrument, 20},
		{"12 degrees Brix", measure.US, measure.Brix, measure.Instrument, 12},

		{"a packet", measure.US, measure.Packets, measure.Count, 1},
		{"2 packets", measure.US, measure.Packets, measure.Count, 2},
		{"half a packet", measure.US, measure.Packets, measure.Count, 0.5},
		{"a dozen", measure.US, measure.Pieces, measure.Count, 12},
		{"half a dozen", measure.US, measure.Pieces, measure.Count, 6},
		{"3 lemons", measure.US, measure.Pieces, measure.Count, 3},

		{"8 bubbles a minute", measure.US, measure.BubbleRate, measure.Count, 8},
		{"8/min", measure.US, measure.BubbleRate, measure.Count, 8},
		{"8 per minute", measure.US, measure.BubbleRate, measure.Count, 8},
		{"9 bubbles in 3 minutes", measure.US, measure.BubbleRate, measure.Count, 3},
		{"one every 12 s", measure.US, measure.BubbleRate, measure.Count, 5},
		{"twice a minute", measure.US, measure.BubbleRate, measure.Count, 2},
		{"every 12 s", measure.US, measure.BubbleRate, measure.Count, 5},
		{"a bubble every 12 seconds", measure.US, measure.BubbleRate, measure.Count, 5},
		{"1 bubble every 2 minutes", measure.US, measure.BubbleRate, measure.Count, 0.5},
		{"none", measure.US, measure.BubbleRate, measure.Count, 0},
		{"no bubbles", measure.US, measure.BubbleRate, measure.Count, 0},
		{"0 bubbles", measure.US, measure.BubbleRate, measure.Count, 0},

		{"12 %vol", measure.US, measure.Strength, measure.Instrument, 12},
		{"12% abv", measure.US, measure.Strength, measure.Instrument, 12},
		{"12 percent by volume", measure.US, measure.Strength, measure.Instrument, 12},
		{"12 vol%", measure.US, measure.Strength, measure.Instrument, 12},
		{"12 %mass", measure.US, measure.Fraction, measure.Instrument, 0.12},
		{"20%mass", measure.US, measure.Fraction, measure.Instrument, 0.20},
		{"15 g/kg", measure.US, measure.Fraction, measure.Instrument, 0.015},
		{"20 g/L", measure.US, measure.Concentration, measure.Instrument, 20},
		{"20 grams per litre", measure.US, measure.Concentration, measure.Instrument, 20},
		{"300 mg/L", measure.US, measure.Concentration, measure.Instrument, 0.3},
		{"200 ppm", measure.US, measure.Concentration, measure.Instrument, 0.2},
		{"3 lb/gal", measure.US, measure.Concentration, measure.Instrument, 3 * pound / 3.785411784},
		{"2 bar", measure.US, measure.Pressure, measure.Instrument, 2},
		{"1013 hPa", measure.US, measure.Pressure, measure.Instrument, 1.013},
		{"100 kPa", measure.US, measure.Pressure, measure.Instrument, 1},
		{"36 h", measure.US, measure.Duration, measure.Instrument, 36},
		{"3 days", measure.US, measure.Duration, measure.Instrument, 72},
		{"2 weeks", measure.US, measure.Duration, measure.Instrument, 336},
		{"10 min", measure.US, measure.Duration, measure.Instrument, 1. / 6},
		{"1 h 30 min", measure.US, measure.Duration, measure.Instrument, 1.5},
		{"2.5 vol", measure.US, measure.Volumes, measure.Instrument, 2.5},
		{"2.5 volumes of CO2", measure.US, measure.Volumes, measure.Instrument, 2.5},
		{"pH 3.4", measure.US, measure.Acidity, measure.Instrument, 3.4},
		{"3.4 pH", measure.US, measure.Acidity, measure.Instrument, 3.4},
		{"6 cm", measure.US, measure.Length, measure.Instrument, 6},
		{"45 mm", measure.US, measure.Length, measure.Instrument, 4.5},
		{"2 1/2 inches", measure.US, measure.Length, measure.Instrument, 6.35},
	} {
		q, err := measure.Parse(tt.words, tt.sys)
		if err != nil || q.Kind != tt.kind || q.Tool != tt.tool || math.Abs(q.Value-tt.value) > 1e-9*max(1, tt.value) || q.Words != tt.words {
			t.Errorf("Parse(%q, %s) = %+v, %v, want %s by %s, %.10g", tt.words, tt.sys, q, err, tt.kind, tt.tool, tt.value)
		}
	}
}

// The sizes of units against the standards (testdata/README.md). Tolerance: half a unit
// of the tenth digit printed.
func TestUnitsAgainstStandards(t *testing.T) {
	file, err := os.Open("testdata/units.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil || len(rows) != 1+16 {
		t.Fatalf("table has %d rows, want a header and 16: %v", len(rows), err)
	}
	inKind := map[string]float64{"mL": 1e-3, "g": 1, "g/L": 1, "kPa": 1e-2}
	asTyped := strings.NewReplacer("avoirdupois ", "", "standard atmosphere", "atm")
	worst := 0.0
	for _, row := range rows[1:] {
		printed, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		want := printed * inKind[row[2]]
		q, err := measure.Parse("1 "+asTyped.Replace(row[0]), measure.Metric)
		off := math.Abs(q.Value/want - 1)
		worst = max(worst, off)
		if err != nil || off > 5e-10 {
			t.Errorf("Parse(1 %s) = %.10g, %v; printed %.10g", row[0], q.Value, err, want)
		}
	}
	t.Logf("worst of %d: %.1e", len(rows)-1, worst)
}

// What is wrong, where, and what to write instead.
func TestParseErrors(t *testing.T) {
	for _, tt := range []struct{ words, part, problem, hint string }{
		{"20", "20", "has no unit", "20 g"},
		{"10.50", "10.50", "has no unit", `"1.050"`},
		{"SG 10.50", "SG 10.50", "outside 0.9 to 1.2", `did you mean "1.050"?`},
		{"SG 105.0", "SG 105.0", "outside 0.9 to 1.2", `did you mean "1.050"?`},
		{"2 cusp", "cusp", "not a unit", `"cups"`},
		{"3 tpsb", "tpsb", "not a unit", `"tbsp"`},
		{"4 litters", "litters", "not a unit", `"liters"`},
		{"1 galon", "galon", "not a unit", `"gallon"`},
		{"2 tabelspons", "tabelspons", "not a unit", `"tablespoons"`},
		{"8 bubles a minute", "bubles", "not a unit", `"bubbles"`},
		{"2 wx", "wx", "not a unit", ""},
		{"3 T", "T", "teaspoon or a tablespoon", "tbsp"},
		{"2 heaped tsp", "heaped", "between the number and its unit", `"2 tsp"`},
		{"1,500 g", "1,500", "two things", "without a comma"},
		{"1,234.5 g", "1,234.5", "not one number", "thousands"},
		{"1.2.3 g", "1.2.3", "not one number", ""},
		{"1/0 cup", "1/0", "below its line", ""},
		{"2-3 cups", "2-3", "two numbers", "about"},
		{"2 to 3 cups", "2 to 3", "two numbers", "about"},
		{"a bit", "a bit", "no amount", "weigh"},
		{"a few bubbles", "a few", "no amount", "weigh"},
		{"12 %", "12 %", "percent of what", "%vol"},
		{"20 degrees", "degrees", "degrees of what", "Plato"},
		{"20 g/", "/", "per what", "g/L"},
		{"20 g/min", "/min", "per what", "g/L"},
		{"8 bubbles", "8 bubbles", "in what time", "a minute"},
		{"everY", "everY", "every how long?", `write "one every 12 s"`},
		{"-2 kg", "-2 kg", "mass cannot be below zero", ""},
		{"-3 lemons", "-3", "pieces cannot be below zero", ""},
		{"400 C", "400 C", "outside -30 to 130 °C", ""},
		{"120 %vol", "120 %vol", "outside 0 to 100 % vol", ""},
		{"pH 15", "pH 15", "outside 0 to 14", ""},
		{strings.Repeat("9", 400) + " g", strings.Repeat("9", 400), "too large", ""},
		{"1 lb 9", "9", "has no unit", ""},
		{"1 lb 9 oz extra", "extra", "not understood", ""},
		{"1 lb 20 C", "20 C", "more than one quantity", ""},
		{"", "", "no quantity", "20 g"},
		{"  ", "", "no quantity", "20 g"},
		{"about", "", "no quantity", "20 g"},
		{"honey", "", "no number", "20 g"},
		{"NaN g", "", "no number", ""},
		{"inf L", "", "no number", ""},
		{"2 g\xff", "2 g?", "not text", ""},
	} {
		_, err := measure.Parse(tt.words, measure.US)
		var fault *measure.ParseError
		if !errors.As(err, &fault) {
			t.Errorf("Parse(%q) gave %v, want a *ParseError", tt.words, err)
			continue
		}
		part := fault.Words[fault.Start:fault.End]
		if part != tt.part && tt.part != "" || !strings.Contains(fault.Problem, tt.problem) || !strings.Contains(fault.Hint, tt.hint) {
			t.Errorf("Parse(%q): %q at %q, hint %q; want %q at %q, hint %q", tt.words, fault.Problem, part, fault.Hint, tt.problem, tt.part, tt.hint)
		}
		if strings.Contains(err.Error(), "\n") {
			t.Errorf("Parse(%q): the error has more than one line", tt.words)
		}
	}
}

// A wider way of saying it is a wider quantity; a finer one is never wider.
func TestSpreadFollowsTheWords(t *testing.T) {
	sd := func(words string) float64 {
		q, err := measure.Parse(words, measure.Metric)
		if err != nil {
			t.Fatal(err)
		}
		return q.SD
	}
	for _, tt := range []struct{ finer, wider string }{
		{"1.200 kg", "1.2 kg"},
		{"1250 g", "1.3 kg"},
		{"4 lb 3 oz", "4 lb"},
		{"1.032", "1.03"},
		{"9 bubbles in 3 minutes", "3 bubbles a minute"},
		{"a packet", "half a packet"},
		{"2 packets", "about 2 packets"},
		{"1.032", "about 1.032"},
		{"1.032", "SG about 1.032"},
		{"1 cup", "roughly 1 cup"},
		{"22 C", "~22 C"},
		{"1 cup", "a bit over 1 cup"},
	} {
		if !(sd(tt.finer) < sd(tt.wider)) {
			t.Errorf("sd(%q) = %g, want less than sd(%q) = %g", tt.finer, sd(tt.finer), tt.wider, sd(tt.wider))
		}
	}
	for _, tt := range []struct {
		words string
		want  float64
	}{
		{"8/min", math.Sqrt(8)},                                  // √n of 8 in one minute
		{"1 bubble every 2 minutes", 0.5},                        // one counted in two minutes
		{"none", 1},                                              // as if one had been missed
		{"1.032", 0.001},                                         // one mark of a hydrometer
		{"250 g", math.Hypot(1/math.Sqrt(12), 0.25)},             // one gram, uniform; 0.1 %
		{"3 lb", math.Hypot(3*453.59237/20/math.Sqrt(12), 1.36)}, // a twentieth, not a pound
		{"3 lemons", 0},
	} {
		if got := sd(tt.words); math.Abs(got-tt.want) > 0.01*tt.want {
			t.Errorf("sd(%q) = %g, want %g", tt.words, got, tt.want)
		}
	}
}

func TestParseParts(t *testing.T) {
	parts, err := measure.ParseParts("5 L 12 %vol 1.010", measure.Metric)
	if err != nil || len(parts) != 3 || parts[0].Value != 5 || parts[1].Kind != measure.Strength || parts[2].Kind != measure.SG {
		t.Errorf("ParseParts = %+v, %v", parts, err)
	}
	parts, err = measure.ParseParts("1 lb 9 oz, 95 C", measure.Metric)
	if err != nil || len(parts) != 2 || parts[0].Words != "1 lb 9 oz" || parts[1].Value != 95 {
		t.Errorf("ParseParts = %+v, %v", parts, err)
	}
	for _, words := range []string{"", "5 L 12", "5 L blah"} {
		if parts, err := measure.ParseParts(words, measure.Metric); err == nil {
			t.Errorf("ParseParts(%q) = %+v, want an error", words, parts)
		}
	}
}

func TestParseReading(t *testing.T) {
	for _, tt := range []struct {
		words string
		kind  measure.Kind
		value float64
		at    float64 // °C; NaN when not said
	}{
		{"1.032 at 72 F", measure.SG, 1.032, 200. / 9},
		{"1.032 @ 22C", measure.SG, 1.032, 22},
		{"1.032@22C", measure.SG, 1.032, 22},
		{"1032 at about 22 °C", measure.SG, 1.032, 22},
		{"12 Bx at 20 C", measure.Brix, 12, 20},
		{"SG 1.032, 20 C", measure.SG, 1.032, 20},
		{"1.032", measure.SG, 1.032, math.NaN()},
		{"8 bubbles a minute at 25 C", measure.BubbleRate, 8, 25},
	} {
		q, at, err := measure.ParseReading(tt.words, measure.US)
		if err != nil || q.Kind != tt.kind || q.Value != tt.value || (at == nil) != math.IsNaN(tt.at) ||
			at != nil && (at.Kind != measure.Temperature || math.Abs(at.Value-tt.at) > 1e-12) {
			t.Errorf("ParseReading(%q) = %+v, %+v, %v; want %s %g at %g °C", tt.words, q, at, err, tt.kind, tt.value, tt.at)
		}
	}
	for _, words := range []string{"1.032 at", "1.032 at 72", "1.032 at 2 cups", "1.032 in 22 C", "at 22 C", ""} {
		if q, at, err := measure.ParseReading(words, measure.US); err == nil {
			t.Errorf("ParseReading(%q) = %+v, %+v, want an error", words, q, at)
		}
	}
}
