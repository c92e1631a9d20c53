package paper

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"skep/internal/app"
	"skep/internal/measure"
)

// PaperFor is the paper that was named, or that of the maker's units.
//
// Errors: *app.AskError.
func PaperFor(words string, units measure.System) (Paper, error) {
	usual := A4
	if units == measure.US {
		usual = Letter
	}
	if words == "" {
		return usual, nil
	}
	for _, p := range []Paper{A4, Letter} {
		if strings.EqualFold(strings.TrimSpace(words), p.Name) {
			return p, nil
		}
	}
	return usual, &app.AskError{Field: "paper", Words: words, Err: errors.New("is neither A4 nor Letter")}
}

// LabelAsk is how labels are wanted, as said.
type LabelAsk struct {
	Sheet   string   // as GridOf understands it; "": the usual one of the maker's units
	Start   int      // the first place that is free, from 1; 0 is 1
	Count   int      // 0: as many as bottles are left, else what is free of a sheet
	Code    string   // "facts", "none" or an address; "": facts, where there is room
	Without []string // of Droppable; nil: the range, where there is no room for a code
	Outline bool
}

// mostLabels are as many as are drawn at once.
const mostLabels = 1000

// usualGrids are the sheets that nobody has to name.
var usualGrids = map[string]string{A4.Name: "A4 2x4 99.1x67.7", Letter.Name: "Letter 2x3 101.6x84.7"}

// Lay finds the sheet for a label, and how many of it are drawn.
//
// Errors: *app.AskError.
func (a LabelAsk) Lay(l app.Label, units measure.System) (s LabelSheet, count int, err error) {
	if a.Sheet == "" {
		usual, err := PaperFor("", units)
		if err != nil {
			return s, 0, err
		}
		a.Sheet = usualGrids[usual.Name]
	}
	s = LabelSheet{Start: max(1, a.Start), Without: a.Without, Outline: a.Outline, Code: a.Code}
	if s.Grid, err = GridOf(a.Sheet); err != nil {
		return s, 0, &app.AskError{Field: "sheet", Words: a.Sheet, Err: err, Tip: `write paper, labels across x down, and width x height in mm: "A4 2x4 99.1x67.7"`}
	}
	free := s.Grid.Count() - s.Start + 1
	switch {
	case a.Start < 0 || free < 1:
		return s, 0, &app.AskError{Field: "start", Words: strconv.Itoa(a.Start), Err: fmt.Errorf("the sheet has places 1 to %d", s.Grid.Count())}
	case a.Count < 0 || a.Count > mostLabels:
		return s, 0, &app.AskError{Field: "count", Words: strconv.Itoa(a.Count), Err: fmt.Errorf("1 to %d labels are drawn at once", mostLabels)}
	}
	for _, field := range a.Without {
		if !slices.Contains(Droppable, field) {
			return s, 0, &app.AskError{Field: "without", Words: field, Err: errors.New("a label can do without " + strings.Join(Droppable, ", "))}
		}
	}
	room := s.Grid.HoldsCode()
	if len(a.Without) == 0 && !room {
		s.Without = []string{"range"}
	}
	switch {
	case a.Code == "none", a.Code == "" && !room:
		s.Code = ""
	case a.Code == "", a.Code == "facts":
		s.Code = l.Facts()
	}
	count = a.Count
	if count == 0 {
		count = l.Left
	}
	if count == 0 {
		count = free
	}
	return s, min(count, mostLabels), nil
}
