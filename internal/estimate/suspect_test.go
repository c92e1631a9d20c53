package estimate

import (
	"strings"
	"testing"

	"skep/internal/measure"
)

// What may be behind a reading is named, the slip that would put it right first.
func TestSuspects(t *testing.T) {
	about := func(v, width float64) measure.Range {
		return measure.Range{Value: v, Low: v - width, High: v + width}
	}
	for _, c := range []struct {
		sense    Sense
		at       measure.Hours
		value    float64
		sd       float64
		expected measure.Range
		first    string
	}{
		{SawGravity, 240, 1.110, 0.001, about(1.011, 0.002), "1.110 written for 1.011"},
		{SawGravity, 240, 1.052, 0.001, about(1.025, 0.002), "1.052 written for 1.025"},
		{SawGravity, 240, 1.046, 0.001, about(1.036, 0.001), "ten points off"},
		{SawGravity, 2, 1.071, 0.001, about(1.088, 0.003), "not mixed"},
		{SawGravity, 240, 1.034, 0.001, about(1.030, 0.001), "gas at the hydrometer"},
		{SawGravity, 240, 1.055, 0.001, about(1.019, 0.001), "something sweet went in"},
		{SawGravity, 240, 1.022, 0.001, about(1.026, 0.001), "warmer than was told"},
		{SawMass, 240, 5732, 2, about(5790, 5), "the lid or the airlock was not on it"},
		{SawMass, 240, 6000, 2, about(5790, 5), "something went in"},
		{SawMass, 240, 5790, 2, about(5970, 5), "5790 written for 5970"},
		{SawBubbles, 240, 20, 1, about(2, 1), "gas left because it was warmed"},
	} {
		l, _, err := scaled(Observation{Sense: c.sense, At: c.at, Value: c.value, SD: c.sd}, 1)
		if err != nil {
			t.Fatal(err)
		}
		got := suspects(&l, c.expected)
		if len(got) == 0 || len(got) > mostSuspect || !strings.Contains(got[0], c.first) {
			t.Errorf("%s %g for %v: %q, want first %q", c.sense, c.value, c.expected, got, c.first)
		}
	}
	if got := suspects(&look{}, measure.RangeOf(nil, "")); got != nil {
		t.Errorf("where nothing was expected: %q", got)
	}
}
