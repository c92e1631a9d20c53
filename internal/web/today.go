package web

import (
	"time"

	"skep/internal/app"
)

// ahead is how far Today looks.
const ahead = 7 * 24 * time.Hour

type todayData struct {
	Wants []app.Wanted
	Jugs  []string
}

func (s *Server) today(r *request) (answer, error) {
	wants, err := r.cellar.Today(r.Context(), ahead)
	if err != nil {
		return answer{}, err
	}
	kitchen, err := r.cellar.Kitchen(r.Context())
	if err != nil {
		return answer{}, err
	}
	return answer{Template: "today", Title: "Today", Place: placeToday, Data: todayData{wants, kitchen.Jugs}}, nil
}
