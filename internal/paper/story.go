package paper

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"skep/internal/app"
	"skep/internal/chart"
	"skep/internal/measure"
)

// Story draws a jug from brew day to the last bottle: where it stands, its course as a
// picture, what went in, what it wants, and all that was written of it, with what was
// corrected and taken back.
//
// Errors: *FitError for a title; *LetterError.
func Story(w io.Writer, p Paper, card app.Card, at time.Time) error {
	s := card.Stood
	f, err := newFlow(p, card.Name, fmt.Sprintf("Made %s in %s; day %d", day(card.Made), card.Vessel, s.Standing.Day), at)
	if err != nil {
		return err
	}
	f.para("standing", s.Standing.Sentence, serif, heading, 0)
	for _, fact := range s.Standing.Because {
		f.para("standing", capital(fact)+".", sans, body, 0)
	}
	if s.Unknown != "" {
		f.care("No estimate: " + s.Unknown + ".")
	}
	if s.Now != nil {
		f.y += 2
		f.figures(
			figure{fmt.Sprintf("%.1f %%", s.Now.Ethanol.Value), "of alcohol by volume now"},
			figure{fmt.Sprintf("%.1f %%", s.Final.Ethanol.Value), "at the end"},
			figure{fmt.Sprintf("%.3f", s.Now.Gravity.Value), "gravity now"},
			figure{fmt.Sprintf("%.0f g/L", s.Now.Hexose.Value), "sugar left"},
		)
		f.row("strength at the end", measure.ShowRange(s.Final.Ethanol), 0, 45)
		f.row("gravity now", measure.ShowRange(s.Now.Gravity), 0, 45)
		f.row("sugar left", measure.ShowRange(s.Now.Hexose), 0, 45)
	}
	if err := f.course(card.Course("gravity")); err != nil {
		return err
	}
	f.head("What went in")
	for _, part := range card.In {
		f.para("parts", part, sans, body, 0)
	}
	if len(card.Next) > 0 {
		f.head("What it wants")
		for _, w := range card.Next {
			when, what := want(w)
			f.row(when, what, 0, 45)
		}
	}
	f.head("What was written of it")
	for _, l := range card.History {
		f.row(measure.ShowTime(l.At), written(l), 0, 45)
	}
	return f.write(w)
}

// written tells one entry with what became of it.
func written(l app.HistoryLine) string {
	var marks []string
	if l.Corrected != 0 {
		marks = append(marks, fmt.Sprintf("[corrected to: %s]", l.CorrectedTo))
	}
	if l.Withdrawn != 0 {
		marks = append(marks, "[taken back]")
	}
	return strings.Join(append(marks, l.Said), " ")
}

// course sets the picture of a quantity in time across the page, and what its letters mean.
func (f *flow) course(c app.Course) error {
	p, letters, drawn := chart.Of(c)
	if !drawn {
		return nil
	}
	const height, dots, unit = 68.0, 250, 25.4 / 96 // mm, to the inch, mm
	var png bytes.Buffer
	if err := p.PNG(&png, f.across()/unit, height/unit, dots); err != nil {
		return err
	}
	f.head(c.Label)
	f.need(height + 8)
	kind := fpdf.ImageOptions{ImageType: "PNG"}
	f.pdf.RegisterImageOptionsReader(c.Of, kind, &png)
	f.pdf.ImageOptions(c.Of, side, f.y, f.across(), height, false, kind, 0, "")
	f.y += height + 1
	f.beside("course", strings.Join(letters, ", "), sans, small, 0, f.across(), quiet)
	return nil
}
