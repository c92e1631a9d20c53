package paper

import (
	"fmt"
	"io"
	"strings"
	"time"

	"skep/internal/app"
	"skep/internal/measure"
)

// Shelf draws what is bottled, with a box for each bottle that is left, to be struck out
// as they go.
//
// Errors: nothing on the shelf; *LetterError.
func Shelf(w io.Writer, p Paper, lots []app.ShelfLot, at time.Time) error {
	if len(lots) == 0 {
		return fmt.Errorf("the shelf is empty: there is no list to print")
	}
	f, err := newFlow(p, "On the shelf", "Strike out a box for each bottle that goes", at)
	if err != nil {
		return err
	}
	for _, l := range lots {
		f.need(24)
		f.para("jug", l.Jug, serif, heading+1, 0)
		facts := []string{bottleSize(l.SizeML), string(l.Style), "bottled " + day(l.Bottled)}
		if l.Strength.Known() && l.Strength.Value > 0 {
			facts = append(facts, measure.ShowRange(l.Strength))
		}
		f.beside("jug", strings.Join(facts, "; "), sans, small+0.5, 0, f.across(), quiet)
		f.y += 1.5
		f.tally(l.Left, l.Filled)
		f.y += 2
		f.rule(side, f.y, f.across(), hair)
		f.y += 3
	}
	return f.write(w)
}

// tally draws a box for each bottle left, and says how many were filled.
func (f *flow) tally(left, filled int) {
	const box, gap = 4.5, 1.8
	f.need(box)
	across := int((f.across() - 40) / (box + gap))
	for i := range left {
		if i > 0 && i%across == 0 {
			f.y += box + gap
			f.need(box)
		}
		f.frame(side+float64(i%across)*(box+gap), f.y, box, box, black)
	}
	text := fmt.Sprintf("%d of %d left", left, filled)
	f.text(side+f.across()-f.width(text, sans, body), f.y+0.4, text, sans, body, black)
	f.y += box
}
