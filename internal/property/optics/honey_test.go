package optics

import (
	"errors"
	"math"
	"testing"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/reference/tables"
)

// The three rows are those of the file, and the curve passes through them. What it is good
// for between them is seen where a row can be left out: 70 % from 46, 50 and 84, and 46 %
// from 42, 50 and 70. Each row is printed to 0.0001, so that a curve through three of
// them can miss a fourth by as much.
func TestSyrupIndex(t *testing.T) {
	printed := map[float64]float64{}
	for _, r := range tables.Read("density/sucrose_crc_20C.csv") {
		printed[r.Number("mass_percent")] = r.Number("refractive_index_20C_589nm_printed")
	}
	for _, row := range syrup {
		if printed[row[0]] != row[1] {
			t.Errorf("%g %% is %g, printed %g", row[0], row[1], printed[row[0]])
		}
		if got := parabola(syrup, row[0]); math.Abs(got-row[1]) > 1e-12 {
			t.Errorf("the curve at %g %% is %.6f, want %g", row[0], got, row[1])
		}
	}
	row := func(w float64) [2]float64 { return [2]float64{w, printed[w]} }
	for left, by := range map[float64][3][2]float64{
		70: {row(46), row(50), row(84)},
		46: {row(42), row(50), row(70)},
	} {
		got := parabola(by, left)
		t.Logf("%g %%: %.5f, printed %.4f", left, got, printed[left])
		if math.Abs(got-printed[left]) > 0.0001 {
			t.Errorf("%g %% from its neighbours is %.5f, printed %.4f", left, got, printed[left])
		}
	}
	for _, w := range []measure.MassFraction{0.69, 0.85, 0, measure.MassFraction(math.NaN())} {
		n, err := SyrupIndex(w)
		if outside := new(property.RangeError); !errors.As(err, &outside) || n != 0 {
			t.Errorf("SyrupIndex(%g) = %g, %v, want a RangeError", w, n, err)
		}
	}
}
