package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"skep/internal/app"
)

// blendData is what wines of several jugs make together.
type blendData struct {
	Form    form
	Jugs    []string // that hold wine
	Lines   []pour
	Answer  *app.BlendAnswer
	Unknown string // why it cannot be told
}

// pour is a line of the form: a jug, and how much of it is taken.
type pour struct {
	Jug, Take field
	Found     string // how much meets the goals, or none; "" where that was told
}

// none is found to be taken of a jug that does not help towards the goals.
const none = "none"

// blendGoals are the fields of what a blend is to have, blendAsks those beside the lines.
var (
	blendGoals = []string{"strength", "sweet", "ph", "ta", "volume"}
	blendAsks  = append([]string{"lost", "to", "jug"}, blendGoals...)
)

// Asked are the fields beside the lines which go along when it is told that it was done.
func (d blendData) Asked() []string { return d.Form.Filled(blendAsks...) }

// Goal says that something is wished for, or a wish at fault.
func (d blendData) Goal() bool {
	return len(d.Form.Filled(blendGoals...)) > 0 || slices.Contains(blendGoals, d.Form.Field)
}

// Trouble is what is wrong with no single field.
func (d blendData) Trouble() form {
	return d.Form.Trouble(append([]string{"jugs", "take", "when"}, blendAsks...)...)
}

// fewestLines are as many as an empty form has.
const fewestLines = 3

// poured are the lines that were filled.
func (f form) poured() []pour {
	var lines []pour
	told := func(name string, i int) field {
		v := newField(form{}, name, "", "")
		if of := f.Values[name]; i < len(of) {
			v.Value = strings.TrimSpace(of[i])
		}
		return v
	}
	for i := range max(len(f.Values["jugs"]), len(f.Values["take"])) {
		if p := (pour{told("jugs", i), told("take", i), told("found", i).Value}); p.Jug.Value != "" || p.Take.Value != "" {
			lines = append(lines, p)
		}
	}
	return lines
}

// pours are the lines as they are shown: what was filled, room for another jug, and what is
// wrong in the line that has the words it is about, or is to have them.
func (f form) pours(jugs []string) []pour {
	lines := f.poured()
	filled := len(lines)
	for len(lines) < max(fewestLines, filled+1) && len(lines) < max(len(jugs), filled) {
		lines = append(lines, pour{Jug: newField(form{}, "jugs", "", ""), Take: newField(form{}, "take", "", "")})
	}
	for i := range lines {
		jug, take, number := &lines[i].Jug, &lines[i].Take, strconv.Itoa(i+1)
		jug.ID, jug.Label = "jug-"+number, "Jug "+number
		take.ID, take.Label = "take-"+number, "Of jug "+number
		names := jugs
		if jug.Value != "" && !slices.Contains(jugs, jug.Value) {
			names = append(slices.Clone(jugs), jug.Value)
		}
		*jug = jug.Of(names)
	}
	for _, is := range []func(string) bool{
		func(words string) bool { return words == f.Words },
		func(words string) bool { return words == "" },
		func(string) bool { return true },
	} {
		for i := range lines {
			for _, at := range []*field{&lines[i].Jug, &lines[i].Take} {
				if at.Name == f.Field && is(at.Value) {
					at.Wrong, at.Hint = f.Wrong, f.Hint
					return lines
				}
			}
		}
	}
	return lines
}

// blended asks what a blend comes to, or writes it down: then as much of each jug as the page
// found and not what meets the goals by now, for that is what was poured.
//
// Errors: those of app.Cellar.Blend, at a line of the form where they are about one.
func blended(ctx context.Context, c *app.Cellar, f form, when string, done bool) (app.BlendAnswer, error) {
	w := app.BlendWords{
		To: f.Get("to"), Jug: f.Get("jug"), Strength: withUnit(f.Get("strength"), "%vol"), Sweet: f.Get("sweet"), PH: f.Get("ph"),
		TA: withUnit(f.Get("ta"), "g/L"), Volume: f.Get("volume"), Lost: f.Get("lost"), When: when, Done: done,
	}
	for _, p := range f.poured() {
		if p.Jug.Value == "" {
			return app.BlendAnswer{}, &app.AskError{Field: "jugs", Err: errors.New("of which jug"), Tip: "choose it, or leave out how much"}
		}
		take := p.Take.Value
		if done && p.Found != "" {
			take, w.Strength, w.Sweet, w.PH, w.TA, w.Volume = p.Found, "", "", "", "", ""
			if take == none {
				continue
			}
		}
		w.Jugs, w.Take = append(w.Jugs, p.Jug.Value), append(w.Take, take)
	}
	a, err := c.Blend(ctx, w)
	var unknown *app.NoJugError
	var short *app.HoldsError
	switch {
	case errors.As(err, &unknown):
		err = &app.AskError{Field: "jugs", Words: unknown.Name, Err: unknown}
	case errors.As(err, &short):
		if i := slices.Index(w.Jugs, short.Jug); i >= 0 {
			err = &app.AskError{Field: "take", Words: w.Take[i], Err: short}
		}
	}
	return a, err
}

// blend tells what a blend comes to; what was asked stands in the address, and nothing is
// recorded.
func (s *Server) blend(r *request) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	return s.blendPage(r, f, 0)
}

func (s *Server) blendPage(r *request, f form, status int) (answer, error) {
	data := blendData{Form: f}
	var err error
	if data.Jugs, err = r.cellar.Standing(r.Context()); err != nil {
		return answer{}, err
	}
	if f.Values.Has("take") || len(f.Values["jugs"]) > 1 { // a link names one jug and asks nothing
		if a, err := blended(r.Context(), r.cellar, f, "", false); err == nil {
			data.Answer = &a
		} else if data.Form, data.Unknown, status, err = f.unanswered(err, status); err != nil {
			return answer{}, err
		}
	}
	data.Lines = data.Form.pours(data.Jugs)
	if data.Answer != nil && data.Goal() {
		data.find()
	}
	return answer{Template: "blend", Title: "Blend", Place: placeJugs, Status: status, Data: data}, nil
}

// find puts into each line that left it open how much meets the goals.
func (d *blendData) find() {
	for i := range d.Lines {
		line := &d.Lines[i]
		line.Found = ""
		if line.Jug.Value == "" || line.Take.Value != "" {
			continue
		}
		switch part := d.Answer.Parts[i]; { // of the lines that were filled, in turn
		case part.Stays:
		case part.Take.Value < 0.005:
			line.Found = none
		default:
			line.Found = fmt.Sprintf("%.2f L", part.Take.Value)
		}
	}
}

// blendDone writes a blend into all its jugs, and shows the one that took it.
func (s *Server) blendDone(r *request) (answer, error) {
	f, once, err := r.written()
	if err != nil {
		return answer{}, err
	}
	a, err := blended(r.Context(), once, f, f.Get("when"), true)
	if err == nil {
		return answer{To: saidAddress(a.Recorded[0])}, nil
	}
	if f, err = f.refuse(err); err != nil {
		return answer{}, err
	}
	return s.blendPage(r, f, http.StatusUnprocessableEntity)
}
