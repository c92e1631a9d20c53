package web

import (
	"errors"
	"net/http"
	"slices"
	"strconv"

	"skep/internal/app"
)

// trialData is a sheet of glasses to taste, and what the best of them means for the jug.
type trialData struct {
	Jug     string
	Form    form
	Answer  *app.TrialAnswer
	Unknown string // why there is nothing to try
}

// Asked are the fields of what was asked, which go along when it is told that it was done.
func (d trialData) Asked() []string {
	return d.Form.Filled("what", "glass", "step", "solution", "glasses", "chose", "despite")
}

// Foretold says that the pH of the glasses is.
func (d trialData) Foretold() bool {
	return d.Answer != nil && slices.ContainsFunc(d.Answer.Glasses, func(g app.Glass) bool { return g.PH.Known() })
}

// WantsReason says that the wine is not to be sweetened yet, and no reason was told.
func (d trialData) WantsReason() bool {
	return d.Form.Field == "despite" || d.Form.Get("chose") != "" && d.Answer != nil && d.Answer.NotYet != "" && d.Answer.Add == nil
}

func trialWords(r *request, f form) (app.TrialWords, error) {
	w := app.TrialWords{
		Jug: r.PathValue("jug"), What: f.Get("what"), Glass: f.Get("glass"), Step: f.Get("step"), Solution: f.Get("solution"), Despite: f.Get("despite"), When: f.Get("when"),
	}
	for field, into := range map[string]*int{"glasses": &w.Glasses, "chose": &w.Chose} {
		var err error
		if *into, err = f.count(field); err != nil {
			return w, err
		}
	}
	return w, nil
}

// count is a whole number in a field, or 0 where nothing was typed.
func (f form) count(name string) (int, error) {
	words := f.Get(name)
	if words == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(words)
	if err != nil {
		return 0, &app.AskError{Field: name, Words: words, Err: errors.New("is no whole number"), Tip: "write 3"}
	}
	return n, nil
}

// trial lays out the glasses; what was asked stands in the address, and nothing is recorded.
func (s *Server) trial(r *request) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	return s.trialPage(r, f, 0)
}

func (s *Server) trialPage(r *request, f form, status int) (answer, error) {
	stood, _, err := r.cellar.Kept(r.Context(), r.PathValue("jug"))
	if err != nil {
		return answer{}, err
	}
	data := trialData{Jug: stood.Jug, Form: f}
	if f.Get("what") != "" {
		words, err := trialWords(r, f)
		var tried app.TrialAnswer
		if err == nil {
			tried, err = r.cellar.Trial(r.Context(), words)
		}
		if err == nil {
			data.Answer = &tried
		} else if data.Form, data.Unknown, status, err = f.unanswered(err, status); err != nil {
			return answer{}, err
		}
	}
	return answer{Template: "trial", Title: "Taste before adding", Place: placeJugs, Status: status, Data: data}, nil
}

// tried writes down that the jug was given as much as the best glass.
func (s *Server) tried(r *request) (answer, error) {
	f, once, err := r.written()
	if err != nil {
		return answer{}, err
	}
	words, err := trialWords(r, f)
	if err == nil {
		words.Done = true
		var done app.TrialAnswer
		if done, err = once.Trial(r.Context(), words); err == nil {
			return answer{To: saidAddress(*done.Recorded)}, nil
		}
	}
	if f, err = f.refuse(err); err != nil {
		return answer{}, err
	}
	return s.trialPage(r, f, http.StatusUnprocessableEntity)
}
