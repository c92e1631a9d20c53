package web

import (
	"skep/internal/app"
)

// whatIfData is a jug's future, left alone and under what might be done to it.
type whatIfData struct {
	Jug      string
	Form     form
	Branches []app.Branch
	Unknown  string // why nothing can be foreseen
}

// whatIf stands in the address: it can be gone back to. Nothing is recorded.
func (s *Server) whatIf(r *request) (answer, error) {
	stood, _, err := r.cellar.Kept(r.Context(), r.PathValue("jug"))
	if err != nil {
		return answer{}, err
	}
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	data, status := whatIfData{Jug: stood.Jug, Form: f}, 0
	data.Branches, err = r.cellar.WhatIf(r.Context(), app.WhatIfWords{Jug: stood.Jug, If: f.Lines("if")})
	if err != nil {
		if data.Form, data.Unknown, status, err = f.unanswered(err, 0); err != nil {
			return answer{}, err
		}
	}
	return answer{Template: "whatif", Title: "What if?", Place: placeJugs, Status: status, Data: data}, nil
}

// rescue tells what to try for a jug that stands still, or smells or looks wrong.
func (s *Server) rescue(r *request) (answer, error) {
	rescued, err := r.cellar.Rescue(r.Context(), r.PathValue("jug"))
	return answer{Template: "rescue", Title: "What to do", Place: placeJugs, Data: rescued}, err
}

// looksFor are the fields of the look that tells of a sense.
var looksFor = map[string]string{"gravity": "gravity", "refractometer": "refractometer", "mass": "mass", "bubbles": "bubbles", "taste": "taste", "fermented out": "spent"}
