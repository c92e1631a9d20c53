package measure

import (
	"errors"
	"strings"
)

// amountKinds are what an ingredient can be measured in.
var amountKinds = map[Kind]bool{Mass: true, Volume: true, Packets: true, Pieces: true, Concentration: true}

// ParseIngredient parts an amount from what it is an amount of: "2 1/2 cups honey",
// "1 lb 9 oz of heather honey", "honey, 1.2 kg", "3 lemons", "a packet of yeast".
//
// rest is the ingredient as typed, without "of"; empty if only an amount was said. A
// number without a unit counts pieces, and then amount.Words is all that was said.
//
// Errors: *ParseError, also when the quantity is no amount ("22 C").
func ParseIngredient(words string, sys System) (amount Quantity, rest string, err error) {
	p, err := read(words, sys)
	if err != nil {
		return Quantity{}, "", err
	}
	p.nouns, p.ingredient = true, true
	if !p.startsAmount() {
		return p.amountLast()
	}
	if amount, err = p.amount(); err != nil {
		return Quantity{}, "", err
	}
	if next := p.peek(0); next.kind == numberToken || next.text == "and" || strings.Contains("+-/*%=°~", next.text) && next.text != "" {
		return Quantity{}, "", p.done()
	}
	p.takeAny(",", "of")
	return amount, strings.TrimSpace(words[min(p.peek(0).start, len(words)):]), nil
}

// startsAmount says whether the words begin with a number or a hedge before one.
func (p *parser) startsAmount() bool {
	mark := p.at
	defer func() { p.at = mark }()
	p.hedge()
	p.take("-")
	text := p.peek(0).text
	_, counted := numberWords[text]
	_, shared := shareWords[text]
	return p.peek(0).kind == numberToken || counted || shared || text == "dozen"
}

// amount reads a quantity that an ingredient can be measured in.
func (p *parser) amount() (Quantity, error) {
	from := p.peek(0)
	q, err := p.quantity()
	if err != nil {
		return Quantity{}, err
	}
	if !amountKinds[q.Kind] {
		hint := ""
		if q.Kind == Temperature {
			hint = `if you mean cups, write "cups"`
		}
		return Quantity{}, p.fault(from.start, p.toks[p.at-1].end, quoted(q.Words)+" is a "+string(q.Kind)+", not an amount", hint)
	}
	if q.Kind == Pieces {
		q.Words = strings.TrimSpace(p.words)
	}
	return q, nil
}

// amountLast reads "honey, 1.2 kg" and "lemons 3": the first place after a word where
// an amount starts and runs to the end.
func (p *parser) amountLast() (Quantity, string, error) {
	var first error
	for i := 1; i < len(p.toks); i++ {
		if p.toks[i].start == p.toks[i-1].end && p.toks[i-1].kind == wordToken { // the 1 of "K1"
			continue
		}
		p.at = i
		if !p.startsAmount() {
			continue
		}
		rest := strings.TrimRight(strings.TrimSpace(p.words[:p.toks[i].start]), ",:- ")
		if i == len(p.toks)-1 && p.toks[i].kind == numberToken { // "lemons 3"
			if n, ok, err := p.number(); ok && err == nil && n.digits && n.step == 1 && n.value <= bounds[Pieces].high {
				return Quantity{Words: strings.TrimSpace(p.words), Kind: Pieces, Tool: Count, Value: n.value}, rest, nil
			}
			p.at = i
		}
		p.nouns = false
		q, err := p.amount()
		if err == nil {
			err = p.done()
		}
		if err == nil {
			return q, rest, nil
		}
		if first == nil {
			first = err
		}
		if p.toks[i].text == "-" && p.toks[i].end == p.toks[i+1].start { // a minus, not a dash
			break
		}
	}
	const amountFirst = `write the amount first, as in "1.2 kg honey"`
	var fault *ParseError
	if errors.As(first, &fault) && fault.Hint == "" { // "juice of 2 lemons"
		fault.Hint = amountFirst
	}
	if first == nil {
		p.at = 0
		first = p.fault(p.peek(0).start, p.peek(0).end, "there is no amount", amountFirst)
	}
	return Quantity{}, "", first
}
