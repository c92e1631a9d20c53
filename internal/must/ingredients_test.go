package must

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"skep/internal/measure"
	"skep/internal/reference/tables"
)

func the(t *testing.T, name string) Ingredient {
	t.Helper()
	i, err := Find(name, nil)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

// gramsPerTartaric is g of an acid that is worth 1 g of tartaric acid, by name.
func gramsPerTartaric(t *testing.T) map[string]float64 {
	t.Helper()
	ratio := map[string]float64{}
	for _, row := range tables.Read("acidity/acids_pka_equivalents.csv") {
		if row.Text("g_acid_per_g_as_tartaric") != "" {
			name, _, _ := strings.Cut(row.Text("acid"), " ")
			ratio[name] = row.Number("g_acid_per_g_as_tartaric")
		}
	}
	return ratio
}

// What is in 100 g adds up to 100 g. Tolerance: a dozen figures of four decimals. A pure
// acid adds up when its acid is counted by its own mass; the ratios have four decimals.
func TestEveryRowAddsUp(t *testing.T) {
	ratio := gramsPerTartaric(t)
	if len(Ingredients()) < 150 {
		t.Fatalf("only %d ingredients", len(Ingredients()))
	}
	for _, i := range Ingredients() {
		if err := i.PerGram.Check(); err != nil {
			t.Errorf("%s: %v", i.Name, err)
		}
		got, tolerance := 100*float64(i.PerGram.Mass()), 0.001
		if i.Class == AcidSalt {
			of := ratio[i.MainAcid]
			if i.Name == "acid blend" { // a third of each by mass
				of = 3 / (1 + 1/ratio["malic"] + 1/ratio["citric"])
			}
			if of == 0 {
				t.Fatalf("%s: no equivalent mass of %s", i.Name, i.MainAcid)
			}
			if of < 1 { // worth more than it weighs
				got += 100 * i.PerGram[Acid] * (of - 1)
				tolerance = 0.01
			}
		}
		if math.Abs(got-100) > tolerance {
			t.Errorf("%s adds up to %.4f g, want 100", i.Name, got)
		}
	}
}

func TestRowsAreWellFormed(t *testing.T) {
	classes := []Class{Honey, Sugar, Juice, Fruit, Flower, Liquid, AcidSalt, Nutrient, Tannin, Spice, Additive}
	for _, i := range Ingredients() {
		if !slices.Contains(classes, i.Class) {
			t.Errorf("%s: unknown class %q", i.Name, i.Class)
		}
		if !strings.Contains("VSDMA", i.Status) || len(i.Status) != 1 || i.Source == "" {
			t.Errorf("%s: status %q, source %q", i.Name, i.Status, i.Source)
		}
		if i.PHLow > i.PHHigh || i.PHHigh > 8 || (i.PHLow == 0) != (i.PHHigh == 0) {
			t.Errorf("%s: pH %g to %g", i.Name, i.PHLow, i.PHHigh)
		}
		if (i.Litre > 0) != (i.CupSD > 0) && i.Class != Honey || (i.Piece > 0) != (i.PieceSD > 0) {
			t.Errorf("%s: a cup or piece without a spread, or a spread without one", i.Name)
		}
		if i.PerGram.Hexose(1) > 0 && i.SugarSD == 0 || i.PerGram[Nitrogen] > 0 && i.YANSD == 0 {
			t.Errorf("%s: sugar or nitrogen that is taken as certain", i.Name)
		}
		if i.SugarUnknown && (i.Status != "A" || i.SugarSD < 0.15) {
			t.Errorf("%s: a guess at its sugar with status %s and spread %g", i.Name, i.Status, i.SugarSD)
		}
		if i.Class == Honey && !strings.Contains(i.Caution, "child under one year") {
			t.Errorf("%s does not say that it is not for infants", i.Name)
		}
	}
}

func TestNamesAreUnique(t *testing.T) {
	seen := map[string]string{}
	for _, i := range Ingredients() {
		for _, key := range keys(i) {
			if of, taken := seen[key]; taken || key == "" {
				t.Errorf("%q is a name of %s and of %s", key, of, i.Name)
			}
			seen[key] = i.Name
		}
	}
}

func TestBrokenTables(t *testing.T) {
	heading := strings.Join(columns, ",") + "\n"
	row := func(cells ...string) string {
		return heading + strings.Join(slices.Concat(cells, make([]string, len(columns)-len(cells))), ",") + "\n"
	}
	if _, err := readIngredients(row("slush", "", "fruit", "80")); err != nil {
		t.Errorf("a good row: %v", err)
	}
	for name, text := range map[string]string{
		"empty":       "",
		"heading":     "name,water\nslush,80\n",
		"not numbers": row("slush", "", "fruit", "eighty"),
		"negative":    row("slush", "", "fruit", "-80"),
		"NaN":         row("slush", "", "fruit", "NaN"),
		"columns":     heading + "slush,,fruit\n",
	} {
		if _, err := readIngredients(text); err == nil {
			t.Errorf("%s: a broken table was read without a word", name)
		}
	}
}

var ndb = regexp.MustCompile(`NDB (\d{5})`)

// ofUSDA are the ingredients that name a row of USDA SR26, by its number.
func ofUSDA(t *testing.T) map[string]Ingredient {
	t.Helper()
	all := map[string]Ingredient{}
	for _, i := range Ingredients() {
		if m := ndb.FindStringSubmatch(i.Source); m != nil {
			if was, taken := all[m[1]]; taken {
				t.Errorf("%s and %s both name NDB %s", was.Name, i.Name, m[1])
			}
			all[m[1]] = i
		}
	}
	return all
}

// Water and sugars of every ingredient that names a row of USDA SR26 are those of the
// row, to its two decimals. Where it determined no single sugars the total is compared;
// where it has no sugar analysis, or only subtracted fibre from carbohydrate (derivation
// O), the ingredient must own up to not knowing, and stay below that remainder.
func TestIngredientsAgainstUSDA(t *testing.T) {
	const tolerance = 0.0051 // g per 100 g: half a unit of the last decimal
	// Sugar from elsewhere, or room made for acid from elsewhere; the source of the row says so.
	otherSugar := map[string]bool{"elderberry": true}
	otherWater := map[string]float64{"lemon juice": 2} // paper and table are other lemons: acid 4.9 against at most 4.3 %

	rows := tables.Read("ingredients/usda_composition.csv")
	ingredients := ofUSDA(t)
	if len(rows) != len(ingredients) {
		t.Errorf("%d ingredients name USDA SR26, the table has %d rows", len(ingredients), len(rows))
	}
	compared := 0
	worst := 0.0
	same := func(name, what string, got, printed, tolerance float64) {
		compared++
		off := math.Abs(100*got - printed)
		if otherWater[name] == 0 || what != "water" {
			worst = max(worst, off)
		}
		if !(off <= tolerance) {
			t.Errorf("%s: %s %.4f g, printed %g", name, what, 100*got, printed)
		}
	}
	for _, row := range rows {
		i, ok := ingredients[row.Text("ndb_no")]
		if !ok {
			t.Errorf("no ingredient names NDB %s", row.Text("ndb_no"))
			continue
		}
		g := i.PerGram
		same(i.Name, "water", g[Water], row.Number("water"), max(tolerance, otherWater[i.Name]))
		if row.Text("fiber") != "" {
			same(i.Name, "pulp", g[Pulp], row.Number("fiber"), tolerance)
		}
		imputed := row.Text("sugars_value_type") == "" || strings.HasSuffix(row.Text("sugars_value_type"), ":O")
		if imputed != i.SugarUnknown && !otherSugar[i.Name] {
			t.Errorf("%s: sugar unknown %v, USDA has %q", i.Name, i.SugarUnknown, row.Text("sugars_value_type"))
		}
		sugars := g[Glucose] + g[Fructose] + g[Sucrose] + g[SlowSugar]
		switch {
		case otherSugar[i.Name]:
		case i.SugarUnknown:
			if most := row.Number("carbohydrate_by_difference") - 100*g[Pulp]; 100*sugars > most {
				t.Errorf("%s: guess of %.2f g sugar is above the %.2f that carbohydrate and fibre leave", i.Name, 100*sugars, most)
			}
		case row.Text("glucose") == "" || row.Text("sucrose") == "":
			same(i.Name, "total sugar", sugars, row.Number("sugars_total"), tolerance)
		default:
			same(i.Name, "glucose", g[Glucose], row.Number("glucose"), tolerance)
			same(i.Name, "fructose", g[Fructose], row.Number("fructose"), tolerance)
			same(i.Name, "sucrose", g[Sucrose], row.Number("sucrose"), tolerance)
			if row.Text("maltose") != "" {
				same(i.Name, "maltose", g[SlowSugar], row.Number("maltose"), tolerance)
			}
		}
	}
	t.Logf("worst of %d: %.4f g per 100 g", compared, worst)
	if compared < 250 {
		t.Errorf("only %d figures compared", compared)
	}
}

// Every cup and piece is one that USDA SR26 prints for that food, unless the source of
// the row says that it is assumed ("cup A", "piece A") or how it was made of two.
func TestCupsAndPiecesAgainstUSDA(t *testing.T) {
	weights := map[string][]tables.Row{}
	for _, row := range tables.Read("ingredients/usda_household_weights.csv") {
		weights[row.Text("ndb_no")] = append(weights[row.Text("ndb_no")], row)
	}
	elsewhere := regexp.MustCompile(`cup A|cup of|cup and|assumed, A|, A$`)
	notPrinted := regexp.MustCompile(`piece A|piece between`)
	cups, pieces := 0, 0
	for number, i := range ofUSDA(t) {
		cup := i.Litre * cupLitres
		if cup > 0 && !elsewhere.MatchString(i.Source) {
			cups++
			if !slices.ContainsFunc(weights[number], func(r tables.Row) bool {
				if r.Text("grams_per_us_cup") != "" {
					return math.Abs(r.Number("grams_per_us_cup")-cup) < 0.01
				}
				return strings.Contains(r.Text("measure"), "tbsp") && math.Abs(16*r.Number("grams")/r.Number("amount")-cup) < 0.01
			}) {
				t.Errorf("%s (NDB %s): no cup of %.4g g is printed", i.Name, number, cup)
			}
		}
		if i.Piece > 0 && !notPrinted.MatchString(i.Source) {
			pieces++
			if !slices.ContainsFunc(weights[number], func(r tables.Row) bool {
				return math.Abs(r.Number("grams")/r.Number("amount")-i.Piece) < 0.01
			}) {
				t.Errorf("%s (NDB %s): no piece of %.4g g is printed", i.Name, number, i.Piece)
			}
		}
	}
	t.Logf("%d cups, %d pieces", cups, pieces)
	if cups < 45 || pieces < 25 {
		t.Errorf("only %d cups and %d pieces compared", cups, pieces)
	}
}

// Acids and salts against molar masses (IUPAC abridged atomic weights). Tolerance: the
// five or more digits of the molar masses.
func TestSaltsAgainstMolarMasses(t *testing.T) {
	const nitrogen, sulphurDioxide = 14.007, 64.066
	for _, tt := range []struct {
		name string
		of   Component
		want float64 // g per g
	}{
		{"diammonium phosphate", Nitrogen, 2 * nitrogen / 132.056},
		{"diammonium phosphate", Nitrogen, 0.2121},
		{"ammonium sulphate", Nitrogen, 2 * nitrogen / 132.14},
		{"potassium metabisulphite", SulphurDioxide, 2 * sulphurDioxide / 222.32},
		{"sodium metabisulphite", SulphurDioxide, 2 * sulphurDioxide / 190.107},
		{"dextrose", Glucose, 180.156 / 198.171},
		{"citric acid", Acid, 150.087 / 2 / (192.124 / 3)},
		{"citric acid monohydrate", Acid, 150.087 / 2 / (210.139 / 3)},
		{"malic acid", Acid, 150.087 / 134.087},
		{"tartaric acid", Acid, 1},
	} {
		if got := the(t, tt.name).PerGram[tt.of]; math.Abs(got-tt.want) > 1e-4*max(tt.want, 0.5) {
			t.Errorf("%s: %s %.5f g/g, want %.5f", tt.name, tt.of, got, tt.want)
		}
	}
}

// What yeast can use is at most half of the nitrogen that the protein of the food holds: the
// best known share is that of apple juice, 59 mg/L of 168.
func TestNitrogenIsBelowItsCeilings(t *testing.T) {
	protein := map[string]float64{}
	for _, row := range tables.Read("ingredients/usda_composition.csv") {
		protein[row.Text("ndb_no")] = row.Number("protein")
	}
	checked := 0
	for number, i := range ofUSDA(t) {
		if protein[number] == 0 {
			continue
		}
		checked++
		// 5.3 is the smallest protein factor in the table, hence the most nitrogen.
		if most := protein[number] / 5.3 / 100; i.PerGram[Nitrogen] > most/2 {
			t.Errorf("%s: %.5f g/g of nitrogen for yeast, of at most %.5f in its protein", i.Name, i.PerGram[Nitrogen], most)
		}
	}
	if checked < 55 {
		t.Errorf("only %d rows had protein", checked)
	}
	// Apple juice of Virginia cider apples: mean 59 mg/L (abstract read). To the printed unit.
	juice := the(t, "apple juice")
	if got := 1000 * juice.PerGram[Nitrogen] * juice.Litre; math.Abs(got-59) > 0.5 {
		t.Errorf("apple juice: %.1f mg/L of nitrogen, want 59", got)
	}
}

// 1 medium lemon is 48 g of juice (USDA SR26 09152, 70 lemons) of 48 g/L (two lemons) to
// 60 g/L citric acid (the highest of Karadeniz 2004), weighed with 1.031 g/mL.
func TestLemonsGiveTheirJuice(t *testing.T) {
	p, err := Measured(the(t, "lemons"), measure.Quantity{Kind: measure.Pieces, Tool: measure.Count, Value: 3})
	if err != nil || p.Grams != 144 {
		t.Fatalf("3 lemons = %g g, %v; want 144", p.Grams, err)
	}
	citric := p.Adds()[Acid] * gramsPerTartaric(t)["citric"]
	if low, high := 144/1.031*0.048, 144/1.031*0.060; citric < low || citric > high {
		t.Errorf("3 lemons hold %.2f g of citric acid, want %.2f to %.2f", citric, low, high)
	}
	// One lime: 44 g, sd 11.0, of 12 (USDA SR26 09160). To the printed gram.
	if lime := the(t, "lime"); math.Abs(lime.Piece-44) > 0.5 || math.Abs(lime.Piece*lime.PieceSD-11) > 0.5 {
		t.Errorf("lime: %g g, sd %g; want 44, 11", lime.Piece, lime.Piece*lime.PieceSD)
	}
}
