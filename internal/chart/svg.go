package chart

import (
	"errors"
	"fmt"
	"html"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// classes are the names that a style sheet knows the parts by.
var classes = map[color.Color]string{ink: "ink", quiet: "quiet", rule: "rule", accent: "accent", band: "band", window: "window"}

var errNothing = errors.New("there is nothing to draw: no value at any time")

// SVG is the picture as an element of a page. id is that of no other element of the page.
// Lines and areas have the classes "ink", "quiet", "rule", "accent", "band" and "window",
// each with "line", "area" or "word", and no colour of their own.
//
// Errors: nothing to draw.
func (p Picture) SVG(width, height float64, id string) (string, error) {
	if len(p.Reckoned)+len(p.Read) == 0 {
		return "", errNothing
	}
	c := &svg{width: vg.Length(width), height: vg.Length(height)}
	vg.Initialize(c)
	p.draw(draw.New(c))
	return fmt.Sprintf(`<svg class="chart" viewBox="0 0 %g %g" role="img" aria-labelledby="%[3]s-t %[3]s-d"><title id="%[3]s-t">%[4]s</title><desc id="%[3]s-d">%[5]s</desc>%[6]s</svg>`,
		width, height, html.EscapeString(id), html.EscapeString(p.Title), html.EscapeString(p.Description), c.body.String()), nil
}

// PNG writes the picture for paper, dots to the inch of 96 units.
//
// Errors: nothing to draw; of w.
func (p Picture) PNG(w io.Writer, width, height float64, dots int) error {
	if len(p.Reckoned)+len(p.Read) == 0 {
		return errNothing
	}
	c := vgimg.NewWith(vgimg.UseWH(vg.Length(width)*vg.Inch/96, vg.Length(height)*vg.Inch/96), vgimg.UseDPI(dots))
	c.Scale(float64(vg.Inch)/96, float64(vg.Inch)/96)
	whole := draw.Canvas{Canvas: c, Rectangle: vg.Rectangle{Max: vg.Point{X: vg.Length(width), Y: vg.Length(height)}}}
	p.draw(whole)
	return png.Encode(w, c.Image())
}

// svg is a canvas that writes elements without colour. Its unit is that of the view box.
type svg struct {
	width, height vg.Length
	body          strings.Builder
	now           pen
	kept          []pen
}

type pen struct {
	at    vg.Point // moved by
	width vg.Length
	dash  []vg.Length
	class string
}

func (c *svg) Size() (x, y vg.Length)                 { return c.width, c.height }
func (c *svg) SetLineWidth(w vg.Length)               { c.now.width = w }
func (c *svg) SetLineDash(d []vg.Length, _ vg.Length) { c.now.dash = d }
func (c *svg) Translate(p vg.Point)                   { c.now.at = c.now.at.Add(p) }
func (c *svg) Push()                                  { c.kept = append(c.kept, c.now) }
func (c *svg) Pop()                                   { c.now, c.kept = c.kept[len(c.kept)-1], c.kept[:len(c.kept)-1] }

// SetColor takes the parts' own colours only: a new one has no class.
func (c *svg) SetColor(col color.Color) { c.now.class = classes[col] }

// What no picture here asks for.
func (c *svg) Rotate(float64)                      { panic("chart: nothing is turned") }
func (c *svg) Scale(float64, float64)              { panic("chart: nothing is stretched") }
func (c *svg) DrawImage(vg.Rectangle, image.Image) { panic("chart: there is no image") }

// Stroke draws a line.
func (c *svg) Stroke(p vg.Path) {
	if c.now.width <= 0 {
		return
	}
	dash := ""
	if len(c.now.dash) > 0 {
		var all []string
		for _, d := range c.now.dash {
			all = append(all, short(float64(d)))
		}
		dash = ` stroke-dasharray="` + strings.Join(all, " ") + `"`
	}
	fmt.Fprintf(&c.body, `<path class="line %s" d="%s" stroke-width="%s"%s/>`, c.now.class, c.data(p), short(float64(c.now.width)), dash)
}

// Fill draws an area.
func (c *svg) Fill(p vg.Path) {
	fmt.Fprintf(&c.body, `<path class="area %s" d="%s"/>`, c.now.class, c.data(p))
}

// FillString writes words.
func (c *svg) FillString(f font.Face, p vg.Point, words string) {
	fmt.Fprintf(&c.body, `<text class="word %s" x="%s" y="%s" font-size="%s">%s</text>`,
		c.now.class, short(float64(p.X+c.now.at.X)), c.down(p.Y), short(float64(f.Font.Size)), html.EscapeString(words))
}

// data is a path, upside down as a page has it.
func (c *svg) data(p vg.Path) string {
	var b strings.Builder
	for _, comp := range p {
		x, y := short(float64(comp.Pos.X+c.now.at.X)), c.down(comp.Pos.Y)
		switch comp.Type {
		case vg.MoveComp:
			fmt.Fprintf(&b, "M%s %s", x, y)
		case vg.LineComp:
			fmt.Fprintf(&b, "L%s %s", x, y)
		case vg.ArcComp: // a whole circle, begun at its right
			r := short(float64(comp.Radius))
			fmt.Fprintf(&b, "a%s %s 0 1 0 -%s 0a%s %s 0 1 0 %s 0", r, r, short(2*float64(comp.Radius)), r, r, short(2*float64(comp.Radius)))
		case vg.CloseComp:
			b.WriteString("Z")
		default:
			panic("chart: there is no such curve")
		}
	}
	return b.String()
}

func (c *svg) down(y vg.Length) string { return short(float64(c.height - y - c.now.at.Y)) }

// short is a number with a decimal at most: a tenth of a dot is not seen.
func short(x float64) string {
	x = math.Round(10*x) / 10
	if x == 0 {
		return "0"
	}
	return fmt.Sprint(x)
}
