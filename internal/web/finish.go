package web

import (
	"net/http"

	"skep/internal/app"
)

// finishData is the way of a jug to the bottle.
type finishData struct {
	Jug     string
	Form    form
	Paths   []string
	Answer  *app.FinishAnswer
	Stalled bool // there is something to do about it first
}

// Asked are the fields of what was asked, which go along when it is told that a step was done.
func (d finishData) Asked() []string {
	return d.Form.Filled("path", "to", "with", "fizz", "warmest")
}

func finishWords(r *request, f form) app.FinishWords {
	temperature := degrees(r.cellar.Units())
	return app.FinishWords{
		Jug: r.PathValue("jug"), Path: f.Get("path"), To: f.Get("to"), With: f.Get("with"), Fizz: f.Get("fizz"),
		Warmest: withUnit(f.Get("warmest"), temperature), Heat: withUnit(f.Get("heat"), temperature), For: withUnit(f.Get("for"), "min"),
		When: f.Get("when"),
	}
}

// deed is a link to where something is recorded.
type deed struct{ Words, To string }

// told is where a step that only a look, a move or a bottling can tell is recorded, and the
// words of the link; "" for the steps that the page of finishing records itself.
func told(jug, step string) deed {
	switch step {
	case "proof", "watch":
		return deed{"Record a reading", jugAddress(jug, "look") + "?for=gravity"}
	case "ph":
		return deed{"Record its pH", jugAddress(jug, "look") + "?for=ph"}
	case "chill":
		return deed{"Record where it stands", jugAddress(jug, "move") + "?for=room"}
	case "rack":
		return deed{"Record the racking", jugAddress(jug, "rack")}
	case "bottle":
		return deed{"May it be bottled?", jugAddress(jug, "bottle")}
	}
	return deed{}
}

// finish shows the way to the bottle. What was asked stands in the address, and nothing is
// recorded.
func (s *Server) finish(r *request) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	return s.finishPage(r, f, 0)
}

func (s *Server) finishPage(r *request, f form, status int) (answer, error) {
	stood, _, err := r.cellar.Kept(r.Context(), r.PathValue("jug"))
	if err != nil {
		return answer{}, err
	}
	data := finishData{Jug: stood.Jug, Form: f, Paths: app.FinishPaths(), Stalled: stood.Standing.Phase == "stalled"}
	asked, err := r.cellar.Finish(r.Context(), finishWords(r, f))
	switch {
	case err == nil:
		data.Answer = &asked
	case f.Wrong != "": // told of already
	default:
		if data.Form, err = f.refuse(err); err != nil {
			return answer{}, err
		}
		status = http.StatusUnprocessableEntity
	}
	return answer{Template: "finish", Title: "Finish " + stood.Jug, Place: placeJugs, Status: status, Data: data}, nil
}

// finished writes down that a step was done.
func (s *Server) finished(r *request) (answer, error) {
	f, once, err := r.written()
	if err != nil {
		return answer{}, err
	}
	words := finishWords(r, f)
	words.Done = f.Get("done")
	if words.Done == "" {
		words.Done = "next"
	}
	done, err := once.Finish(r.Context(), words)
	if err != nil {
		if f, err = f.refuse(err); err != nil {
			return answer{}, err
		}
		return s.finishPage(r, f, http.StatusUnprocessableEntity)
	}
	return answer{To: saidAddress(*done.Recorded)}, nil
}
