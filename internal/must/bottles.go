package must

import (
	"fmt"
	"math"
)

// BottleSize is a size of bottle, and how many of it there are.
type BottleSize struct {
	ML   int // to the normal fill height
	Have int // how many are on hand; negative: as many as needed
}

// BottleFill is how many bottles of a size to fill.
type BottleFill struct {
	ML    int `json:"ml"`
	Count int `json:"count"`
}

// FillBottles chooses full bottles for ml millilitres of wine: as much wine bottled as
// possible, then as few bottles as possible. It is exact, by dynamic programming over
// every bottle and every multiple of the largest measure that all sizes share. The second
// result is what is left over, in mL.
//
// Valid:  ml 0 to 60,000; sizes 10 mL and more.
// Errors: outside that.
func FillBottles(ml int, sizes []BottleSize) ([]BottleFill, int, error) {
	if ml < 0 || ml > 60_000 {
		return nil, ml, fmt.Errorf("must.FillBottles: %d mL is outside 0 to 60,000 mL", ml)
	}
	unit := 0 // mL
	for _, size := range sizes {
		if size.ML < 10 {
			return nil, ml, fmt.Errorf("must.FillBottles: a bottle of %d mL is too small; 10 mL is the least", size.ML)
		}
		for a, b := size.ML, unit; ; a, b = b, a%b {
			if b == 0 {
				unit = a
				break
			}
		}
	}
	if unit == 0 { // no bottles
		return nil, ml, nil
	}
	const never = math.MaxInt32
	fewest := make([]int32, ml/unit+1) // bottles that hold exactly so many units
	for v := 1; v < len(fewest); v++ {
		fewest[v] = never
	}
	used := make([][]int32, len(sizes)) // of this size, in the best way to exactly this much
	for i, size := range sizes {
		units, have := size.ML/unit, size.Have
		if have < 0 {
			have = ml / size.ML
		}
		used[i] = make([]int32, len(fewest))
		next := make([]int32, len(fewest))
		for v := range next {
			next[v] = fewest[v]
			for k := 1; k <= have && k*units <= v; k++ {
				if before := fewest[v-k*units]; before != never && before+int32(k) < next[v] {
					next[v], used[i][v] = before+int32(k), int32(k)
				}
			}
		}
		fewest = next
	}
	best := len(fewest) - 1
	for fewest[best] == never {
		best--
	}
	var fills []BottleFill
	for i, v := len(sizes)-1, best; i >= 0; i-- {
		if n := int(used[i][v]); n > 0 {
			fills = append(fills, BottleFill{ML: sizes[i].ML, Count: n})
			v -= n * sizes[i].ML / unit
		}
	}
	return fills, ml - best*unit, nil
}
