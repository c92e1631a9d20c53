package solve

import (
	"errors"
	"math"
)

// ErrNoLargest says that no largest value was found: nothing bounds it, or rounding leads
// in a circle.
var ErrNoLargest = errors.New("solve: no largest value")

// Largest finds x that makes c·x as large as can be, where a x ≤ b and x ≥ 0, by the
// simplex method: from corner to better corner, starting where x is zero.
//
// Of several answers it is one at a corner: no more of x are above zero than there are
// rows that hold with equality. Where many rows meet in one corner, it leaves by the one
// that rounding hurts least; should that lead in a circle, the first variable that can
// enter does (Bland's rule).
//
// Shapes: a has m rows of n; b has m; c and x have n.
// Valid:  b 0 or more. What is below 1e-11 of the largest in c, or 1e-9 of the largest in its
// row of a, is nothing: scale what is asked.
// Errors: ErrNoLargest.
// Panics: lengths that differ; b below zero.
// Repeats: the same arguments give the same bits.
// Source: [bland1977] the rule; from memory, checked against another program.
func Largest(c []float64, a [][]float64, b []float64) ([]float64, error) {
	rows, columns := len(b), len(c)
	table := start(c, a, b)
	nothing := make([]float64, rows+1)
	for i, row := range table {
		share := 1e-9
		if i == rows {
			share = 1e-11
		}
		for _, x := range row[:columns] {
			nothing[i] = max(nothing[i], share*math.Abs(x))
		}
	}
	// Variables are numbered: first x, then what each row falls short of its bound.
	basic, others := make([]int, rows), make([]int, columns)
	for i := range basic {
		basic[i] = columns + i
	}
	for j := range others {
		others[j] = j
	}
	for round := range 1000 * (rows + columns) { // fewer than both together are usual
		first := round > 10*(rows+columns)
		enter := -1
		for j := range others {
			switch worth := -table[rows][j]; {
			case worth <= nothing[rows]:
			case enter < 0, first && others[j] < others[enter], !first && worth > -table[rows][enter]:
				enter = j
			}
		}
		if enter < 0 {
			x := make([]float64, columns)
			for i, v := range basic {
				if v < columns {
					x[v] = max(0, table[i][columns])
				}
			}
			return x, nil
		}
		// The first bound that it meets, and of those as near but for rounding the steepest.
		nearest := math.Inf(1)
		for i := range basic {
			if table[i][enter] > nothing[i] {
				nearest = min(nearest, (max(0, table[i][columns])+1e-12)/table[i][enter])
			}
		}
		leave := -1
		for i := range basic {
			steep := table[i][enter]
			if steep > nothing[i] && max(0, table[i][columns])/steep <= nearest && (leave < 0 || steep > table[leave][enter]) {
				leave = i
			}
		}
		if leave < 0 {
			break
		}
		exchange(table, leave, enter)
		basic[leave], others[enter] = others[enter], basic[leave]
	}
	return nil, ErrNoLargest
}

// start is the table for x of zero. A row says what its basic variable is: the last entry,
// less the others' variables times their entries. The last row says so of c·x.
func start(c []float64, a [][]float64, b []float64) [][]float64 {
	if len(a) != len(b) {
		panic("solve: rows and bounds differ in length")
	}
	var table [][]float64
	for i, row := range a {
		if len(row) != len(c) {
			panic("solve: rows and variables differ in length")
		}
		if !(b[i] >= 0) {
			panic("solve: a bound below zero")
		}
		table = append(table, append(append(make([]float64, 0, len(c)+1), row...), b[i]))
	}
	last := make([]float64, len(c)+1)
	for j, x := range c {
		last[j] = -x
	}
	return append(table, last)
}

// exchange makes the variable of a column basic, in place of that of a row.
func exchange(table [][]float64, row, column int) {
	pivot := table[row][column]
	for j := range table[row] {
		table[row][j] /= pivot
	}
	table[row][column] = 1 / pivot
	for i := range table {
		factor := table[i][column]
		if i == row || factor == 0 {
			continue
		}
		for j := range table[i] {
			table[i][j] -= factor * table[row][j]
		}
		table[i][column] = -factor / pivot
	}
}
