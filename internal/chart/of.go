package chart

import (
	"slices"
	"time"

	"skep/internal/app"
)

// letters are what a picture marks, by the kind of entry.
var letters = map[string]string{"pitched": "Y", "added": "A", "stabilised": "S", "racked": "R", "bottled": "B"}

// Of is the picture of a course, and what the letters in it mean. False where there is
// nothing to draw.
func Of(c app.Course) (p Picture, means []string, drawn bool) {
	p = Picture{Title: c.Label, Unit: c.Unit, Now: c.Now}
	if c.Of == "temperature" || len(c.Days) == 0 { // nothing of it is forecast
		p.Now = time.Time{}
	}
	for _, d := range c.Days {
		p.Reckoned = append(p.Reckoned, Dated{d.At, d.Range})
	}
	for _, seen := range c.Seen {
		p.Read = append(p.Read, Dated{seen.At, seen.Range})
	}
	for _, m := range c.Marks {
		letter := letters[m.Kind]
		p.Marks = append(p.Marks, Mark{m.At, letter})
		if said := letter + " " + m.Kind; !slices.Contains(means, said) {
			means = append(means, said)
		}
	}
	if c.Finish != nil && c.Finish.To.After(c.Now) {
		p.From, p.To = c.Finish.From, c.Finish.To
	}
	return p, means, len(p.Reckoned)+len(p.Read) > 0
}
