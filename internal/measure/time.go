package measure

import (
	"strconv"
	"strings"
	"time"
)

// dayParts are the hours meant by the parts of a day: ours, an assumption.
var dayParts = map[string]int{
	"morning": 8, "noon": 12, "midday": 12, "afternoon": 15, "evening": 19, "night": 22,
}

// ParseTime understands when something was seen, in the location of now.
//
//	"now"  "2 hours ago"  "3 days ago"  "18:30"  "6pm"
//	"today"  "yesterday"  "yesterday evening"  "this morning"  "tonight"  "last night"
//	"monday"  "last sunday 18:30"  "3 May"  "3 May 2026 6pm"  "2026-05-03 18:30"
//
// Morning is 8:00, noon 12:00, afternoon 15:00, evening 19:00, night 22:00 (assumed).
// A day without a time is noon, or now if the day is today; a part of today that is still
// to come is now. A weekday is the latest one, today included, and "last" before it
// leaves today out; a date without a year is the latest one. A clock time alone is today.
// Times still to come are not refused: that is for the caller.
//
// Errors: *ParseError. "3/5/2026" is one: two countries read it differently.
func ParseTime(words string, now time.Time) (time.Time, error) {
	if t, err := time.Parse(time.RFC3339, strings.TrimSpace(words)); err == nil && plausibleYear(t.Year()) {
		return t.In(now.Location()), nil
	}
	p, err := read(words, Metric)
	if err != nil {
		return time.Time{}, err
	}
	if p.take("just", "now") || p.take("now") {
		return now, p.done()
	}
	m := moment{now: now}
	if ago, ok := p.ago(); ok {
		days := int(ago / 24)
		if ago != Hours(24*days) {
			return now.Add(-time.Duration(float64(ago) * float64(time.Hour))), p.done()
		}
		m.setDay(now.AddDate(0, 0, -days))
		m.fallback = &clock{now.Hour(), now.Minute()}
	}
	for p.more() {
		if p.takeAny("at", "on", "in", "the", "of", ",", "about", "around", "t") {
			continue
		}
		from := p.peek(0)
		known, err := p.timePart(&m)
		if err != nil {
			return time.Time{}, err
		}
		if !known || m.days > 1 || m.clocks > 1 {
			end := max(from.end, p.toks[max(p.at, 1)-1].end)
			problem := quoted(p.words[from.start:end]) + " is not a time"
			if known {
				problem = quoted(p.words[from.start:end]) + " is one time too many"
			}
			return time.Time{}, p.fault(from.start, end, problem, `write "2026-05-03 18:30", or "yesterday evening"`)
		}
	}
	if m.days+m.clocks == 0 {
		return time.Time{}, p.fault(0, len(p.words), "there is no time", `write "2026-05-03 18:30", or "yesterday evening"`)
	}
	return m.time(), nil
}

type clock struct{ hour, minute int }

// moment collects what was said of a time.
type moment struct {
	now          time.Time
	day          time.Time
	clock        clock
	fallback     *clock // when only a day was said
	part         bool   // the clock is a part of the day, not a time
	days, clocks int    // how often each was said
}

func (m *moment) setDay(day time.Time) { m.day, m.days = day, m.days+1 }

func (m *moment) setClock(hour, minute int, part bool) {
	m.clock, m.part, m.clocks = clock{hour, minute}, part, m.clocks+1
}

func (m *moment) time() time.Time {
	if m.days == 0 {
		m.day = m.now
	}
	today := DaysBetween(m.day, m.now) == 0
	switch {
	case m.clocks > 0:
	case today:
		return m.now
	case m.fallback != nil:
		m.clock = *m.fallback
	default:
		m.clock = clock{hour: 12}
	}
	t := time.Date(m.day.Year(), m.day.Month(), m.day.Day(), m.clock.hour, m.clock.minute, 0, 0, m.now.Location())
	if today && m.part && t.After(m.now) {
		return m.now
	}
	return t
}

// ago reads "2 hours ago"; otherwise nothing.
func (p *parser) ago() (Hours, bool) {
	mark := p.at
	q, err := p.quantity()
	if err == nil && q.Kind == Duration && p.take("ago") {
		return Hours(q.Value), true
	}
	p.at = mark
	return 0, false
}

// timePart reads one day or one clock time.
func (p *parser) timePart(m *moment) (known bool, err error) {
	last := p.take("last")
	if !last {
		p.take("this")
	}
	word := p.peek(0)
	if word.kind == numberToken {
		return p.dateOrClock(m)
	}
	hour, isPart := dayParts[word.text]
	weekday, isWeekday := nameIndex(word.text, 7, func(i int) string { return time.Weekday(i).String() })
	days := map[string]int{"today": 0, "tonight": 0, "yesterday": -1, "tomorrow": 1}
	shift, isDay := days[word.text]
	switch {
	case last && word.text == "night":
		m.setDay(m.now.AddDate(0, 0, -1))
		m.setClock(hour, 0, true)
	case last && !isWeekday:
		return false, nil
	case isPart:
		m.setClock(hour, 0, word.text != "noon" && word.text != "midday")
	case isDay:
		m.setDay(m.now.AddDate(0, 0, shift))
		if word.text == "tonight" {
			m.setClock(dayParts["night"], 0, true)
		}
	case isWeekday:
		back := (int(m.now.Weekday()) - weekday + 7) % 7
		if last && back == 0 {
			back = 7
		}
		m.setDay(m.now.AddDate(0, 0, -back))
	default:
		return p.monthFirst(m)
	}
	p.at++
	return true, nil
}

// dateOrClock reads what starts with a number: "2026-05-03", "3 May", "18:30", "6pm".
func (p *parser) dateOrClock(m *moment) (bool, error) {
	first := p.peek(0)
	value, whole := wholeNumber(first)
	next := p.peek(1)
	if next.text == "/" || strings.Count(first.text, ".")+strings.Count(first.text, ",") > 0 {
		p.at = len(p.toks)
		return false, p.fault(first.start, p.toks[p.at-1].end, "a date in numbers may mean two days", `write "2026-05-03" or "3 May 2026"`)
	}
	if !whole {
		return false, nil
	}
	if next.text == "-" && p.peek(3).text == "-" {
		month, okMonth := wholeNumber(p.peek(2))
		day, okDay := wholeNumber(p.peek(4))
		if len(first.text) != 4 || !okMonth || !okDay {
			return false, nil
		}
		p.at += 5
		return p.setDate(m, first, value, month, day)
	}
	if next.text == ":" {
		minute, ok := wholeNumber(p.peek(2))
		if !ok || len(p.peek(2).text) != 2 {
			return false, nil
		}
		p.at += 3
		return p.setClock(m, first, value, minute)
	}
	if next.text == "am" || next.text == "pm" {
		p.at++
		return p.setClock(m, first, value, 0)
	}
	p.at++
	p.takeAny("st", "nd", "rd", "th")
	p.take("of")
	month, ok := monthIndex(p.peek(0).text)
	if !ok {
		return false, nil
	}
	p.at++
	return p.setDate(m, first, p.year(), month, value)
}

// monthFirst reads "May 3", "May 3rd, 2026".
func (p *parser) monthFirst(m *moment) (bool, error) {
	first := p.peek(0)
	month, ok := monthIndex(first.text)
	day, okDay := wholeNumber(p.peek(1))
	if !ok || !okDay || p.peek(2).text == ":" {
		return false, nil
	}
	p.at += 2
	p.takeAny("st", "nd", "rd", "th")
	return p.setDate(m, first, p.year(), month, day)
}

// anyYear stands for a year that was not said.
const anyYear = -1

// year reads four digits, if they come next.
func (p *parser) year() int {
	mark := p.at
	p.take(",")
	if year, ok := wholeNumber(p.peek(0)); ok && len(p.peek(0).text) == 4 {
		p.at++
		return year
	}
	p.at = mark
	return anyYear
}

// setDate sets a day; anyYear is the latest year in which that day is not to come.
func (p *parser) setDate(m *moment, from token, year, month, day int) (bool, error) {
	date := func(year int) (time.Time, bool) {
		t := time.Date(year, time.Month(month), day, 12, 0, 0, 0, m.now.Location())
		return t, t.Day() == day && int(t.Month()) == month && plausibleYear(year)
	}
	end := p.toks[p.at-1].end
	if year != anyYear {
		if t, ok := date(year); ok {
			m.setDay(t)
			return true, nil
		}
		return false, p.fault(from.start, end, quoted(p.words[from.start:end])+" is no day of the calendar", "")
	}
	for year := m.now.Year(); year > m.now.Year()-9; year-- { // nine: 29 February about 1900 or 2100
		if t, ok := date(year); ok && DaysBetween(t, m.now) >= 0 {
			m.setDay(t)
			return true, nil
		}
	}
	return false, p.fault(from.start, end, quoted(p.words[from.start:end])+" is no day of the calendar", "")
}

// setClock sets a time of day, with the "pm" that may follow.
func (p *parser) setClock(m *moment, from token, hour, minute int) (bool, error) {
	twelve := p.peek(0).text == "am" || p.peek(0).text == "pm"
	wrong := hour > 23 || minute > 59
	if twelve {
		wrong = hour < 1 || hour > 12 || minute > 59
		hour %= 12
		if p.peek(0).text == "pm" {
			hour += 12
		}
		p.at++
	}
	if wrong {
		end := p.toks[p.at-1].end
		return false, p.fault(from.start, end, quoted(p.words[from.start:end])+" is no time of day", "")
	}
	m.setClock(hour, minute, false)
	return true, nil
}

func plausibleYear(year int) bool { return year >= 1900 && year <= 2199 }

func wholeNumber(t token) (int, bool) {
	if t.kind != numberToken || len(t.text) > 4 {
		return 0, false
	}
	n, err := strconv.Atoi(t.text)
	return n, err == nil
}

func monthIndex(word string) (int, bool) {
	i, ok := nameIndex(word, 12, func(i int) string { return time.Month(i + 1).String() })
	return i + 1, ok
}

// nameIndex finds a name in full or by its first three letters, "sept" and "tues" too.
func nameIndex(word string, count int, name func(int) string) (int, bool) {
	for i := range count {
		full := strings.ToLower(name(i))
		if len(word) >= 3 && strings.HasPrefix(full, word) {
			return i, true
		}
	}
	return 0, false
}
