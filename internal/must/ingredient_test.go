package must

import (
	"errors"
	"math"
	"strings"
	"testing"

	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/reference/tables"
)

func TestMeasured(t *testing.T) {
	honey, sugar, dap := the(t, "honey"), the(t, "white sugar"), the(t, "diammonium phosphate")
	sulphite, apple, yeast := the(t, "potassium metabisulphite"), the(t, "apple"), the(t, "boiled bread yeast")
	for _, tt := range []struct {
		name      string
		of        Ingredient
		kind      measure.Kind
		value, sd float64
		grams     float64
		gramsSD   float64
	}{
		{"a scale is believed", honey, measure.Mass, 1500, 3, 1500, 3},
		{"two cups of sugar", sugar, measure.Volume, 2 * cupLitres, 0, 400, 400 * 0.03},
		{"cup and heaping spread together", sugar, measure.Volume, cupLitres, 0.04 * cupLitres, 200, 200 * 0.05},
		{"pieces of one tree share their size", apple, measure.Pieces, 10, 0, 1820, 1820 * 0.2},
		{"half a packet", yeast, measure.Packets, 0.5, 0, 3.6, 3.6 * 0.173 / 7.2},
	} {
		q := measure.Quantity{Words: tt.name, Kind: tt.kind, Value: tt.value, SD: tt.sd}
		p, err := Measured(tt.of, q)
		if err != nil || math.Abs(float64(p.Grams)-tt.grams) > 1e-9*tt.grams || math.Abs(float64(p.SD)-tt.gramsSD) > 1e-9*tt.grams {
			t.Errorf("%s: Measured(%s, %g) = %g ± %g g, %v; want %g ± %g", tt.name, tt.of.Name, tt.value, p.Grams, p.SD, err, tt.grams, tt.gramsSD)
		}
		if p.Said != q {
			t.Errorf("%s: what was said is lost: %+v", tt.name, p.Said)
		}
		if got := p.Adds().Mass(); math.Abs(float64(got-p.Grams)) > 1e-5*tt.grams {
			t.Errorf("%s: adds %g g, weighs %g g", tt.name, got, p.Grams)
		}
	}
	for _, tt := range []struct {
		name  string
		of    Ingredient
		kind  measure.Kind
		value float64
		weigh bool
	}{
		{"sulphite by the spoon", sulphite, measure.Volume, 0.005, true},
		{"sugar by the piece", sugar, measure.Pieces, 3, true},
		{"DAP by the packet", dap, measure.Packets, 1, true},
		{"nothing", honey, measure.Mass, 0, false},
		{"less than nothing", honey, measure.Mass, -1, false},
		{"no number", honey, measure.Mass, math.NaN(), false},
		{"no end", honey, measure.Volume, math.Inf(1), false},
		{"warmth", honey, measure.Temperature, 20, false},
	} {
		_, err := Measured(tt.of, measure.Quantity{Kind: tt.kind, Value: tt.value})
		if err == nil || errors.Is(err, ErrWeighIt) != tt.weigh {
			t.Errorf("%s: error %v, want weigh it: %v", tt.name, err, tt.weigh)
		}
	}
}

// What yeast can take of mean honey: the lower sum has none of the slow sugar, the upper
// all of it. The sums are of means with two decimals; so are ours.
func TestHoneyAgainstFermentableFraction(t *testing.T) {
	g := the(t, "honey").PerGram
	simple := 100 * (g[Glucose] + g[Fructose] + g[Sucrose])
	got := map[string]float64{"lower": simple, "upper": simple + 100*g[SlowSugar], "dissolved solids": 100 - 100*g[Water]}
	met := 0
	for _, row := range tables.Read("ingredients/honey_fermentable_fraction.csv") {
		value, ours := got[row.Text("case")]
		if !ours || row.Text("status") != "D" {
			continue
		}
		met++
		if want := row.Number("g_per_100g_honey"); math.Abs(value-want) > 0.005 {
			t.Errorf("honey, %s: %.2f g per 100 g, want %.2f", row.Text("case"), value, want)
		}
	}
	if met != len(got) {
		t.Errorf("met %d rows, want %d", met, len(got))
	}
}

// Second-hand prints against the table from memory, and USDA SR26 for the cup and spoon.
func TestHoneyDensityAgainstPrints(t *testing.T) {
	printed := map[string]float64{}
	for _, row := range tables.Read("ingredients/honey_density_crosschecks.csv") {
		if row.Text("status") != "S" && row.Text("status") != "V" {
			t.Errorf("%s: status %s decides no test", row.Text("fact"), row.Text("status"))
		}
		printed[row.Text("fact")] = row.Number("value")
	}
	const pound, gallon = 453.59237, 3.785411784

	// Two SG of three decimals; the pages may have cut instead of rounded, hence a whole unit.
	for water, fact := range map[float64]string{17: "specific gravity at 20 C, 17 % moisture", 18: "specific gravity at 20 C, 18 % moisture"} {
		if got := honeyLitre(measure.MassFraction(water/100)) / waterLitre; math.Abs(got-printed[fact]) > 0.001 {
			t.Errorf("honey of %g %% water: SG %.4f, printed %.3f", water, got, printed[fact])
		}
	}
	// Gallons weigh between the limits of saleable honey: from 14 to 20 % water.
	low := printed["published lower limit of weight per US gallon (moisture limit of saleable honey)"] * pound / gallon
	high := printed["published upper limit of weight per US gallon"] * pound / gallon
	for water := 0.14; water <= 0.2; water += 0.01 {
		if got := honeyLitre(measure.MassFraction(water)); got < low || got > high {
			t.Errorf("honey of %.0f %% water: %.0f g/L, outside %.0f to %.0f", 100*water, got, low, high)
		}
	}
	// The trade's 60 lb in 5 gallons is one saleable honey: we find which, to a pound in 60.
	if got := honeyLitre(0.172) * 5 * gallon / pound; math.Abs(got-5*printed["common trade rule 60 lb in 5 US gal"]) > 1 {
		t.Errorf("5 gallons of mean honey weigh %.1f lb, the trade says 60", got)
	}
	// The printed cup is of honey whose water is not said. Two sd of the water of US honeys
	// are 2.9 %, which move a cup of 336 g by 4.6 g; a spoon is printed to the gram.
	honey := the(t, "honey")
	slope := (honeyLitre(0.172+2*moistureSD) - honeyLitre(0.172)) * cupLitres
	if got := honey.Litre * cupLitres; math.Abs(got-printed["USDA household weight 1 cup honey"]) > math.Abs(slope) {
		t.Errorf("a cup of honey is %.1f g, printed 339", got)
	}
	if got := honey.Litre * cupLitres / 16; math.Abs(got-printed["USDA household weight 1 tbsp honey"]) > 0.5 {
		t.Errorf("a spoon of honey is %.2f g, printed 21", got)
	}
}

func TestWithMoisture(t *testing.T) {
	honey := the(t, "honey")
	wet, err := WithMoisture(honey, 0.2)
	if err != nil {
		t.Fatal(err)
	}
	if got := wet.PerGram.Mass(); math.Abs(float64(got)-1) > 1e-5 || wet.PerGram[Water] != 0.2 {
		t.Errorf("honey of 20 %% water: %g g of water in %g", wet.PerGram[Water], got)
	}
	// Solids keep their proportions: 80 parts where there were 82.8.
	for _, c := range []Component{Glucose, Fructose, SlowSugar, Acid, Nitrogen} {
		if got, want := wet.PerGram[c], honey.PerGram[c]*0.8/0.828; math.Abs(got-want) > 1e-12 {
			t.Errorf("%s %g, want %g", c, got, want)
		}
	}
	// 0.036² − (1.46/82.8)² = 0.0314².
	if math.Abs(wet.SugarSD-0.0314) > 0.00005 {
		t.Errorf("spread of the sugar %.4f, want 0.0314", wet.SugarSD)
	}
	again, err := WithMoisture(wet, 0.172)
	if err != nil || again.SugarSD != wet.SugarSD {
		t.Errorf("measured twice: spread %g, %v; want %g again", again.SugarSD, err, wet.SugarSD)
	}
	if math.Abs(again.Litre-honey.Litre) > 1e-9 {
		t.Errorf("back at 17.2 %%: %g g/L, want %g", again.Litre, honey.Litre)
	}
	if !(wet.Litre < honey.Litre) {
		t.Errorf("wetter honey weighs %g g/L, not less than %g", wet.Litre, honey.Litre)
	}
	if thin, err := WithMoisture(honey, 0.24); err != nil || thin.Litre != 0 {
		t.Errorf("honey of 24 %% water: %g g/L, %v; its density is not in the table", thin.Litre, err)
	}
	var outside *property.RangeError
	for _, m := range []measure.MassFraction{0, 0.12, 0.26, 17.2, measure.MassFraction(math.NaN())} {
		if _, err := WithMoisture(honey, m); !errors.As(err, &outside) {
			t.Errorf("WithMoisture(honey, %g): error %v, want a *property.RangeError", m, err)
		}
	}
	if _, err := WithMoisture(the(t, "apple"), 0.2); err == nil {
		t.Error("an apple took the moisture of a honey")
	}
}

// The gravity comes back out. Tolerance: at 22 % mass, more sugar than any of these holds, the
// printed densities of glucose and fructose lie 1.5 kg/m³ below and 0.7 above that of sucrose
// (CRC Handbook); half of each, 0.4 below.
func TestFromJuice(t *testing.T) {
	worst := 0.0
	for _, g := range []measure.Gravity{1.001, 1.02, 1.05, 1.08, 1.1} {
		juice, err := FromJuice("our apples", g, 3.6)
		if err != nil {
			t.Fatal(err)
		}
		p, err := Measured(juice, measure.Quantity{Kind: measure.Volume, Value: 4.5})
		if err != nil {
			t.Fatal(err)
		}
		got, err := p.Adds().Gravity()
		worst = max(worst, math.Abs(float64(got-g)))
		if err != nil || math.Abs(float64(got-g)) > 0.0005 {
			t.Errorf("juice of %.3f has gravity %.4f, %v", g, got, err)
		}
		if v, err := p.Adds().Volume(20); err != nil || math.Abs(float64(v)-4.5) > 0.003 {
			t.Errorf("4.5 L of juice of %.3f fill %.4f L, %v", g, v, err)
		}
	}
	t.Logf("worst: %.5f", worst)
	if still, err := FromJuice("water", 1, 0); err != nil || still.PerGram.Check() != nil || still.PHLow != 0 {
		t.Errorf("a juice of 1.000: %+v, %v", still, err)
	}
	var outside *property.RangeError
	for _, tt := range []struct {
		g  measure.Gravity
		ph float64
	}{{0.99, 0}, {1.4, 0}, {measure.Gravity(math.NaN()), 0}, {1.05, 1}, {1.05, 9}, {1.05, math.NaN()}} {
		if _, err := FromJuice("x", tt.g, tt.ph); !errors.As(err, &outside) {
			t.Errorf("FromJuice(%g, pH %g): error %v, want a *property.RangeError", tt.g, tt.ph, err)
		}
	}
}

// The share of sugar in an unknown juice is the mean of the three juices whose sugar was
// analysed, and its spread theirs, to two decimals.
func TestJuiceSharesAreThoseOfTheTable(t *testing.T) {
	var shares []float64
	for _, name := range []string{"apple juice", "grape juice", "pineapple juice"} {
		g := the(t, name).PerGram
		shares = append(shares, (g[Glucose]+g[Fructose]+g[Sucrose])/(1-g[Water]))
	}
	mean := (shares[0] + shares[1] + shares[2]) / 3
	sd := math.Sqrt((sq(shares[0]-mean) + sq(shares[1]-mean) + sq(shares[2]-mean)) / 2)
	if math.Abs(mean-juiceSugarShare) > 0.005 || math.Abs(sd/mean-juiceSugarSD) > 0.005 {
		t.Errorf("juices: sugar %.3f of what is dissolved, relative sd %.3f; want %g, %g", mean, sd/mean, juiceSugarShare, juiceSugarSD)
	}
}

func sq(x float64) float64 { return x * x }

func TestWeighItReadsWell(t *testing.T) {
	_, err := Measured(the(t, "potassium sorbate"), measure.Quantity{Kind: measure.Volume, Value: 0.005})
	if want := "how much a cup or spoon of potassium sorbate weighs is not known: weigh it"; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("error %q, want %q", err, want)
	}
}
