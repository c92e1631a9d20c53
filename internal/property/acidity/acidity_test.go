package acidity

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/reference/tables"
)

func named(t *testing.T, name string) Acid {
	t.Helper()
	a, err := Named(name)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// The first seven rows are the acids of the package; equivalents are arithmetic on molar
// masses, printed to 0.001 and 0.0001. Carbonic and sulphurous acid are not acids of a must here.
func TestEquivalents(t *testing.T) {
	rows := tables.Read("acidity/acids_pka_equivalents.csv")
	if len(All()) != 7 {
		t.Fatalf("%d acids, want 7", len(All()))
	}
	for i, a := range All() {
		row := rows[i]
		if !strings.HasPrefix(row.Text("acid"), a.Name) || a.MolarMass != row.Number("molar_mass_g_per_mol") ||
			float64(len(a.PKa)) != row.Number("protons_titrated_to_pH_8.2") {
			t.Errorf("%+v does not match the row of %s", a, row.Text("acid"))
		}
		for k, column := range []string{"pKa1_25C_water", "pKa2", "pKa3"} {
			if k < len(a.PKa) && a.PKa[k] != row.Number(column) {
				t.Errorf("%s: pK %d = %g, want %s", a.Name, k+1, a.PKa[k], row.Text(column))
			}
		}
		if off := a.Equivalent() - row.Number("equivalent_mass_g_per_eq"); math.Abs(off) > 0.001 {
			t.Errorf("equivalent of %s = %.4f g, off by %.4f", a.Name, a.Equivalent(), off)
		}
		got := float64(Convert(1, tartaric, a))
		if math.Abs(got-row.Number("g_acid_per_g_as_tartaric")) > 0.0001 {
			t.Errorf("Convert(1 g/L tartaric to %s) = %.5f g/L, want %s", a.Name, got, row.Text("g_acid_per_g_as_tartaric"))
		}
		if back := Convert(measure.GramsPerLitre(got), a, tartaric); math.Abs(float64(back)-1) > 1e-12 {
			t.Errorf("Convert of %s and back = %g", a.Name, back)
		}
		ta, err := Titratable([]Amount{{a, measure.GramsPerLitre(got)}}, 0)
		if err != nil || math.Abs(float64(ta)-1) > 1e-12 {
			t.Errorf("Titratable(%s) = %g g/L, %v, want 1", a.Name, ta, err)
		}
	}
}

// One acid of one proton: h² + (K + c)h − K(a − c) = 0 with a cation c, but for the
// 1e-11 mol/L of water's own ions.
func TestPHOfOneAcid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, err := Named(rapid.SampledFrom([]string{"lactic", "acetic", "gluconic"}).Draw(t, "acid"))
		if err != nil {
			t.Fatal(err)
		}
		mmol := rapid.Float64Range(5, 100).Draw(t, "mmol")
		cation := mmol * rapid.Float64Range(0, 0.8).Draw(t, "neutralised")
		got, err := PH([]Amount{{a, measure.GramsPerLitre(mmol * a.MolarMass / 1000)}}, cation, 0)
		k, c, s := math.Pow(10, -a.PKa[0]), mmol/1000, cation/1000
		h := (-(k + s) + math.Sqrt((k+s)*(k+s)+4*k*(c-s))) / 2
		if want := -math.Log10(h); err != nil || math.Abs(got-want) > 1e-4 {
			t.Fatalf("PH(%g mmol/L %s, %g meq/L) = %.6f, %v, want %.6f", mmol, a.Name, cation, got, err, want)
		}
	})
	if got, err := PH(nil, 0, 0); err != nil || math.Abs(got-7) > 1e-6 {
		t.Errorf("PH(water) = %g, %v, want 7", got, err)
	}
}

// More acid is never less acid, more potassium never more.
func TestPHIsMonotonic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var amounts []Amount
		for _, a := range All() {
			amounts = append(amounts, Amount{a, measure.GramsPerLitre(rapid.Float64Range(0.1, 5).Draw(t, a.Name))})
		}
		cation := rapid.Float64Range(0, 5).Draw(t, "cation")
		ph := func(amounts []Amount, cation float64) float64 {
			got, err := PH(amounts, cation, 0)
			if err != nil {
				t.Fatal(err)
			}
			return got
		}
		base := ph(amounts, cation)
		if ph(amounts, cation+1) <= base {
			t.Fatal("more potassium did not raise the pH")
		}
		amounts[rapid.IntRange(0, 6).Draw(t, "which")].GL++
		if ph(amounts, cation) >= base {
			t.Fatal("more acid did not lower the pH")
		}
	})
}

// Measured at two ionic strengths, with and without 12 % vol [prenesti2012], to 0.01 in
// each constant: the difference is good to 0.02.
func TestConstantsInEthanol(t *testing.T) {
	beta := map[string]float64{}
	rows := tables.Read("acidity/acid_constants_vs_ethanol.csv")
	for _, row := range rows {
		beta[row.Text("ligand")+row.Text("protons")+" "+row.Text("ionic_strength_mol_per_L")+" "+row.Text("ethanol_percent_vol")] = row.Number("log10_beta")
	}
	shift := func(what string) float64 { return beta[what+" 12"] - beta[what+" 0"] }
	for name, measured := range map[string]float64{
		"lactic, 0.05 mol/L": shift("lactate1 0.05"),
		"lactic, 0.1 mol/L":  shift("lactate1 0.1"),
		"succinic, second":   shift("succinate1 0.05"), // the last proton to go is the first to come
		"succinic, first":    shift("succinate2 0.05") - shift("succinate1 0.05"),
	} {
		if off := perStrength*12 - measured; math.Abs(off) > 0.02 {
			t.Errorf("%s: constant shifts by %.3f in 12 %% vol, measured %.3f", name, perStrength*12, measured)
		}
	}
	lactic := []Amount{{named(t, "lactic"), 2}}
	without, err := PH(lactic, 10, 0)
	if err != nil {
		t.Fatal(err)
	}
	with, err := PH(lactic, 10, 12)
	if err != nil || with <= without {
		t.Errorf("PH in 12 %% vol = %.3f, %v, in water %.3f: want more in alcohol", with, err, without)
	}
}

func TestHoneyRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ph := rapid.Float64Range(3.4, 4.5).Draw(t, "pH")
		free := rapid.Float64Range(15, 50).Draw(t, "free")
		acid, cation, err := Honey(ph, free)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(acid-cation-free) > 1e-9 {
			t.Fatalf("Honey(%g, %g): acid %g less cation %g is not the free acidity", ph, free, acid, cation)
		}
		got, err := PH([]Amount{{gluconic, measure.GramsPerLitre(acid * honeyInWater * gluconic.MolarMass / 1000)}}, cation*honeyInWater, 0)
		if err != nil || math.Abs(got-ph) > 1e-4 {
			t.Fatalf("PH of Honey(%g, %g) = %.6f, %v", ph, free, got, err)
		}
	})
}

// The mean American honey, pH 3.91 and 22 meq/kg free. That free acidity is from memory,
// so that this only says whether the answers are of a honey's order: its total acid is
// printed as 8.68 to 59.49 meq/kg, and 300 g/L of it as 0.50 to 0.66 g/L as tartaric
// (computed elsewhere from 22 to 29 meq/kg).
func TestMeanHoney(t *testing.T) {
	rows := tables.Read("acidity/honey_acidity.csv")
	if got := rows[0].Text("value"); got != "3.91 (3.42 to 6.10)" {
		t.Fatalf("pH of honeys in the table = %q", got)
	}
	acid, cation, err := Honey(3.91, 22.03)
	if err != nil || acid < 22.03 || acid > 59.49 {
		t.Errorf("Honey(3.91, 22.03) = %.1f meq/kg, %v, want 22.03 to 59.49", acid, err)
	}
	must := []Amount{{gluconic, measure.GramsPerLitre(acid * 0.3 * gluconic.MolarMass / 1000)}}
	ta, err := Titratable(must, cation*0.3)
	if err != nil || ta < 0.495 || ta > 0.665 {
		t.Errorf("Titratable(300 g/L of it) = %.3f g/L, %v, want 0.50 to 0.66", ta, err)
	}
	ph, err := PH(must, cation*0.3, 0)
	t.Logf("mean honey: %.1f meq/kg acid, %.1f cations; 300 g/L: TA %.2f g/L, pH %.2f", acid, cation, ta, ph)
	if err != nil || ph < 3.5 || ph > 4.3 {
		t.Errorf("PH(300 g/L of it) = %.2f, %v, want near the honey's own", ph, err)
	}
	// A must of honey is nearly unbuffered: about 5 meq/L per pH (computed elsewhere from
	// 8.7 meq/L of acid at its pK; what cations add is left out there).
	more, err := PH(must, cation*0.3+1, 0)
	if err != nil || 1/(more-ph) < 4 || 1/(more-ph) > 10 {
		t.Errorf("buffer = %.1f meq/L per pH, %v, want 4 to 10", 1/(more-ph), err)
	}
}

func TestOutsideIsAnError(t *testing.T) {
	citric := named(t, "citric acid")
	only := func(_ any, err error) error { return err }
	honey := func(ph, free float64) error { _, _, err := Honey(ph, free); return err }
	for name, err := range map[string]error{
		"negative acid":       only(PH([]Amount{{citric, -1}}, 0, 0)),
		"acid nan":            only(PH([]Amount{{citric, measure.GramsPerLitre(math.NaN())}}, 0, 0)),
		"lye":                 only(PH([]Amount{{citric, 1}}, 50, 0)),
		"negative cation":     only(PH([]Amount{{citric, 1}}, -1, 0)),
		"spirit":              only(PH([]Amount{{citric, 1}}, 0, 40)),
		"titratable, lye":     only(Titratable([]Amount{{citric, 1}}, 50)),
		"honeydew":            honey(5.5, 20),
		"honey without acid":  honey(3.4, 0.5),
		"honey, not a number": honey(math.NaN(), 20),
	} {
		var outside *property.RangeError
		if !errors.As(err, &outside) {
			t.Errorf("%s: error %v, want a *property.RangeError", name, err)
		}
	}
	if _, err := Named("formic"); err == nil || !strings.Contains(err.Error(), "tartaric") {
		t.Errorf(`Named("formic") = %v, want an error that lists the acids`, err)
	}
}

func ExamplePH() {
	// A honey must with the juice of a lemon in 4.5 L: 0.5 g/L of citric acid, 2.4 g/L of
	// gluconic acid and 5.8 meq/L of potassium from the honey.
	citric, _ := Named("citric")
	honey, _ := Named("gluconic")
	ph, err := PH([]Amount{{citric, 0.5}, {honey, 2.4}}, 5.8, 0)
	fmt.Printf("pH %.1f, %v\n", ph, err)
	// Output: pH 3.6, <nil>
}
