package measure_test

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"skep/internal/measure"
)

func TestRangeOf(t *testing.T) {
	values := []float64{10, 0, 2, 1, 9, 3, 8, 4, 7, 5, 6}
	before := slices.Clone(values)
	got := measure.RangeOf(values, "g/L")
	if want := (measure.Range{Value: 5, Unit: "g/L", Low: 1, High: 9}); got != want {
		t.Errorf("RangeOf(0 to 10) = %+v, want %+v", got, want)
	}
	if !slices.Equal(values, before) {
		t.Error("RangeOf changed its input")
	}
	if got := measure.RangeOf([]float64{3}, ""); got != measure.Exact(3, "") {
		t.Errorf("RangeOf(3) = %+v, want 3 exactly", got)
	}
	for _, values := range [][]float64{nil, {math.NaN(), 1}, {1, math.Inf(1)}, {math.Inf(-1), 1}} {
		if got := measure.RangeOf(values, "g"); got.Known() {
			t.Errorf("RangeOf(%v) = %+v, want one that is not known", values, got)
		}
	}
}

func TestRangeHoldsItsValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.Float64Range(-1e6, 1e6), 1, 50).Draw(t, "values")
		r := measure.RangeOf(values, "")
		if !(r.Low <= r.Value && r.Value <= r.High && r.Low >= slices.Min(values) && r.High <= slices.Max(values)) {
			t.Fatalf("RangeOf(%v) = %+v", values, r)
		}
	})
}

// 80 % of a normal distribution lies within ±sd·1.28: erf gives the share, to its own precision.
func TestNormal(t *testing.T) {
	r := measure.Normal(10, 2, "g")
	share := math.Erf((r.High - 10) / 2 / math.Sqrt2)
	if math.Abs(share-0.8) > 1e-12 || math.Abs((r.High+r.Low)/2-10) > 1e-12 {
		t.Errorf("Normal(10, 2) = %+v holds %.6f, want 0.8", r, share)
	}
	for _, bad := range []measure.Range{
		measure.Normal(1, -1, ""), measure.Normal(math.NaN(), 1, ""), measure.Normal(1, math.NaN(), ""), measure.Exact(math.Inf(1), ""),
	} {
		if bad.Known() {
			t.Errorf("%+v is known", bad)
		}
	}
}

func TestRangeAsJSON(t *testing.T) {
	for _, tt := range []struct {
		r    measure.Range
		want string
	}{
		{measure.Range{Value: 11.4, Unit: "% vol", Low: 10.9, High: 11.8}, `{"value":11.4,"unit":"% vol","low":10.9,"high":11.8}`},
		{measure.RangeOf(nil, "% vol"), `{"value":null,"unit":"% vol","low":null,"high":null}`},
	} {
		text, err := json.Marshal(tt.r)
		if err != nil || string(text) != tt.want {
			t.Errorf("JSON of %+v = %s, %v, want %s", tt.r, text, err, tt.want)
		}
		var back measure.Range
		if err := json.Unmarshal(text, &back); err != nil || back.Known() != tt.r.Known() || tt.r.Known() && cmp.Diff(back, tt.r) != "" {
			t.Errorf("read back %+v, %v, want %+v", back, err, tt.r)
		}
	}
}
