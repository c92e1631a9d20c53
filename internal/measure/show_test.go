package measure_test

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
)

func TestShow(t *testing.T) {
	const us, imperial, metric = measure.US, measure.Imperial, measure.Metric
	for _, tt := range []struct{ got, want string }{
		{measure.ShowMass(1200, metric), "1.20 kg"},
		{measure.ShowMass(250, metric), "250 g"},
		{measure.ShowMass(2.345, metric), "2.35 g"},
		{measure.ShowMass(23456, metric), "23.5 kg"},
		{measure.ShowMass(-0.001, metric), "0.00 g"},
		{measure.ShowMass(42*453.59237/16, us), "2 lb 10 oz"},
		{measure.ShowMass(31.9*453.59237/16, us), "2 lb"}, // 1 lb 15.9 oz carries
		{measure.ShowMass(-42*453.59237/16, us), "-2 lb 10 oz"},
		{measure.ShowMass(33*453.59237/16, us), "2 lb 1 oz"},
		{measure.ShowMass(100, us), "3.5 oz"},
		{measure.ShowMass(5, us), "5.00 g"},
		{measure.ShowVolume(4.5, metric), "4.50 L"},
		{measure.ShowVolume(23, metric), "23.0 L"},
		{measure.ShowVolume(0.25, metric), "250 mL"},
		{measure.ShowVolume(0.0025, metric), "2.5 mL"},
		{measure.ShowVolume(4.5, us), "1.19 US gal"},
		{measure.ShowVolume(4.5, imperial), "7.9 imperial pt"},
		{measure.ShowVolume(3, us), "3.2 US qt"},
		{measure.ShowVolume(0.25, us), "8.5 US fl oz"},
		{measure.ShowTemperature(22, metric), "22 °C"},
		{measure.ShowTemperature(22, us), "72 °F"},
		{measure.ShowTemperature(-0.01, metric), "0 °C"},
		{measure.ShowGravity(1.0322), "1.032"},
		{measure.ShowStrength(11.44), "11.4 % vol"},
		{measure.ShowConcentration(20), "20.0 g/L"},
		{measure.ShowConcentration(0.05), "50 mg/L"},
		{measure.ShowPressure(2.5), "2.50 bar"},
		{measure.ShowCups(3.5*0.2365882365, us), "3 1/2 cups"},
		{measure.ShowCups(0.2365882365, us), "1 cup"},
		{measure.ShowCups(0.2365882365/3, us), "1/3 cup"},
		{measure.ShowCups(0.037, us), "2 1/2 tbsp"},
		{measure.ShowCups(0.0037, us), "3/4 tsp"},
		{measure.ShowCups(0.0003, us), "0.3 mL"},
		{measure.ShowRange(measure.Range{Value: 11.38, Unit: "% vol", Low: 10.91, High: 11.84}), "about 11.4 % vol, most likely 10.9 to 11.8"},
		{measure.ShowRange(measure.Range{Value: 2e-16, Unit: "g/L", Low: 0, High: 4e-15}), "0 g/L"},
		{measure.ShowRange(measure.Range{Value: 1.0322, Unit: "SG 20/20", Low: 1.0301, High: 1.0343}), "about 1.032, most likely 1.030 to 1.034"},
		{measure.ShowRange(measure.Range{Value: 11.38, Unit: "% vol", Low: 10.61, High: 12.09}), "about 11.4 % vol, most likely 10.6 to 12.1"},
		{measure.ShowRange(measure.Range{Value: 11.38, Unit: "% vol", Low: 9.61, High: 13.09}), "about 11 % vol, most likely 10 to 13"},
		{measure.ShowRange(measure.Range{Value: 1253, Unit: "g", Low: 1108, High: 1411}), "about 1300 g, most likely 1100 to 1400"},
		{measure.ShowRange(measure.Range{Value: 1.0322, Unit: "SG", Low: 1.0321, High: 1.0323}), "about 1.032"},
		{measure.ShowRange(measure.Exact(12.3456, "g/L")), "12.35 g/L"},
		{measure.ShowRange(measure.Exact(0, "g/L")), "0 g/L"},
		{measure.ShowRange(measure.RangeOf(nil, "g/L")), "not known"},
	} {
		if tt.got != tt.want {
			t.Errorf("printed %q, want %q", tt.got, tt.want)
		}
	}
}

// What prints parses back as the same kind, within half of the last digit printed, or
// within the coarsest half gap of kitchen measures: an eighth of a cup (3/4 to 1), a
// quarter tablespoon, a sixteenth of a teaspoon. 1e-9 is for the arithmetic.
func TestWhatPrintsParsesBack(t *testing.T) {
	systems := rapid.SampledFrom([]measure.System{measure.US, measure.Imperial, measure.Metric})
	rapid.Check(t, func(t *rapid.T) {
		sys, other := systems.Draw(t, "system"), systems.Draw(t, "other")
		check := func(text string, in measure.System, kind measure.Kind, value, half float64) {
			q, err := measure.Parse(text, in)
			if err != nil || q.Kind != kind || math.Abs(q.Value-value) > half+1e-9*max(1, math.Abs(value)) {
				t.Fatalf("%.9g printed %q, read back %+v, %v; half a digit is %g", value, text, q, err, half)
			}
		}
		g := math.Pow(10, rapid.Float64Range(-2, 5).Draw(t, "log g"))
		text := measure.ShowMass(measure.Grams(g), sys)
		check(text, other, measure.Mass, g, halfDigit(t, text))
		l := math.Pow(10, rapid.Float64Range(-4, 2).Draw(t, "log L"))
		text = measure.ShowVolume(measure.Litres(l), sys)
		check(text, other, measure.Volume, l, halfDigit(t, text))
		text = measure.ShowCups(measure.Litres(l), sys)
		half := map[string]float64{"cup": 1. / 8, "cups": 1. / 8, "tbsp": 1. / 4, "tsp": 1. / 16, "mL": 1. / 20}[unitOf(text)]
		check(text, sys, measure.Volume, l, half*size(t, unitOf(text), sys))
		c := rapid.Float64Range(-29, 120).Draw(t, "°C")
		check(measure.ShowTemperature(measure.Celsius(c), sys), other, measure.Temperature, c,
			map[bool]float64{true: 0.5 / 1.8, false: 0.05}[sys == measure.US])
		sg := rapid.Float64Range(0.9, 1.2).Draw(t, "SG")
		check(measure.ShowGravity(measure.Gravity(sg)), other, measure.SG, sg, 0.0005)
		p := rapid.Float64Range(0, 99).Draw(t, "% vol")
		check(measure.ShowStrength(measure.PercentVol(p)), other, measure.Strength, p, 0.05)
		check(measure.ShowPressure(measure.Bar(p)), other, measure.Pressure, p, 0.005)
		text = measure.ShowConcentration(measure.GramsPerLitre(p))
		check(text, other, measure.Concentration, p, halfDigit(t, text))
	})
}

var afterNumber = regexp.MustCompile(`^.*[0-9] (.*)$`)

// unitOf is what follows the last number of a text.
func unitOf(text string) string { return afterNumber.ReplaceAllString(text, "$1") }

func size(t *rapid.T, unit string, sys measure.System) float64 {
	q, err := measure.Parse("1 "+unit, sys)
	if err != nil {
		t.Fatalf("unit %q: %v", unit, err)
	}
	return q.Value
}

// halfDigit is half of the last digit of a text such as "2 lb 10 oz" or "1.19 US gal".
func halfDigit(t *rapid.T, text string) float64 {
	half := size(t, unitOf(text), measure.Metric) / 2
	if strings.HasSuffix(text, "lb") { // "2 lb" leaves out "0 oz"
		half /= 16
	}
	if _, decimals, ok := strings.Cut(strings.TrimSuffix(text, " "+unitOf(text)), "."); ok {
		half /= math.Pow10(len(decimals))
	}
	return half
}
