package tables

import (
	"bytes"
	"embed"
	"encoding/csv"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"skep/internal/measure"
)

//go:embed index.csv */*.csv
var files embed.FS

// Row is one line of a table.
type Row struct {
	table   string
	heading []string
	cells   []string
}

// Read returns the rows of a table.
func Read(name string) []Row {
	content, err := files.ReadFile(name)
	if err != nil {
		panic("tables: " + err.Error())
	}
	lines, err := csv.NewReader(bytes.NewReader(content)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("tables: %s: %v", name, err))
	}
	var rows []Row
	for _, cells := range lines[1:] {
		rows = append(rows, Row{table: name, heading: lines[0], cells: cells})
	}
	return rows
}

// Has says whether the table has such a column.
func (r Row) Has(column string) bool { return slices.Contains(r.heading, column) }

// Text returns a cell as it stands.
func (r Row) Text(column string) string {
	at := slices.Index(r.heading, column)
	if at < 0 {
		panic(fmt.Sprintf("tables: %s has no column %q", r.table, column))
	}
	return r.cells[at]
}

// Number returns a cell that must hold a number.
func (r Row) Number(column string) float64 {
	x, err := strconv.ParseFloat(r.Text(column), 64)
	if err != nil {
		panic(fmt.Sprintf("tables: %s, column %q: %v", r.table, column, err))
	}
	return x
}

var figure = regexp.MustCompile(`\d+(\.\d+)?`)

// Figures returns the numbers in a cell that holds several, or words about them: of
// "0.5 to 0.8" both, of "<30" the one. They have neither sign nor exponent.
func (r Row) Figures(column string) []float64 {
	var all []float64
	for _, digits := range figure.FindAllString(r.Text(column), -1) {
		x, err := strconv.ParseFloat(digits, 64)
		if err != nil {
			panic(fmt.Sprintf("tables: %s, column %q: %v", r.table, column, err))
		}
		all = append(all, x)
	}
	return all
}

// Find returns the row whose column begins with the words. It panics unless there is
// exactly one.
func Find(name, column, words string) Row {
	rows := slices.DeleteFunc(Read(name), func(r Row) bool { return !strings.HasPrefix(r.Text(column), words) })
	if len(rows) != 1 {
		panic(fmt.Sprintf("tables: %s has %d rows of %s %q", name, len(rows), column, words))
	}
	return rows[0]
}

// Celsius returns a cell in °C.
func (r Row) Celsius(column string) measure.Celsius { return measure.Celsius(r.Number(column)) }

// Share returns a cell in % mass as a mass fraction.
func (r Row) Share(column string) measure.MassFraction {
	return measure.MassFraction(r.Number(column) / 100)
}
