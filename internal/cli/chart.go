package cli

import (
	"fmt"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"skep/internal/app"
)

// A chart is so many columns wide, its labels too, and so many rows high.
const (
	chartWidth  = 72
	chartLabel  = 8
	chartHeight = 13
)

// ink is what a chart is drawn with.
type ink struct{ band, past, future, read, now, axis, corner, window, begins, ends rune }

var (
	unicodeInk = ink{band: '░', past: '─', future: '·', read: '●', now: '│', axis: '─', corner: '└', window: '═', begins: '╞', ends: '╡'}
	asciiInk   = ink{band: ':', past: '-', future: '.', read: 'o', now: '|', axis: '-', corner: '+', window: '=', begins: '[', ends: ']'}
)

// drawCourse draws a quantity in time: the range that holds four cases in five, its middle,
// what was read, today and the days between which it should be over. Nothing is said by
// colour. A course of fewer than two days is not drawn.
func drawCourse(c app.Course, ink ink) string {
	if len(c.Days) < 2 {
		return ""
	}
	const columns = chartWidth - chartLabel - 1
	from, to := c.Days[0].At, c.Days[len(c.Days)-1].At
	column := func(t time.Time) int {
		return int(math.Round(float64(t.Sub(from)) / float64(to.Sub(from)) * (columns - 1)))
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, d := range c.Days {
		if d.Known() {
			low, high = min(low, d.Low), max(high, d.High)
		}
	}
	for _, s := range c.Seen {
		low, high = min(low, s.Value), max(high, s.Value)
	}
	if !(high > low) {
		return ""
	}
	row := func(v float64) int { return int(math.Round((high - v) / (high - low) * (chartHeight - 1))) }
	grid := make([][]rune, chartHeight)
	for r := range grid {
		grid[r] = []rune(strings.Repeat(" ", columns))
	}
	now := column(c.Now)
	next := 0
	for x := range columns {
		at := from.Add(time.Duration(float64(to.Sub(from)) * float64(x) / (columns - 1)))
		for next+2 < len(c.Days) && c.Days[next+1].At.Before(at) {
			next++
		}
		a, b := c.Days[next], c.Days[next+1]
		if !a.Known() || !b.Known() {
			continue
		}
		share := 0.0
		if gap := b.At.Sub(a.At); gap > 0 {
			share = min(1, max(0, float64(at.Sub(a.At))/float64(gap)))
		}
		between := func(u, v float64) float64 { return u + share*(v-u) }
		for r := row(between(a.High, b.High)); r <= row(between(a.Low, b.Low)); r++ {
			grid[r][x] = ink.band
		}
		middle := ink.past
		if x > now {
			middle = ink.future
		}
		grid[row(between(a.Value, b.Value))][x] = middle
	}
	if now >= 0 && now < columns {
		for r := range grid {
			if grid[r][now] == ' ' || grid[r][now] == ink.band {
				grid[r][now] = ink.now
			}
		}
	}
	for _, s := range c.Seen {
		if x := column(s.At); x >= 0 && x < columns {
			grid[row(s.Value)][x] = ink.read
		}
	}
	var text strings.Builder
	for r, line := range grid {
		label := ""
		if r%3 == 0 {
			label = chartValue(c.Unit, high-(high-low)*float64(r)/(chartHeight-1))
		}
		fmt.Fprintf(&text, "%*s %s\n", chartLabel, label, strings.TrimRight(string(line), " "))
	}
	foot := []rune(strings.Repeat(string(ink.axis), columns))
	if f := c.Finish; f != nil && f.Chance >= 0.5 {
		begins, ends := min(columns-1, max(0, column(f.From))), min(columns-1, max(0, column(f.To)))
		for x := begins; x <= ends; x++ {
			foot[x] = ink.window
		}
		foot[begins], foot[ends] = ink.begins, ink.ends
	}
	fmt.Fprintf(&text, "%*s%c%s\n", chartLabel, "", ink.corner, string(foot))
	text.WriteString(chartDays(from, c.Now, to, now))
	return text.String()
}

// chartDays writes the first day, today and the last under the columns that they stand for.
func chartDays(from, now, to time.Time, at int) string {
	const columns = chartWidth - chartLabel - 1
	line := []rune(strings.Repeat(" ", columns))
	put := func(x int, words string) {
		n := utf8.RuneCountInString(words)
		x = min(columns-n, max(0, x))
		for i := max(0, x-1); i < min(columns, x+n+1); i++ {
			if line[i] != ' ' {
				return
			}
		}
		copy(line[x:], []rune(words))
	}
	if at >= 0 && at < columns {
		put(at-2, "today")
	}
	put(0, from.Format("2 Jan"))
	put(columns, to.Format("2 Jan"))
	return strings.Repeat(" ", chartLabel+1) + strings.TrimRight(string(line), " ") + "\n"
}

// chartValue is a value beside the chart.
func chartValue(unit string, v float64) string {
	switch unit {
	case "":
		return fmt.Sprintf("%.3f", v)
	case "% vol":
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.0f", v)
}

// legend tells what the marks of a chart mean.
func (i ink) legend() string {
	return fmt.Sprintf("%c read, %c and %c most likely, %c four cases in five, %c%c%c should be over", i.read, i.past, i.future, i.band, i.begins, i.window, i.ends)
}

// plain is text in the characters of an old terminal.
func plain(text string) string {
	text = plainer.Replace(text)
	return strings.Map(func(r rune) rune {
		if r > '~' {
			return '?'
		}
		return r
	}, text)
}

var plainer = strings.NewReplacer(
	"°", "deg ", "±", "+/-", "×", "x", "½", "1/2", "¼", "1/4", "¾", "3/4", "…", "...", "–", "-", "—", "-", "−", "-",
	"²", "2", "³", "3", "₂", "2", "’", "'", "“", `"`, "”", `"`, "µ", "u",
)
