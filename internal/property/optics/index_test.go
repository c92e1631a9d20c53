package optics

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/property/density"
	"skep/internal/reference/tables"
)

// The coefficients in the code are those of the file, digit for digit.
func TestCoefficients(t *testing.T) {
	ours := map[string]bends{"sucrose": sucroseBends, "glucose": glucoseBends, "fructose": fructoseBends, "glycerol": glycerolBends, "ethanol": ethanolBends}
	limits := map[string]float64{"sucrose": sucroseLimit, "glucose": hexoseLimit, "fructose": hexoseLimit, "glycerol": glycerolLimit, "ethanol": ethanolLimit}
	found := 0
	for _, r := range tables.Read("density/solute_polynomial_fits_20C.csv") {
		if r.Text("quantity") != "refractive_index_20C" {
			continue
		}
		found++
		name := r.Text("solute")
		want := bends{r.Number("c1"), r.Number("c2"), r.Number("c3")}
		if ours[name] != want || r.Number("value_at_zero") != water || r.Number("fitted_up_to_mass_percent") != limits[name] {
			t.Errorf("%s: %v to %g %%, want %v to %g %%", name, ours[name], limits[name], want, r.Number("fitted_up_to_mass_percent"))
		}
	}
	if found != len(ours) {
		t.Errorf("%d fits found, want %d", found, len(ours))
	}
}

// Printed to 0.0001, so that rounding is half of it; the cubics were fitted to these rows
// and leave as much again.
func TestIndexAgainstPrintedTables(t *testing.T) {
	const tolerance = 0.0001
	var w worst
	for _, tt := range []struct {
		table string
		limit float64
		of    func(measure.MassFraction) density.Solution
	}{
		{"sucrose_crc_20C.csv", sucroseLimit, func(w measure.MassFraction) density.Solution { return density.Solution{Sucrose: w} }},
		{"glucose_crc_20C.csv", hexoseLimit, func(w measure.MassFraction) density.Solution { return density.Solution{Glucose: w} }},
		{"fructose_crc_20C.csv", hexoseLimit, func(w measure.MassFraction) density.Solution { return density.Solution{Fructose: w} }},
		{"ethanol_crc_20C.csv", ethanolLimit, func(w measure.MassFraction) density.Solution { return density.Solution{Ethanol: w} }},
		{"other_solutes_crc_20C.csv", glycerolLimit, func(w measure.MassFraction) density.Solution { return density.Solution{Glycerol: w} }},
	} {
		for _, r := range tables.Read("density/" + tt.table) {
			if r.Number("mass_percent") > tt.limit || r.Has("solute") && r.Text("solute") != "glycerol" {
				continue
			}
			got, err := Index(tt.of(r.Share("mass_percent")))
			where := fmt.Sprintf("%s, %s %%", tt.table, r.Text("mass_percent"))
			want := r.Number("refractive_index_20C_589nm_printed")
			w.note(got-want, where)
			if err != nil || math.Abs(got-want) > tolerance {
				t.Errorf("Index(%s) = %.5f, %v; printed %.4f", where, got, err, want)
			}
		}
	}
	w.log(t, "in n")
	if w.count != 73 {
		t.Errorf("%d rows, want 73", w.count)
	}
}

// Acid and slow sugar count as sucrose in a must. What is said of that: citric acid, to 2 %,
// shows 0.1 °Brix too much for each 1 %, 0.00015 in n; maltose, to 3 %, a digit of n at most.
func TestOtherSolidsAsSucrose(t *testing.T) {
	var w worst
	for _, r := range tables.Read("density/other_solutes_crc_20C.csv") {
		share := r.Number("mass_percent")
		bound := 0.0001
		switch name := r.Text("solute"); {
		case name == "citric acid" && share <= 2:
			bound = 0.00005 + 0.00015*share
		case name == "maltose" && share <= 3:
		default:
			continue
		}
		got, err := Index(density.Solution{Other: r.Share("mass_percent")})
		off := got - r.Number("refractive_index_20C_589nm_printed")
		w.note(off, fmt.Sprintf("%s %g %%", r.Text("solute"), share))
		if err != nil || math.Abs(off) > bound {
			t.Errorf("%s %g %%: n off by %.5f, %v", r.Text("solute"), share, off, err)
		}
	}
	w.log(t, "in n")
	if w.count != 7 {
		t.Errorf("%d rows, want 7", w.count)
	}
}

// The rows are from memory: they are shown, and decide nothing.
func TestBrixAgainstRecalledTable(t *testing.T) {
	var w worst
	for _, r := range tables.Read("optics/sucrose_refractive_index_icumsa.csv") {
		got, err := SucroseFromIndex(r.Number("refractive_index_20C_589nm"))
		if err != nil {
			t.Fatal(err)
		}
		w.note(100*float64(got)-r.Number("sucrose_mass_percent"), r.Text("sucrose_mass_percent")+" %")
	}
	w.log(t, "% mass from the scale as remembered (decides nothing)")
}

func TestBrixRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(1e-4, sucroseLimit/100.).Draw(t, "w")
		n, err := Index(density.Solution{Sucrose: measure.MassFraction(w)})
		if err != nil {
			t.Fatal(err)
		}
		back, err := SucroseFromIndex(n)
		if err != nil || math.Abs(float64(back)-w) > 1e-9*w {
			t.Errorf("SucroseFromIndex(Index(%.12g)) = %.12g, %v", w, back, err)
		}
	})
	if w, err := SucroseFromIndex(water); w != 0 || err != nil {
		t.Errorf("SucroseFromIndex(water) = %g, %v, want 0", w, err)
	}
}

// The other rule: what light makes of a gram (specific refraction, Lorentz and Lorenz)
// adds up, each solute's as in plain water, and the density is that of density.Must.
//
//	(n² − 1)/(n² + 2) = ρ Σ wᵢ rᵢ
//
// Where it parts from Index, either may be right. Uncertainties of density.Must, 0.5
// kg/m³, move it by 0.1 % mass.
func TestIndexAgainstLorentzLorenz(t *testing.T) {
	refraction := func(n float64) float64 { return (n*n - 1) / (n*n + 2) }
	index := func(s density.Solution) (n, rho float64) {
		n, err := Index(s)
		if err != nil {
			t.Fatal(err)
		}
		d, err := density.Must(s, 20)
		if err != nil {
			t.Fatal(err)
		}
		return n, float64(d)
	}
	plain, rhoPlain := index(density.Solution{})
	ofWater := refraction(plain) / rhoPlain
	// specific is r of a solute dissolved alone, as much of it as s holds.
	specific := func(s density.Solution, w float64) float64 {
		n, rho := index(s)
		return (refraction(n)/rho - (1-w)*ofWater) / w
	}
	var wine, sweet worst
	for alcohol := 2.0; alcohol <= 16; alcohol += 2 { // % mass; 12 is about 15 % vol
		for sugar := 1.0; sugar <= 20; sugar += 1 {
			s := density.Solution{
				Ethanol: measure.MassFraction(alcohol / 100), Glycerol: measure.MassFraction(alcohol / 1000),
				Fructose: measure.MassFraction(sugar / 100),
			}
			n, rho := index(s)
			e, g, f := float64(s.Ethanol), float64(s.Glycerol), float64(s.Fructose)
			sum := (1-e-g-f)*ofWater +
				e*specific(density.Solution{Ethanol: s.Ethanol}, e) +
				g*specific(density.Solution{Glycerol: s.Glycerol}, g) +
				f*specific(density.Solution{Fructose: s.Fructose}, f)
			l := rho * sum
			other := math.Sqrt((1 + 2*l) / (1 - l))
			one, err := SucroseFromIndex(n)
			if err != nil {
				t.Fatal(err)
			}
			two, err := SucroseFromIndex(other)
			if err != nil {
				t.Fatal(err)
			}
			off, where := 100*float64(one-two), fmt.Sprintf("%g %% ethanol, %g %% fructose", alcohol, sugar)
			w := &sweet
			if alcohol <= 12 && sugar <= 10 {
				w = &wine
			}
			if spread := 100 * float64(MixtureSpread(s)); math.Abs(off) > spread {
				t.Errorf("%s: the rules part by %.2f %% mass, more than MixtureSpread, %.2f", where, off, spread)
			}
			w.note(off, where)
		}
	}
	wine.log(t, "% mass to 15 % vol and 100 g/L")
	sweet.log(t, "% mass beyond, to 20 % vol and 200 g/L")
}

func TestIndexRefuses(t *testing.T) {
	for _, s := range []density.Solution{
		{Sucrose: 0.51},
		{Sucrose: -0.01},
		{Glucose: 0.3, Fructose: 0.19},
		{Sucrose: 0.485, Glucose: 0.001},
		{Ethanol: 0.31},
		{Glycerol: 0.21},
		{Ethanol: measure.MassFraction(math.NaN())},
		{Glucose: -0.1, Fructose: 0.2},
		{Other: measure.MassFraction(math.Inf(1))},
	} {
		n, err := Index(s)
		if outside := new(property.RangeError); !errors.As(err, &outside) || n != 0 {
			t.Errorf("Index(%+v) = %g, %v, want a RangeError", s, n, err)
		}
	}
	for _, n := range []float64{1.3329, 1.4202, 0, -1, math.NaN(), math.Inf(1)} {
		w, err := SucroseFromIndex(n)
		if outside := new(property.RangeError); !errors.As(err, &outside) || w != 0 {
			t.Errorf("SucroseFromIndex(%g) = %g, %v, want a RangeError", n, w, err)
		}
	}
}

func BenchmarkSucroseFromIndex(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := SucroseFromIndex(1.3638); err != nil {
			b.Fatal(err)
		}
	}
}
