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
//	other            "2 bar"  "100 kPa"  "36 h"  "3 days"
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
	{"a", "bit", "over"}, {"a", "bit", "under"}, {"a", "bit", "more", "than"}, {"a", "bit", "less", "than"},
	{"a", "little", "over"}, {"a", "little", "under"}, {"a", "little", "more", "than"}, {"a", "little", "less", "than"},
	{"just", "over"}, {"just", "under"}, {"about"}, {"approx"}, {"approximately"}, {"around"}, {"roughly"},
	{"circa"}, {"ca"}, {"nearly"}, {"almost"}, {"~"},
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
	var n number
	if p.peek(0).text == "every" { // "every 12 s": one
		n = number{value: 1, step: 1, start: p.peek(0).start, end: p.peek(0).end}
	} else {
		var ok bool
		var err error
		if n, ok, err = p.number(); err != nil {
			return said{}, err
		}
		if !ok {
			return said{}, p.missingNumber()
		}
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

// unitOf reads what follows a number and says what it is a number of.
func (p *parser) unitOf(n number) (said, error) {
	if s, ok, err := p.rate(n); ok || err != nil {
		return s, err
	}
	if p.peek(0).text == "%" {
		return p.percent(n)
	}
	p.take("level") // a level spoon is what a spoon means here
	if s, ok, err := p.temperature(n); ok || err != nil {
		return s, err
	}
	start := p.peek(0)
	if u, ok := p.unit(); ok {
		if u.kind == SG {
			return p.reading(SG, n), nil
		}
		s := said{kind: u.kind, tool: u.tool}
		size := p.size(u, start)
		s.value, s.step = n.value*size, n.step*size
		switch u.kind {
		case Mass:
			if s, ok, err := p.share(s); ok || err != nil {
				return s, err
			}
			s.unit = size
		case Volume, Duration:
			s.unit = size
		case Volumes:
			if p.take("%") { // "12 vol%"
				s.kind = Strength
			}
			p.take("of", "co2")
		}
		return s, nil
	}
	t := p.peek(0)
	if t.kind == wordToken && t.text != "at" && t.text != "to" {
		return p.noun(n, t)
	}
	if n.digits && (n.value >= 0.9 && n.value <= 1.2 && n.step < 1 || n.value >= 900 && n.value <= 1200 && n.step == 1) {
		return p.reading(SG, n), nil
	}
	if n.dozens {
		return said{kind: Pieces, tool: Count, value: n.value, step: n.step}, nil
	}
	if (t.text == "-" || t.text == "to") && p.peek(1).kind == numberToken { // "2-3 cups"
		end := p.peek(1).end
		return said{}, p.fault(n.start, end, quoted(p.words[n.start:end])+" is two numbers", `give one, or "about" and one`)
	}
	text := p.words[n.start:n.end]
	hint := fmt.Sprintf(`write the unit too, as in "%s g" or "%s °C"`, text, text)
	if h := slippedPoint(said{kind: SG, value: n.value}); h != "" && n.step < 1 {
		hint = h
	}
	return said{}, p.fault(n.start, n.end, quoted(text)+" has no unit", hint)
}

// unit reads a unit of the table, with whose it is before it: "US gal".
func (p *parser) unit() (u unit, ok bool) {
	mark := p.at
	_, whose := systemNames[p.peek(0).text]
	if whose {
		p.at++
	}
	degrees := p.takeAny("°", "deg", "degree", "degrees") // "°Bx"
	for _, name := range []string{p.peek(0).text + " " + p.peek(1).text, p.peek(0).text} {
		if p.peek(0).kind != wordToken {
			break
		}
		u, ok = byName[name]
		if ok && (!whose || u.size[0] != u.size[1]) && (!degrees || u.kind == Brix) {
			p.at += 1 + strings.Count(name, " ")
			return u, true
		}
	}
	p.at = mark
	return unit{}, false
}

// size is the unit's in the system named by the word it started with, or else the person's.
func (p *parser) size(u unit, start token) float64 {
	if sys, named := systemNames[start.text]; named {
		return u.in(sys)
	}
	return u.in(p.sys)
}

// isUnit says whether a unit comes next, and reads nothing.
func (p *parser) isUnit() bool {
	mark := p.at
	_, ok := p.unit()
	p.at = mark
	return ok
}

// temperature reads "F", "°C", "degrees F"; and "°P", which is a degree of another kind.
func (p *parser) temperature(n number) (said, bool, error) {
	mark := p.at
	degrees := p.peek(0)
	hasDegree := p.takeAny("°", "deg", "degree", "degrees")
	s := said{kind: Temperature, tool: Instrument, value: n.value, step: n.step}
	switch {
	case p.takeAny("c", "celsius", "centigrade"):
		return s, true, nil
	case p.takeAny("f", "fahrenheit"):
		s.value, s.step = (n.value-32)/1.8, n.step/1.8
		return s, true, nil
	case hasDegree && p.take("p"):
		s.kind = Brix
		return s, true, nil
	case hasDegree:
		if p.at = mark; !p.isUnit() {
			return said{}, false, p.fault(degrees.start, degrees.end, "degrees of what?", `write "C", "F", "Bx" or "Plato" after it`)
		}
	}
	p.at = mark
	return said{}, false, nil
}

// percent reads what a percentage is of.
func (p *parser) percent(n number) (said, error) {
	sign := p.peek(0)
	p.at++
	s := said{tool: Instrument, value: n.value, step: n.step}
	switch {
	case p.takeAny("vol", "volume", "abv", "alcohol", "alc") || p.take("by", "volume") || p.take("v", "/", "v"):
		s.kind = Strength
	case p.takeAny("mass", "weight") || p.take("by", "mass") || p.take("by", "weight") ||
		p.take("w", "/", "w") || p.take("m", "/", "m"):
		s.kind, s.value, s.step = Fraction, n.value/100, n.step/100
	case p.takeAny("brix", "bx"):
		s.kind = Brix
	default:
		return said{}, p.fault(n.start, sign.end, "percent of what?", `write "%vol" or "%mass"`)
	}
	return s, nil
}

// share reads what a mass is in: "g/L", "mg per litre", "g/kg".
func (p *parser) share(s said) (said, bool, error) {
	mark := p.at
	if !p.takeAny("/", "per") {
		return s, false, nil
	}
	start := p.peek(0)
	u, _ := p.unit()
	in := said{kind: Concentration, tool: Instrument}
	switch u.kind {
	case Volume:
	case Mass:
		in.kind = Fraction
	default:
		return s, false, p.fault(p.toks[mark].start, max(p.toks[mark].end, p.toks[p.at-1].end), "a mass per what?", `write "g/L" or "g/kg"`)
	}
	size := p.size(u, start)
	in.value, in.step = s.value/size, s.step/size
	return in, true, nil
}

// rate reads "bubbles a minute", "/min", "every 12 s", "bubbles in 2 minutes".
func (p *parser) rate(n number) (said, bool, error) {
	mark := p.at
	bubbles := p.takeAny("bubble", "bubbles")
	if p.takeAny("/", "per", "a", "an", "every", "each", "in") {
		every, ok, err := p.number()
		if err != nil {
			return said{}, false, err
		}
		if !ok {
			every.value = 1
		}
		if u, ok := p.unit(); ok && u.kind == Duration && every.value > 0 {
			minutes := every.value * u.in(p.sys) * 60
			rate := n.value / minutes
			return said{kind: BubbleRate, tool: Count, value: rate, sd: countSpread(rate, minutes)}, true, nil
		}
	}
	if !bubbles {
		p.at = mark
		return said{}, false, nil
	}
	if n.value == 0 {
		p.at = mark + 1
		return said{kind: BubbleRate, tool: Count, sd: countSpread(0, 1)}, true, nil
	}
	return said{}, false, p.fault(n.start, p.toks[mark].end, "bubbles in what time?",
		fmt.Sprintf("write \"%s bubbles a minute\"", p.words[n.start:n.end]))
}

// vagueNouns follow "a" and count nothing.
var vagueNouns = map[string]bool{
	"bit": true, "few": true, "little": true, "lot": true, "pinch": true, "dash": true, "splash": true, "handful": true,
	"handfuls": true, "pinches": true,
}

// noun takes a count of something that is no unit, if a noun may stand here at all.
func (p *parser) noun(n number, t token) (said, error) {
	text := p.words[t.start:t.end]
	wanted := func(u unit) bool { return !p.ingredient || amountKinds[u.kind] }
	if name, ok := near(t.text, byName, wanted); ok {
		return said{}, p.fault(t.start, t.end, quoted(text)+" is not a unit", fmt.Sprintf("did you mean %q?", name))
	}
	if !p.ingredient && t.text[0] == 'b' && slipsBetween(t.text, "bubbles") <= 2 {
		return said{}, p.fault(t.start, t.end, quoted(text)+" is not a unit", `did you mean "bubbles"?`)
	}
	if vagueNouns[t.text] {
		return said{}, p.fault(n.start, t.end, quoted(p.words[n.start:t.end])+" is no amount", "weigh it, or use a level spoon")
	}
	if t.text == "t" || t.text == "ts" || t.text == "tb" {
		return said{}, p.fault(t.start, t.end, quoted(text)+" may be a teaspoon or a tablespoon", `write "tsp" or "tbsp"`)
	}
	if u, ok := byName[p.peek(1).text]; ok && amountKinds[u.kind] && u.kind != Pieces && len(p.peek(1).text) > 1 {
		return said{}, p.fault(t.start, t.end, quoted(text)+" stands between the number and its unit",
			fmt.Sprintf("give a level measure, as in \"%s %s\", or weigh it", p.words[n.start:n.end], p.peek(1).text))
	}
	if !p.nouns || utf8.RuneCountInString(t.text) < 3 {
		return said{}, p.fault(t.start, t.end, quoted(text)+" is not a unit", "")
	}
	for ahead := 1; p.peek(ahead).kind != endToken; ahead++ {
		if p.peek(ahead).kind == numberToken {
			return said{}, p.fault(t.start, p.peek(ahead).end, "there is more than one number", "say one amount at a time")
		}
	}
	return said{kind: Pieces, tool: Count, value: n.value, step: n.step}, nil
}
