package density

import (
	"fmt"
	"testing"

	"skep/internal/reference/tables"
)

// The tables in the code are those of the files, digit for digit.
func TestCoefficients(t *testing.T) {
	for _, r := range tables.Read("density/ethanol_water_oiml_coefficients.csv") {
		k := int(r.Number("k"))
		var got float64
		switch r.Text("term") {
		case "A":
			if got = oimlWater; k > 1 {
				got = oimlA[k-2]
			}
		case "B":
			got = oimlB[k-1]
		case "C":
			got = oimlC[int(r.Number("i"))-1][k-1]
		}
		if want := r.Number("value"); got != want {
			t.Errorf("%s(%s, %d) = %g, want %g", r.Text("term"), r.Text("i"), k, got, want)
		}
	}
	for _, r := range tables.Read("density/sucrose_density_icumsa_sps4_coefficients.csv") {
		i, k := int(r.Number("power_of_u")), int(r.Number("power_of_w"))
		if got, want := spsRise[i][k-1], r.Number("coefficient_kg_per_m3"); got != want {
			t.Errorf("c(%d, %d) = %g, want %g", i, k, got, want)
		}
	}
	fits := map[string][3]float64{"glucose": glucoseRise48, "fructose": fructoseRise48, "glycerol": glycerolRise20}
	found := 0
	for _, r := range tables.Read("density/solute_polynomial_fits_20C.csv") {
		got, ours := fits[r.Text("solute")]
		if !ours || r.Text("quantity") != "density_20C_kg_per_m3" {
			continue // refraction, and the second fit of sucrose, are not used here
		}
		found++
		if want := [3]float64{r.Number("c1"), r.Number("c2"), r.Number("c3")}; got != want {
			t.Errorf("fit of %s = %v, want %v", r.Text("solute"), got, want)
		}
	}
	if found != len(fits) {
		t.Errorf("%d fits compared, want %d", found, len(fits))
	}
}

// The water of the sucrose formula against ours: they must be the same liquid for the
// shift of one to the other to be harmless.
func TestWatersOfTheFormulas(t *testing.T) {
	c := map[string]float64{}
	for _, r := range tables.Read("density/sucrose_density_icumsa_sps4_water_coefficients.csv") {
		c[r.Text("term")] = r.Number("value")
	}
	var sps, oiml worst
	for at := 0.0; at <= 40; at++ {
		theirs := polynomial([]float64{c["n0"], c["n1"], c["n2"], c["n3"], c["n4"], c["n5"]}, at) / (1 + c["d1"]*at)
		sps.note(theirs-water(at), fmt.Sprintf("%g °C", at))
		u := at - 20
		oiml.note(oimlWater+u*polynomial(oimlB[:], u)-water(at), fmt.Sprintf("%g °C", at))
	}
	sps.log(t, "kg/m³, water of the sucrose formula")
	oiml.log(t, "kg/m³, water of the ethanol formula")
	if sps.off > 0.008 || oiml.off > 0.008 {
		t.Errorf("the waters part by %.4f and %.4f kg/m³, want at most 0.008", sps.off, oiml.off)
	}
}

func TestWaterCoefficients(t *testing.T) {
	c := map[string]float64{}
	for _, r := range tables.Read("density/water_tanaka2001_coefficients.csv") {
		c[r.Text("name")] = r.Number("value")
	}
	for at := 0.0; at <= 40; at += 5 {
		want := c["a5"] * (1 - (at+c["a1"])*(at+c["a1"])*(at+c["a2"])/(c["a3"]*(at+c["a4"])))
		if got := water(at); got != want {
			t.Errorf("water(%g °C) = %.10f kg/m³, want %.10f", at, got, want)
		}
	}
}
