package calibration

import (
	"math"
	"strings"
	"testing"

	"skep/internal/estimate"
)

// read makes a series of rows "time quantity value unit".
func read(t *testing.T, meta string, rows ...string) *series {
	t.Helper()
	text := "series_id,time_h,quantity,value,unit\n"
	for _, r := range rows {
		text += "a," + strings.Join(strings.SplitN(r, " ", 4), ",") + "\n"
	}
	folder, err := Read(written(t, "series_id,dataset,volume_L,yeast\na,made,"+meta+"\n", text))
	if err != nil {
		t.Fatal(err)
	}
	return folder.series[0]
}

func values(looks []estimate.Observation) (v []float64) {
	for _, l := range looks {
		v = append(v, l.Value)
	}
	return v
}

func near(t *testing.T, what string, got []float64, within float64, want ...float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %v, want %v", what, got, want)
		return
	}
	for i := range want {
		if math.Abs(got[i]-want[i]) > within {
			t.Errorf("%s: %v, want %v", what, got, want)
			return
		}
	}
}

// One sample is one reading, whatever scales it was written on. 20 °Bx is 1.0830 (any
// sugar table); below zero a degree is 0.00387, as just above.
func TestDensities(t *testing.T) {
	s := read(t, "1,", "0 brix 20 degBrix", "48 brix 12 degBrix", "48 specific_gravity 1.050 1", "48 density 1.048 g/mL", "72 density 1.0482 g/mL", "96 brix -1 degBrix")
	r, err := s.of(byDensity)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "gravities", values(r.looks), 0.0001, 1.0830, 1.0500, 1.0501, 0.9961)
	if r.juice {
		t.Error("a laboratory's Brix at hour 0 is taken for a tank's")
	}
	if r, err = read(t, "1,", "0 brix_hydrometer 20 degBrix", "9 brix_hydrometer 19 degBrix").of(byDensity); err != nil || !r.juice {
		t.Errorf("a tank's Brix at hour 0 is a juice analysis: %v, %v", r.juice, err)
	}
}

// Twelve per cent of alcohol and the extract of a dry wine: 0.992 to 0.997 is what such
// wines show (common practice, no source).
func TestSugars(t *testing.T) {
	s := read(t, "1,", "0 glucose 100 g/L", "0 fructose 105 g/L", "0 ethanol 0 % vol", "48 sugar 100 g/L", "72 ethanol 9 % vol", "96 sugar 0 g/L", "96 ethanol 12.2 % vol")
	r, err := s.of(bySugar)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.looks) != 2 {
		t.Fatalf("%d readings, want the two with sugar and ethanol", len(r.looks))
	}
	near(t, "gravity of a dry wine", values(r.looks[1:]), 0.0025, 0.9945)
	sugar, err := sugarAt(r.looks[0].Value)
	near(t, "sugar of that gravity", []float64{sugar}, 0.1, 205)
	if err != nil {
		t.Error(err)
	}
}

func TestGas(t *testing.T) {
	for name, rows := range map[string][]string{
		"a start written":    {"0 co2_cumulated 0 g/L", "24 co2_cumulated 30 g/L", "48 co2_cumulated 80 g/L"},
		"a start understood": {"24 co2_cumulated 30 g/L", "48 co2_cumulated 80 g/L"},
	} {
		r, err := read(t, "0.5,", rows...).of(byCO2)
		if err != nil || r.reference == nil {
			t.Fatalf("%s: %v, %v", name, r, err)
		}
		near(t, name, values(r.looks), 1e-9, r.reference.Value-15, r.reference.Value-40)
	}
}

// A litre loses 20 g, half of what is left is taken, and the rest loses 10 g: as much, by
// the gram, as 20 g more of a whole litre.
func TestWeightsStepOverSamples(t *testing.T) {
	const taken = (litreGrams - 20) / 2
	want := []float64{20, 20 + 10*litreGrams/taken}
	for name, rows := range map[string][]string{
		"labels in order":         {"0 mass_start 1500 g", "24 mass_before_sampling 1480 g", "24 mass_after_sampling 945 g", "48 mass_before_sampling 935 g"},
		"a sample a little later": {"0 mass_start 1500 g", "24 mass_before_sampling 1480 g", "24.1 mass_after_sampling 945 g", "48 mass_before_sampling 935 g"},
		"one label twice":         {"0 mass_start 1500 g", "24 mass_after_sampling 945 g", "24 mass_after_sampling 1480 g", "48 mass 935 g"},
		"in kg":                   {"0 mass 1.5 kg", "24 mass_before_sampling 1.480 kg", "24 mass_after_sampling 0.945 kg", "48 mass_before_sampling 0.935 kg"},
		"ended by a sample alone": {"0 mass_start 1500 g", "24 mass_before_sampling 1480 g", "24 mass_after_sampling 945 g", "48 mass_before_sampling 935 g", "72 mass_after_sampling 900 g"},
	} {
		r, err := read(t, "1,", rows...).of(byWeight)
		if err != nil || r.reference == nil {
			t.Fatalf("%s: %v, %v", name, r, err)
		}
		near(t, name, values(r.looks), 1e-6, r.reference.Value-want[0], r.reference.Value-want[1])
		if !(r.looks[1].SD > r.looks[0].SD) {
			t.Errorf("%s: spreads %g and %g do not add up", name, r.looks[0].SD, r.looks[1].SD)
		}
	}
	// The first weight "before" is a slip; what counts is the one after the sample.
	r, err := read(t, "17,", "0 mass_before_sampling 13.32 kg", "0 mass_after_sampling 16.92 kg", "24 mass_before_sampling 16.52 kg").of(byWeight)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "weight after a day that took 400 g", values(r.looks), 1e-6, r.reference.Value-400)
}

func TestKindOfYeast(t *testing.T) {
	for words, want := range map[string]string{
		"Saccharomyces cerevisiae wine yeast, fermented on skins": "red wine yeast",
		"Saccharomyces cerevisiae wine yeast, grape must":         "white wine yeast",
		"S. cerevisiae + T. delbrueckii":                          "unknown yeast",
		"five species together, start Even":                       "unknown yeast",
		"alone: T. delbrueckii":                                   "wild yeast",
		"":                                                        "wild yeast",
	} {
		if got := (&series{yeast: words}).kindOfYeast(); got != want {
			t.Errorf("kindOfYeast(%q) = %q, want %q", words, got, want)
		}
	}
}
