package calibration

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"skep/internal/reference/tables"
)

const redlab = "testdata/redlab"

// written is a folder with these two files.
func written(t *testing.T, meta, series string) string {
	t.Helper()
	dir := t.TempDir()
	for file, text := range map[string]string{metaFile: meta, seriesFile: series} {
		if err := os.WriteFile(filepath.Join(dir, file), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

const (
	goodMeta   = "series_id,dataset,volume_L,initial_sugar_g_per_L,initial_yan_mg_N_per_L,temperature_degC,yeast\na,made,1,200,,see series,cerevisiae\n"
	goodSeries = "series_id,time_h,quantity,value,unit\na,0,specific_gravity,1.080,1\na,48,specific_gravity,1.040,1\n"
)

func TestReadRefuses(t *testing.T) {
	if _, err := Read(written(t, goodMeta, goodSeries)); err != nil {
		t.Fatalf("the folder that the others spoil: %v", err)
	}
	for _, tt := range []struct {
		name         string
		meta, series string // "" for the good one
		want         []string
	}{
		{"no column", "", "series_id,time_h,quantity,value\na,0,brix,20\n", []string{"series.csv row 1: no column unit"}},
		{"empty file", "", "", nil},
		{"heading alone", "", "series_id,time_h,quantity,value,unit\n", []string{"series.csv row 2: no row"}},
		{"no number", "", goodSeries + "a,60,specific_gravity,sweet,1\n", []string{`series.csv row 4: value "sweet" is not a number`}},
		{"no value", "", goodSeries + "a,60,specific_gravity,,1\n", []string{`row 4: value "" is not a number`}},
		{"not a number", "", goodSeries + "a,60,specific_gravity,NaN,1\n", []string{"row 4: value NaN is outside 0.95 to 1.25"}},
		{"a slip", "", goodSeries + "a,60,specific_gravity,10.4,1\n", []string{"row 4: value 10.4 is outside 0.95 to 1.25"}},
		{"a slip in kg", "", goodSeries + "a,60,mass,12000,kg\n", []string{"row 4: value 12000 is outside 0.001 to 1000"}},
		{"before pitching", "", goodSeries + "a,-1,specific_gravity,1.03,1\n", []string{"row 4: time_h -1 is outside 0 to"}},
		{"no such quantity", "", goodSeries + "a,60,gravety,1.03,1\n", []string{`row 4: quantity "gravety" is not one of brix, `}},
		{"no such unit", "", goodSeries + "a,60,brix,9,degPlato\n", []string{`row 4: brix in "degPlato"; it is read in degBrix`}},
		{"a cell too few", "", goodSeries + "a,60,brix,9\n", []string{"row 4: 4 cells, the heading has 5"}},
		{"an open quote", "", goodSeries + "\"a,60,brix,9,degBrix\n", []string{"series.csv row 4: "}},
		{"a series of which nothing is said", "", goodSeries + "b,60,brix,9,degBrix\n", []string{`series.csv row 4: series "b" is not in meta.csv`}},
		{"twice", goodMeta + "a,made,1,200,,20,cerevisiae\n", "", []string{`meta.csv row 3: series "a" stands twice`}},
		{"no dataset", goodMeta + "b,,1,200,,20,cerevisiae\n", "", []string{"meta.csv row 3: series_id and dataset must be there"}},
		{"words for a number", goodMeta + "b,made,1,plenty,,20,cerevisiae\n", "", []string{`meta.csv row 3: initial_sugar_g_per_L "plenty" is not a number`}},
		{"hot", goodMeta + "b,made,1,200,,68,cerevisiae\n", "", []string{"meta.csv row 3: temperature_degC 68 is outside 1 to 40"}},
		{"all faults at once", goodMeta + "b,made,1,200,,68,c\n", goodSeries + "a,60,brix,x,degBrix\na,61,brix,y,degBrix\n", []string{"meta.csv row 3", "series.csv row 4", "series.csv row 5"}},
		{"a quoted line break keeps the count", "", "series_id,time_h,quantity,value,unit\n\"a\n\",0,brix,20,degBrix\na,1,brix,x,degBrix\n", []string{"series.csv row 4: value"}},
	} {
		meta, series := goodMeta, goodSeries
		if tt.meta != "" {
			meta = tt.meta
		}
		if tt.series != "" || tt.name == "empty file" {
			series = tt.series
		}
		_, err := Read(written(t, meta, series))
		if err == nil {
			t.Errorf("%s: no error", tt.name)
			continue
		}
		for _, want := range tt.want {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v, want %q", tt.name, err, want)
			}
		}
	}
	if _, err := Read(t.TempDir()); err == nil {
		t.Error("a folder without files: no error")
	}
}

// A thousand bad rows are not a thousand lines.
func TestReadStopsTelling(t *testing.T) {
	_, err := Read(written(t, goodMeta, goodSeries+strings.Repeat("a,1,brix,x,degBrix\n", 1000)))
	if err == nil || strings.Count(err.Error(), "\n") != mostFaults || !strings.Contains(err.Error(), "and 980 more") {
		t.Errorf("Read of 1000 bad rows: %v", err)
	}
}

// Order of rows, line ends, a mark at the start and columns nobody reads change nothing.
func TestReadIsPatient(t *testing.T) {
	meta := "\ufeffnote,dataset,series_id\r\n\"kept, as it is\",made,a\r\n"
	folder, err := Read(written(t, meta, "unit,value,quantity,time_h,series_id\r\n1,1.040,specific_gravity,48,a\r\n1,1.080,specific_gravity,0,a\r\n"))
	if err != nil {
		t.Fatal(err)
	}
	s := folder.series[0]
	if len(s.seen) != 2 || s.seen[0].at != 0 || s.seen[0].value != 1.080 || s.litres != 0 {
		t.Errorf("series %+v, want the two readings in order of time", s)
	}
}

// What stands here and in the tables is the same.
func TestRedlabIsTheTable(t *testing.T) {
	folder, err := Read(redlab)
	if err != nil {
		t.Fatal(err)
	}
	type key struct {
		id, quantity string
		at           float64
	}
	here := map[key]float64{}
	rows := 0
	for _, s := range folder.series {
		for _, o := range s.seen {
			here[key{s.id, o.quantity, o.at}] = o.value
			rows++
		}
	}
	for _, r := range tables.Read("kinetics/redlab_series.csv") {
		k := key{r.Text("series_id"), r.Text("quantity"), r.Number("time_h")}
		if v, found := here[k]; !found || v != r.Number("value") {
			t.Errorf("%v is %g here, %s in the table", k, v, r.Text("value"))
		}
	}
	if len(folder.series) != 10 || rows != 473 {
		t.Errorf("%d series with %d rows, want 10 with 473", len(folder.series), rows)
	}
}
