package tables

import (
	"slices"
	"strings"
)

// Status is how a value came into a table.
type Status string

// What a value can be. Those from memory are shown, and decide nothing.
const (
	Printed    Status = "printed"     // copied from a published table that was read
	Secondary  Status = "secondary"   // the same through another's print of it
	Measured   Status = "measured"    // an experiment's own figures
	Computed   Status = "computed"    // by the formula named, elsewhere and before this code
	FromMemory Status = "from memory" // of the source named, unverified

	Transcribed Status = "transcribed" // coefficients that equal public copies; the source itself not read
	ByRow       Status = "by row"      // the rows say it themselves
)

// Decides says whether a deviation from such a value is a fault.
func (s Status) Decides() bool { return s != FromMemory }

// Entry is a line of index.csv.
type Entry struct {
	Table   string
	Column  string // whose status and source these are; "" for the table
	Rows    int
	Status  Status
	Sources []string // keys of internal/reference/sources.csv
	What    string
}

var index = readIndex()

// Index returns every entry, in the order of table and column.
func Index() []Entry { return slices.Clone(index) }

// About returns the entry of a column, or that of its table where it has none of its own.
func About(table, column string) Entry {
	at := slices.IndexFunc(index, func(e Entry) bool { return e.Table == table && e.Column == column })
	switch {
	case at >= 0:
		return index[at]
	case column != "":
		return About(table, "")
	}
	panic("tables: index.csv has no " + table)
}

func readIndex() []Entry {
	var all []Entry
	for _, row := range Read("index.csv") {
		all = append(all, Entry{
			Table: row.Text("table"), Column: row.Text("column"), Rows: int(row.Number("rows")),
			Status: Status(row.Text("status")), Sources: strings.Fields(row.Text("sources")), What: row.Text("what"),
		})
	}
	return all
}
