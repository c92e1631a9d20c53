package paper

import (
	"fmt"
	"strings"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-fonts/liberation/liberationserifregular"
	"codeberg.org/go-pdf/fpdf"
	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// face is a typeface.
type face int

const (
	serif face = iota // names and titles
	sans              // everything to be read
	bold              // what must be seen
)

var families = [...]struct {
	name string
	data []byte
}{
	{"serif", liberationserifregular.TTF}, {"sans", liberationsansregular.TTF}, {"bold", liberationsansbold.TTF},
}

// Type.
const (
	point   = 25.4 / 72 // mm
	leading = 1.18      // from line to line, of the size
	rise    = 0.78      // from the top of a line to its feet, of the size
)

// Ink, as on screen: near black, a second voice, hair lines.
const (
	black = 0x22
	quiet = 0x66
	hair  = 0xaa
)

// Paper is a size of paper, mm.
type Paper struct {
	Name          string
	Width, Height float64
}

// The papers.
var (
	A4     = Paper{"A4", 210, 297}
	Letter = Paper{"Letter", 215.9, 279.4}
)

// canvas is a document that is being drawn.
type canvas struct {
	pdf     *fpdf.Fpdf
	fonts   [len(families)]*sfnt.Font
	letters [len(families)]map[rune]float64 // widths seen so far, of the size
	buffer  sfnt.Buffer
}

func newCanvas(p Paper, title string, at time.Time) (*canvas, error) {
	c := &canvas{pdf: fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: p.Width, Ht: p.Height}})}
	c.pdf.SetCreationDate(at.UTC())
	c.pdf.SetModificationDate(at.UTC())
	c.pdf.SetCatalogSort(true)
	c.pdf.SetProducer("Skep", true)
	c.pdf.SetTitle(title, true)
	c.pdf.SetAutoPageBreak(false, 0)
	for f, family := range families {
		c.pdf.AddUTF8FontFromBytes(family.name, "", family.data)
		var err error
		if c.fonts[f], err = sfnt.Parse(family.data); err != nil {
			return nil, fmt.Errorf("font %s: %w", family.name, err)
		}
		c.letters[f] = map[rune]float64{}
	}
	return c, c.pdf.Error()
}

// LetterError says that the fonts lack a letter.
type LetterError struct {
	Field  string // "title"
	Letter rune
}

// Error reads `title: the fonts have no letter "…" (U+1F41D)`.
func (e *LetterError) Error() string {
	return fmt.Sprintf("%s: the fonts have no letter %q (%U)", e.Field, e.Letter, e.Letter)
}

// clean is text as it is set: accents joined to their letters, white space made one.
//
// Errors: *LetterError.
func (c *canvas) clean(field string, f face, text string) (string, error) {
	text = strings.Join(strings.Fields(norm.NFC.String(text)), " ")
	for _, r := range text {
		if _, ok := c.letter(r, f); !ok {
			return "", &LetterError{Field: field, Letter: r}
		}
	}
	return text, nil
}

// letter is how wide a letter is, of the size, and whether the font has it.
func (c *canvas) letter(r rune, f face) (width float64, ok bool) {
	if w, seen := c.letters[f][r]; seen {
		return w, true
	}
	font := c.fonts[f]
	glyph, err := font.GlyphIndex(&c.buffer, r)
	if err != nil || glyph == 0 || r > 0xffff { // a PDF font of this kind has no more
		return 0, false
	}
	units := fixed.I(int(font.UnitsPerEm()))
	advance, err := font.GlyphAdvance(&c.buffer, glyph, units, xfont.HintingNone)
	if err != nil {
		return 0, false
	}
	c.letters[f][r] = float64(advance) / float64(units)
	return c.letters[f][r], true
}

// width is how wide a clean text runs.
func (c *canvas) width(text string, f face, size float64) float64 {
	ems := 0.0
	for _, r := range text {
		w, _ := c.letter(r, f)
		ems += w
	}
	return ems * size * point
}

// lines folds a text to a width. A word wider than that stands alone, and wide is true.
func (c *canvas) lines(text string, f face, size, width float64) (lines []string, wide bool) {
	line := ""
	for _, word := range strings.Fields(text) {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if line != "" && c.width(longer, f, size) > width {
			lines = append(lines, line)
			longer = word
		}
		line = longer
		wide = wide || c.width(word, f, size) > width
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines, wide
}

// text sets one line with its top left corner at x, y.
func (c *canvas) text(x, y float64, text string, f face, size float64, grey int) {
	c.pdf.SetFont(families[f].name, "", size)
	c.pdf.SetTextColor(grey, grey, grey)
	c.pdf.Text(x, y+rise*size*point, text)
}

// rule draws a line across.
func (c *canvas) rule(x, y, width float64, grey int) {
	c.pdf.SetDrawColor(grey, grey, grey)
	c.pdf.SetLineWidth(0.2)
	c.pdf.Line(x, y, x+width, y)
}

// frame draws a rectangle.
func (c *canvas) frame(x, y, width, height float64, grey int) {
	c.pdf.SetDrawColor(grey, grey, grey)
	c.pdf.SetLineWidth(0.2)
	c.pdf.Rect(x, y, width, height, "D")
}
