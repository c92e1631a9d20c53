package web

import (
	"slices"
	"time"

	"skep/internal/app"
)

// ahead is how far Today looks.
const ahead = 7 * 24 * time.Hour

// mostRest is how many of the youngest jugs Today tells of though they want nothing.
const mostRest = 12

// mostCards is how many jugs a page lists before it goes on in another.
const mostCards = 30

type todayData struct {
	Cards   []card
	Later   []card // nothing is wanted of them yet, within the days ahead
	Rest    []card // some of the jugs that want nothing
	Pending int    // jugs that are being worked out anew
	None    bool   // there is no jug at all
	More    int    // jugs that want something and are not shown
	All     string // address that shows them
}

// card is one jug on Today.
type card struct {
	Jug     string
	Urgent  bool
	First   wanted
	More    []wanted
	Stands  string   // where it stands, when it wants nothing
	Step    string   // the next of finishing it
	Telling *telling // the look to come that would tell most
	Emptied bool     // there is nothing to look at but bottles
}

// beside puts on a card what is kept of the jug beside its wants. Where a reading is wanted
// already, no other is spoken of.
func (c *card) beside(b app.Brief) {
	c.Step, c.Emptied = b.NextStep, b.Emptied
	reading := func(w wanted) bool { return w.Kind == "measure" }
	if b.Telling != nil && !reading(c.First) && !slices.ContainsFunc(c.More, reading) {
		c.Telling = &telling{*b.Telling, lookAddress(c.Jug, *b.Telling)}
	}
}

// wanted is a want, and where it is recorded.
type wanted struct {
	app.Wanted
	From string // address of the form
	Deed string // words of the link to it
	Due  bool
}

func (s *Server) today(r *request) (answer, error) {
	most := mostCards
	if r.Form.Has("all") {
		most = 10000
	}
	board, err := r.cellar.Board(r.Context(), ahead, most)
	if err != nil {
		return answer{}, err
	}
	data := todayData{Pending: board.Pending, More: board.All - len(board.Jugs), All: "/?all"}
	now := r.cellar.Now()
	for _, j := range board.Jugs {
		c := card{Jug: j.Jug, Urgent: j.Urgent}
		for i, w := range j.Wants {
			from, deed := recorderOf(j.Jug, string(w.Kind), w.What)
			one := wanted{app.Wanted{Jug: j.Jug, Want: w}, from, deed, !w.At.After(now)}
			if i == 0 {
				c.First = one
			} else {
				c.More = append(c.More, one)
			}
		}
		c.beside(j.Brief)
		if c.First.Due || c.Urgent {
			data.Cards = append(data.Cards, c)
		} else {
			data.Later = append(data.Later, c)
		}
	}
	if len(board.Jugs) < mostRest {
		if err := data.rest(r, board.Jugs); err != nil {
			return answer{}, err
		}
	}
	return answer{Template: "today", Title: "Today", Place: placeToday, Data: data}, nil
}

// rest lists jugs that want nothing, so that one can be looked at from here too.
func (d *todayData) rest(r *request, jugs []app.JugWants) error {
	list, all, err := r.cellar.Briefs(r.Context(), 0, mostRest)
	d.None = all == 0
	for _, b := range list {
		if !b.Emptied && !slices.ContainsFunc(jugs, func(j app.JugWants) bool { return j.Jug == b.Jug }) {
			c := card{Jug: b.Jug, Stands: b.Standing.Sentence}
			c.beside(b)
			d.Rest = append(d.Rest, c)
		}
	}
	return err
}
