package calibration

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Folder is measured fermentations, by id.
type Folder struct{ series []*series }

// series is one fermentation: what is known of it, and what was seen, in order of time.
// Of what is known, 0 means not said.
type series struct {
	id, dataset, yeast, juice string
	litres                    float64
	sugar                     float64 // g/L
	nitrogen                  float64 // assimilable, mg/L
	celsius                   float64
	seen                      []seen
}

// seen is one observation, in the first unit of its quantity.
type seen struct {
	at       float64 // h
	quantity string
	value    float64
	step     float64 // of the last digit written
}

// quantity is what may stand in series.csv: units with their size in the first, and the
// range, in the first, beyond which a value is a slip and no measurement.
type quantity struct {
	units     map[string]float64
	low, high float64
}

var (
	brix     = quantity{map[string]float64{"degBrix": 1}, -10, 60}
	perLitre = quantity{map[string]float64{"g/L": 1}, 0, 500}
	weight   = quantity{map[string]float64{"g": 1, "kg": 1000}, 1, 1e6}
)

var quantities = map[string]quantity{
	"brix":                 brix,
	"brix_hydrometer":      brix,
	"specific_gravity":     {map[string]float64{"1": 1}, 0.95, 1.25},
	"density":              {map[string]float64{"kg/m3": 1, "g/L": 1, "g/mL": 1000, "g/cm3": 1000}, 950, 1250},
	"sugar":                perLitre,
	"glucose":              perLitre,
	"fructose":             perLitre,
	"ethanol":              {map[string]float64{"% vol": 1}, 0, 25},
	"co2_cumulated":        {map[string]float64{"g/L": 1}, -20, 250},
	"mass":                 weight,
	"mass_start":           weight,
	"mass_before_sampling": weight,
	"mass_after_sampling":  weight,
	"temperature":          {map[string]float64{"degC": 1}, 0, 40}, // as the model's course
}

const (
	seriesFile = "series.csv"
	metaFile   = "meta.csv"
	longest    = 20000.0 // h, over two years
)

// Read reads a folder.
//
// Errors: a file that cannot be read; every malformed row, with its file and its place,
// the heading being row 1.
func Read(dir string) (Folder, error) {
	meta, faults, err := readTable(dir, metaFile, "series_id", "dataset")
	if err != nil {
		return Folder{}, err
	}
	byID := map[string]*series{}
	var folder Folder
	for _, r := range meta {
		s, err := readMeta(r)
		if err == nil && byID[s.id] != nil {
			err = fmt.Errorf("series %q stands twice", s.id)
		}
		if err != nil {
			faults = append(faults, r.fault(err))
			continue
		}
		byID[s.id] = s
		folder.series = append(folder.series, s)
	}
	rows, more, err := readTable(dir, seriesFile, "series_id", "time_h", "quantity", "value", "unit")
	if err != nil {
		return Folder{}, err
	}
	faults = append(faults, more...)
	for _, r := range rows {
		s := byID[r.cell("series_id")]
		if s == nil {
			faults = append(faults, r.fault(fmt.Errorf("series %q is not in %s", r.cell("series_id"), metaFile)))
			continue
		}
		o, err := readSeen(r)
		if err != nil {
			faults = append(faults, r.fault(err))
			continue
		}
		s.seen = append(s.seen, o)
	}
	if len(faults) > 0 {
		return Folder{}, malformed(faults)
	}
	for _, s := range folder.series {
		slices.SortStableFunc(s.seen, func(a, b seen) int { return cmp.Compare(a.at, b.at) })
	}
	slices.SortFunc(folder.series, func(a, b *series) int { return cmp.Compare(a.id, b.id) })
	return folder, nil
}

// mostFaults are told; more of them say nothing new.
const mostFaults = 20

func malformed(faults []error) error {
	if more := len(faults) - mostFaults; more > 0 {
		faults = append(faults[:mostFaults:mostFaults], fmt.Errorf("and %d more", more))
	}
	return errors.Join(faults...)
}

func readMeta(r row) (*series, error) {
	s := &series{id: r.cell("series_id"), dataset: r.cell("dataset"), yeast: r.cell("yeast"), juice: r.cell("juice")}
	if s.id == "" || s.dataset == "" {
		return nil, errors.New("series_id and dataset must be there")
	}
	for _, c := range []struct {
		column    string
		into      *float64
		low, high float64
	}{
		{"volume_L", &s.litres, 0.01, 1e6},
		{"initial_sugar_g_per_L", &s.sugar, 10, 450},
		{"initial_yan_mg_N_per_L", &s.nitrogen, 1, 1000},
		{"temperature_degC", &s.celsius, 1, 40},
	} {
		text := r.cell(c.column)
		if text == "" || text == "see series" {
			continue
		}
		var err error
		if *c.into, err = number(c.column, text, c.low, c.high); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func readSeen(r row) (seen, error) {
	at, err := number("time_h", r.cell("time_h"), 0, longest)
	if err != nil {
		return seen{}, err
	}
	o := seen{at: at, quantity: r.cell("quantity")}
	q, known := quantities[o.quantity]
	if !known {
		return seen{}, fmt.Errorf("quantity %q is not one of %s", o.quantity, names(quantities))
	}
	size, known := q.units[r.cell("unit")]
	if !known {
		return seen{}, fmt.Errorf("%s in %q; it is read in %s", o.quantity, r.cell("unit"), names(q.units))
	}
	text := r.cell("value")
	if o.value, err = number("value", text, q.low/size, q.high/size); err != nil {
		return seen{}, err
	}
	o.value *= size
	o.step = size
	if _, decimals, found := strings.Cut(text, "."); found {
		for range decimals {
			o.step /= 10
		}
	}
	return o, nil
}

func number(what, text string, low, high float64) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, fmt.Errorf("%s %q is not a number", what, text)
	}
	if !(v >= low && v <= high) {
		return 0, fmt.Errorf("%s %s is outside %g to %g", what, text, low, high)
	}
	return v, nil
}

func names[V any](m map[string]V) string {
	var all []string
	for name := range m {
		all = append(all, name)
	}
	slices.Sort(all)
	return strings.Join(all, ", ")
}

// row is one line of a file.
type row struct {
	file    string
	number  int
	columns map[string]int
	cells   []string
}

// cell is "" where the file has no such column.
func (r row) cell(column string) string {
	if at, found := r.columns[column]; found {
		return strings.TrimSpace(r.cells[at])
	}
	return ""
}

func (r row) fault(err error) error { return fmt.Errorf("%s row %d: %w", r.file, r.number, err) }

// readTable reads a CSV file that has at least these columns.
func readTable(dir, file string, columns ...string) (rows []row, faults []error, err error) {
	content, err := os.ReadFile(filepath.Join(dir, file))
	if err != nil {
		return nil, nil, err
	}
	lines := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(content, []byte("\ufeff"))))
	lines.FieldsPerRecord = -1
	heading, err := lines.Read()
	if err != nil {
		return nil, nil, fmt.Errorf("%s row 1: no heading", file)
	}
	places := map[string]int{}
	for i, name := range heading {
		places[strings.TrimSpace(name)] = i
	}
	for _, column := range columns {
		if _, found := places[column]; !found {
			return nil, nil, fmt.Errorf("%s row 1: no column %s", file, column)
		}
	}
	for {
		cells, err := lines.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			var parse *csv.ParseError
			if errors.As(err, &parse) {
				err = fmt.Errorf("%s row %d: %w", file, parse.StartLine, parse.Err)
			}
			return nil, nil, err
		}
		line, _ := lines.FieldPos(0)
		r := row{file: file, number: line, columns: places, cells: cells}
		if len(cells) != len(heading) {
			faults = append(faults, r.fault(fmt.Errorf("%d cells, the heading has %d", len(cells), len(heading))))
			continue
		}
		rows = append(rows, r)
	}
	if len(rows)+len(faults) == 0 {
		return nil, nil, fmt.Errorf("%s row 2: no row", file)
	}
	return rows, faults, nil
}
