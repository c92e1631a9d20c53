package cli

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// width is how wide text runs before it is folded.
const width = 78

// page collects text for the terminal.
type page struct{ strings.Builder }

// title writes a heading.
func (p *page) title(format string, args ...any) {
	if p.Len() > 0 {
		p.WriteString("\n")
	}
	line := fmt.Sprintf(format, args...)
	p.WriteString(line + "\n" + strings.Repeat("-", utf8.RuneCountInString(line)) + "\n")
}

// say writes a paragraph, folded.
func (p *page) say(format string, args ...any) {
	p.fold("", "", fmt.Sprintf(format, args...))
}

// item writes a paragraph behind a mark, folded under itself.
func (p *page) item(mark, format string, args ...any) {
	p.fold(mark+" ", strings.Repeat(" ", utf8.RuneCountInString(mark)+1), fmt.Sprintf(format, args...))
}

// row writes a name and a value, the values one under another.
func (p *page) row(name, format string, args ...any) {
	p.fold(fmt.Sprintf("  %-18s ", name), strings.Repeat(" ", 21), fmt.Sprintf(format, args...))
}

// fold writes words, the first line behind first and the others behind rest.
func (p *page) fold(first, rest, words string) {
	line := first
	empty := true
	for _, word := range strings.Fields(words) {
		if !empty && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			p.WriteString(strings.TrimRight(line, " ") + "\n")
			line, empty = rest, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	p.WriteString(strings.TrimRight(line, " ") + "\n")
}
