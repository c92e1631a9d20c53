package web

import (
	"net/http"

	"skep/internal/app"
)

type bottleData struct {
	Jug    string
	Form   form
	Answer *app.BottleAnswer
	Empty  string // why there is nothing to bottle
}

// Asked are the fields of what was asked, which go along when it is told that it was done.
func (d bottleData) Asked() []string {
	return d.Form.Filled("bottles", "style", "closure", "priming", "warmest", "left")
}

// Despite says that the verdict is against it.
func (d bottleData) Despite() bool {
	return d.Answer != nil && d.Answer.Verdict.Answer == "not yet"
}

func bottleWords(r *request, f form) app.BottleWords {
	return app.BottleWords{
		Jug: r.PathValue("jug"), Bottles: f.Lines("bottles"), Closure: f.Get("closure"), Style: f.Get("style"), Priming: f.Get("priming"),
		Warmest: withUnit(f.Get("warmest"), degrees(r.cellar.Units())), Left: f.Get("left"), Place: f.Get("place"),
		Despite: f.Get("despite"), When: f.Get("when"),
	}
}

// bottle says whether a jug may be bottled, and which bottles it fills. What was asked
// stands in the address.
func (s *Server) bottle(r *request) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	return s.bottlePage(r, f, 0)
}

func (s *Server) bottlePage(r *request, f form, status int) (answer, error) {
	stood, _, err := r.cellar.Kept(r.Context(), r.PathValue("jug"))
	if err != nil {
		return answer{}, err
	}
	data := bottleData{Jug: stood.Jug, Form: f}
	asked, err := r.cellar.Bottle(r.Context(), bottleWords(r, f))
	if err == nil {
		data.Answer = &asked
	} else if data.Form, data.Empty, status, err = f.unanswered(err, status); err != nil {
		return answer{}, err
	}
	return answer{Template: "bottle", Title: "Bottle " + stood.Jug, Place: placeJugs, Status: status, Data: data}, nil
}

// bottled writes down that it was done.
func (s *Server) bottled(r *request) (answer, error) {
	f, once, err := r.written()
	if err != nil {
		return answer{}, err
	}
	words := bottleWords(r, f)
	words.Done = true
	done, err := once.Bottle(r.Context(), words)
	if err != nil {
		if f, err = f.refuse(err); err != nil {
			return answer{}, err
		}
		return s.bottlePage(r, f, http.StatusUnprocessableEntity)
	}
	return answer{To: saidAddress(*done.Recorded)}, nil
}
