package tables_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"skep/internal/reference"
	"skep/internal/reference/tables"
)

// A shortened table passes too easily: the index holds the rows of each, and names its sources.
func TestIndexIsWhole(t *testing.T) {
	listed := map[string]bool{}
	for _, e := range tables.Index() {
		rows := tables.Read(e.Table)
		if len(rows) != e.Rows {
			t.Errorf("%s has %d rows, want %d", e.Table, len(rows), e.Rows)
		}
		if e.Column == "" {
			listed[e.Table] = true
		} else if !rows[0].Has(e.Column) {
			t.Errorf("%s has no column %q", e.Table, e.Column)
		}
		known := []tables.Status{tables.Printed, tables.Secondary, tables.Measured, tables.Computed, tables.FromMemory, tables.Transcribed, tables.ByRow}
		if !slices.Contains(known, e.Status) || e.What == "" || len(e.Sources) == 0 {
			t.Errorf("%s: status %q, sources %q, %q", e.Table, e.Status, e.Sources, e.What)
		}
		for _, key := range e.Sources {
			if _, ok := reference.Source(key); !ok {
				t.Errorf("%s: source %q is not in the register", e.Table, key)
			}
		}
	}
	files, err := fs.Glob(os.DirFS("."), "*/*")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		if filepath.Ext(file) == ".csv" && !listed[file] {
			t.Errorf("%s is not in index.csv", file)
		}
	}
	if len(files) < 45 {
		t.Errorf("%d tables, want them all", len(files))
	}
}

func TestAbout(t *testing.T) {
	const table, recalled = "density/hydrometer_brix_temperature_correction_20C.csv", "correction_to_add_brix_table_recalled"
	if e := tables.About(table, recalled); e.Status != tables.FromMemory || e.Status.Decides() {
		t.Errorf("About(recalled column) = %+v, want from memory, deciding nothing", e)
	}
	if e := tables.About(table, "correction_to_add_brix_computed"); e.Status != tables.Computed || !e.Status.Decides() {
		t.Errorf("About(computed column) = %+v, want what the table is", e)
	}
}

// What is not there must not be taken for zero.
func TestWhatIsNotThere(t *testing.T) {
	row := tables.Read("density/sucrose_crc_20C.csv")[0]
	for name, call := range map[string]func(){
		"table":  func() { tables.Read("density/no_such.csv") },
		"column": func() { row.Number("no such") },
		"number": func() { tables.Read("density/potential_alcohol_factors.csv")[0].Number("name") },
		"row":    func() { tables.Find("gas/airlock_and_losses.csv", "item", "no such") },
		"one":    func() { tables.Find("gas/airlock_and_losses.csv", "item", "CO2 gas") },
		"entry":  func() { tables.About("density/no_such.csv", "") },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("asked for no such %s: no panic", name)
				}
			}()
			call()
		}()
	}
	if got := tables.Find("gas/airlock_and_losses.csv", "item", "Water carried out").Figures("value"); !slices.Equal(got, []float64{0.7, 1, 1.3}) {
		t.Errorf("Figures of water carried out = %v, want 0.7, 1.0 and 1.3", got)
	}
	if got := row.Share("mass_percent"); got != 0.01 {
		t.Errorf("Share of the first row = %g, want 0.01", got)
	}
}
