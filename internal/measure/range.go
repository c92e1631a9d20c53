package measure

import (
	"encoding/json"
	"math"
	"slices"
)

// eightyPercent is the half-width of the 80 % range of a normal distribution, in standard deviations.
const eightyPercent = 1.2815515655446004

// RangeOf returns the median and the 10 % and 90 % quantiles of the members of an
// ensemble, linear between neighbours. values is not changed.
//
// No members, or one that is not finite: the result is not Known. One bad member is
// a fault of the ensemble, and leaving it out would hide it.
func RangeOf(values []float64, unit string) Range {
	sorted := slices.Clone(values)
	slices.Sort(sorted) // NaN sorts first, infinities to the ends
	if len(sorted) == 0 || !finite(sorted[0]) || !finite(sorted[len(sorted)-1]) {
		return unknown(unit)
	}
	quantile := func(p float64) float64 {
		place := p * float64(len(sorted)-1)
		below := int(place)
		above := min(below+1, len(sorted)-1)
		share := place - float64(below)
		return (1-share)*sorted[below] + share*sorted[above]
	}
	return Range{Value: quantile(0.5), Unit: unit, Low: quantile(0.1), High: quantile(0.9)}
}

// Normal returns value ± 1.2816 sd, the 80 % range of a normal distribution.
// Not Known when value or sd is not finite, or sd is negative.
func Normal(value, sd float64, unit string) Range {
	half := eightyPercent * sd
	if !finite(value-half) || !finite(value+half) || sd < 0 {
		return unknown(unit)
	}
	return Range{Value: value, Unit: unit, Low: value - half, High: value + half}
}

// Exact returns a range without width. Not Known when value is not finite.
func Exact(value float64, unit string) Range { return Normal(value, 0, unit) }

// Known says whether r has numbers. One that is not Known shows as "not known" and is
// null, null, null in JSON.
func (r Range) Known() bool { return finite(r.Value) && finite(r.Low) && finite(r.High) }

// MarshalJSON writes null for the numbers of a range that is not Known.
func (r Range) MarshalJSON() ([]byte, error) {
	type plain Range // without methods
	if r.Known() {
		return json.Marshal(plain(r))
	}
	return json.Marshal(nullable{Unit: r.Unit})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (r *Range) UnmarshalJSON(text []byte) error {
	var n nullable
	if err := json.Unmarshal(text, &n); err != nil {
		return err
	}
	if n.Value == nil || n.Low == nil || n.High == nil {
		*r = unknown(n.Unit)
		return nil
	}
	*r = Range{Value: *n.Value, Unit: n.Unit, Low: *n.Low, High: *n.High}
	return nil
}

type nullable struct {
	Value *float64 `json:"value"`
	Unit  string   `json:"unit"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
}

func unknown(unit string) Range {
	return Range{Value: math.NaN(), Unit: unit, Low: math.NaN(), High: math.NaN()}
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
