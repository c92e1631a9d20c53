package lab

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"skep/internal/measure"
	"skep/internal/reference/tables"
)

// comparison holds one quantity against one column of a table.
type comparison struct {
	quantity  string
	table     string
	column    string
	key       func(tables.Row) string // which row it is, for a person
	only      func(tables.Row) bool   // which rows are compared; nil for all
	compute   func(tables.Row) (float64, error)
	printed   func(tables.Row) float64 // the figure in column, where its cell holds more; nil for all of the cell
	scale     float64                  // what the column is multiplied by to be in unit; 0 for 1
	relative  bool                     // the deviation is a share of the value, in %
	unit      string                   // of the deviation, "" for a number without one
	tolerance float64                  // in unit; none for what is from memory
	why       string                   // the tolerance's reason
	aside     string                   // why rows that might decide do not: another method than ours, or other things
	status    tables.Status            // of the rows compared, where the table is "by row"
	source    string                   // key of the rows compared, where the table's are several
}

// Result is how far a quantity lies from its table.
type Result struct {
	Quantity  string        `json:"quantity"`
	Table     string        `json:"table"`
	Column    string        `json:"column"`
	Sources   []string      `json:"sources"` // keys of the register
	Status    tables.Status `json:"status"`
	Rows      int           `json:"rows"`
	Deviation float64       `json:"deviation"` // the largest, without its sign
	Unit      string        `json:"unit"`      // of deviation and tolerance
	Where     string        `json:"where"`     // the row of the largest
	Tolerance float64       `json:"tolerance,omitzero"`
	Why       string        `json:"why,omitzero"` // of the tolerance, or why rows that are not from memory do not decide
	Decides   bool          `json:"decides"`      // whether a miss is a fault
	Missed    int           `json:"missed"`       // rows beyond the tolerance, where they decide
}

// Accuracy walks every table and returns what was found, in the order of the rooms.
//
// Errors: a method refused a row that its comparison says is in its range, or gave no number.
func Accuracy() ([]Result, error) {
	var results []Result
	for _, c := range slices.Concat(densities(), hydrometers(), extracts(), gases(), bottles(), refractions(), warmth(), acids(), sulphites(), honeys(), lemons(), verifications(), fermentations()) {
		r, err := c.walk()
		if err != nil {
			return nil, err
		}
		results = append(results, r)
	}
	return results, nil
}

func (c comparison) walk() (Result, error) {
	about := tables.About(c.table, c.column)
	if c.status == "" {
		c.status = about.Status
	}
	if c.source != "" {
		about.Sources = []string{c.source}
	}
	result := Result{
		Quantity: c.quantity, Table: c.table, Column: c.column, Sources: about.Sources, Status: c.status,
		Unit: c.unit, Tolerance: c.tolerance, Why: c.why + c.aside, Decides: c.status.Decides() && c.aside == "",
	}
	for _, row := range tables.Read(c.table) {
		if c.only != nil && !c.only(row) {
			continue
		}
		off, err := c.deviation(row)
		if err == nil && math.IsNaN(off) {
			err = errors.New("not a number")
		}
		if err != nil {
			return Result{}, fmt.Errorf("%s at %s: %w", c.quantity, c.key(row), err)
		}
		result.Rows++
		if result.Decides && off > c.tolerance {
			result.Missed++
		}
		if result.Rows == 1 || off > result.Deviation {
			result.Deviation, result.Where = off, c.key(row)
		}
	}
	if result.Rows == 0 {
		return Result{}, fmt.Errorf("%s: no row of %s is compared", c.quantity, c.table)
	}
	return result, nil
}

func (c comparison) deviation(row tables.Row) (float64, error) {
	got, err := c.compute(row)
	var want float64
	if c.printed != nil {
		want = c.printed(row)
	} else {
		want = row.Number(c.column)
	}
	if c.scale != 0 {
		want *= c.scale
	}
	if c.relative {
		return math.Abs(100 * (got/want - 1)), err
	}
	return math.Abs(got - want), err
}

// fault says that rows which decide lie beyond their tolerance.
func (r Result) fault() bool { return r.Missed > 0 }

// at returns a key that writes the cells of some columns.
func at(format string, columns ...string) func(tables.Row) string {
	return func(r tables.Row) string {
		var cells []any
		for _, column := range columns {
			cells = append(cells, r.Text(column))
		}
		return fmt.Sprintf(format, cells...)
	}
}

// only passes rows whose column begins with one of some words.
func only(column string, words ...string) func(tables.Row) bool {
	return func(r tables.Row) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(r.Text(column), w) })
	}
}

// nth reads one of the figures in a cell that holds several.
func nth(column string, n int) func(tables.Row) float64 {
	return func(r tables.Row) float64 { return r.Figures(column)[n] }
}

// plain makes a method's quantity a number.
func plain[Q ~float64](q Q, err error) (float64, error) { return float64(q), err }

// upTo passes rows whose column does not exceed a limit.
func upTo(column string, limit float64) func(tables.Row) bool {
	return func(r tables.Row) bool { return r.Number(column) <= limit }
}

// of makes a computation of a share and a temperature one of the row's columns;
// a temperature column of "" is 20 °C.
func of(method func(measure.MassFraction, measure.Celsius) (measure.Density, error), share, temperature string) func(tables.Row) (float64, error) {
	return func(r tables.Row) (float64, error) {
		t := measure.Celsius(20)
		if temperature != "" {
			t = r.Celsius(temperature)
		}
		return plain(method(r.Share(share), t))
	}
}
