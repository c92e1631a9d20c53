package acidity

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// row is one line of a table by the names of its columns.
type row struct {
	t     *testing.T
	cells map[string]string
}

// table reads a file of testdata and fails unless it has so many rows: a shortened
// table passes too easily.
func table(t *testing.T, name string, want int) []row {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []row
	for _, line := range lines[1:] {
		cells := map[string]string{}
		for i, heading := range lines[0] {
			cells[heading] = line[i]
		}
		rows = append(rows, row{t, cells})
	}
	if len(rows) != want {
		t.Fatalf("%s has %d rows, want %d", name, len(rows), want)
	}
	return rows
}

func (r row) text(column string) string {
	r.t.Helper()
	cell, ok := r.cells[column]
	if !ok {
		r.t.Fatalf("no column %q", column)
	}
	return cell
}

func (r row) number(column string) float64 {
	r.t.Helper()
	x, err := strconv.ParseFloat(r.text(column), 64)
	if err != nil {
		r.t.Fatalf("column %q: %v", column, err)
	}
	return x
}
