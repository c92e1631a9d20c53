package solve_test

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"

	"skep/internal/solve"
)

func TestLargest(t *testing.T) {
	for _, tt := range []struct {
		name string
		c    []float64
		a    [][]float64
		b    []float64
		want []float64
	}{
		{"a corner", []float64{3, 2}, [][]float64{{1, 1}, {1, 3}}, []float64{4, 6}, []float64{4, 0}},
		{"between two rows", []float64{1, 1}, [][]float64{{1, 2}, {2, 1}}, []float64{3, 3}, []float64{1, 1}},
		{"nothing is worth having", []float64{-1, -2}, [][]float64{{1, 1}}, []float64{4}, []float64{0, 0}},
		{"no rows", []float64{-1}, nil, nil, []float64{0}},
		{"equal to nothing", []float64{1, 1}, [][]float64{{1, -2}, {-1, 2}, {1, 0}}, []float64{0, 0, 3}, []float64{3, 1.5}},
		// Going where c·x rises most leads round for ever here (Beale 1955, from memory).
		{
			"many rows in one corner",
			[]float64{0.75, -150, 0.02, -6},
			[][]float64{{0.25, -60, -0.04, 9}, {0.5, -90, -0.02, 3}, {0, 0, 1, 0}},
			[]float64{0, 0, 1},
			[]float64{0.04, 0, 1, 0},
		},
	} {
		got, err := solve.Largest(tt.c, tt.a, tt.b)
		if err != nil || len(got) != len(tt.want) {
			t.Errorf("%s: Largest = %v, %v, want %v", tt.name, got, err, tt.want)
			continue
		}
		for j := range got {
			if math.Abs(got[j]-tt.want[j]) > 1e-12 {
				t.Errorf("%s: Largest = %v, want %v", tt.name, got, tt.want)
			}
		}
	}
	if got, err := solve.Largest([]float64{1, 0}, [][]float64{{-1, 1}}, []float64{2}); !errors.Is(err, solve.ErrNoLargest) {
		t.Errorf("Largest without a bound = %v, %v, want %v", got, err, solve.ErrNoLargest)
	}
}

// Against another program, on small whole numbers: the same value within rounding, at a
// point that keeps every row. (That program is not used for blends: on some, whose rows
// all meet where x is zero, it does not end.)
func TestLargestAgainstAnotherProgram(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		columns, rows := rapid.IntRange(1, 6).Draw(t, "columns"), rapid.IntRange(1, 6).Draw(t, "rows")
		number := rapid.Map(rapid.IntRange(-9, 9), func(i int) float64 { return float64(i) })
		c := rapid.SliceOfN(number, columns, columns).Draw(t, "c")
		var a [][]float64
		var b []float64
		for range rows {
			a = append(a, rapid.SliceOfN(number, columns, columns).Draw(t, "row"))
			b = append(b, float64(rapid.IntRange(0, 5).Draw(t, "bound")))
		}
		for j := range columns { // that it has a largest
			row := make([]float64, columns)
			row[j] = 1
			a, b = append(a, row), append(b, 10)
		}
		x, err := solve.Largest(c, a, b)
		if err != nil {
			t.Fatal(err)
		}
		value := 0.
		for j := range x {
			value += c[j] * x[j]
			if x[j] < 0 {
				t.Fatalf("x is %v, below zero", x)
			}
		}
		for i := range a {
			sum := 0.
			for j := range x {
				sum += a[i][j] * x[j]
			}
			if sum > b[i]+1e-9 {
				t.Fatalf("row %v of %v is %g, above %g", a[i], x, sum, b[i])
			}
		}
		// It minimises, with equations: what each row falls short is a variable of its own.
		m := len(b)
		whole := mat.NewDense(m, columns+m, nil)
		cost := make([]float64, columns+m)
		start := make([]int, m)
		for j := range c {
			cost[j] = -c[j]
		}
		for i := range a {
			for j, x := range a[i] {
				whole.Set(i, j, x)
			}
			whole.Set(i, columns+i, 1)
			start[i] = columns + i
		}
		least, _, err := lp.Simplex(cost, whole, b, 1e-10, start)
		if err != nil || math.Abs(value+least) > 1e-7*(1+math.Abs(least)) {
			t.Fatalf("c·x = %.12g, want %.12g (%v)", value, -least, err)
		}
	})
}
