package gas

import (
	"math"
	"strings"
	"testing"

	"skep/internal/measure"
	"skep/internal/property/density"
	"skep/internal/reference/tables"
)

// Arithmetic on gas that leaves a jug, to the last digit of each row: a gram of it dry and
// wet, a bubble, the water it carries, and a room that it fills.
func TestGasThatLeaves(t *testing.T) {
	const airlock, room = "gas/airlock_and_losses.csv", "gas/co2_room_exposure.csv"
	atmosphere := float64(Atmosphere)
	dry := litresPerMole(atmosphere, 20) / molar
	wet := litresPerMole(atmosphere-waterVapour(20), 20) / molar
	water, err := density.Water(20)
	if err != nil {
		t.Fatal(err)
	}
	// 2 π r σ/(ρ g) with 2 mm and 0.072 N/m, of which ρ alone is ours; m³ to mL.
	bubble := 2 * math.Pi * 0.002 * 0.072 / (float64(water) * 9.80665) * 1e6
	carried := func(at float64) float64 { // water over CO2, % by mass, both as gas
		p := waterVapour(at)
		return 100 * p / (atmosphere - p) * 18.01528 / molar
	}
	jug := UsualYield * 4.5 * 200 * dry
	carboys := UsualYield * 4 * 23 * 3 * dry // L in an hour
	for _, tt := range []struct {
		table, item string
		got         []float64
		digit       float64 // the row's last
	}{
		{airlock, "CO2 gas, 20", []float64{dry}, 0.001},
		{airlock, "CO2 gas leaving wet", []float64{wet}, 0.001},
		{airlock, "Bubble detaching", []float64{bubble}, 0.01},
		{airlock, "Bubbles per gram", []float64{1000 * dry / 0.5}, 100},
		{airlock, "Water carried out", []float64{carried(15), carried(20), carried(25)}, 0.1},
		{room, "One jug", []float64{jug}, 10},
		{room, "The same let out", []float64{jug / 10_000 * 1e6}, 1000},      // ppm in 10 m³
		{room, "Four 23 L", []float64{carboys / (0.5 * 10_000) * 1e6}, 1000}, // ppm where half of 10 m³ is renewed in an hour
	} {
		want := tables.Find(tt.table, "item", tt.item).Figures("value")
		if len(want) != len(tt.got) {
			t.Errorf("%s: %d figures, want %d", tt.item, len(want), len(tt.got))
			continue
		}
		for i, got := range tt.got {
			if math.Abs(got-want[i]) > tt.digit/2 {
				t.Errorf("%s: %.5g, the table prints %g", tt.item, got, want[i])
			}
		}
	}
}

// The coefficients in the code are those of the table: what they give is the same. Those
// of the equation for fresh water, first of the table, Skep does not use.
func TestCoefficients(t *testing.T) {
	coefficients := map[string]float64{}
	for _, row := range tables.Read("gas/co2_solubility_coefficients.csv") {
		if row.Text("symbol") != "-" {
			coefficients[row.Text("symbol")] = row.Number("value")
		}
	}
	c := func(symbol string) float64 {
		x, ok := coefficients[symbol]
		if !ok {
			t.Fatalf("the table has no coefficient %s", symbol)
		}
		return x
	}
	same := func(what string, at, got, want float64) {
		t.Helper()
		if math.Abs(got/want-1) > 1e-10 { // rounding alone, of sums that cancel
			t.Errorf("%s at %g °C = %.12g, by the table's coefficients %.12g", what, at, got, want)
		}
	}
	for at := 0.0; at <= 40; at += 10 {
		k := at + kelvin
		h := 10 * math.Exp(c("c0")+c("c1")/k+c("c2")/(k*k)+c("c3")/(k*k*k)) // MPa to bar
		same("Henry constant", at, henry(at), h)
		b := c("b0") + c("b1")*k + c("b2")*k*k + c("b3")*k*k*k
		same("mole fraction", at, moleFraction(2, at), 2*math.Exp(b*2/(1000*r*k))/h)
		liquid, steep := Liquid{Ethanol: 11, Sugar: 30}, math.Exp(c("D_steep")*(1/k-1/(20+kelvin)))
		got, err := Solubility(liquid, measure.Celsius(at), Steep)
		if err != nil {
			t.Fatal(err)
		}
		same("solubility in wine", at, got, c("k")*1e5*(c("a")-c("b")*11)*(1-c("d")*30)*steep)
	}
	// The formula's constant for litres has three digits, which is 0.05 %.
	if got, want := Volumes(measure.GramsPerLitre(c("k"))), c("k_vol"); math.Abs(got/want-1) > 0.0005 {
		t.Errorf("%g g/L in volumes = %.4g, the table prints %g", c("k"), got, want)
	}
}

// Rows of the verification beyond the 40 °C that InWater answers for, and of the gas itself,
// to their last digit. The other equation for water is logged and decides nothing.
func TestVerification(t *testing.T) {
	const table = "gas/verification.csv"
	carroll := tables.Find(table, "check", "CRC mole fraction x1000 at 50 degC 100 kPa vs Carroll")
	if got, want := 1000*moleFraction(1, 50), carroll.Number("computed"); math.Abs(got-want) > 0.0001 {
		t.Errorf("mole fraction at 50 °C = %.5f, want %g", got, want)
	}
	weiss := tables.Find(table, "check", "CRC mole fraction x1000 at 50 degC 100 kPa vs Weiss")
	t.Logf("1000 mole fraction at 50 °C = %.4f, by another equation %s", 1000*moleFraction(1, 50), weiss.Text("computed"))
	volume := tables.Find(table, "check", "real molar volume")
	if got, want := litresPerMole(float64(Atmosphere), 0), volume.Number("computed"); math.Abs(got-want) > 0.01 {
		t.Errorf("a mole at 0 °C and 1 atm = %.4f L, want %g", got, want)
	}
}

// What a bottle of the trade is designed for, printed to 1 g/L and 0.1 of a volume; and
// what a bar is in pounds per square inch, to the last digit of each.
func TestBottleFactsInTwoUnits(t *testing.T) {
	const table = "gas/bottle_and_co2_limits.csv"
	soft := tables.Find(table, "what", "design carbonation")
	if got, want := float64(FromVolumes(soft.Figures("what")[0])), soft.Number("value"); math.Abs(got-want) > 0.5 {
		t.Errorf("%s volumes = %.2f g/L, want %g", soft.Text("what"), got, want)
	}
	pairs := 0
	for _, row := range tables.Read(table) {
		_, words, ok := strings.Cut(row.Text("unit"), "bar (")
		if !ok {
			continue
		}
		pairs++
		q, err := measure.Parse(strings.TrimSuffix(words, ")"), measure.Metric)
		_, decimals, _ := strings.Cut(row.Text("value"), ".")
		if half := 0.5 * math.Pow(10, -float64(len(decimals))); err != nil || math.Abs(q.Value-row.Number("value")) > half {
			t.Errorf("%s = %.4f bar, %v, the table prints %s", words, q.Value, err, row.Text("value"))
		}
	}
	if pairs != 2 {
		t.Errorf("%d pressures in two units, want 2", pairs)
	}
}
