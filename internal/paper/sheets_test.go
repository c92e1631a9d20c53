package paper

import (
	"bytes"
	"io"
	"slices"
	"strings"
	"testing"

	"skep/internal/app"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
)

// card is an invented jug on paper.
func card(name string) app.Card {
	state := estimate.State{
		Gravity: measure.Normal(1.02, 0.004, "SG 20/20"), Ethanol: measure.Normal(9.1, 0.5, "% vol"), Hexose: measure.Normal(70, 8, "g/L"),
		WeightLost: measure.Normal(310, 20, "g"), Rate: measure.Normal(3, 0.5, "g/L/day"),
	}
	c := app.Card{
		Jug: app.Jug{
			Name: name, Made: at.AddDate(0, 0, -12), Vessel: "green demijohn",
			In:    []string{"1.2 kg heather honey", "4 cups elderflower", "1 lemon", "water, up to the mark"},
			Stood: app.Stood{Jug: name, At: at, Now: &state, Final: &state},
		},
		YeastIn: at.AddDate(0, 0, -12), First: measure.Normal(1.09, 0.002, "SG 20/20"),
	}
	for day := range 30 {
		s := state
		s.Gravity = measure.Normal(1.09-0.003*float64(day), 0.004, "SG 20/20")
		c.Stood.Course = append(c.Stood.Course, app.Point{Day: c.Made.AddDate(0, 0, day), State: s})
	}
	c.Stood.Standing.Sentence = "It is working; it should be over by about 20 December."
	w := app.Wanted{Jug: name}
	w.At, w.What, w.Why = at.AddDate(0, 0, 3), "Weigh it", "it says how far it is"
	c.Next = []app.Wanted{w}
	return c
}

func plan() (app.Plan, app.Sheet) {
	p := app.Plan{Fill: measure.Exact(4.2, "L"), Vessel: batch.Vessel{Name: "1 gal", Litres: 4.5}}
	p.Prospect.Gravity, p.Prospect.Strength = measure.Exact(1.09, "SG 20/20"), measure.Exact(12, "% vol")
	s := app.Sheet{Name: "heather", FullKg: measure.Exact(4.55, "kg"), Warnings: []string{"the yeast stops near that"}}
	for _, title := range []string{"Gather", "Clean", "Warm", "Fill", "Read", "Pitch"} {
		s.Steps = append(s.Steps, app.Step{
			Title: title, When: "brew day", Minutes: measure.RangeOf(nil, "min"),
			Do: slices.Repeat([]string{"Do this with care and then that, until nothing lies on the bottom any more and it is all one."}, 3), Caution: []string{"Hot glass breaks."},
			Quantities: []app.Amount{{Ingredient: "heather honey", Metric: "1.20 kg", Weight: "2 lb 10 oz", Kitchen: "3 1/2 cups"}},
		})
	}
	return p, s
}

// Every sheet says what it is for, and no word of it runs off the page, on both papers.
func TestSheets(t *testing.T) {
	long := strings.TrimSpace(strings.Repeat("Elderflower and gooseberry ", 6))
	told := card(long)
	told.History = slices.Repeat([]app.HistoryLine{{Number: 1, At: at, Said: "gravity 1.050 at 20 C, " + strings.Repeat("x", 200)}}, 90)
	told.History[0].Corrected, told.History[0].CorrectedTo = 2, "gravity 1.060"
	told.History[1].Withdrawn = 3
	lots := slices.Repeat([]app.ShelfLot{{Jug: "Heather", Bottled: at, SizeML: 750, Style: batch.Still, Filled: 30, Left: 28, Strength: measure.Normal(12, 0.4, "% vol")}}, 14)
	brew, steps := plan()
	for _, p := range []Paper{A4, Letter} {
		for _, tt := range []struct {
			name  string
			draw  func(io.Writer) error
			pages int // at least
			want  []string
		}{
			{"tags", func(w io.Writer) error { return Tags(w, p, slices.Repeat([]app.Card{card("Heather"), told}, 3), at) }, 2, []string{"Heather", "Yeast in 13 November 2026", "Sat 28 November", "Weigh it.", "bubbles", "gravity"}},
			{"brew day", func(w io.Writer) error { return BrewDay(w, p, brew, steps, at) }, 2, []string{"heather", "1.090", "6. Pitch", "1.20 kg = 2 lb 10 oz = 3 1/2 cups", "Hot glass breaks.", "the yeast stops near that.", "empty jug"}},
			{"shelf", func(w io.Writer) error { return Shelf(w, p, lots, at) }, 1, []string{"On the shelf", "28 of 30 left", "about 12.0 % vol", "page 2"}},
			{"story", func(w io.Writer) error { return Story(w, p, told, at) }, 4, []string{"Elderflower and gooseberry", "It is working;", "9.1 %", "1 lemon", "[corrected to: gravity 1.060]", "[taken back]", "Weigh it (it says how far it is)."}},
			{"class", func(w io.Writer) error { return Class(w, p, card("Heather"), at) }, 2, []string{"Five numbers are missing", "1. Weight lost", "5. Strength", "page 2", "about 310 g", "wine is not for children"}},
		} {
			pdf := drawn(t, tt.draw)
			if !bytes.Equal(pdf, drawn(t, tt.draw)) {
				t.Errorf("%s on %s: two drawings differ", tt.name, p.Name)
			}
			all := words(t, pdf)
			for _, w := range all {
				if w.left < 5 || w.right > p.Width-5 || w.top < 5 || w.bottom > p.Height-5 {
					t.Errorf("%s on %s, page %d: %.30q stands at %.1f,%.1f to %.1f,%.1f mm", tt.name, p.Name, w.page, w.text, w.left, w.top, w.right, w.bottom)
				}
			}
			if last := all[len(all)-1].page; last < tt.pages {
				t.Errorf("%s on %s has %d pages, want %d or more", tt.name, p.Name, last, tt.pages)
			}
			said := text(all)
			for _, want := range tt.want {
				if !strings.Contains(said, want) {
					t.Errorf("%s on %s does not say %q: %.600s", tt.name, p.Name, want, said)
				}
			}
		}
	}
}

// The answers of a class are behind the questions, not beside them.
func TestClassHidesItsAnswers(t *testing.T) {
	all := words(t, drawn(t, func(w io.Writer) error { return Class(w, A4, card("Heather"), at) }))
	front := slices.DeleteFunc(slices.Clone(all), func(w word) bool { return w.page > 1 })
	for _, answer := range []string{"310", "1.020", "9.1"} {
		if strings.Contains(text(front), answer) {
			t.Errorf("the questions tell %s", answer)
		}
		if !strings.Contains(text(all), answer) {
			t.Errorf("the answers do not tell %s", answer)
		}
	}
}

func TestSheetsRefuse(t *testing.T) {
	unknown := card("Heather")
	unknown.Stood.Now, unknown.Stood.Unknown = nil, "no yeast is in yet"
	foreign := card("蜂")
	for _, tt := range []struct {
		name string
		draw func(io.Writer) error
		want string
	}{
		{"a class without answers", func(w io.Writer) error { return Class(w, A4, unknown, at) }, "no yeast is in yet"},
		{"an empty shelf", func(w io.Writer) error { return Shelf(w, A4, nil, at) }, "the shelf is empty"},
		{"no jugs", func(w io.Writer) error { return Tags(w, A4, nil, at) }, "no jugs"},
		{"a tag in another script", func(w io.Writer) error { return Tags(w, A4, []app.Card{foreign}, at) }, "name: the fonts have no letter"},
		{"a story in another script", func(w io.Writer) error { return Story(w, A4, foreign, at) }, "title: the fonts have no letter"},
		{"a tag with a word too long", func(w io.Writer) error { return Tags(w, A4, []app.Card{card(strings.Repeat("Holunder", 9))}, at) }, "name: does not fit on a tag of 92 x 126 mm"},
	} {
		var pdf bytes.Buffer
		if err := tt.draw(&pdf); err == nil || !strings.Contains(err.Error(), tt.want) || pdf.Len() > 0 {
			t.Errorf("%s: %v and %d bytes, want %q and none", tt.name, err, pdf.Len(), tt.want)
		}
	}
}
