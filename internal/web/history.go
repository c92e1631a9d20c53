package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"skep/internal/app"
)

type historyData struct {
	Jug   string
	Lines []historyLine
}

type historyLine struct {
	app.HistoryLine
	Correct, Withdraw string // addresses; empty where it cannot be
}

func (s *Server) history(r *request) (answer, error) {
	j, err := r.cellar.Jug(r.Context(), r.PathValue("jug"))
	if err != nil {
		return answer{}, err
	}
	data := historyData{Jug: j.Name}
	for i := len(j.History) - 1; i >= 0; i-- {
		l := historyLine{HistoryLine: j.History[i]}
		number := strconv.Itoa(l.Number)
		if l.HistoryLine.Withdrawn == 0 {
			l.Withdraw = jugAddress(j.Name, "history", number, "withdraw")
			if recorderFor[l.Kind] != "" {
				l.Correct = jugAddress(j.Name, "history", number, "correct")
			}
		}
		data.Lines = append(data.Lines, l)
	}
	return answer{Template: "history", Title: "History of " + j.Name, Place: placeJugs, Data: data}, nil
}

// recorderFor is the form that puts an entry right, by the kind of entry.
var recorderFor = map[string]string{
	"looked": "look", "added": "add", "stabilised": "add", "racked": "rack", "moved": "move", "pitched": "pitch", "tasted": "taste",
}

// correctForm is the form of an entry with the words that it was told in.
func (s *Server) correctForm(r *request) (answer, error) {
	jug, number := r.PathValue("jug"), r.number()
	told, err := r.cellar.Told(r.Context(), jug, number)
	if err != nil {
		return answer{}, err
	}
	v := url.Values{}
	path := ""
	switch w := told.(type) {
	case app.LookWords:
		path = "look"
		fill(v, "bubbles", w.Bubbles, "mass", w.Mass, "gravity", w.Gravity, "spent", w.Spent, "refractometer", w.Brix, "ph", w.PH, "room", w.Room, "liquid", w.Liquid,
			"drawn", w.Drawn, "calibrated", w.Calibrated, "clarity", w.Clarity, "smell", w.Smell, "taste", w.Taste, "note", w.Note, "when", w.When)
	case app.AddWords:
		path = "add"
		fill(v, "part", strings.Join(w.Parts, "\n"), "why", w.Why, "when", w.When)
		if w.Keeps {
			v.Set("keeps", "yes")
		}
	case app.RackWords:
		path = "rack"
		fill(v, "to", w.To, "left", w.Left, "full", w.Full, "empty", w.Empty, "when", w.When)
	case app.MoveWords:
		path = "move"
		fill(v, "place", w.Place, "room", w.Room, "when", w.When)
	case app.PitchWords:
		path = "pitch"
		fill(v, "yeast", w.Yeast, "must", w.Must, "when", w.When)
	case app.TasteWords:
		path = "taste"
		fill(v, "words", w.Words, "look", w.Look, "smell", w.Smell, "taste", w.Taste, "balance", w.Balance, "when", w.When)
		if w.Score > 0 {
			v.Set("score", strconv.Itoa(w.Score))
		}
	default:
		return answer{}, fmt.Errorf("entry %d has no form", number)
	}
	v.Set("instead", strconv.Itoa(number))
	for _, k := range recorders {
		if k.path == path {
			return s.recordPage(r, k, jug, form{Values: v}, 0), nil
		}
	}
	return answer{}, fmt.Errorf("there is no form %q", path)
}

// fill sets what is told.
func fill(v url.Values, pairs ...string) {
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			v.Set(pairs[i], pairs[i+1])
		}
	}
}

// number is the entry in the address.
func (r *request) number() int {
	n, err := strconv.Atoi(r.PathValue("number"))
	if err != nil {
		return -1 // no entry has it
	}
	return n
}

type withdrawData struct {
	Jug  string
	Line app.HistoryLine
	Form form
}

// withdrawForm asks once more: taking back brew day takes the whole jug with it.
func (s *Server) withdrawForm(r *request) (answer, error) {
	return s.withdrawPage(r, form{}, 0)
}

func (s *Server) withdrawPage(r *request, f form, status int) (answer, error) {
	j, err := r.cellar.Jug(r.Context(), r.PathValue("jug"))
	if err != nil {
		return answer{}, err
	}
	for _, l := range j.History {
		if l.Number == r.number() {
			return answer{Template: "withdraw", Title: "Take back", Place: placeJugs, Status: status, Data: withdrawData{j.Name, l, f}}, nil
		}
	}
	return s.notFound(r)
}

func (s *Server) withdraw(r *request) (answer, error) {
	f, once, err := r.written()
	if err != nil {
		return answer{}, err
	}
	recorded, err := once.Withdraw(r.Context(), r.PathValue("jug"), r.number(), f.Get("why"))
	if err != nil {
		if f, err = f.refuse(err); err != nil {
			return answer{}, err
		}
		return s.withdrawPage(r, f, http.StatusUnprocessableEntity)
	}
	if stood, _, err := r.cellar.Kept(r.Context(), recorded.Jug); err != nil || stood.Jug != recorded.Jug { // the jug itself, by its brew day or its only blend: it has no page any more
		return answer{To: "/jugs"}, nil
	}
	return answer{To: saidAddress(recorded)}, nil
}
