package paper

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// Grid is a sheet of labels: how many across and down, how large, how far apart, and
// where the first begins, mm.
type Grid struct {
	Paper         Paper
	Across, Down  int
	Width, Height float64 // of one label
	GapX, GapY    float64 // between two
	Left, Top     float64 // of the first
}

// Count is how many labels a sheet has.
func (g Grid) Count() int { return g.Across * g.Down }

// HoldsCode says that a code leaves room for the words of a label (our choice).
func (g Grid) HoldsCode() bool { return g.Width >= 80 && g.Height >= 45 }

// at is the top left corner of a label, counted from 0 along the rows.
func (g Grid) at(place int) (x, y float64) {
	return g.Left + float64(place%g.Across)*(g.Width+g.GapX), g.Top + float64(place/g.Across)*(g.Height+g.GapY)
}

// String reads "A4 2x4 99.1x67.7".
func (g Grid) String() string {
	return fmt.Sprintf("%s %dx%d %gx%g", g.Paper.Name, g.Across, g.Down, g.Width, g.Height)
}

// centred is a grid in the middle of its paper, as sheets are cut.
func centred(p Paper, across, down int, width, height, gapX, gapY float64) Grid {
	return Grid{
		p, across, down, width, height, gapX, gapY,
		(p.Width - float64(across)*width - float64(across-1)*gapX) / 2,
		(p.Height - float64(down)*height - float64(down-1)*gapY) / 2,
	}
}

// Grids are sheets that are common, by their dimensions (common practice, no source).
func Grids() []Grid {
	return []Grid{
		centred(A4, 2, 2, 99.1, 139, 2.5, 0),
		centred(A4, 2, 3, 99.1, 93.1, 2.5, 0),
		centred(A4, 2, 4, 99.1, 67.7, 2.5, 0),
		centred(A4, 2, 4, 105, 74, 0, 0),
		centred(A4, 2, 5, 99.1, 57, 2.5, 0),
		centred(A4, 3, 6, 63.5, 46.6, 2.5, 0),
		centred(A4, 3, 7, 63.5, 38.1, 2.5, 0),
		centred(A4, 3, 8, 70, 37, 0, 0),
		centred(Letter, 2, 3, 101.6, 84.7, 4.8, 0),
		centred(Letter, 2, 5, 101.6, 50.8, 4.8, 0),
		centred(Letter, 3, 10, 66.7, 25.4, 3.2, 0),
	}
}

const (
	edge     = 5.0  // mm that a printer may leave white, around labels cut from plain paper
	smallest = 20.0 // mm: a label less wide or high than this holds nothing that can be read
)

// GridOf understands a sheet of labels by its dimensions, mm:
//
//	A4 2x4 99.1x67.7                       a common one, or any in the middle of its paper
//	A4 90x60                               as many as the paper holds, to cut out
//	Letter 2x5 101.6x50.8 gap 4.8x0 from 4x12.7   measured with a ruler
//
// Errors: words that are none of these; labels that do not fit on the paper, or are too
// small to be read.
func GridOf(words string) (Grid, error) {
	found := gridWords.FindStringSubmatch(strings.ToLower(strings.TrimSpace(words)))
	if found == nil {
		return Grid{}, fmt.Errorf("no sheet of labels is called %q", words)
	}
	number := func(i int) float64 {
		x, _ := strconv.ParseFloat(found[i], 64) // digits, by the expression
		return x
	}
	paper := A4
	if found[1] == "letter" {
		paper = Letter
	}
	width, height, gapX, gapY := number(4), number(5), number(6), number(7)
	if width < smallest || height < smallest {
		return Grid{}, fmt.Errorf("a label of %g x %g mm is too small to be read: at least %g x %g", width, height, smallest, smallest)
	}
	var across, down int
	if found[2] == "" {
		across = int((paper.Width - 2*edge + gapX) / (width + gapX))
		down = int((paper.Height - 2*edge + gapY) / (height + gapY))
	} else {
		across, down = int(number(2)), int(number(3))
	}
	if across < 1 || down < 1 {
		return Grid{}, fmt.Errorf("a label of %g x %g mm does not fit on %s, %g x %g mm", width, height, paper.Name, paper.Width, paper.Height)
	}
	if found[6] == "" {
		for _, g := range Grids() {
			if g.Paper == paper && g.Across == across && g.Down == down && g.Width == width && g.Height == height {
				gapX, gapY = g.GapX, g.GapY
			}
		}
	}
	g := centred(paper, across, down, width, height, gapX, gapY)
	if found[8] != "" {
		g.Left, g.Top = number(8), number(9)
	}
	x, y := g.at(g.Count() - 1)
	const ruler = 0.5 // mm: sheets end at the edge of the paper, and are measured so
	if g.Left < -ruler || g.Top < -ruler || x+width > paper.Width+ruler || y+height > paper.Height+ruler {
		return Grid{}, fmt.Errorf("%d x %d labels of %g x %g mm do not fit on %s, %g x %g mm", across, down, width, height, paper.Name, paper.Width, paper.Height)
	}
	return g, nil
}

const size = `(\d{1,3}(?:\.\d{1,2})?)\s*x\s*(\d{1,3}(?:\.\d{1,2})?)`

var gridWords = regexp.MustCompile(`^(a4|letter)(?:\s+(\d{1,2})\s*x\s*(\d{1,2}))??\s+` + size + `(?:\s*mm)?(?:\s+gap\s+` + size + `)?(?:\s+from\s+` + size + `)?$`)

// place is the page, and the place on it, of a label; start is the first place that is
// free, counted from 1.
func (g Grid) place(start, label int) (page, place int) {
	n := start - 1 + label
	return n / g.Count(), n % g.Count()
}
