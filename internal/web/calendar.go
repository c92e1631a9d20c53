package web

import (
	"bytes"
	"net/http"

	"skep/internal/exchange"
)

// calendarFeed is what the maker's own jugs and bottles want, as a file that a calendar
// may read again and again: an event that moved with the forecast is the same event.
func (s *Server) calendarFeed(w http.ResponseWriter, r *http.Request) {
	list, err := s.cellar.Calendar(r.Context())
	var file bytes.Buffer
	if err == nil {
		err = exchange.Calendar(&file, list)
	}
	if err != nil {
		s.log.Error("calendar", "error", err)
		http.Error(w, "the calendar could not be written; the record is unharmed", http.StatusInternalServerError)
		return
	}
	h := w.Header()
	h.Set("Content-Type", "text/calendar; charset=utf-8")
	h.Set("Cache-Control", "no-store")
	if _, err := file.WriteTo(w); err != nil {
		return // the calendar went away
	}
}
