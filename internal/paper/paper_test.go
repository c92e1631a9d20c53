package paper

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"skep/internal/app"
	"skep/internal/measure"
)

var at = time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC)

// elderflower is the label of an invented jug.
func elderflower() app.Label {
	return app.Label{
		Jug: "Elderflower", Title: "Elderflower 2026", Kind: "mead, medium, still",
		Strength: measure.Normal(11.4, 0.4, "% vol"), Rounded: "11.5 % vol", SizeML: 750,
		Drinks:   measure.Normal(6.8, 0.2, "standard drinks of 10 g"),
		Contents: []string{"water", "honey", "elderflower", "lemon juice", "potassium metabisulphite", "potassium sorbate", "yeast"},
		Contains: []string{"sulphites", "honey (a product of bees)"},
		Cautions: []string{"Never give honey, or anything made with it, to a child under one year."},
		Made:     at.AddDate(0, -6, 0), Bottled: at, DrinkFrom: at.AddDate(0, 3, 0), Lot: "260525-1",
	}
}

func grid(t testing.TB, words string) Grid {
	t.Helper()
	g, err := GridOf(words)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// drawn is a PDF in memory.
func drawn(t testing.TB, draw func(io.Writer) error) []byte {
	t.Helper()
	var pdf bytes.Buffer
	if err := draw(&pdf); err != nil {
		t.Fatal(err)
	}
	return pdf.Bytes()
}

// word is a word of a page and where it stands, mm from the top left.
type word struct {
	text                     string
	page                     int
	left, top, right, bottom float64
}

// words reads a PDF back with another's program.
func words(t *testing.T, pdf []byte) []word {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed (Debian: poppler-utils): the printed words are not read back")
	}
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(tool, "-bbox", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	var all []word
	page := 0
	d := xml.NewDecoder(bytes.NewReader(out))
	d.Strict, d.Entity = false, xml.HTMLEntity
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		begin, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		switch begin.Name.Local {
		case "page":
			page++
		case "word":
			w := word{page: page}
			for _, a := range begin.Attr {
				x, err := strconv.ParseFloat(a.Value, 64)
				if err != nil {
					t.Fatal(err)
				}
				*map[string]*float64{"xMin": &w.left, "yMin": &w.top, "xMax": &w.right, "yMax": &w.bottom}[a.Name.Local] = x * point
			}
			if err := d.DecodeElement(&w.text, &begin); err != nil {
				t.Fatal(err)
			}
			all = append(all, w)
		}
	}
}

func text(all []word) string {
	var s []string
	for _, w := range all {
		s = append(s, w.text)
	}
	return strings.Join(s, " ")
}

// Every word of every label lies in its own box, on every common sheet, with long names and
// with short, from a place that is not the first.
func TestLabelsStayInTheirBoxes(t *testing.T) {
	long := elderflower()
	long.Title = "Elderflower and gooseberry from the lane behind the old school, second pressing"
	long.Words = "For everybody who helped to pick on that wet afternoon in June"
	bare := app.Label{Title: "X", Made: at, Strength: measure.RangeOf(nil, ""), Drinks: measure.RangeOf(nil, "")}
	for _, g := range Grids() {
		s := LabelSheet{Grid: g, Start: 2}
		labels := []app.Label{elderflower(), bare, elderflower()}
		switch {
		case g.HoldsCode():
			s.Code, labels[2] = elderflower().Facts(), long
		case g.Height < 30:
			s.Without = Droppable
		case g.Height < 40:
			s.Without = []string{"range"}
		}
		pdf := drawn(t, func(w io.Writer) error { return Labels(w, labels, s, at) })
		found := 0
		for _, w := range words(t, pdf) {
			inside := false
			for i := range labels {
				page, place := g.place(2, i)
				x, y := g.at(place)
				inside = inside || w.page == page+1 && w.left >= x && w.right <= x+g.Width && w.top >= y && w.bottom <= y+g.Height
			}
			if !inside {
				t.Errorf("%v: %q stands at %.1f,%.1f to %.1f,%.1f mm of page %d, in no label", g, w.text, w.left, w.top, w.right, w.bottom, w.page)
			}
			found++
		}
		if found < 40 {
			t.Errorf("%v: %d words read back, want those of three labels", g, found)
		}
	}
}

// All that a label is to tell is on it, whole.
func TestLabelTellsAll(t *testing.T) {
	l := elderflower()
	l.Words = "from the hedge"
	said := text(words(t, drawn(t, func(w io.Writer) error {
		return Labels(w, []app.Label{l}, LabelSheet{Grid: grid(t, "A4 2x4 99.1x67.7")}, at)
	})))
	for _, want := range []string{
		"Elderflower 2026", "from the hedge", "Mead, medium, still", "11.5 % vol · 750 mL", "most likely 10.9 to 11.9 % vol", "6.8 standard drinks of 10 g",
		"Contains sulphites and honey", "under one year.", "potassium sorbate, yeast.", "Made 25 May 2026", "bottled 25 November 2026", "drink from 25 February 2027", "lot 260525-1",
	} {
		if !strings.Contains(strings.ToLower(said), strings.ToLower(want)) {
			t.Errorf("the label does not say %q: %s", want, said)
		}
	}
	less := text(words(t, drawn(t, func(w io.Writer) error {
		return Labels(w, []app.Label{l}, LabelSheet{Grid: grid(t, "A4 2x4 99.1x67.7"), Without: Droppable}, at)
	})))
	for _, gone := range []string{"most likely", "drinks", "sorbate", "bottled", "Lot"} {
		if strings.Contains(less, gone) {
			t.Errorf("--without all still says %q: %s", gone, less)
		}
	}
	if !strings.Contains(less, "sulphites") || !strings.Contains(less, "one year") {
		t.Errorf("what some must not have went with the rest: %s", less)
	}
}

// Letters of European languages, Greek and Cyrillic come through; an accent beside its
// letter is joined to it.
func TestLetters(t *testing.T) {
	l := elderflower()
	l.Title = "ŁőßĞñž Þæøå Ωμέγα Ежевика"
	l.Words = "Poire\u0301" // NFD
	said := text(words(t, drawn(t, func(w io.Writer) error {
		return Labels(w, []app.Label{l}, LabelSheet{Grid: grid(t, "A4 2x4 99.1x67.7")}, at)
	})))
	for _, want := range append(strings.Fields(l.Title), "Poiré") {
		if !strings.Contains(said, want) {
			t.Errorf("%q did not come through: %s", want, said)
		}
	}
}

// What does not fit, or cannot be set, is refused with the name of the field.
func TestLabelRefuses(t *testing.T) {
	sheet := LabelSheet{Grid: grid(t, "A4 3x7 63.5x38.1")}
	for _, tt := range []struct {
		name   string
		change func(*app.Label, *LabelSheet)
		want   string
	}{
		{"a word too long", func(l *app.Label, _ *LabelSheet) { l.Title = strings.Repeat("Holunder", 12) }, "title: does not fit on a label of 63.5 x 38.1 mm in type of 10 points"},
		{"too many contents", func(l *app.Label, _ *LabelSheet) { l.Contents = slices.Repeat([]string{"blackberry"}, 60) }, "contents: does not fit"},
		{"a letter that no font has", func(l *app.Label, _ *LabelSheet) { l.Title = "Bees 🐝" }, `title: the fonts have no letter '🐝' (U+1F41D)`},
		{"another script", func(l *app.Label, _ *LabelSheet) { l.Words = "蜂蜜" }, "words: the fonts have no letter '蜂'"},
		{"a code too large", func(_ *app.Label, s *LabelSheet) { s.Code = strings.Repeat("facts ", 60) }, "code: it needs"},
		{"a start outside", func(_ *app.Label, s *LabelSheet) { s.Start = 22 }, "place 22 is outside the sheet, which has 21 labels"},
	} {
		l, s := elderflower(), sheet
		tt.change(&l, &s)
		var pdf bytes.Buffer
		err := Labels(&pdf, []app.Label{l}, s, at)
		if err == nil || !strings.Contains(err.Error(), tt.want) || pdf.Len() > 0 {
			t.Errorf("%s: %v and %d bytes, want %q and none", tt.name, err, pdf.Len(), tt.want)
		}
	}
	if err := Labels(io.Discard, nil, sheet, at); err == nil {
		t.Error("no labels: no error")
	}
}

// The same record and time give the same bytes; another time does not.
func TestSameBytes(t *testing.T) {
	sheet := LabelSheet{Grid: grid(t, "A4 2x4 99.1x67.7"), Code: elderflower().Facts()}
	draw := func(when time.Time) []byte {
		return drawn(t, func(w io.Writer) error { return Labels(w, []app.Label{elderflower()}, sheet, when) })
	}
	if !bytes.Equal(draw(at), draw(at)) {
		t.Error("two drawings of the same label differ")
	}
	if bytes.Equal(draw(at), draw(at.AddDate(0, 0, 1))) {
		t.Error("a drawing of another day is the same: the date of the document is not its own")
	}
}

func BenchmarkSixtyLabels(b *testing.B) {
	labels := slices.Repeat([]app.Label{elderflower()}, 60)
	sheet := LabelSheet{Grid: grid(b, "A4 2x4 99.1x67.7"), Code: elderflower().Facts()}
	for b.Loop() {
		if err := Labels(io.Discard, labels, sheet, at); err != nil {
			b.Fatal(err)
		}
	}
}
