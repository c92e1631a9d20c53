package paper

import (
	"fmt"
	"io"
	"strings"
	"time"

	"skep/internal/app"
)

// tagRows are the lines of a tag to be filled in by hand.
const tagRows = 7

// Tags draws what hangs on jugs, four to a page, to be cut out and tied on: name, date
// and next look in type that is read from across a room, and lines to write on.
//
// Errors: no jugs; *FitError; *LetterError.
func Tags(w io.Writer, p Paper, cards []app.Card, at time.Time) error {
	if len(cards) == 0 {
		return fmt.Errorf("no jugs to print a tag for")
	}
	g := centred(p, 2, 2, 92, 126, 5, 5)
	c, err := newCanvas(p, cards[0].Name, at)
	if err != nil {
		return err
	}
	for i, card := range cards {
		_, place := g.place(1, i)
		if place == 0 {
			c.pdf.AddPage()
		}
		x, y := g.at(place)
		if err := c.tag(card, g, x, y, at); err != nil {
			return err
		}
	}
	return c.pdf.Output(w)
}

func (c *canvas) tag(card app.Card, g Grid, x, y float64, at time.Time) error {
	const pad, hole, row = 6.0, 3.0, 6.5
	c.frame(x, y, g.Width, g.Height, hair)
	c.pdf.Circle(x+g.Width/2, y+pad, hole, "D")
	begun := "Made " + day(card.Made)
	if !card.YeastIn.IsZero() {
		begun = "Yeast in " + day(card.YeastIn)
	}
	when, why := "as you like", ""
	if len(card.Next) > 0 {
		first := card.Next[0]
		due := first.At
		if due.Before(at) {
			due = at
		}
		when, why = due.Format("Mon 2 January"), first.What+"."
	}
	blocks := []block{
		{"name", card.Name, serif, 32, 14, black, 1},
		{"made", begun, sans, 12, 8, quiet, 3},
		{"next look", "Next look", sans, 10, 8, quiet, 0},
		{"next look", when, bold, 24, 13, black, 0.5},
		{"next look", why, sans, 10, 7, black, 2},
		{"contents", strings.Join(card.In, ", "), sans, 8.5, smallPrint, quiet, 0},
	}
	col, err := c.column(g.Width-2*pad, blocks...)
	if err != nil {
		return err
	}
	from := y + pad + hole + 3
	room := y + g.Height - pad - (tagRows+1)*row - 2 - from
	scale := largest(func(scale float64) bool {
		h, wide := c.height(col, scale)
		return wide == "" && h <= room
	})
	if scale == 0 {
		return c.tooMuch(fmt.Sprintf("a tag of %g x %g mm", g.Width, g.Height), col)
	}
	c.draw(col, x+pad, from, scale)
	c.byHand(x+pad, y+g.Height-pad-(tagRows+1)*row, g.Width-2*pad, row)
	return nil
}

// byHand draws lines for what is seen on a visit.
func (c *canvas) byHand(x, y, width, row float64) {
	columns := []string{"date", "weight", "bubbles", "gravity"}
	each := width / float64(len(columns))
	for i, name := range columns {
		c.text(x+float64(i)*each, y+row-4, name, sans, 7, quiet)
	}
	for r := range tagRows + 1 {
		c.rule(x, y+float64(r+1)*row, width, hair)
	}
}
