package measure

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Parse understands one quantity as a kitchen says it.
//
//	mass, volume     "2 1/2 cups"  "2½ cups"  "1 lb 9 oz"  "9lb3oz"  "4,5 l"  "half a cup"  "1 US gal"
//	temperature      "72 F"  "22 °C"  "-2 C"
//	gravity, Brix    "1.032"  "1032"  "SG 1.032"  "12 Bx"  "20 °P"
//	bubbles          "8 bubbles a minute"  "8/min"  "one every 12 s"  "none"
//	in the liquid    "12 %vol"  "12% abv"  "20 %mass"  "20 g/L"  "200 ppm"  "pH 3.4"  "2.5 vol"
//	counts           "a packet"  "3 lemons"  "a dozen"
//	other            "2 bar"  "100 kPa"  "36 h"  "3 days"  "6 cm"  "2 1/2 inches"
//
// sys says whose gallon, quart, pint, fluid ounce, cup and spoon is meant where the
// words do not ("1 US gal", "1 imperial pint"); a bare "oz" is a mass.
//
// A comma is a decimal comma, but "1,500 g" is refused: two countries read it
// differently. A bare number is a gravity from 0.9 to 1.2 (or 900 to 1200, without
// decimals), and nothing otherwise. "About", "~", "a bit over" and the like leave the
// value and widen the spread; the spreads are in spread.go.
//
// Valid:  within wide bounds by kind (gravity 0.9 to 1.2, −30 to 130 °C, no negative amounts).
// Errors: *ParseError, which marks the part at fault.
func Parse(words string, sys System) (Quantity, error) {
	p, err := read(words, sys)
	if err != nil {
		return Quantity{}, err
	}
	p.nouns = true
	q, err := p.quantity()
	if err != nil {
		return Quantity{}, err
	}
	if q.Kind == Pieces && p.peek(0).kind == wordToken { // "3 lemons": the noun is the ingredient's, and stays in Words
		p.at = len(p.toks)
		q.Words = strings.TrimSpace(words)
	}
	if err := p.done(); err != nil {
		return Quantity{}, err
	}
	return q, nil
}

// ParseParts understands several quantities in a row, as "5 L 12 %vol 1.010" or "2 L, 95 C".
//
// Errors: *ParseError.
func ParseParts(words string, sys System) ([]Quantity, error) {
	p, err := read(words, sys)
	if err != nil {
		return nil, err
	}
	var parts []Quantity
	for p.more() || len(parts) == 0 {
		q, err := p.quantity()
		if err != nil {
			return nil, err
		}
		parts = append(parts, q)
		p.take(",")
	}
	return parts, nil
}

// ParseReading understands what an instrument showed and the temperature of the
// sample, if that was said: "1.032 at 72 F", "12 Bx @ 20C". at is nil when it was not.
//
// Errors: *ParseError.
func ParseReading(words string, sys System) (reading Quantity, at *Quantity, err error) {
	p, err := read(words, sys)
	if err != nil {
		return Quantity{}, nil, err
	}
	if reading, err = p.quantity(); err != nil {
		return Quantity{}, nil, err
	}
	if p.take("at") || p.take("@") || p.take(",") {
		from := p.peek(0)
		sample, err := p.quantity()
		if err != nil {
			return Quantity{}, nil, err
		}
		if sample.Kind != Temperature {
			return Quantity{}, nil, p.fault(from.start, p.toks[p.at-1].end,
				quoted(sample.Words)+" is not a temperature", `write "at 72 F" or "at 22 °C"`)
		}
		at = &sample
	}
	if err := p.done(); err != nil {
		return Quantity{}, nil, err
	}
	return reading, at, nil
}

type parser struct {
	words      string
	sys        System
	toks       []token
	at         int
	nouns      bool // a count may be followed by a noun that is no unit
	ingredient bool // only units of an amount are worth suggesting
}

func read(words string, sys System) (*parser, error) {
	p := &parser{words: words, sys: sys}
	if !utf8.ValidString(words) {
		p.words = strings.ToValidUTF8(words, "?")
		return nil, p.fault(0, len(p.words), "the words are not text (UTF-8)", "")
	}
	p.toks = lex(words)
	return p, nil
}

// peek looks ahead; past the end it sees an empty token.
func (p *parser) peek(ahead int) token {
	if p.at+ahead < len(p.toks) {
		return p.toks[p.at+ahead]
	}
	end := len(strings.TrimRightFunc(p.words, unicode.IsSpace))
	return token{start: end, end: end}
}

// take reads the given words if all of them come next.
func (p *parser) take(texts ...string) bool {
	for i, text := range texts {
		if p.peek(i).text != text || p.peek(i).kind == endToken {
			return false
		}
	}
	p.at += len(texts)
	return true
}

func (p *parser) takeAny(texts ...string) bool {
	for _, text := range texts {
		if p.take(text) {
			return true
		}
	}
	return false
}

func (p *parser) more() bool { return p.at < len(p.toks) }

func (p *parser) fault(start, end int, problem, hint string) *ParseError {
	return &ParseError{Words: p.words, Start: start, End: end, Problem: problem, Hint: hint}
}

// done is an error if words are left over.
func (p *parser) done() error {
	if !p.more() {
		return nil
	}
	from := p.peek(0)
	end := p.toks[len(p.toks)-1].end
	if from.kind == numberToken { // say what is wrong with it, if anything is
		p.nouns = false
		if _, err := p.quantity(); err != nil {
			return err
		}
		return p.fault(from.start, end, "there is more than one quantity", "")
	}
	return p.fault(from.start, end, quoted(p.words[from.start:end])+" is not understood", "")
}

// quoted puts words on one line, in quotation marks.
func quoted(words string) string { return strconv.Quote(words) }

// said is one number with its unit, in the unit of its kind.
type said struct {
	kind   Kind
	tool   Tool
	value  float64
	step   float64
	sd     float64 // only where it does not follow from value and step
	unit   float64 // size of the unit, where smaller units may follow: "1 lb 9 oz"
	hedged bool    // "SG about 1.032"
}

// quantity reads one quantity and leaves what follows.
func (p *parser) quantity() (Quantity, error) {
	from := p.peek(0)
	if p.take("none") || p.take("no", "bubbles") {
		return p.finish(from, said{kind: BubbleRate, tool: Count, sd: countSpread(0, 1)}, false)
	}
	hedged := p.hedge()
	s, err := p.part()
	if err != nil {
		return Quantity{}, err
	}
	hedged = hedged || s.hedged
	for s.unit > 0 { // "1 lb 9 oz", "2 cups and 1 tbsp"
		mark := p.at
		p.takeAny("and", "+", ",")
		next, ok := p.smaller(s)
		if !ok {
			p.at = mark
			p.andAHalf(&s)
			break
		}
		if next.value > s.value {
			s.tool = next.tool
		}
		s.value, s.step, s.unit = s.value+next.value, next.step, next.unit
	}
	return p.finish(from, s, hedged)
}

// andAHalf reads the end of "a cup and a half".
func (p *parser) andAHalf(s *said) {
	mark := p.at
	p.take("and")
	if parts, ok := shareWords[p.peek(1).text]; ok && p.take("a") {
		p.at++
		s.value, s.step = s.value+s.unit/parts, s.unit/parts
		return
	}
	p.at = mark
}

// smaller reads one more part of the same kind in a smaller unit, if that comes next.
func (p *parser) smaller(than said) (said, bool) {
	if p.peek(0).kind != numberToken && numberWords[p.peek(0).text] == 0 && shareWords[p.peek(0).text] == 0 {
		return said{}, false
	}
	quiet := *p
	quiet.nouns = false
	next, err := quiet.part()
	if err != nil || next.kind != than.kind || next.unit <= 0 || next.unit >= than.unit {
		return said{}, false
	}
	p.at = quiet.at
	return next, true
}

// finish checks the bounds and gives the spread.
func (p *parser) finish(from token, s said, hedged bool) (Quantity, error) {
	end := p.toks[p.at-1].end
	words := p.words[from.start:end]
	limit := bounds[s.kind]
	if s.value < 0 && limit.low == 0 {
		return Quantity{}, p.fault(from.start, end, fmt.Sprintf("%s cannot be below zero", s.kind), "")
	}
	if !(s.value >= limit.low && s.value <= limit.high) {
		return Quantity{}, p.fault(from.start, end, strings.Join(strings.Fields(fmt.Sprintf(
			"%s %.6g %s is outside %g to %g %s", s.kind, s.value, limit.unit, limit.low, limit.high, limit.unit)), " "),
			slippedPoint(s))
	}
	if s.sd == 0 {
		s.sd = spread(s.kind, s.tool, s.value, s.step)
	}
	if hedged {
		s.sd = vague(s.kind, s.value, s.sd)
	}
	return Quantity{Words: words, Kind: s.kind, Tool: s.tool, Value: s.value, SD: s.sd}, nil
}

// slippedPoint guesses the gravity meant by 10.50 or 105.0.
func slippedPoint(s said) string {
	if s.kind == SG {
		for _, factor := range []float64{10, 100, 1000} {
			if g := s.value / factor; g >= bounds[SG].low && g <= bounds[SG].high {
				return fmt.Sprintf("did you mean %q?", ShowGravity(Gravity(g)))
			}
		}
	}
	return ""
}

var hedges = [][]string{
	{"a", "bit", "over"},
	{"a", "bit", "under"},
	{"a", "bit", "more", "than"},
	{"a", "bit", "less", "than"},
	{"a", "little", "over"},
	{"a", "little", "under"},
	{"a", "little", "more", "than"},
	{"a", "little", "less", "than"},
	{"just", "over"},
	{"just", "under"},
	{"about"},
	{"approx"},
	{"approximately"},
	{"around"},
	{"roughly"},
	{"circa"},
	{"ca"},
	{"nearly"},
	{"almost"},
	{"~"},
}

func (p *parser) hedge() (hedged bool) {
	for i := 0; i < len(hedges); i++ {
		if p.take(hedges[i]...) {
			hedged, i = true, -1
		}
	}
	return hedged
}

// scaleNames may stand before the number: "SG 1.032", "pH 3.4".
var scaleNames = map[string]Kind{
	"sg": SG, "gravity": SG, "og": SG, "fg": SG, "ph": Acidity, "brix": Brix, "plato": Brix,
}

// part reads one number with its unit.
func (p *parser) part() (said, error) {
	if kind, ok := scaleNames[p.peek(0).text]; ok {
		name := p.peek(0)
		p.at++
		hedged := p.hedge()
		n, ok, err := p.number()
		if err != nil {
			return said{}, err
		}
		if !ok {
			return said{}, p.fault(name.start, name.end, "no number after "+quoted(name.text), "")
		}
		s := p.reading(kind, n)
		s.hedged = hedged
		return s, nil
	}
	if word := p.peek(0); word.text == "every" { // "every 12 s": one
		s, ok, err := p.rate(number{value: 1, step: 1, start: word.start, end: word.end})
		if err == nil && !ok {
			err = p.fault(word.start, word.end, "every how long?", `write "one every 12 s"`)
		}
		return s, err
	}
	n, ok, err := p.number()
	if err != nil {
		return said{}, err
	}
	if !ok {
		return said{}, p.missingNumber()
	}
	s, err := p.unitOf(n)
	if err == nil && n.thousands && s.kind != SG {
		return said{}, p.fault(n.start, n.end, "the comma in "+quoted(p.words[n.start:n.end])+" may mean two things",
			"write thousands without a comma, decimals with a dot")
	}
	return s, err
}

func (p *parser) missingNumber() error {
	t := p.peek(0)
	if t.kind == endToken {
		return p.fault(t.start, t.end, "there is no quantity", `write a number and its unit, as in "20 g"`)
	}
	return p.fault(t.start, t.end, "no number where "+quoted(t.text)+" stands", `write a number and its unit, as in "20 g"`)
}

// reading is a number on a scale that needs no unit.
func (p *parser) reading(kind Kind, n number) said {
	if kind == SG && n.digits && n.step == 1 && n.value >= 900 && n.value <= 1200 { // "1032"
		n.value, n.step = n.value/1000, n.step/1000
	}
	return said{kind: kind, tool: Instrument, value: n.value, step: n.step}
}
