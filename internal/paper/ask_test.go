package paper

import (
	"errors"
	"slices"
	"testing"

	"skep/internal/app"
	"skep/internal/measure"
)

func TestLabelsAsAsked(t *testing.T) {
	l := app.Label{Title: "Elder", Lot: "L260501-1", Left: 5}
	for _, tt := range []struct {
		name    string
		ask     LabelAsk
		units   measure.System
		left    int
		sheet   string
		count   int
		code    bool
		without []string
	}{
		{"nothing said", LabelAsk{}, measure.Metric, 5, "A4 2x4 99.1x67.7", 5, true, nil},
		{"US units", LabelAsk{}, measure.US, 5, "Letter 2x3 101.6x84.7", 5, true, nil},
		{"nothing on the shelf", LabelAsk{Start: 3}, measure.Metric, 0, "A4 2x4 99.1x67.7", 6, true, nil},
		{"small ones", LabelAsk{Sheet: "A4 3x7 63.5x38.1", Count: 2}, measure.Metric, 5, "A4 3x7 63.5x38.1", 2, false, []string{"range"}},
		{"small ones with a code", LabelAsk{Sheet: "A4 3x7 63.5x38.1", Code: "facts", Without: []string{"dates"}}, measure.Metric, 5, "A4 3x7 63.5x38.1", 5, true, []string{"dates"}},
		{"no code", LabelAsk{Code: "none"}, measure.Metric, 5, "A4 2x4 99.1x67.7", 5, false, nil},
	} {
		l.Left = tt.left
		s, count, err := tt.ask.Lay(l, tt.units)
		if err != nil || s.Grid.String() != tt.sheet || count != tt.count || (s.Code != "") != tt.code || !slices.Equal(s.Without, tt.without) {
			t.Errorf("%s: Lay = %s, %d labels, code %q, without %q, %v; want %s, %d, %t, %q",
				tt.name, s.Grid, count, s.Code, s.Without, err, tt.sheet, tt.count, tt.code, tt.without)
		}
	}
	for field, ask := range map[string]LabelAsk{
		"sheet": {Sheet: "A3 1x1 10x10"}, "start": {Start: 9}, "count": {Count: 1001}, "without": {Without: []string{"sulphites"}},
	} {
		var asked *app.AskError
		if _, _, err := ask.Lay(l, measure.Metric); !errors.As(err, &asked) || asked.Field != field {
			t.Errorf("Lay(%+v) = %v, want an *app.AskError of %s", ask, err, field)
		}
	}
	if p, err := PaperFor("letter", measure.Metric); err != nil || p != Letter {
		t.Errorf("PaperFor(letter) = %s, %v", p.Name, err)
	}
	if _, err := PaperFor("A3", measure.Metric); err == nil {
		t.Error("A3 was taken for a paper")
	}
}
