package measure

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// ParseError says which part of a person's words was not understood, and why.
type ParseError struct {
	Words      string // all that was said
	Start, End int    // the part at fault, as bytes of Words; equal where something is missing
	Problem    string // one line: "\"cusp\" is not a unit"
	Hint       string // how to say it, or ""
}

// Error is the problem, one line; the hint is for the door to add.
func (e *ParseError) Error() string { return e.Problem }

// Marked returns the words and, on a second line, carets under the part at fault.
func (e *ParseError) Marked() string {
	columns := utf8.RuneCountInString(e.Words[:e.Start])
	carets := max(1, utf8.RuneCountInString(e.Words[e.Start:e.End]))
	oneLine := strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.IsSpace(r) {
			return ' '
		}
		return r
	}, e.Words)
	return oneLine + "\n" + strings.Repeat(" ", columns) + strings.Repeat("^", carets)
}
