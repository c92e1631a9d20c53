package gas

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

func TestVolumes(t *testing.T) {
	// 1.977 g/L is printed to 0.001; the wine formula's own two constants give 1.9767.
	if got := float64(FromVolumes(1)); math.Abs(got-1.977) > 0.0005 || math.Abs(got-1.951/0.987) > 0.0005 {
		t.Errorf("FromVolumes(1) = %.5f g/L, want 1.977", got)
	}
	if got := Volumes(FromVolumes(2.5)); math.Abs(got-2.5) > 1e-12 {
		t.Errorf("Volumes(FromVolumes(2.5)) = %g", got)
	}
}

// Computed from molar masses, to 0.0001; the careful yield must not lie below it.
func TestYields(t *testing.T) {
	rows := tables.Read("gas/co2_yield.csv")
	if want := rows[0].Number("value"); math.Abs(HexoseYield-want) > 0.00005 || CarefulYield < want {
		t.Errorf("HexoseYield %g, CarefulYield %g, want %g and no less", HexoseYield, CarefulYield, want)
	}
	if got, want := float64(FromVolumes(1)), rows[12].Number("value"); math.Abs(got-want) > 0.001 {
		t.Errorf("FromVolumes(1) = %.4f g/L, want %g ± 0.001", got, want)
	}
}

// Molar volumes of the real gas, by the same second virial coefficient that InWater uses.
// The first row is another's figure, met within 0.02 %; the rest are rounded.
func TestMolarVolumes(t *testing.T) {
	var w worst
	for _, row := range tables.Read("gas/co2_molar_volume.csv") {
		at, p := row.Number("t_degC"), row.Number("P_kPa")/100
		got := litresPerMole(p, at)
		off := got/row.Number("value") - 1
		w.note(100*off, fmt.Sprintf("%g °C, %g bar", at, p))
		if math.Abs(off) > 0.0003 {
			t.Errorf("a mole at %g °C and %g bar fills %.4f L, want %.4f", at, p, got, row.Number("value"))
		}
	}
	w.log(t, "%")
}

// litresPerMole is what a mole of CO2 fills at a pressure, bar, and a temperature, °C:
// p V = R T (1 + B p/(R T)), and ln(fugacity/p) = B p/(R T).
func litresPerMole(p, at float64) float64 {
	logarithm := math.Log(moleFraction(p, at) * henry(at) / p)
	return r * (at + kelvin) / p * (1 + logarithm)
}

// The handbook's mole fractions are printed to 0.001 of about 0.2 to 1.3 per thousand, so
// that rounding is up to 0.25 %; the equation is from memory and stands or falls here.
// The other rows are measurements of others: the handbook states 2 % for itself, so 3 %
// holds both errors, and the constants printed with two digits have 1.5 % of rounding
// more. The measurement of 1922 is logged and decides nothing: it lies 3 % below that
// of 1971 at the same temperature, three times the error that it states.
func TestCO2InWater(t *testing.T) {
	var handbook, others, oldest worst
	for _, row := range tables.Read("gas/co2_water_solubility.csv") {
		at, want, condition := row.Number("t_degC"), row.Number("value"), row.Text("condition")
		where := fmt.Sprintf("%g °C, %s", at, condition)
		w, tolerance := &others, 3.0 // %
		var got float64
		switch quantity := row.Text("quantity"); {
		case quantity == "1000 x mole fraction in liquid":
			p := 1.0
			if strings.Contains(condition, "50 kPa") {
				p = 0.5
			}
			got = 1000 * moleFraction(p, at)
			w, tolerance = &handbook, 0.3
		case quantity == "Bunsen coefficient": // L at 0 °C and 1 atm, per L and atm
			got = Volumes(inWater(t, Atmosphere, at))
		case quantity == "Ostwald coefficient": // L at t, near 1 atm; of 1922
			w, tolerance = &oldest, math.Inf(1)
			got = float64(inWater(t, Atmosphere, at)) / molar * 24.055 * (at + kelvin) / (20 + kelvin) * 0.9945
			// 24.055 L is the ideal mole at 20 °C and 1 atm; 0.9945 is Z of CO2 there
		case quantity == "Henry constant": // mol/L/atm
			got = float64(inWater(t, Atmosphere, at)) / molar
		default: // Hcp, mol/(m³ Pa), printed with two digits
			tolerance = 4.5
			got = float64(inWater(t, 1, at)) / molar * 1000 / 1e5
		}
		off := 100 * (got/want - 1)
		w.note(off, where)
		if math.Abs(off) > tolerance {
			t.Errorf("%s: %.5g, printed %.5g, off by %.2f %%", where, got, want, off)
		}
	}
	handbook.log(t, "% from the handbook")
	others.log(t, "% from other measurements")
	oldest.log(t, "% from the measurement of 1922 (decides nothing)")
}

func inWater(t *testing.T, p measure.Bar, at float64) measure.GramsPerLitre {
	t.Helper()
	c, err := InWater(p, measure.Celsius(at))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestWineAt20(t *testing.T) {
	var w worst
	for _, row := range tables.Read("gas/co2_wine_20C_rows.csv") {
		l := Liquid{Ethanol: measure.PercentVol(row.Number("alcohol_percent_vol")), Sugar: measure.GramsPerLitre(row.Number("sugar_g_per_L"))}
		p := measure.Bar(row.Number("absolute_CO2_pressure_bar"))
		got, err := Dissolved(p, l, 20, Least)
		where := fmt.Sprintf("%+v under %g bar", l, p)
		off := float64(got) - row.Number("CO2_g_per_L_computed_OIV")
		w.note(off, where)
		if err != nil || math.Abs(off) > 0.0001 {
			t.Errorf("Dissolved(%s) = %.5f g/L, %v, off by %.5f", where, got, err, off)
		}
		// The formula's other form counts litres, with a constant of three digits: 0.05 %.
		if litres := row.Number("CO2_L_STP_per_L_computed_OIV"); math.Abs(Volumes(got)/litres-1) > 0.0005 {
			t.Errorf("Volumes(%s) = %.4f, want %.4f", where, Volumes(got), litres)
		}
	}
	w.log(t, "g/L")
}

// Rounded to 0.01 g/L, and the vapour of water by another formula.
func TestSaturation(t *testing.T) {
	var w worst
	for _, row := range tables.Read("gas/co2_saturation_1atm.csv") {
		l, at := Liquid{Ethanol: measure.PercentVol(row.Number("alcohol_percent_vol"))}, row.Celsius("t_degC")
		for law, column := range map[Law]string{Flat: "CO2_g_per_L_flat", Steep: "CO2_g_per_L_steep"} {
			got, err := Saturated(l, at, law)
			where := fmt.Sprintf("%g %% vol, %g °C, %v", l.Ethanol, at, law)
			w.note(float64(got)-row.Number(column), where)
			if err != nil || math.Abs(float64(got)-row.Number(column)) > 0.006 {
				t.Errorf("Saturated(%s) = %.4f g/L, %v, want %.2f", where, got, err, row.Number(column))
			}
		}
	}
	w.log(t, "g/L")
}

// One sealed bottle of champagne at two temperatures, printed to 0.1 bar (2 %). The laws
// must enclose it: steep predicts more pressure from warming, so less from cooling.
// The headspace is not printed; leaving it out moves both by 2 %.
func TestChampagneBottle(t *testing.T) {
	rows := tables.Read("gas/champagne_bottle_pressure_vs_T.csv")
	cold, warm := rows[0], rows[1]
	l := Liquid{Ethanol: 12.5, Sugar: 10}
	at := func(law Law) float64 {
		c, err := Dissolved(measure.Bar(warm.Number("CO2_pressure_in_sealed_bottle_bar_abs")), l, warm.Celsius("t_degC"), law)
		if err != nil {
			t.Fatal(err)
		}
		p, err := Pressure(c, l, cold.Celsius("t_degC"), law)
		if err != nil {
			t.Fatal(err)
		}
		return float64(p)
	}
	printed := cold.Number("CO2_pressure_in_sealed_bottle_bar_abs")
	steep, flat := at(Steep), at(Flat)
	t.Logf("steep %.2f bar, printed %.1f, flat %.2f", steep, printed, flat)
	if !(steep < printed && printed < flat) || flat-steep > 0.1*printed {
		t.Errorf("steep %.3f and flat %.3f bar do not closely enclose the printed %.1f", steep, flat, printed)
	}
	for _, row := range rows {
		p, err := WaterVapour(row.Celsius("t_degC"))
		if err != nil || math.Abs(float64(p)-row.Number("water_vapour_bar")) > 0.0003 { // printed for 279 and 293 K, ±0.2 K
			t.Errorf("WaterVapour(%g °C) = %.4f bar, %v; printed %.4f", row.Celsius("t_degC"), p, err, row.Number("water_vapour_bar"))
		}
	}
}

// Both tables were written from memory: logged, deciding nothing.
func TestRememberedTables(t *testing.T) {
	var henryLow, henryHigh, factor worst
	for _, row := range tables.Read("gas/champagne_henry_vs_T.csv") {
		at, want := row.Celsius("t_degC"), row.Number("kH_g_per_L_per_bar")
		for law, w := range map[Law]*worst{Steep: &henryHigh, Flat: &henryLow} {
			got, err := Solubility(Liquid{Ethanol: 12.5, Sugar: 10}, at, law)
			if err != nil {
				t.Fatal(err)
			}
			w.note(100*(got/want-1), fmt.Sprintf("%g °C", at))
		}
	}
	for _, row := range tables.Read("gas/oiv_pressure_to_20C_factor.csv") {
		flat, err := flatFactor(row.Celsius("t_degC"))
		if err != nil {
			t.Fatal(err)
		}
		factor.note(100*(flat/row.Number("factor_OIV_table")-1), row.Text("t_degC")+" °C")
	}
	henryHigh.log(t, "% steep against remembered solubilities (decides nothing)")
	henryLow.log(t, "% flat against remembered solubilities (decides nothing)")
	factor.log(t, "% flat against the remembered table for 20 °C (decides nothing)")
}

func TestPressureRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		law := rapid.SampledFrom([]Law{Least, Most, Steep, Flat}).Draw(t, "law")
		l := Liquid{
			Ethanol: measure.PercentVol(rapid.Float64Range(0, 15).Draw(t, "A")),
			Sugar:   measure.GramsPerLitre(rapid.Float64Range(0, 100).Draw(t, "S")),
		}
		at := measure.Celsius(rapid.Float64Range(0, 40).Draw(t, "t"))
		p := rapid.Float64Range(0, 8).Draw(t, "p")
		c, err := Dissolved(measure.Bar(p), l, at, law)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Pressure(c, l, at, law)
		if err != nil || math.Abs(float64(back)-p) > 1e-12*p {
			t.Fatalf("Pressure(Dissolved(%g bar)) = %g bar, %v", p, back, err)
		}
	})
}

// Least and Most enclose both laws, everywhere, and refuse no wine that a bottle may hold.
func TestBoundsEncloseTheLaws(t *testing.T) {
	k := func(l Liquid, at measure.Celsius, law Law) float64 {
		got, err := Solubility(l, at, law)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	for at := measure.Celsius(0); at <= 40; at += 2 {
		for _, l := range []Liquid{{}, {Ethanol: 12}, {Ethanol: 15, Sugar: 100}} {
			low, high, steep, flat := k(l, at, Least), k(l, at, Most), k(l, at, Steep), k(l, at, Flat)
			if low != min(steep, flat) || high != max(steep, flat) {
				t.Errorf("%+v at %g °C: least %g, most %g, steep %g, flat %g", l, at, low, high, steep, flat)
			}
		}
		strong, edge := Liquid{Ethanol: 18, Sugar: 200}, Liquid{Ethanol: 15, Sugar: 100}
		if k(strong, at, Most) != k(edge, at, Most) || k(strong, at, Least) >= k(edge, at, Least) {
			t.Errorf("beyond the printed range at %g °C the bounds do not widen", at)
		}
	}
	for _, law := range []Law{Steep, Flat} {
		if _, err := Solubility(Liquid{Ethanol: 18}, 20, law); err == nil {
			t.Errorf("Solubility(18 %% vol, %v): no error beyond the printed range", law)
		}
	}
}

// chain is the bottle of the computed tables.
func chain(hexose float64, yield float64, law Law) ClosedBottle {
	return ClosedBottle{
		Volume: 0.750, Headspace: 0.020, Liquid: Liquid{Ethanol: 12}, CO2: 0.8,
		Hexose: measure.GramsPerLitre(hexose), Yield: yield, Law: law,
	}
}

// Rounded to 0.01 bar gauge, 0.001 bar of CO2 and air, 0.0001 bar of water.
func TestClosedBottleChain(t *testing.T) {
	var careful, low worst
	for _, row := range tables.Read("gas/closed_bottle_chain.csv") {
		x, at := row.Number("residual_hexose_g_per_L"), row.Celsius("t_degC")
		where := fmt.Sprintf("%g g/L at %g °C", x, at)
		p, err := chain(x, CarefulYield, Steep).Partial(at)
		if err != nil {
			t.Fatal(err)
		}
		for column, tt := range map[string]struct {
			got       measure.Bar
			tolerance float64
		}{
			"p_CO2_bar_abs_careful": {p.CO2, 0.0011}, "p_air_bar_abs": {p.Air, 0.0006}, "p_water_bar": {p.Water, 0.0001},
		} {
			if math.Abs(float64(tt.got)-row.Number(column)) > tt.tolerance {
				t.Errorf("%s of %s = %.5f bar, want %s", column, where, tt.got, row.Text(column))
			}
		}
		off := float64(p.Gauge()) - row.Number("gauge_bar_careful_y0.489_steep")
		careful.note(off, where)
		if math.Abs(off) > 0.006 {
			t.Errorf("careful gauge of %s = %.4f bar, off by %.4f", where, p.Gauge(), off)
		}
		gauge, err := chain(x, 0.46, Flat).Gauge(at)
		off = float64(gauge) - row.Number("gauge_bar_low_y0.46_flat")
		low.note(off, where)
		if err != nil || math.Abs(off) > 0.006 {
			t.Errorf("low gauge of %s = %.4f bar, %v, off by %.4f", where, gauge, err, off)
		}
	}
	careful.log(t, "bar, careful")
	low.log(t, "bar, low")
}

// Rounded to 0.01 g/L.
func TestResidualSugarForPressure(t *testing.T) {
	var w worst
	for _, row := range tables.Read("gas/residual_sugar_for_pressure.csv") {
		gauge, at := measure.Bar(row.Number("gauge_bar")), row.Celsius("t_degC")
		for column, b := range map[string]ClosedBottle{
			"hexose_g_per_L_careful": chain(0, CarefulYield, Steep), "hexose_g_per_L_low": chain(0, 0.46, Flat),
		} {
			got, err := b.HexoseFor(gauge, at)
			off := float64(got) - row.Number(column)
			where := fmt.Sprintf("%g bar at %g °C, %s", gauge, at, column)
			w.note(off, where)
			if err != nil || math.Abs(off) > 0.006 {
				t.Errorf("HexoseFor(%s) = %.4f g/L, %v, want %s", where, got, err, row.Text(column))
			}
			b.Hexose = got
			if back, err := b.Gauge(at); err != nil || (got > 0 && math.Abs(float64(back-gauge)) > 1e-9) {
				t.Errorf("Gauge(HexoseFor(%s)) = %.9f bar, %v", where, back, err)
			}
		}
	}
	w.log(t, "g/L")
}

// What the trade says of sugar for sparkling wine: 24 g/L of sucrose gives 5 to 6
// atmospheres after disgorging, about 6 bar at cellar temperature (printed).
func TestSugarForSparklingWine(t *testing.T) {
	b := chain(24*2*180.156/342.297, UsualYield, Steep)
	got, err := b.Gauge(12)
	if err != nil || math.Abs(float64(got)-6) > 0.5 {
		t.Errorf("24 g/L of sucrose at 12 °C: %.2f bar, %v, want about 6", got, err)
	}
}

func TestLiquidFull(t *testing.T) {
	for _, row := range tables.Read("gas/headspace_liquid_full.csv") {
		b := ClosedBottle{Volume: measure.Litres(row.Number("volume_mL") / 1000), Headspace: measure.Litres(row.Number("headspace_mL_at_20C") / 1000), Yield: CarefulYield}
		if got := float64(b.FullAt()); math.Abs(got-row.Number("t_full_degC")) > 0.05 { // printed to 0.1
			t.Errorf("FullAt(%s mL) = %.2f °C, want %s", row.Text("headspace_mL_at_20C"), got, row.Text("t_full_degC"))
		}
	}
	b := chain(0, CarefulYield, Least)
	b.Headspace = 0.005
	_, err := b.Gauge(38)
	var full *LiquidFullError
	if !errors.As(err, &full) || math.Abs(float64(full.Full)-36.67) > 0.01 || full.At != 38 {
		t.Errorf("Gauge(38 °C) with 5 mL = %v, want a *LiquidFullError at 36.67 °C", err)
	}
	if _, err := b.Gauge(36); err != nil {
		t.Errorf("Gauge(36 °C) with 5 mL: %v, want a pressure", err)
	}
	b.Headspace = 0
	if _, err := b.Gauge(20); !errors.As(err, &full) {
		t.Errorf("Gauge of a brim-full bottle = %v, want a *LiquidFullError", err)
	}
}

// 0.38 bar for each g/L in a sealed jug of must: printed to 0.01.
func TestSealedJug(t *testing.T) {
	jug := ClosedBottle{Volume: 4.5, Headspace: 0.2, Liquid: Liquid{Sugar: 200}, CO2: 1.2, Yield: CarefulYield, Law: Least}
	if got, err := jug.PerGram(20); err != nil || math.Abs(float64(got)-0.38) > 0.005 {
		t.Errorf("PerGram = %.4f bar per g/L, %v, want 0.38", got, err)
	}
}

// More sugar, more warmth, more gas or less room never means less pressure.
func TestPressureOnlyRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(low, high float64, name string) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		b := ClosedBottle{
			Volume: 0.75, Headspace: measure.Litres(draw(0.01, 0.05, "headspace")),
			Liquid: Liquid{measure.PercentVol(draw(0, 19, "A")), measure.GramsPerLitre(draw(0, 200, "S"))},
			CO2:    measure.GramsPerLitre(draw(0, 3, "CO2")), Hexose: measure.GramsPerLitre(draw(0, 40, "X")), Yield: CarefulYield,
		}
		at := measure.Celsius(draw(0, 34, "t"))
		gauge := func(b ClosedBottle, at measure.Celsius) float64 {
			p, err := b.Gauge(at)
			if err != nil {
				t.Fatal(err)
			}
			return float64(p)
		}
		base := gauge(b, at)
		sweeter, fizzier, stronger := b, b, b
		sweeter.Hexose++
		fizzier.CO2 += 0.2
		stronger.Liquid.Ethanol++
		for name, p := range map[string]float64{
			"more sugar": gauge(sweeter, at), "more gas": gauge(fizzier, at), "more alcohol": gauge(stronger, at), "1 K warmer": gauge(b, at+1),
		} {
			if p < base {
				t.Fatalf("%s: %.4f bar, less than %.4f (%+v at %g °C)", name, p, base, b, at)
			}
		}
	})
}

func TestOutsideIsAnError(t *testing.T) {
	nan := math.NaN()
	bottle := func(change func(*ClosedBottle)) error {
		b := chain(5, CarefulYield, Least)
		change(&b)
		_, err := b.Gauge(20)
		return err
	}
	only := func(_ any, err error) error { return err }
	for name, err := range map[string]error{
		"hot bottle":       only(chain(5, CarefulYield, Least).Gauge(41)),
		"no volume":        bottle(func(b *ClosedBottle) { b.Volume = 0 }),
		"volume nan":       bottle(func(b *ClosedBottle) { b.Volume = measure.Litres(nan) }),
		"hexose nan":       bottle(func(b *ClosedBottle) { b.Hexose = measure.GramsPerLitre(nan) }),
		"hexose below 0":   bottle(func(b *ClosedBottle) { b.Hexose = -1 }),
		"yield above all":  bottle(func(b *ClosedBottle) { b.Yield = 0.6 }),
		"too much alcohol": bottle(func(b *ClosedBottle) { b.Liquid.Ethanol = 25 }),
		"syrup":            bottle(func(b *ClosedBottle) { b.Liquid.Sugar = 400 }),
		"pressure of 30":   only(Dissolved(30, Liquid{}, 20, Least)),
		"CO2 below 0":      only(Pressure(-1, Liquid{}, 20, Least)),
		"water, hot":       only(InWater(1, 41)),
		"water, pressure":  only(InWater(-1, 20)),
		"vapour, hot":      only(WaterVapour(41)),
		"saturated, nan":   only(Saturated(Liquid{}, measure.Celsius(nan), Most)),
		"no yield":         only(ClosedBottle{Volume: 1, Headspace: 0.1}.HexoseFor(1, 20)),
	} {
		var outside *property.RangeError
		if !errors.As(err, &outside) {
			t.Errorf("%s: error %v, want a *property.RangeError", name, err)
		}
	}
}

func ExampleClosedBottle_Gauge() {
	// A 750 mL bottle with 20 mL of air, 12 % vol, 8 g/L still to ferment, kept at 30 °C.
	b := ClosedBottle{Volume: 0.75, Headspace: 0.02, Liquid: Liquid{Ethanol: 12}, CO2: 0.8, Hexose: 8, Yield: CarefulYield, Law: Least}
	p, err := b.Gauge(30)
	fmt.Printf("%.1f bar, %v\n", p, err)
	// Output: 4.7 bar, <nil>
}
