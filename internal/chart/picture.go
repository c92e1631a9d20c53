package chart

import (
	"cmp"
	"image/color"
	"math"
	"slices"
	"strconv"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/opentype"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"skep/internal/measure"
)

// Picture is one quantity in time.
type Picture struct {
	Title       string // said to who cannot see it
	Description string // one or two sentences that say what it shows
	Unit        string // "% vol"; "" for gravity
	Now         time.Time
	Reckoned    []Dated // in time order
	Read        []Dated
	Marks       []Mark
	From, To    time.Time // when it should be over; zero: not told
}

// Dated is a value with its range, at a time.
type Dated struct {
	At time.Time
	measure.Range
}

// Mark is something done, shown by a letter.
type Mark struct {
	At     time.Time
	Letter string
}

// What each part of a picture is; SVG names the class of the same name, PNG its colour.
var (
	ink    = color.NRGBA{0x26, 0x20, 0x1a, 0xff} // readings, today
	quiet  = color.NRGBA{0x66, 0x5b, 0x4d, 0xff} // figures at the axes
	rule   = color.NRGBA{0xd9, 0xcd, 0xb8, 0xff} // grid
	accent = color.NRGBA{0x8c, 0x3b, 0x1f, 0xff} // the reckoned middle
	band   = color.NRGBA{0x8c, 0x3b, 0x1f, 0x2e} // its range
	window = color.NRGBA{0x66, 0x5b, 0x4d, 0x1f} // when it should be over
)

const (
	small  = vg.Length(12) // figures and words
	margin = vg.Length(8)
	gap    = vg.Length(4) // between the figures and what they stand at
)

// fonts are those that a picture is lettered in.
var fonts = func() *font.Cache {
	sans, err := opentype.Parse(liberationsansregular.TTF)
	if err != nil {
		panic("chart: " + err.Error())
	}
	return font.NewCache(font.Collection{{Font: lettering, Face: sans}})
}()

// lettering are those of figures and words.
var lettering = font.Font{Typeface: "Liberation", Variant: "Sans", Size: small}

// draw lays the picture out within a margin that leaves room for the words above, and draws it.
func (p Picture) draw(c draw.Canvas) {
	most := max(2, int((c.Max.X-c.Min.X)/90)) // days that are named
	c = draw.Crop(c, 0, -margin, 4, -margin-small)
	low, high, first, last := p.bounds()
	k := course{Picture: p, style: text.Style{Color: quiet, Font: lettering, Handler: text.Plain{Fonts: fonts}}}
	values, decimals := valueTicks(low, high)
	if p.Unit == "" {
		decimals = max(3, decimals) // a gravity of 1.08 is written 1.080
	}
	k.values = values
	k.days = dayTicks(first, last, most)
	wide := vg.Length(0)
	for _, v := range values {
		k.figures = append(k.figures, strconv.FormatFloat(v, 'f', decimals, 64))
		wide = max(wide, k.style.Width(k.figures[len(k.figures)-1]))
	}
	k.whole = c.Rectangle
	c = draw.Crop(c, wide+gap, 0, small+gap, 0)
	along := func(value, from, to float64, low, high vg.Length) vg.Length {
		return low + vg.Length((value-from)/(to-from))*(high-low)
	}
	k.x = func(t time.Time) vg.Length { return along(seconds(t), seconds(first), seconds(last), c.Min.X, c.Max.X) }
	k.y = func(v float64) vg.Length { return along(v, values[0], values[len(values)-1], c.Min.Y, c.Max.Y) }
	k.draw(c)
}

// bounds are the least and greatest value and time of all that is drawn.
func (p Picture) bounds() (low, high float64, first, last time.Time) {
	low, high = math.Inf(1), math.Inf(-1)
	for i, d := range slices.Concat(p.Reckoned, p.Read) {
		low, high = min(low, d.Value), max(high, d.Value)
		if i < len(p.Reckoned) { // the spread of a reading may stick out
			low, high = min(low, d.Low), max(high, d.High)
		}
		if first.IsZero() || d.At.Before(first) {
			first = d.At
		}
		if d.At.After(last) {
			last = d.At
		}
	}
	for _, t := range []time.Time{p.Now, p.To} {
		if t.After(last) {
			last = t
		}
	}
	if last.Sub(first) < 24*time.Hour {
		last = first.Add(24 * time.Hour)
	}
	return low, high, first, last
}

// steps are those that people count in.
var steps = []float64{1, 2, 5}

// valueTicks are four to seven round values that span low to high, and the decimals that
// they need.
func valueTicks(low, high float64) ([]float64, int) {
	if high-low < 1e-9 {
		low, high = low-0.5*max(1e-3, math.Abs(low)*0.01), high+0.5*max(1e-3, math.Abs(high)*0.01)
	}
	for place := math.Floor(math.Log10((high-low)/7)) - 1; ; place++ {
		for _, s := range steps {
			step := s * math.Pow(10, place)
			from, to := math.Floor(low/step+1e-9), math.Ceil(high/step-1e-9)
			if to-from > 6 {
				continue
			}
			var ticks []float64
			for i := from; i <= to; i++ {
				ticks = append(ticks, i*step)
			}
			return ticks, max(0, int(-place))
		}
	}
}

// dayTicks are at most so many midnights, a round number of days apart.
func dayTicks(first, last time.Time, most int) []time.Time {
	for _, step := range []int{1, 2, 7, 14, 28, 56, 91, 182, 364} {
		var ticks []time.Time
		year, month, day := first.Date()
		for d := time.Date(year, month, day, 0, 0, 0, 0, first.Location()); !d.After(last); d = d.AddDate(0, 0, step) {
			if !d.Before(first) {
				ticks = append(ticks, d)
			}
		}
		if len(ticks) <= most {
			return ticks
		}
	}
	return []time.Time{first}
}

func seconds(t time.Time) float64 { return float64(t.UnixMilli()) / 1000 }

// course is a picture laid out.
type course struct {
	Picture
	values  []float64
	figures []string // at them
	days    []time.Time
	style   text.Style
	whole   vg.Rectangle
	x       func(time.Time) vg.Length
	y       func(float64) vg.Length
}

// draw draws, from the ground up.
func (k course) draw(c draw.Canvas) {
	x, y := k.x, k.y
	line := func(col color.Color, width vg.Length, dashes []vg.Length, points ...vg.Point) {
		c.StrokeLines(draw.LineStyle{Color: col, Width: width, Dashes: dashes}, points)
	}
	if !k.From.IsZero() && k.To.After(k.From) {
		from, to := max(c.Min.X, x(k.From)), min(c.Max.X, max(x(k.To), x(k.From)+2))
		c.FillPolygon(window, []vg.Point{{X: from, Y: c.Min.Y}, {X: to, Y: c.Min.Y}, {X: to, Y: c.Max.Y}, {X: from, Y: c.Max.Y}})
		k.word(c, "likely end", (from+to)/2, c.Min.Y+4)
	}
	figure := k.style
	figure.XAlign, figure.YAlign = draw.XRight, draw.YCenter
	for i, v := range k.values {
		line(rule, 1, nil, vg.Point{X: c.Min.X, Y: y(v)}, vg.Point{X: c.Max.X, Y: y(v)})
		c.FillText(figure, vg.Point{X: c.Min.X - gap, Y: y(v) + 1.5}, k.figures[i])
	}
	for _, d := range k.days {
		line(rule, 1, nil, vg.Point{X: x(d), Y: c.Min.Y}, vg.Point{X: x(d), Y: c.Min.Y - 4})
		k.word(draw.Canvas{Canvas: c.Canvas, Rectangle: k.whole}, d.Format("2 Jan"), x(d), k.whole.Min.Y)
	}
	k.reckoned(c)
	if !k.Now.IsZero() {
		line(ink, 1, []vg.Length{2, 3}, vg.Point{X: x(k.Now), Y: c.Min.Y}, vg.Point{X: x(k.Now), Y: c.Max.Y})
		k.word(c, "now", x(k.Now), c.Max.Y+3)
	}
	for _, r := range k.Read {
		line(ink, 1.5, nil, vg.Point{X: x(r.At), Y: y(r.Low)}, vg.Point{X: x(r.At), Y: y(r.High)})
	}
	for _, r := range k.Read {
		c.SetColor(ink)
		var dot vg.Path
		at := vg.Point{X: x(r.At), Y: y(r.Value)}
		dot.Move(vg.Point{X: at.X + 2.8, Y: at.Y})
		dot.Arc(at, 2.8, 0, 2*math.Pi)
		dot.Close()
		c.Fill(dot)
	}
	k.marks(c)
}

// reckoned draws the band, and its middle: through what is past, dashed in what is to come.
func (k course) reckoned(c draw.Canvas) {
	x, y := k.x, k.y
	if len(k.Reckoned) < 2 {
		return
	}
	var over, under, past, future []vg.Point
	for _, d := range k.Reckoned {
		over = append(over, vg.Point{X: x(d.At), Y: y(d.High)})
		under = append(under, vg.Point{X: x(d.At), Y: y(d.Low)})
		middle := vg.Point{X: x(d.At), Y: y(d.Value)}
		if d.At.After(k.Now) {
			if len(future) == 0 && len(past) > 0 {
				future = append(future, past[len(past)-1])
			}
			future = append(future, middle)
		} else {
			past = append(past, middle)
		}
	}
	slices.Reverse(under)
	c.FillPolygon(band, append(over, under...))
	c.StrokeLines(draw.LineStyle{Color: accent, Width: 2}, past)
	c.StrokeLines(draw.LineStyle{Color: accent, Width: 2, Dashes: []vg.Length{5, 4}}, future)
}

// marks draws letters along the foot; those that would lie on each other are drawn side by side.
func (k course) marks(c draw.Canvas) {
	marks := slices.Clone(k.Marks)
	slices.SortStableFunc(marks, func(a, b Mark) int { return cmp.Compare(seconds(a.At), seconds(b.At)) })
	free := c.Min.X + small // clear of the figures at the axis
	for _, m := range marks {
		at := k.x(m.At)
		if at < c.Min.X || at > c.Max.X {
			continue
		}
		c.StrokeLines(draw.LineStyle{Color: quiet, Width: 1, Dashes: []vg.Length{1, 3}}, []vg.Point{{X: at, Y: c.Min.Y}, {X: at, Y: c.Max.Y - small - 4}})
		place := max(at, free)
		free = place + small
		style := k.style
		style.Color, style.XAlign = ink, draw.XCenter
		c.FillText(style, vg.Point{X: place, Y: c.Max.Y - small - 1}, m.Letter)
	}
}

// word writes a word about x, but within the canvas.
func (k course) word(c draw.Canvas, word string, x, y vg.Length) {
	half := k.style.Width(word) / 2
	x = min(max(x, c.Min.X+half), c.Max.X-half)
	style := k.style
	style.XAlign = draw.XCenter
	c.FillText(style, vg.Point{X: x, Y: y}, word)
}
