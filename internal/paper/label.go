package paper

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"rsc.io/qr/coding"

	"skep/internal/app"
	"skep/internal/measure"
)

// LabelSheet is how labels are printed.
type LabelSheet struct {
	Grid    Grid
	Start   int      // first place that is free on the first sheet, from 1; 0 is 1
	Code    string   // what the code on each label holds; "" none
	Without []string // fields left out: "range", "drinks", "contents", "dates", "lot"
	Outline bool     // draw where to cut
}

// Droppable are the fields that a label may do without. What some people must not have,
// and cautions, stay.
var Droppable = []string{"range", "drinks", "contents", "dates", "lot"}

// Labels draws labels, each as often as it is given.
//
// Errors: *FitError; *LetterError; no labels; a start outside the sheet; a code that
// would be too small to be read.
func Labels(w io.Writer, labels []app.Label, s LabelSheet, at time.Time) error {
	if len(labels) == 0 {
		return fmt.Errorf("no labels to print")
	}
	start := max(1, s.Start)
	if start > s.Grid.Count() {
		return fmt.Errorf("place %d is outside the sheet, which has %d labels", start, s.Grid.Count())
	}
	c, err := newCanvas(s.Grid.Paper, labels[0].Title, at)
	if err != nil {
		return err
	}
	pages := 0
	for i, l := range labels {
		page, place := s.Grid.place(start, i)
		for ; pages <= page; pages++ {
			c.pdf.AddPage()
		}
		x, y := s.Grid.at(place)
		if s.Outline {
			c.frame(x, y, s.Grid.Width, s.Grid.Height, hair)
		}
		if err := c.label(l, s, x, y); err != nil {
			return err
		}
	}
	return c.pdf.Output(w)
}

// smallPrint is the smallest type on a label, points (our choice: newspapers set their
// smallest so).
const smallPrint = 6

// label draws one label: what it is above, what to know of it below, and the code beside that.
func (c *canvas) label(l app.Label, s LabelSheet, x, y float64) error {
	g := s.Grid
	pad := padding(g)
	inner, tall := g.Width-2*pad, g.Height-2*pad
	grow := min(1.6, max(0.6, math.Sqrt(g.Width*g.Height/(99.1*67.7)))) // full size is that of this label
	var code *coding.Code
	side := 0.0
	if s.Code != "" {
		var err error
		if code, err = encode(s.Code); err != nil {
			return err
		}
		side = codeSide(g, code)
		if side > 0.45*inner || side > tall/2 {
			return fmt.Errorf("code: it needs %.0f mm of %s; a larger label, or none", side, g.box())
		}
	}
	head, err := c.column(inner, head(l, s, grow)...)
	if err != nil {
		return err
	}
	foot, err := c.column(inner-side, foot(l, s, grow)...)
	if err != nil {
		return err
	}
	between := min(1.5, 0.03*tall) // mm, above and below the rule
	room := func(scale float64) (header, footer float64, wide string) {
		header, wideHead := c.height(head, scale)
		footer, wideFoot := c.height(foot, scale)
		if wideHead == "" {
			wideHead = wideFoot
		}
		return header, max(footer, side), wideHead
	}
	scale := largest(func(scale float64) bool {
		header, footer, wide := room(scale)
		return wide == "" && header+footer+2*between <= tall
	})
	if scale == 0 {
		return c.tooMuch(g.box(), head, foot)
	}
	end := c.draw(head, x+pad, y+pad, scale)
	c.rule(x+pad, (end+y+pad+tall-max(side, c.tall(foot, scale)))/2, inner, hair)
	c.draw(foot, x+pad, y+pad+tall-c.tall(foot, scale), scale)
	if code != nil { // its margin may lie in the padding
		c.code(code, x+g.Width-pad-side+codeOut, y+g.Height-pad-side+codeOut, side)
	}
	return nil
}

// padding is what stays empty along the edges of a label.
func padding(g Grid) float64 { return min(4, 0.06*min(g.Width, g.Height)) }

// codeSide is how large the code of a label is, margin and all.
func codeSide(g Grid, code *coding.Code) float64 {
	return min(28, max(leastSide(code), 0.34*min(g.Width, g.Height)))
}

// codeOut is how far the white margin of a code lies in the padding, so that the code
// ends where the text does, mm.
const codeOut = 1.0

func (c *canvas) tall(col column, scale float64) float64 {
	h, _ := c.height(col, scale)
	return h
}

func (g Grid) box() string { return fmt.Sprintf("a label of %g x %g mm", g.Width, g.Height) }

func head(l app.Label, s LabelSheet, grow float64) []block {
	figures := l.Rounded
	if l.SizeML > 0 {
		figures = strings.TrimPrefix(figures+" · "+bottleSize(l.SizeML), " · ")
	}
	return []block{
		{"title", l.Title, serif, 25 * grow, 10, black, 0.4},
		{"words", l.Words, serif, 10.5 * grow, 7, black, 0.4},
		{"kind", capital(l.Kind), sans, 9 * grow, smallPrint, quiet, 1.2},
		{"strength", figures, bold, 15 * grow, 9, black, 0.3},
		{"drinks", measured(l, s), sans, 8 * grow, smallPrint, quiet, 0},
	}
}

// measured is how sure the strength is, and what it comes to.
func measured(l app.Label, s LabelSheet) string {
	var said []string
	if l.Strength.Known() && !slices.Contains(s.Without, "range") {
		said = append(said, fmt.Sprintf("most likely %.1f to %.1f %% vol", l.Strength.Low, l.Strength.High))
	}
	if l.Drinks.Known() && !slices.Contains(s.Without, "drinks") {
		said = append(said, fmt.Sprintf("about %.1f %s", l.Drinks.Value, l.Drinks.Unit))
	}
	return capital(strings.Join(said, "; "))
}

func foot(l app.Label, s LabelSheet, grow float64) []block {
	var blocks []block
	add := func(field, text string, f face) {
		if !slices.Contains(s.Without, field) {
			blocks = append(blocks, block{field, text, f, 8 * grow, smallPrint, black, 0.5})
		}
	}
	if len(l.Contains) > 0 {
		add("contains", "Contains "+strings.Join(l.Contains, " and ")+".", bold)
	}
	for _, caution := range l.Cautions {
		add("cautions", caution, sans)
	}
	if len(l.Contents) > 0 {
		add("contents", "Made from "+strings.Join(l.Contents, ", ")+".", sans)
	}
	if text := when(l, s); text != "" {
		add("dates and lot", text, sans)
	}
	return blocks
}

// when tells the dates and the lot.
func when(l app.Label, s LabelSheet) string {
	var said []string
	if !slices.Contains(s.Without, "dates") {
		said = append(said, "made "+day(l.Made))
		if !l.Bottled.IsZero() {
			said = append(said, "bottled "+day(l.Bottled))
		}
		if !l.DrinkFrom.IsZero() {
			said = append(said, "drink from "+day(l.DrinkFrom))
		}
	}
	if !slices.Contains(s.Without, "lot") {
		said = append(said, "lot "+l.Lot)
	}
	return capital(strings.Join(said, ", "))
}

func day(t time.Time) string { return t.Format("2 January 2006") }

func bottleSize(ml float64) string {
	return measure.ShowVolume(measure.Litres(ml/1000), measure.Metric)
}

func capital(s string) string {
	for i, r := range s {
		return strings.ToUpper(string(r)) + s[i+len(string(r)):]
	}
	return s
}
