package paper

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"skep/internal/app"
	"skep/internal/measure"
)

// Story draws a jug from brew day to the last bottle: where it stands, its course as a
// picture (PNG, nil for none), what went in, what it wants, and all that was written of
// it, with what was corrected and taken back.
//
// Errors: *FitError for a title; *LetterError; a picture that is none.
func Story(w io.Writer, p Paper, card app.Card, course []byte, at time.Time) error {
	s := card.Stood
	f, err := newFlow(p, s.Jug, fmt.Sprintf("Made %s in %s; day %d", day(card.Made), card.Vessel, s.Standing.Day), at)
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
	if course != nil {
		f.picture(course)
	}
	f.head("What went in")
	for _, part := range card.Parts {
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

// picture sets a PNG across the page.
func (f *flow) picture(png []byte) {
	info := f.pdf.RegisterImageOptionsReader("course", fpdf.ImageOptions{ImageType: "PNG"}, bytes.NewReader(png))
	if info == nil || f.pdf.Error() != nil {
		return // Output tells
	}
	height := f.across() * info.Height() / info.Width()
	f.need(height + 4)
	f.y += 2
	f.pdf.ImageOptions("course", side, f.y, f.across(), height, false, fpdf.ImageOptions{ImageType: "PNG"}, 0, "")
	f.y += height + 2
}
