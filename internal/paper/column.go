package paper

import (
	"fmt"
	"math"
)

// block is a paragraph.
type block struct {
	field     string // as the caller calls it, for errors
	text      string
	face      face
	size, min float64 // points
	grey      int
	after     float64 // mm below it, at full size
}

// column is paragraphs one under another, as wide as they may run.
type column struct {
	width  float64
	blocks []block
}

// FitError says that a text does not fit, even in the smallest type.
type FitError struct {
	Field string // "contents"
	Size  float64
	Box   string // "a label of 63.5 x 38.1 mm"
}

// Error reads `contents: does not fit on a label of 63.5 x 38.1 mm in type of 6 points`.
func (e *FitError) Error() string {
	return fmt.Sprintf("%s: does not fit on %s in type of %g points", e.Field, e.Box, e.Size)
}

// Hint says what would help.
func (e *FitError) Hint() string {
	return "use fewer words or a larger label, or leave a field out: --without"
}

// column sets the texts as the fonts have them, and leaves out the empty ones.
//
// Errors: *LetterError.
func (c *canvas) column(width float64, blocks ...block) (column, error) {
	col := column{width: width}
	for _, b := range blocks {
		var err error
		if b.text, err = c.clean(b.field, b.face, b.text); err != nil {
			return col, err
		}
		if b.text != "" {
			col.blocks = append(col.blocks, b)
		}
	}
	return col, nil
}

// height is that of a column in type so much smaller, 1 being full size; wide is the
// field that has a word too long for it, if any has.
func (c *canvas) height(col column, scale float64) (height float64, wide string) {
	for _, b := range col.blocks {
		size := max(b.min, scale*b.size)
		lines, over := c.lines(b.text, b.face, size, col.width)
		height += float64(len(lines))*leading*size*point + scale*b.after
		if over && wide == "" {
			wide = b.field
		}
	}
	return height, wide
}

// largest is the largest scale, at most 1, at which fits holds, which holds for all
// smaller ones if for one; 0 if it holds for none.
func largest(fits func(scale float64) bool) float64 {
	if fits(1) {
		return 1
	}
	low, high := 0.0, 1.0
	for range 7 { // to a 128th
		if mid := (low + high) / 2; fits(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// tooMuch names what keeps columns from fitting a box at the smallest size: a word that is
// too long, else the field that takes most room.
func (c *canvas) tooMuch(box string, cols ...column) *FitError {
	e := &FitError{Box: box}
	most := 0.0
	for _, col := range cols {
		for _, b := range col.blocks {
			lines, wide := c.lines(b.text, b.face, b.min, col.width)
			height := float64(len(lines)) * b.min
			if wide {
				height = math.Inf(1)
			}
			if height > most {
				most, e.Field, e.Size = height, b.field, b.min
			}
		}
	}
	return e
}

// draw sets a column with its top left corner at x, y, and returns where it ends.
func (c *canvas) draw(col column, x, y, scale float64) float64 {
	for _, b := range col.blocks {
		size := max(b.min, scale*b.size)
		lines, _ := c.lines(b.text, b.face, size, col.width)
		for _, line := range lines {
			c.text(x, y, line, b.face, size, b.grey)
			y += leading * size * point
		}
		y += scale * b.after
	}
	return y
}
