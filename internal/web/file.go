package web

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"strconv"

	"skep/internal/app"
	"skep/internal/batch"
	"skep/internal/exchange"
)

// takePath is where a jug's file is sent to, and largestFile the most that it may have: a
// jug of thirty thousand entries.
const (
	takePath    = "/start/file"
	largestFile = 32 << 20 // bytes
)

// jugFile answers with all that was ever recorded of a jug, as a file that takeFile takes back.
func (s *Server) jugFile(r *request) (answer, error) {
	events, err := r.cellar.Record(r.Context(), r.PathValue("jug"))
	if err != nil {
		return answer{}, err
	}
	state, err := batch.Fold(events)
	if err != nil {
		return answer{}, err
	}
	var document bytes.Buffer
	err = exchange.WriteJug(&document, events)
	return answer{Sent: document.Bytes(), File: state.Name + ".json"}, err
}

// takeFile takes a jug in from its file. What is there already is passed over, so that the
// form may be sent twice.
func (s *Server) takeFile(r *request) (answer, error) {
	taken, err := take(r)
	if err == nil {
		return answer{To: jugAddress(taken.Jug) + "?taken=" + strconv.Itoa(taken.New)}, nil
	}
	f, err := form{Values: r.PostForm}.refuse(err)
	if err != nil {
		return answer{}, err
	}
	f.Field = "file"
	return startPage(f, http.StatusUnprocessableEntity), nil
}

func take(r *request) (app.Taken, error) {
	file, _, err := r.FormFile("file")
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return app.Taken{}, fmt.Errorf("it is larger than %d MB: no jug is", large.Limit>>20)
	case errors.Is(err, http.ErrMissingFile):
		return app.Taken{}, &app.AskError{Field: "file", Err: errors.New("no file was chosen")}
	case err != nil:
		return app.Taken{}, err
	}
	defer file.Close() // it was only read
	events, err := exchange.ReadJug(file)
	if err != nil {
		return app.Taken{}, err
	}
	return r.cellar.Take(r.Context(), events)
}

// takenWords say what came of a jug's file; "" where none was taken in.
func takenWords(entries string) string {
	n, err := strconv.Atoi(entries)
	switch {
	case err != nil:
		return ""
	case n == 0:
		return "All that the file has of it is here already."
	case n == 1:
		return "Taken in from the file: one new entry."
	}
	return fmt.Sprintf("Taken in from the file: %d new entries.", n)
}
