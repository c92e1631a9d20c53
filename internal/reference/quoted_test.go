package reference_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"skep/internal/reference"
	"skep/internal/reference/tables"
)

const bottleFacts = "gas/bottle_and_co2_limits.csv"

func fact(what string) float64 { return tables.Find(bottleFacts, "what", what).Number("value") }

// What bottles.csv says of each kind of bottle, in figures and in words, is what the table
// of classes, tests and limits prints.
func TestBottlesQuoteTheTable(t *testing.T) {
	const atmosphere = 1.01325 // bar
	measured := fact("working CO2 pressure met in practice") - atmosphere
	beer, plastic := fact("lowest grade internal pressure test"), fact("rupture in test")
	guide := tables.Find(bottleFacts, "item", "Still wine closure guide").Figures("value")
	seal := fact("seal may fail")
	vented := tables.Find(bottleFacts, "item", "Jug, demijohn").Number("value")
	large := tables.Find(bottleFacts, "what", "not recommended above this capacity").Text("value") + " L"
	for _, tt := range []struct {
		kind      string
		low, high float64 // bar gauge, between which the limit lies
		gl        float64
		words     []string
	}{
		{"still-wine glass", fact("overpressure below"), 1, fact("bottle shapes for non-sparkling wine"), []string{"0.5 bar", "2 g/L", "below 1 bar"}},
		{"cork-stoppered still", fact("overpressure below"), seal, guide[0], []string{"1.2 g/L", "1 bar"}},
		{"sparkling-wine glass", 0, measured, 0, []string{fmt.Sprintf("%.1f bar gauge (7.5 absolute)", measured), fmt.Sprintf("%g bar of the test", fact("usual specification"))}},
		{"beer glass", beer / 4, beer / 4, 0, []string{"a quarter", fmt.Sprintf("%g bar", beer)}},
		{"carbonated PET", plastic / 3, plastic / 3, 0, []string{"a third", fmt.Sprintf("%g bar", plastic)}},
		{"swing-top", vented, vented, 0, nil},
		{"jug or demijohn", vented, vented, 0, []string{large}},
		{"jar", vented, vented, 0, nil},
	} {
		b, err := reference.BottleKindNamed(tt.kind)
		if err != nil {
			t.Error(err)
			continue
		}
		if limit := float64(b.Limit); limit < tt.low || limit > tt.high {
			t.Errorf("%s: limit %g bar, want %.4g to %.4g by the table", tt.kind, limit, tt.low, tt.high)
		}
		if float64(b.LimitGL) != tt.gl {
			t.Errorf("%s: %g g/L of CO2, the table prints %g", tt.kind, b.LimitGL, tt.gl)
		}
		for _, words := range tt.words {
			if !strings.Contains(b.Why, words) {
				t.Errorf("%s: %q does not say %q, as the table does", tt.kind, b.Why, words)
			}
		}
	}
	if text := tables.Find(bottleFacts, "item", "Still wine closure guide").Text("what"); !strings.Contains(text, "below 1 bar at 20 degC") {
		t.Errorf("the closure guide reads %q: what still-wine glass is held to", text)
	}
}

// Every limit that limits.csv says a law or code sets stands in the table, with how far it
// was read; those of ammonium salts are in no table here.
func TestLimitsQuoteTheTable(t *testing.T) {
	const table = "sulphite/so2_sorbate_limits.csv"
	quoted := []struct{ substance, what, where, item, from string }{
		{"sulphur dioxide", "dry red", "EU and UK", "Total SO2, red wine (under", "EU and UK"},
		{"sulphur dioxide", "dry white", "EU and UK", "Total SO2, white and rose (under", "EU and UK"},
		{"sulphur dioxide", "red wine, 5 g/L", "EU and UK", "Total SO2, red with 5", "EU and UK"},
		{"sulphur dioxide", "white or rosé wine, 5 g/L", "EU and UK", "Total SO2, white and rose with 5", "EU and UK"},
		{"sulphur dioxide", "mead", "EU", "Total SO2, fruit wine", "EU"},
		{"sulphur dioxide", "wine", "United States", "Total SO2", "US maximum"},
		{"sulphur dioxide", "grape wine", "Codex", "Total SO2, grape wine", "Codex"},
		{"sulphur dioxide", "a label must say so from", "United States", "Label declaration", "US"},
		{"sulphur dioxide", "a label must say so above", "EU and UK", "Label declaration", "EU and UK"},
		{"sorbic acid", "wine, added", "OIV, EU and Codex", "Sorbic acid, wine", "OIV and EU"},
		{"sorbic acid", "wine", "United States", "Sorbic acid, wine", "US"},
	}
	said := slices.Concat(reference.Limits("sulphur dioxide"), reference.Limits("sorbic acid"))
	if len(said) != len(quoted) {
		t.Errorf("%d limits are said, %d are held against the table", len(said), len(quoted))
	}
	for _, q := range quoted {
		var rows []tables.Row
		for _, r := range tables.Read(table) {
			if strings.HasPrefix(r.Text("item"), q.item) && strings.HasPrefix(r.Text("what"), q.from) {
				rows = append(rows, r)
			}
		}
		at := slices.IndexFunc(said, func(l reference.Limit) bool {
			return l.Substance == q.substance && strings.HasPrefix(l.What, q.what) && l.Where == q.where
		})
		if len(rows) != 1 || at < 0 {
			t.Errorf("%+v: %d rows, limit %d; want one of each", q, len(rows), at)
			continue
		}
		row, l := rows[0], said[at]
		said = slices.Delete(said, at, at+1)
		if l.Value != row.Number("value") {
			t.Errorf("%s, %s, %s: %g %s, the table prints %s %s", l.Substance, l.What, l.Where, l.Value, l.Unit, row.Text("value"), row.Text("unit"))
		}
		if read := l.Status == "read"; read && !strings.HasPrefix(row.Text("status"), "verified") || !read && strings.HasPrefix(row.Text("status"), "verified") && l.Status != "secondary" {
			t.Errorf("%s, %s, %s is %q, the row %q", l.Substance, l.What, l.Where, l.Status, row.Text("status"))
		}
	}
	for _, l := range said {
		t.Errorf("%s, %s, %s is held against no row", l.Substance, l.What, l.Where)
	}
}

// The register quotes doses of bentonite: those of the table.
func TestFiningDosesAreThoseOfTheTable(t *testing.T) {
	const table = "cellar/fining_and_racking.csv"
	entry, _ := reference.Source("fining-doses")
	usual, most := tables.Find(table, "item", "Bentonite, white wine"), tables.Find(table, "item", "Bentonite, protein-rich")
	for _, words := range []string{usual.Text("value") + " mg/L", "up to " + most.Text("value")} {
		if !strings.Contains(entry.Citation, words) {
			t.Errorf("fining-doses reads %q, the table prints %q", entry.Citation, words)
		}
	}
}

// What closures.csv says of corks in figures is what the table of closures prints.
func TestClosuresQuoteTheTable(t *testing.T) {
	const table = "cellar/closures.csv"
	gap := tables.Find(table, "item", "gap between cork and wine").Text("value")
	pushed := tables.Find(table, "item", "cork number 7 diameter").Text("note")
	seal := fmt.Sprintf("passes %g bar", fact("seal may fail"))
	for name, words := range map[string][]string{
		"cork":      {strings.Replace(gap, "-", " to ", 1) + " mm between cork and wine", seal},
		"hand cork": {"by hand", "upright", "soon"},
	} {
		c, err := reference.ClosureNamed(name)
		if err != nil {
			t.Error(err)
		}
		for _, said := range words {
			if !strings.Contains(c.Why, said) {
				t.Errorf("%s: %q does not say %q, as the table does", name, c.Why, said)
			}
		}
	}
	for _, said := range []string{"by hand", "upright", "soon"} {
		if !strings.Contains(pushed, said) {
			t.Errorf("the table says of a cork pushed in by hand: %q, without %q", pushed, said)
		}
	}
	// A bore of 20 mm, between those of mouth and neck that are told from memory: it sizes
	// the room under a cork, and decides nothing.
	low, high := tables.Find(table, "item", "gap between cork and wine").Figures("value")[0], tables.Find(table, "item", "gap between cork and wine").Figures("value")[1]
	cork, err := reference.ClosureNamed("cork")
	if room := math.Pi / 4 * 2 * 2 * (low + high) / 2 / 10; err != nil || math.Abs(cork.HeadspaceML-room) > 1 {
		t.Errorf("a cork leaves %g mL, and %g to %g mm of a bore of 20 mm are %.1f mL", cork.HeadspaceML, low, high, room)
	}
}
