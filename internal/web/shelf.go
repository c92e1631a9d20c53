package web

import (
	"context"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"skep/internal/app"
)

// shelfRoutes are the addresses of what is bottled.
func (s *Server) shelfRoutes() {
	s.page("GET /shelf", s.shelf)
	s.page("GET /shelf/{lot}", s.lot)
	s.page("POST /shelf/{lot}/open", s.openBottle)
	s.page("POST /shelf/{lot}/move", s.moveBottles)
	s.page("POST /shelf/{lot}/undo", s.undoShelf)
}

// shelfLot is a lot with its addresses.
type shelfLot struct {
	app.ShelfLot
	Best string // how it stands to its best time
}

// Name is what the lot is found by.
func (l shelfLot) Name() string {
	if l.Code == "" {
		return l.Jug
	}
	return l.Code
}

// To is the address of the lot, and of what is done with it.
func (l shelfLot) To(more ...string) string { return lotAddress(l.Name(), more...) }

func lotAddress(lot string, more ...string) string { return addressOf("/shelf/", lot, more) }

// shelfSaid is an entry about bottles that was just written, with the way to take it back.
type shelfSaid struct {
	Lot    string
	Number int
	Words  string
	Undone bool
	Shelf  bool // it is shown on the shelf itself, and goes back to it
}

// shelfSaid finds what the address says was just written.
func (s *Server) shelfSaid(r *request) (*shelfSaid, error) {
	number, _ := strconv.Atoi(r.FormValue("said"))
	lot := r.FormValue("of")
	if number == 0 || lot == "" {
		return nil, nil
	}
	story, err := r.cellar.Lot(r.Context(), lot)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(story.History, func(l app.HistoryLine) bool { return l.Number == number })
	if i < 0 {
		return nil, nil
	}
	return &shelfSaid{lot, number, story.Jug + ": " + story.History[i].Said, story.History[i].Withdrawn != 0, r.PathValue("lot") == ""}, nil
}

// saidOfLot is where what was just written of a lot is shown: on the shelf itself when it was
// done there, else in the lot's own page.
func saidOfLot(r *request, lot string, number int) answer {
	asked := url.Values{"of": {lot}, "said": {strconv.Itoa(number)}}
	if r.FormValue("from") == "shelf" {
		return answer{To: withQuery("/shelf", asked)}
	}
	return answer{To: withQuery(lotAddress(lot), asked)}
}

type shelfData struct {
	Lots  []shelfLot
	Said  *shelfSaid
	Value float64 // of all of it, where prices are kept
}

// shelf lists what is left.
func (s *Server) shelf(r *request) (answer, error) {
	lots, err := r.cellar.Shelf(r.Context())
	if err != nil {
		return answer{}, err
	}
	var data shelfData
	for _, l := range lots {
		data.Lots = append(data.Lots, newShelfLot(r, l))
		if l.Value != nil {
			data.Value += *l.Value
		}
	}
	data.Said, err = s.shelfSaid(r)
	return answer{Template: "shelf", Title: "Shelf", Place: placeShelf, Data: data}, err
}

func newShelfLot(r *request, l app.ShelfLot) shelfLot {
	now, best := r.cellar.Now(), "in its best time"
	switch {
	case now.Before(l.Window.From):
		best = "still young"
	case now.After(l.Window.To):
		best = "past its best time"
	}
	return shelfLot{l, best}
}

// lotData is the story of a lot.
type lotData struct {
	app.LotStory
	Lot  string
	Lots []shelfLot
	Form form
	Said *shelfSaid
}

// lot tells the story of bottles, from what went into the jug.
func (s *Server) lot(r *request) (answer, error) { return s.lotShown(r, form{}) }

func (s *Server) lotShown(r *request, f form) (answer, error) {
	story, err := r.cellar.Lot(r.Context(), r.PathValue("lot"))
	if err != nil {
		return answer{}, err
	}
	data := lotData{LotStory: story, Lot: r.PathValue("lot"), Form: f}
	for _, l := range story.Lots {
		data.Lots = append(data.Lots, newShelfLot(r, l))
	}
	if data.Said, err = s.shelfSaid(r); err != nil {
		return answer{}, err
	}
	a := answer{Template: "lot", Title: upperFirst(story.Jug) + ", in bottles", Place: placeShelf, Data: data}
	if f.Wrong != "" {
		a.Status = http.StatusUnprocessableEntity
	}
	return a, nil
}

// openBottle records that bottles left the shelf.
func (s *Server) openBottle(r *request) (answer, error) {
	return s.ofLot(r, func(ctx context.Context, c *app.Cellar, lot string, f form) (app.Recorded, error) {
		w := app.OpenWords{Jug: lot, Size: f.Get("size"), Part: f.Get("part") != "", Why: f.Get("why"), Back: f.Get("back") != "", When: f.Get("when")}
		if f.Get("count") != "" {
			var err error
			if w.Count, err = f.whole("count"); err != nil {
				return app.Recorded{}, err
			}
		}
		return c.OpenBottle(ctx, w)
	})
}

// moveBottles records where bottles stand now.
func (s *Server) moveBottles(r *request) (answer, error) {
	return s.ofLot(r, func(ctx context.Context, c *app.Cellar, lot string, f form) (app.Recorded, error) {
		return c.Shelve(ctx, app.ShelveWords{Jug: lot, Place: f.Get("place"), Warmest: f.Get("warmest"), When: f.Get("when")})
	})
}

// undoShelf takes back what was just written.
func (s *Server) undoShelf(r *request) (answer, error) {
	return s.ofLot(r, func(ctx context.Context, c *app.Cellar, lot string, f form) (app.Recorded, error) {
		number, err := f.whole("number")
		if err != nil {
			return app.Recorded{}, err
		}
		story, err := c.Lot(ctx, lot)
		if err != nil {
			return app.Recorded{}, err
		}
		recorded, err := c.Withdraw(ctx, story.Jug, number, "")
		recorded.Number = number // shown as what was taken back
		return recorded, err
	})
}

// ofLot writes something of a lot, and shows it, or the lot with what is wrong.
func (s *Server) ofLot(r *request, write func(context.Context, *app.Cellar, string, form) (app.Recorded, error)) (answer, error) {
	f, once, err := r.written()
	if err != nil {
		return answer{}, err
	}
	recorded, err := write(r.Context(), once, r.PathValue("lot"), f)
	if err == nil {
		return saidOfLot(r, r.PathValue("lot"), recorded.Number), nil
	}
	if f, err = f.refuse(err); err != nil {
		return answer{}, err
	}
	return s.lotShown(r, f)
}
