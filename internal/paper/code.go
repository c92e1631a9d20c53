package paper

import (
	"fmt"

	"rsc.io/qr/coding"
)

// A QR code is drawn square by square, never as a picture: pictures are scaled, and then
// misread. It stands in a white margin of four squares (ISO/IEC 18004).
const (
	margin      = 4    // squares
	leastSquare = 0.33 // mm: four dots of a printer of 300 to the inch (our policy)
)

// encode is the code of a text, strong enough to bear a crease.
func encode(text string) (*coding.Code, error) {
	parts := []coding.Encoding{coding.String(text)}
	for _, r := range text {
		if r >= 0x80 {
			parts = []coding.Encoding{utf8Mark{}, coding.String(text)}
			break
		}
	}
	for v := coding.Version(coding.MinVersion); v <= coding.MaxVersion; v++ {
		bits := 0
		for _, part := range parts {
			bits += part.Bits(v)
		}
		if bits > 8*v.DataBytes(coding.M) {
			continue
		}
		plan, err := coding.NewPlan(v, coding.M, 0)
		if err != nil {
			return nil, err
		}
		return plan.Encode(parts...)
	}
	return nil, fmt.Errorf("code: %d letters are more than a code holds", len([]rune(text)))
}

// utf8Mark says that what follows is UTF-8; without it readers guess, and read Cyrillic as
// Japanese. It is the designator 26 of "extended channel interpretation".
type utf8Mark struct{}

func (utf8Mark) Check() error                            { return nil }
func (utf8Mark) Bits(coding.Version) int                 { return 4 + 8 }
func (utf8Mark) Encode(b *coding.Bits, _ coding.Version) { b.Write(7, 4); b.Write(26, 8) }

// leastSide is how large a code must be to be read, margin and all.
func leastSide(code *coding.Code) float64 { return float64(code.Size+2*margin) * leastSquare }

// code draws a code with its margin in a square of a side.
func (c *canvas) code(code *coding.Code, x, y, side float64) {
	square := side / float64(code.Size+2*margin)
	c.pdf.SetFillColor(0, 0, 0)
	for row := range code.Size {
		for from := 0; from < code.Size; {
			to := from
			for to < code.Size && code.Black(to, row) {
				to++
			}
			if to > from { // a run of black is one rectangle, so that no seams show
				c.pdf.Rect(x+float64(margin+from)*square, y+float64(margin+row)*square, float64(to-from)*square, square, "F")
			}
			from = max(to, from+1)
		}
	}
}
