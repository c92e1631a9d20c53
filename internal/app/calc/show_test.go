package calc_test

import (
	"reflect"
	"testing"

	"skep/internal/app/calc"
	"skep/internal/measure"
)

func TestShow(t *testing.T) {
	for _, tt := range []struct {
		value             any
		sys               measure.System
		is, likely, other string
	}{
		{measure.Range{Value: 12.684, Low: 12.37, High: 12.98, Unit: "% vol"}, measure.Metric, "12.68 % vol", "12.37 to 12.98", ""},
		{measure.Exact(1.0983, "SG 20/20"), measure.US, "1.0983", "", ""},
		{measure.Range{Value: 1200, Low: 1100, High: 1300, Unit: "g"}, measure.US, "1200.0 g", "1100.0 to 1300.0", "2 lb 10 oz"},
		{measure.Exact(2.345, "g"), measure.Metric, "2.35 g", "", ""},
		{measure.Exact(20, "°C"), measure.US, "20.0 °C", "", "68 °F"},
		{true, measure.Metric, "yes", "", ""},
		{false, measure.Metric, "no", "", ""},
		{"holds", measure.Metric, "holds", "", ""},
	} {
		is, likely, other := calc.Result{Value: tt.value}.Show(tt.sys)
		if is != tt.is || likely != tt.likely || other != tt.other {
			t.Errorf("Show(%v, %s) = %q, %q, %q, want %q, %q, %q", tt.value, tt.sys, is, likely, other, tt.is, tt.likely, tt.other)
		}
	}
}

func TestSaid(t *testing.T) {
	for example, want := range map[string]map[string][]string{
		"--og 1.098 --fg 1.004":                                {"og": {"1.098"}, "fg": {"1.004"}},
		`--part "5 L 12 %vol 1.010" --part "1 L 0 %vol 1.098"`: {"part": {"5 L 12 %vol 1.010", "1 L 0 %vol 1.098"}},
		"": {},
	} {
		if got := calc.Said(example); !reflect.DeepEqual(got, want) {
			t.Errorf("Said(%q) = %q, want %q", example, got, want)
		}
	}
}
