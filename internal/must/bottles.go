package must

import (
	"fmt"
	"math"
	"slices"
)

// BottleSize is a size of bottle, and how many of it there are.
type BottleSize struct {
	ML   int // to the normal fill height
	Have int // how many are on hand; negative: as many as needed
}

// Filling is which bottles to fill with a wine.
type Filling struct {
	Full   []int // bottles to fill to their height, of each size as it was given
	Part   int   // the size of the bottle that takes the rest; negative: none
	PartML int   // mL in that bottle
	LeftML int   // mL that are in no bottle
}

// BottleFill is how many bottles of a size to fill.
type BottleFill struct {
	ML    int `json:"ml"`
	Count int `json:"count"`
}

// Bottles are the full bottles of each size, and what is outside them, mL.
func (f Filling) Bottles(sizes []BottleSize) (full []BottleFill, outside int) {
	for i, n := range f.Full {
		if n > 0 {
			full = append(full, BottleFill{ML: sizes[i].ML, Count: n})
		}
	}
	return full, f.PartML + f.LeftML
}

// TastingGlass is the wine that needs no bottle of its own, mL: it is drunk on the day,
// or goes into the necks. Our policy.
const TastingGlass = 50

// FillBottles chooses bottles for ml millilitres of wine. It wants, in this order:
//
//  1. no more than a TastingGlass without a bottle, where the bottles on hand suffice;
//     where they do not, all of them are filled;
//  2. no part bottle, else one;
//  3. the fewest bottles;
//  4. the least wine outside full bottles;
//  5. the smallest part bottle, for the least air.
//
// It is exact, by dynamic programming over every bottle and every multiple of the largest
// measure that all sizes share.
//
// Valid:  ml 0 to 60,000; sizes 10 mL and more.
// Errors: outside that.
func FillBottles(ml int, sizes []BottleSize) (Filling, error) {
	none := Filling{Full: make([]int, len(sizes)), Part: -1, LeftML: ml}
	if ml < 0 || ml > 60_000 {
		return none, fmt.Errorf("must.FillBottles: %d mL is outside 0 to 60,000 mL", ml)
	}
	p := packing{units: make([]int, len(sizes)), have: make([]int, len(sizes))}
	for i, size := range sizes {
		if size.ML < 10 {
			return none, fmt.Errorf("must.FillBottles: a bottle of %d mL is too small; 10 mL is the least", size.ML)
		}
		p.unit = common(size.ML, p.unit)
		p.have[i] = ml / size.ML
		if size.Have >= 0 {
			p.have[i] = min(p.have[i], size.Have)
		}
	}
	if len(sizes) == 0 {
		return none, nil
	}
	p.upTo = ml / p.unit
	for i, size := range sizes {
		p.units[i] = size.ML / p.unit
	}
	nothing := make([]int16, p.upTo+1)
	for v := 1; v <= p.upTo; v++ {
		nothing[v] = never
	}
	p.levels = [][]int16{nothing}
	p.pack(0)
	if best := p.best(max(0, ml-TastingGlass)); best >= 0 {
		none.Full = p.unpack(best)
		none.LeftML = ml - best*p.unit
		return none, nil
	}
	if f, found := withPart(ml, sizes, p); found {
		return f, nil
	}
	for i, size := range sizes {
		none.Full[i] = size.Have
		none.LeftML -= size.Have * size.ML
	}
	return none, nil
}

// withPart chooses full bottles and one more for all that is left. For each size the best of
// all fillings serves if it leaves a bottle of that size; if not, one is kept back and the
// others are packed anew.
func withPart(ml int, sizes []BottleSize, p packing) (Filling, bool) {
	best := Filling{Part: -1}
	fewest := int16(never)
	for i, size := range sizes {
		from, others := max(0, ml-size.ML+1), p
		v := p.best(from)
		if v >= 0 && p.unpack(v)[i] == size.Have {
			if size.Have == 0 {
				continue
			}
			others.have = slices.Clone(p.have)
			others.have[i]--
			others.pack(i)
			v = others.best(from)
		}
		if v < 0 {
			continue
		}
		f := Filling{Part: i, PartML: ml - v*p.unit}
		count := others.fewest()[v]
		better := count < fewest || count == fewest && (f.PartML < best.PartML ||
			f.PartML == best.PartML && size.ML < sizes[best.Part].ML)
		if better {
			f.Full = others.unpack(v)
			fewest, best = count, f
		}
	}
	return best, best.Part >= 0
}

// never is no number of bottles: 60 L are 6,000 of the smallest.
const never = math.MaxInt16

// packing is the fewest bottles that hold exactly so many units, for every number of them.
type packing struct {
	unit        int   // mL, the largest measure that all sizes share
	upTo        int   // units
	units, have []int // of each size: how much it holds, and how many there are

	levels [][]int16 // by units, with the first so many sizes; never: no way
	used   [][]int16 // of each size in the best way, with the sizes before it
}

// fewest is with all sizes.
func (p *packing) fewest() []int16 { return p.levels[len(p.levels)-1] }

// pack works it out size by size, from one on; those before stay as they are. A number of
// units v is reached best from one of v − u, v − 2u, … units, with as many bottles more, as
// far as there are bottles: for each rest of v by u that is the least in a window that
// slides, kept in a queue of rising values.
func (p *packing) pack(from int) {
	p.levels, p.used = slices.Clone(p.levels[:from+1]), slices.Clone(p.used[:from])
	queue := make([]int16, 0, p.upTo+1) // how many bottles of this size v would be, from the rest up
	for i := from; i < len(p.units); i++ {
		u, fewest := p.units[i], p.fewest()
		next, used := make([]int16, p.upTo+1), make([]int16, p.upTo+1)
		for rest := 0; rest < min(u, p.upTo+1); rest++ {
			queue = queue[:0]
			head := 0
			for q, v := int16(0), rest; v <= p.upTo; q, v = q+1, v+u {
				if here := fewest[v]; here != never {
					for len(queue) > head && fewest[rest+int(queue[len(queue)-1])*u]-queue[len(queue)-1] >= here-q {
						queue = queue[:len(queue)-1]
					}
					queue = append(queue, q)
				}
				for head < len(queue) && int(q-queue[head]) > p.have[i] {
					head++
				}
				next[v] = never
				if head < len(queue) {
					used[v] = q - queue[head]
					next[v] = fewest[v-int(used[v])*u] + used[v]
				}
			}
		}
		p.levels, p.used = append(p.levels, next), append(p.used, used)
	}
}

// best is the number of units, of at least so many mL, that takes the fewest bottles; of
// several the most. It is negative where there is none.
func (p *packing) best(fromML int) int {
	best, fewest := -1, p.fewest()
	for v := (fromML + p.unit - 1) / p.unit; v <= p.upTo; v++ {
		if fewest[v] != never && (best < 0 || fewest[v] <= fewest[best]) {
			best = v
		}
	}
	return best
}

// unpack is the bottles of each size that hold so many units.
func (p *packing) unpack(v int) []int {
	full := make([]int, len(p.units))
	for i := len(p.units) - 1; i >= 0; i-- {
		full[i] = int(p.used[i][v])
		v -= full[i] * p.units[i]
	}
	return full
}

// common is the largest measure that two numbers share.
func common(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
