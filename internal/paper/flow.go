package paper

import (
	"fmt"
	"io"
	"time"

	"skep/internal/app"
)

// Margins of a page, mm, and its type, points.
const (
	side      = 18.0
	top       = 16.0
	bottom    = 18.0
	body      = 10.5
	small     = 8.5
	heading   = 13.0
	nameSize  = 26.0
	leastHead = 14 // the least size of a title
)

// flow is text that runs over pages.
type flow struct {
	*canvas
	paper Paper
	title string
	at    time.Time
	y     float64
	err   error // the first
}

// newFlow begins a document with its title at the head of the first page.
func newFlow(p Paper, title, under string, at time.Time) (*flow, error) {
	c, err := newCanvas(p, title, at)
	if err != nil {
		return nil, err
	}
	f := &flow{canvas: c, paper: p, title: title, at: at}
	f.page()
	head, err := c.column(f.across(), block{"title", title, serif, nameSize, leastHead, black, 0.5}, block{"title", under, sans, body, small, quiet, 0})
	if err != nil {
		return nil, err
	}
	scale := largest(func(scale float64) bool { // a name of a line or two
		h, wide := c.height(head, scale)
		return wide == "" && h <= 32
	})
	if scale == 0 {
		return nil, &FitError{Field: "title", Size: leastHead, Box: "a page of " + p.Name}
	}
	f.y = c.draw(head, side, f.y, scale) + 2
	c.rule(side, f.y, f.across(), black)
	f.y += 4
	return f, nil
}

func (f *flow) across() float64 { return f.paper.Width - 2*side }

// page begins a page with its foot.
func (f *flow) page() {
	f.pdf.AddPage()
	f.y = top
	foot, err := f.clean("title", sans, fmt.Sprintf("%s, %s, page %d", f.title, day(f.at), f.pdf.PageNo()))
	if err != nil || f.width(foot, sans, small) > f.across() { // the title is told in full at the head
		foot = fmt.Sprintf("%s, page %d", day(f.at), f.pdf.PageNo())
	}
	f.text(side, f.paper.Height-bottom+6, foot, sans, small, quiet)
}

// need begins a new page unless so much room is left.
func (f *flow) need(height float64) {
	if f.y+height > f.paper.Height-bottom {
		f.page()
	}
}

// para sets a paragraph, so far in from the left; field names it in errors.
func (f *flow) para(field, text string, face face, size float64, in float64) {
	f.beside(field, text, face, size, in, f.across()-in, black)
	f.y += 0.8
}

// beside sets a paragraph of a width and leaves the cursor right below it.
func (f *flow) beside(field, text string, face face, size, in, width float64, grey int) {
	text, err := f.clean(field, face, text)
	if err != nil && f.err == nil {
		f.err = err
	}
	for _, line := range f.broken(text, face, size, width) {
		f.need(leading * size * point)
		f.text(side+in, f.y, line, face, size, grey)
		f.y += leading * size * point
	}
}

// broken is lines with words that are too long for one broken where they must be: on a
// page, unlike on a label, there is room for the rest.
func (f *flow) broken(text string, face face, size, width float64) []string {
	var all []string
	lines, _ := f.lines(text, face, size, width)
	for _, line := range lines {
		for f.width(line, face, size) > width {
			letters := []rune(line)
			n := len(letters) - 1
			for n > 1 && f.width(string(letters[:n]), face, size) > width {
				n--
			}
			all = append(all, string(letters[:n]))
			line = string(letters[n:])
		}
		all = append(all, line)
	}
	return all
}

// head sets a heading, with room for what follows it.
func (f *flow) head(text string) {
	f.need(20)
	f.y += 3
	f.para("heading", text, serif, heading, 0)
}

// row sets a name and a value beside it, so far in from the left.
func (f *flow) row(name, value string, from, in float64) {
	f.need(leading * body * point)
	page, y := f.pdf.PageNo(), f.y
	f.beside(name, name, sans, body, from, in-from-3, quiet)
	nameEnd := f.y
	if f.pdf.PageNo() == page {
		f.y = y
	}
	f.beside(name, value, sans, body, in, f.across()-in, black)
	if f.pdf.PageNo() == page {
		f.y = max(f.y, nameEnd)
	}
	f.y += 0.6
}

// box sets a paragraph behind a box to tick.
func (f *flow) box(field, text string) {
	f.need(leading * body * point)
	f.frame(side, f.y+0.6, 3, 3, quiet)
	f.para(field, text, sans, body, 6)
}

// care sets a caution behind a bar, which is seen before it is read.
func (f *flow) care(text string) {
	f.need(3 * leading * body * point)
	y := f.y
	f.para("caution", text, bold, small+0.5, 6)
	if f.y > y {
		f.pdf.SetFillColor(black, black, black)
		f.pdf.Rect(side+1.2, y+0.3, 1, f.y-y-1.2, "F")
	}
	f.y += 0.6
}

// figure is a large number with what it is.
type figure struct{ large, name string }

// figures sets large numbers side by side.
func (f *flow) figures(all ...figure) {
	f.need(22)
	each := f.across() / float64(len(all))
	for i, one := range all {
		x := side + float64(i)*each
		col, err := f.column(each-4, block{one.name, one.large, sans, 21, 11, black, 0}, block{one.name, one.name, sans, small, small, quiet, 0})
		if err != nil && f.err == nil {
			f.err = err
		}
		scale := largest(func(scale float64) bool {
			h, wide := f.height(col, scale)
			return wide == "" && h <= 18
		})
		f.draw(col, x, f.y, scale)
	}
	f.y += 18
}

// write ends the document.
func (f *flow) write(w io.Writer) error {
	if f.err != nil {
		return f.err
	}
	return f.pdf.Output(w)
}

// want reads "Saturday 28 November: weigh it (…)".
func want(w app.Wanted) (when, what string) {
	what = w.What
	if w.Why != "" {
		what += " (" + w.Why + ")"
	}
	return w.At.Format("Mon 2 January 2006"), what + "."
}
