package measure

import (
	"strconv"
	"strings"
)

// number is a number as said.
type number struct {
	value      float64
	step       float64 // one of the last digit said: 0.01 in "1.20", 1/4 in "2 1/4", 1 in "two"
	digits     bool    // plain digits, not a fraction and not a word
	dozens     bool    // "a dozen": a count, also without a noun
	thousands  bool    // "1,500": a comma and three digits, which two countries read differently
	start, end int
}

var numberWords = map[string]float64{
	"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
	"eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "zero": 0,
	"once": 1, "twice": 2,
}

var shareWords = map[string]float64{
	"half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8,
}

// number reads "2", "2.5", "2,5", "1/2", "2 1/2", "2-1/2", "2½", "a", "half a", "three
// quarters of a", "two and a half", "a dozen". Without one, ok is false and nothing is read.
func (p *parser) number() (n number, ok bool, err error) {
	n.start = p.peek(0).start
	negative := p.peek(0).text == "-" && p.peek(1).kind == numberToken && p.peek(0).end == p.peek(1).start
	if negative {
		p.at++
	}
	switch {
	case p.peek(0).kind == numberToken:
		err = p.writtenNumber(&n)
	default:
		ok = p.spokenNumber(&n)
		if !ok {
			return n, false, nil
		}
	}
	if err != nil {
		return n, true, err
	}
	p.andAShare(&n)
	if p.take("dozen") || p.take("dozens") {
		n.value, n.step, n.dozens, n.digits = 12*n.value, 12*n.step, true, false
	}
	if negative {
		n.value = -n.value
	}
	n.end = p.toks[p.at-1].end
	return n, true, nil
}

func (p *parser) writtenNumber(n *number) error {
	if p.fraction(n) {
		return p.divisible(n)
	}
	t := p.peek(0)
	p.at++
	text := t.text
	if strings.ContainsAny(text, ".,") {
		text = strings.ReplaceAll(text, ",", ".")
		whole, decimals, _ := strings.Cut(text, ".")
		if strings.Contains(decimals, ".") {
			return p.fault(t.start, t.end, quoted(t.text)+" is not one number", "use no thousands separator")
		}
		n.thousands = strings.Contains(t.text, ",") && len(decimals) == 3 && strings.Trim(whole, "0") != ""
		n.step = 1
		for range decimals {
			n.step /= 10
		}
	} else {
		n.step = 1
	}
	value, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return p.fault(t.start, t.end, quoted(t.text)+" is too large a number", "")
	}
	n.value, n.digits = value, true
	if n.step != 1 {
		return nil
	}
	// A whole number may go on: "2 1/2", "2-1/2", "2½".
	mark := p.at
	if p.peek(0).text == "-" && p.peek(0).start == t.end && p.peek(0).end == p.peek(1).start {
		p.at++
	}
	rest := number{}
	if p.peek(0).kind == numberToken && p.fraction(&rest) && rest.value < 1 {
		n.value, n.step, n.digits = n.value+rest.value, rest.step, false
		return p.divisible(n)
	}
	p.at = mark
	return nil
}

// fraction reads "1/2" or "½".
func (p *parser) fraction(n *number) bool {
	for glyph, parts := range fractionGlyphs {
		if p.peek(0).text == string(glyph) {
			p.at++
			n.value, n.step = parts[0]/parts[1], 1/parts[1]
			return true
		}
	}
	if p.peek(1).text != "/" || p.peek(2).kind != numberToken {
		return false
	}
	over, errOver := strconv.ParseUint(p.peek(0).text, 10, 32)
	under, errUnder := strconv.ParseUint(p.peek(2).text, 10, 32)
	if errOver != nil || errUnder != nil {
		return false
	}
	p.at += 3
	n.value, n.step = float64(over)/float64(under), 1/float64(under)
	return true
}

func (p *parser) divisible(n *number) error {
	if finite(n.value) {
		return nil
	}
	return p.fault(n.start, p.toks[p.at-1].end, "a fraction cannot have 0 below its line", "")
}

func (p *parser) spokenNumber(n *number) bool {
	mark := p.at
	value, counted := numberWords[p.peek(0).text]
	if counted {
		p.at++
	} else {
		value = 1
	}
	n.value, n.step = value, 1
	if parts, ok := shareWords[p.peek(0).text]; ok {
		p.at++
		n.value, n.step = value/parts, 1/parts
		p.take("of")
		if !p.take("a") {
			p.take("an")
		}
		return true
	}
	if p.peek(0).text == "couple" && value == 1 {
		p.at++
		n.value = 2
		p.take("of")
		return true
	}
	if !counted && p.peek(0).text != "dozen" {
		p.at = mark
		return false
	}
	return true
}

// andAShare adds the half of "two and a half".
func (p *parser) andAShare(n *number) {
	mark := p.at
	if !p.take("and") {
		return
	}
	if !p.take("a") {
		p.take("one")
	}
	if parts, ok := shareWords[p.peek(0).text]; ok && n.step == 1 {
		p.at++
		n.value, n.step, n.digits = n.value+1/parts, 1/parts, false
		return
	}
	p.at = mark
}
