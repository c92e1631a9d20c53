package measure

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

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
