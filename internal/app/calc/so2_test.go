package calc_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"skep/internal/app"
	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/reference/tables"
)

// Charts of cellars, with the constant 1.81, print whole mg/L.
func TestSO2AgainstCharts(t *testing.T) {
	for ph, want := range map[string]float64{"3.0": 13, "3.4": 32, "3.6": 50} {
		a := answer(t, "so2", "molecular=0.8 mg/L; ethanol=12 %vol; ph="+ph)
		if free := result(t, a, "free"); math.Abs(free.Value-want) > 0.5 || !(free.Low < free.Value && free.Value < free.High) {
			t.Errorf("so2(0.8 mg/L molecular, pH %s) = %+v, want %g mg/L", ph, free, want)
		}
		back := answer(t, "so2", fmt.Sprintf("free=%.9f mg/L; ethanol=12 %%vol; ph=%s", result(t, a, "free").Value, ph))
		if got := result(t, back, "molecular").Value; math.Abs(got-0.8) > 1e-6 {
			t.Errorf("so2 and back at pH %s: %.9f mg/L molecular, want 0.8", ph, got)
		}
		// The other constant stands beside it, and is not the careful one.
		if printed := result(t, a, "free_printed"); printed.Value >= result(t, a, "free").Value {
			t.Errorf("so2(pH %s): the OIV's constant asks for %g mg/L, no less", ph, printed.Value)
		}
	}
}

// Salt for so much SO2, computed elsewhere for a US gallon to 0.0001 g; in wine a part
// of it binds, and the range spans what is printed of that, 25 to 65 %.
func TestMetabisulphiteAllowsForBinding(t *testing.T) {
	for _, row := range tables.Read("sulphite/metabisulfite_addition.csv") {
		unbound := row.Number("computed_K2S2O5_g")
		said := fmt.Sprintf("ph=3.4; free=%s mg/L; volume=1 US gal", row.Text("SO2_ppm"))
		salt := result(t, answer(t, "so2", said), "metabisulphite")
		if math.Abs(salt.Value-unbound/0.55) > 0.0001/0.55 || salt.Low > unbound/0.75 || salt.High < unbound/0.35 {
			t.Errorf("so2(%s) takes %+v, want %.4f g, %.4f to %.4f", said, salt, unbound/0.55, unbound/0.75, unbound/0.35)
		}
		all, half := result(t, answer(t, "so2", said), "added").Value, result(t, answer(t, "so2", said+"; present=5 mg/L"), "added").Value
		if want := row.Number("SO2_ppm") - 5; math.Abs(half/all-want/(want+5)) > 1e-9 {
			t.Errorf("so2(%s) with 5 mg/L present takes %g of %g mg/L", said, half, all)
		}
	}
	there := answer(t, "so2", "ph=3.4; free=30 mg/L; present=40 mg/L; volume=4 L")
	if salt := result(t, there, "metabisulphite"); salt.Value != 0 || !strings.Contains(strings.Join(there.Notes, "\n"), "nothing needs to be added") {
		t.Errorf("so2 that is there already asks for %+v, %q", salt, there.Notes)
	}
}

func TestSO2DoesNotCreditWarmth(t *testing.T) {
	const said = "ph=3.5; ethanol=13 %vol; molecular=0.8 mg/L"
	want := result(t, answer(t, "so2", said), "free")
	for _, at := range []string{"12 C", "20 C", "28 C", "34 C"} {
		if got := result(t, answer(t, "so2", said+"; at="+at), "free"); got != want {
			t.Errorf("so2(%s) at %s = %+v, want %+v", said, at, got, want)
		}
	}
	cold := strings.Join(answer(t, "so2", said+"; at=12 C").Notes, "\n")
	for _, must := range []string{"below 20 °C no constant was found", "stops a ferment", "asthma", "200 (EU; from memory, unverified)"} {
		if !strings.Contains(cold, must) {
			t.Errorf("so2 does not say %q", must)
		}
	}
}

// Every printed dose by its words, none above 200 mg/L of sorbic acid.
func TestSorbateAgainstPrintedTable(t *testing.T) {
	capped := 0
	for _, row := range tables.Read("sulphite/sorbate_dose.csv") {
		said := fmt.Sprintf("volume=4 L; ethanol=%s %%vol; ph=%s", row.Text("alcohol_percent_vol"), row.Text("pH"))
		a := answer(t, "sorbate", said)
		want := row.Number("potassium_sorbate_mg_per_L")
		if most := 200 * 150.22 / 112.13; want > most {
			want, capped = most, capped+1
		}
		dose, salt, acid, stock := result(t, a, "dose"), result(t, a, "sorbate"), result(t, a, "sorbic_acid"), result(t, a, "stock")
		if math.Abs(dose.Value-want) > 1e-6 || math.Abs(salt.Value-want*0.004) > 1e-6 || acid.Value > 200+1e-9 || acid.High > 200+1e-9 {
			t.Errorf("sorbate(%s) = %+v, %+v, %+v, want %g mg/L", said, dose, salt, acid, want)
		}
		if math.Abs(stock.Value-10*salt.Value) > 1e-9 { // 10 g in 100 mL
			t.Errorf("sorbate(%s): %g g as %g mL of stock", said, salt.Value, stock.Value)
		}
	}
	if capped != 1 {
		t.Errorf("%d printed doses are above the ceiling, want 1", capped)
	}
	edge := answer(t, "sorbate", "volume=4 L; ethanol=10 %vol; ph=3.2")
	if notes := strings.Join(edge.Notes, "\n"); !strings.Contains(notes, "at the edge of the table") {
		t.Errorf("at 10 %% vol sorbate says only %q", edge.Notes)
	}
	big := answer(t, "sorbate", "volume=20 L; ethanol=12 %vol")
	for _, r := range big.Results {
		if r.Key == "stock" {
			t.Errorf("%+v of sorbate is given as stock", result(t, big, "sorbate"))
		}
	}
	if notes := strings.Join(big.Notes, "\n"); !strings.Contains(notes, "geranium") || !strings.Contains(notes, "stops a ferment") {
		t.Errorf("sorbate says only %q", big.Notes)
	}
}

func TestStabilisersRefuse(t *testing.T) {
	for _, tt := range []struct{ calc, said, field, err string }{
		{"so2", "molecular=0.8 mg/L", "ph", "is needed"},
		{"so2", "ph=3.4", "molecular", "is needed, or free"},
		{"so2", "ph=3.4; molecular=0.8 mg/L; free=30 mg/L", "free", "may contradict"},
		{"so2", "ph=3.4; molecular=0.8", "molecular", "has no unit"},
		{"so2", "ph=15; molecular=0.8 mg/L", "ph", "outside 0 to 14"},
		{"so2", "ph=3.4; molecular=0.8 mg/L; present=10 mg/L", "present", "goes with volume"},
		{"so2", "ph=3.4; molecular=0.8 mg/L; volume=0 L", "volume", "is nothing"},
		{"sorbate", "volume=4 L", "ethanol", "is needed"},
		{"sorbate", "ethanol=12 %vol", "volume", "is needed"},
	} {
		_, err := named(t, tt.calc).Answer(words(tt.said), measure.Metric)
		var asked *app.AskError
		if !errors.As(err, &asked) || asked.Field != tt.field || !strings.Contains(err.Error(), tt.err) {
			t.Errorf("%s(%s) = %v, want %q of %s", tt.calc, tt.said, err, tt.err, tt.field)
		}
	}
	for _, tt := range []struct{ calc, said, err string }{
		{"so2", "ph=4.8; molecular=0.8 mg/L", "pH 4.8 is outside 2.5 to 4.5"},
		{"so2", "ph=3.4; molecular=3 mg/L", "outside 0 to 2 mg/L"},
		{"so2", "ph=3.4; free=2 g/L", "outside 0 to 500 mg/L"},
		{"so2", "ph=3.4; ethanol=25 %vol; molecular=0.8 mg/L", "outside 0 to 20 % vol"},
		{"sorbate", "volume=4 L; ethanol=9 %vol", "outside 10 to 20 % vol"},
		{"sorbate", "volume=4 L; ethanol=12 %vol; ph=3.7", "outside 2.5 to 3.5"},
	} {
		got, err := named(t, tt.calc).Answer(words(tt.said), measure.Metric)
		var beyond *property.RangeError
		if !errors.As(err, &beyond) || !strings.Contains(err.Error(), tt.err) || len(got.Results) > 0 {
			t.Errorf("%s(%s) = %+v, %v, want %q", tt.calc, tt.said, got.Results, err, tt.err)
		}
	}
}
