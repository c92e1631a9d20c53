package lab

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestCalibrateRun(t *testing.T) {
	folder := func(series string) string {
		dir := t.TempDir()
		for file, text := range map[string]string{
			"meta.csv":   "series_id,dataset,yeast\na,made,S. cerevisiae wine yeast\n",
			"series.csv": "series_id,time_h,quantity,value,unit\n" + series,
		} {
			if err := os.WriteFile(filepath.Join(dir, file), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		return dir
	}
	good := folder("a,0,specific_gravity,1.090,1\na,48,specific_gravity,1.062,1\na,96,specific_gravity,1.030,1\na,144,specific_gravity,1.008,1\na,240,specific_gravity,0.998,1\n")
	bad := folder("a,0,specific_gravity,sweet,1\n")
	for _, tt := range []struct {
		name           string
		args           []string
		exit           int
		stdout, stderr string // must contain; "" means must be empty, but for how far it is
	}{
		{"a table, and what was assumed", []string{"calibrate", good}, 0, "a, density\n\ncovered: share", ""},
		{"as JSON", []string{"calibrate", good, "--json"}, 0, `"coverage80"`, ""},
		{"as Markdown", []string{"calibrate", good, "--markdown"}, 0, "| a, density | 3 |", ""},
		{"a malformed row", []string{"calibrate", bad}, 1, "", `series.csv row 2: value "sweet" is not a number`},
		{"no such folder", []string{"calibrate", filepath.Join(good, "none")}, 1, "", "meta.csv"},
		{"no folder", []string{"calibrate"}, 2, "", "1 arg"},
	} {
		var stdout, stderr bytes.Buffer
		if exit := Run(tt.args, &stdout, &stderr); exit != tt.exit {
			t.Errorf("%s: exit status %d, want %d: %s", tt.name, exit, tt.exit, &stderr)
		}
		told := strings.ReplaceAll(stderr.String(), "1 of 1 series\n", "")
		for out, want := range map[string]string{stdout.String(): tt.stdout, told: tt.stderr} {
			if !strings.Contains(out, want) || want == "" && out != "" {
				t.Errorf("%s: %q, want %q", tt.name, out, want)
			}
		}
	}

	var stdout, again, stderr bytes.Buffer
	Run([]string{"calibrate", good, "--json"}, &stdout, &stderr)
	Run([]string{"calibrate", good, "--json"}, &again, &stderr)
	if !bytes.Equal(stdout.Bytes(), again.Bytes()) {
		t.Error("the same folder twice gives two reports")
	}
	type score struct {
		Coverage *float64 `json:"coverage80"`
		Density  *float64 `json:"density_error_median"`
		Time     *float64 `json:"time_error_median"`
	}
	var got struct {
		score
		Series []struct {
			ID string `json:"series_id"`
			score
		}
	}
	if err := json.Unmarshal(stdout.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if got.Coverage == nil || got.Density == nil || got.Time == nil || len(got.Series) != 1 || got.Series[0].ID != "a" || *got.Series[0].Coverage != *got.Coverage {
		t.Errorf("calibrate --json = %+v, want figures over all, and the same for the only series", got)
	}
}

const (
	calibrationPage = "../../docs/calibration.md"
	redlabBegin     = "<!-- redlab: printed by go test ./internal/lab -update -->\n"
	redlabEnd       = "<!-- end of redlab -->\n"
)

// What the page shows of the series that are in the repository is what is computed.
func TestCalibrationPageIsTrue(t *testing.T) {
	if testing.Short() {
		t.Skip("45 forecasts; they are made in the long run")
	}
	var want, stderr bytes.Buffer
	if exit := Run([]string{"calibrate", "calibration/testdata/redlab", "--markdown"}, &want, &stderr); exit != 0 {
		t.Fatalf("exit status %d: %s", exit, &stderr)
	}
	text, err := os.ReadFile(calibrationPage)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, found := strings.Cut(string(text), redlabBegin)
	got, after, closed := strings.Cut(rest, redlabEnd)
	if !found || !closed {
		t.Fatalf("%s has no place for the redlab tables", calibrationPage)
	}
	if *update {
		if err := os.WriteFile(calibrationPage, []byte(before+redlabBegin+want.String()+redlabEnd+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if got != want.String() {
		t.Errorf("%s is not what skep-lab calibrate says: go test ./internal/lab -update", calibrationPage)
	}
}
