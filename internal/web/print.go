package web

import (
	"bytes"
	"fmt"
	"io"
	"mime"
	"net/http"
	"path"
	"slices"
	"time"

	"skep/internal/app"
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
		return onPaper(r, "brew day "+p.Name, func(w io.Writer, size paper.Paper) error { return paper.BrewDay(w, size, p, sheet, r.cellar.Now()) })
	})
	s.page("GET /print/shelf", func(r *request) (answer, error) {
		lots, err := r.cellar.Shelf(r.Context())
		if err != nil {
			return answer{}, err
		}
		return onPaper(r, "shelf", func(w io.Writer, size paper.Paper) error { return paper.Shelf(w, size, lots, r.cellar.Now()) })
	})
	for name, draw := range map[string]func(io.Writer, paper.Paper, app.Card, time.Time) error{
		"tag": func(w io.Writer, size paper.Paper, c app.Card, now time.Time) error {
			return paper.Tags(w, size, []app.Card{c}, now)
		},
		"story": paper.Story,
		"class": paper.Class,
	} {
		s.page("GET /print/"+name+"/{jug}", func(r *request) (answer, error) {
			card, err := r.cellar.Card(r.Context(), r.PathValue("jug"))
			if err != nil {
				return answer{}, err
			}
			return onPaper(r, name+" "+card.Name, func(w io.Writer, size paper.Paper) error { return draw(w, size, card, r.cellar.Now()) })
		})
	}
	s.page("GET /print/labels/{jug}", s.labels)
}

// onPaper answers with a PDF on the paper that the address names, else on that of the
// maker's units.
func onPaper(r *request, name string, draw func(io.Writer, paper.Paper) error) (answer, error) {
	size, err := paper.PaperFor(r.FormValue("paper"), r.cellar.Units())
	if err != nil {
		return answer{}, err
	}
	return drawn(name, func(w io.Writer) error { return draw(w, size) })
}

// drawn answers with a PDF.
func drawn(name string, draw func(io.Writer) error) (answer, error) {
	var pdf bytes.Buffer
	err := draw(&pdf)
	return answer{Sent: pdf.Bytes(), File: name + ".pdf"}, err
}

// sendFile sends a file, to be kept under its name.
func sendFile(w http.ResponseWriter, a answer) {
	h := w.Header()
	h.Set("Content-Type", mime.TypeByExtension(path.Ext(a.File)))
	h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": a.File}))
	h.Set("Cache-Control", "no-store")
	if _, err := w.Write(a.Sent); err != nil {
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
	Laws   []string
	Drops  []labelDrop
}

// labelDrop is a field that a label can do without.
type labelDrop struct {
	Name string
	Is   bool
}

// Trouble is what is wrong with no single field.
func (d labelData) Trouble() form {
	return d.Form.Trouble("title", "words", "sheet", "start", "count", "size", "steps", "drink-from", "code", "law")
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
	data := labelData{Jug: story.Jug, Form: f, Choice: []string{"0.5", "0.1"}, Laws: []string{string(app.Europe), string(app.UnitedKingdom), string(app.UnitedStates)}}
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

// drawLabels draws what the command draws of the same words.
func (s *Server) drawLabels(r *request, f form, jug string) (answer, error) {
	asked := app.LabelWords{Jug: jug, Words: f.Get("words"), Size: f.Get("size"), Law: f.Get("law"), Steps: f.Get("steps"), DrinkFrom: f.Get("drink-from")}
	if title := f.Get("title"); title != "" {
		asked.Title = &title
	}
	lay := paper.LabelAsk{Sheet: f.Get("sheet"), Code: f.Get("code"), Without: f.Values["without"], Outline: f.Get("outline") != ""}
	for name, into := range map[string]*int{"start": &lay.Start, "count": &lay.Count} {
		var err error
		if *into, err = f.count(name); err != nil {
			return answer{}, err
		}
	}
	label, err := r.cellar.Label(r.Context(), asked)
	if err != nil {
		return answer{}, err
	}
	sheet, count, err := lay.Lay(label, r.cellar.Units())
	if err != nil {
		return answer{}, err
	}
	all := slices.Repeat([]app.Label{label}, count)
	return drawn("labels "+jug, func(w io.Writer) error { return paper.Labels(w, all, sheet, r.cellar.Now()) })
}
