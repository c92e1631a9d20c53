package web

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"slices"
	"strconv"

	"skep/internal/app"
	"skep/internal/measure"
	"skep/internal/paper"
)

// printRoutes are the addresses of what is printed: a PDF each, and the form of labels.
func (s *Server) printRoutes() {
	s.page("GET /print/sheet/{plan}", func(r *request) (answer, error) {
		p, a, err := s.planAsked(r)
		if err != nil || a != nil {
			return deref(a), err
		}
		sheet, err := r.cellar.Sheet(r.Context(), p)
		if err != nil {
			return answer{}, err
		}
		return drawn("brew day "+p.Name, func(w io.Writer) error { return paper.BrewDay(w, paperOf(r), p, sheet, r.cellar.Now()) })
	})
	s.page("GET /print/shelf", func(r *request) (answer, error) {
		lots, err := r.cellar.Shelf(r.Context())
		if err != nil {
			return answer{}, err
		}
		return drawn("shelf", func(w io.Writer) error { return paper.Shelf(w, paperOf(r), lots, r.cellar.Now()) })
	})
	for name, draw := range map[string]func(io.Writer, *request, app.Card) error{
		"tag": func(w io.Writer, r *request, c app.Card) error {
			return paper.Tags(w, paperOf(r), []app.Card{c}, r.cellar.Now())
		},
		"story": func(w io.Writer, r *request, c app.Card) error { return paper.Story(w, paperOf(r), c, r.cellar.Now()) },
		"class": func(w io.Writer, r *request, c app.Card) error { return paper.Class(w, paperOf(r), c, r.cellar.Now()) },
	} {
		s.page("GET /print/"+name+"/{jug}", func(r *request) (answer, error) {
			card, err := r.cellar.Card(r.Context(), r.PathValue("jug"))
			if err != nil {
				return answer{}, err
			}
			return drawn(name+" "+card.Name, func(w io.Writer) error { return draw(w, r, card) })
		})
	}
	s.page("GET /print/labels/{jug}", s.labels)
}

// paperOf is the paper that a person has, by their units.
func paperOf(r *request) paper.Paper {
	if r.cellar.Units() == measure.US {
		return paper.Letter
	}
	return paper.A4
}

// drawn answers with a PDF.
func drawn(name string, draw func(io.Writer) error) (answer, error) {
	var pdf bytes.Buffer
	err := draw(&pdf)
	return answer{PDF: pdf.Bytes(), File: name + ".pdf"}, err
}

func sendPDF(w http.ResponseWriter, a answer) {
	h := w.Header()
	h.Set("Content-Type", "application/pdf")
	h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": a.File}))
	h.Set("Cache-Control", "no-store")
	if _, err := w.Write(a.PDF); err != nil {
		return // the browser went away
	}
}

// labelData is the form of labels.
type labelData struct {
	Jug    string
	Form   form
	Grids  []string
	Sizes  []string // of the bottles, when there are several
	Choice []string // steps of the strength
	Drops  []labelDrop
}

// labelDrop is a field that a label can do without.
type labelDrop struct {
	Name string
	Is   bool
}

// Trouble is what is wrong with no single field.
func (d labelData) Trouble() form {
	return d.Form.Trouble("title", "words", "sheet", "start", "count", "size", "steps", "drink-from")
}

// labels shows the form, and draws the labels that it asks for.
func (s *Server) labels(r *request) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	story, err := r.cellar.Lot(r.Context(), r.PathValue("jug"))
	if err != nil {
		return answer{}, err
	}
	data := labelData{Jug: story.Jug, Form: f, Choice: []string{"0.5", "0.1"}}
	for _, g := range paper.Grids() {
		data.Grids = append(data.Grids, g.String())
	}
	for _, name := range paper.Droppable {
		data.Drops = append(data.Drops, labelDrop{name, slices.Contains(f.Values["without"], name)})
	}
	for _, l := range story.Lots {
		if size := fmt.Sprintf("%.0f mL", l.SizeML); !slices.Contains(data.Sizes, size) {
			data.Sizes = append(data.Sizes, size)
		}
	}
	a := answer{Template: "labels", Title: "Labels of " + story.Jug, Place: placeShelf}
	if f.Get("print") != "" {
		drawn, err := s.drawLabels(r, f, story.Jug)
		if err == nil {
			return drawn, nil
		}
		if data.Form, err = f.refuse(err); err != nil {
			return answer{}, err
		}
		a.Status = http.StatusUnprocessableEntity
	}
	a.Data = data
	return a, nil
}

// mostLabels are as many as are drawn at once.
const mostLabels = 1000

func (s *Server) drawLabels(r *request, f form, jug string) (answer, error) {
	words := f.Get("sheet")
	if words == "" {
		words = "A4 2x4 99.1x67.7"
		if r.cellar.Units() == measure.US {
			words = "Letter 2x3 101.6x84.7"
		}
	}
	grid, err := paper.GridOf(words)
	if err != nil {
		return answer{}, &app.AskError{Field: "sheet", Words: words, Err: err, Tip: `write paper, labels across x down, and width x height in mm: "A4 2x4 99.1x67.7"`}
	}
	start, err := f.between("start", 1, 1, grid.Count())
	if err != nil {
		return answer{}, err
	}
	asked := app.LabelWords{Jug: jug, Words: f.Get("words"), Size: f.Get("size"), Steps: f.Get("steps"), DrinkFrom: f.Get("drink-from")}
	if title := f.Get("title"); title != "" {
		asked.Title = &title
	}
	label, err := r.cellar.Label(r.Context(), asked)
	if err != nil {
		return answer{}, err
	}
	usual := label.Left
	if usual == 0 {
		usual = grid.Count() - start + 1
	}
	count, err := f.between("count", usual, 1, mostLabels)
	if err != nil {
		return answer{}, err
	}
	sheet := paper.LabelSheet{Grid: grid, Start: start, Outline: f.Get("outline") != "", Code: label.Facts(), Without: f.Values["without"]}
	if !grid.HoldsCode() {
		sheet.Code, sheet.Without = "", append(sheet.Without, "range")
	}
	all := slices.Repeat([]app.Label{label}, count)
	return drawn("labels "+jug, func(w io.Writer) error { return paper.Labels(w, all, sheet, r.cellar.Now()) })
}

// between is a whole number that was typed, or the usual one.
func (f form) between(name string, usual, least, most int) (int, error) {
	if f.Get(name) == "" {
		return usual, nil
	}
	n, err := f.whole(name)
	if err == nil && (n < least || n > most) {
		err = &app.AskError{Field: name, Words: f.Get(name), Err: errors.New("it is out of bounds"), Tip: "write " + strconv.Itoa(least) + " to " + strconv.Itoa(most)}
	}
	return n, err
}
