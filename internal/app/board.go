package app

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"skep/internal/advice"
	"skep/internal/estimate"
	"skep/internal/store"
)

// Kept says where a jug stands as it was last worked out, without a wait. Fresh is
// whether that is of its whole record and of this day; if it is not, it is being worked
// out anew (InBackground), and until it was once, only the name is known.
//
// Errors: an unknown jug.
func (c *Cellar) Kept(ctx context.Context, name string) (stood Stood, fresh bool, err error) {
	jug, err := c.jugNamed(ctx, name)
	if err != nil {
		return Stood{}, false, err
	}
	return c.keptOf(ctx, jug)
}

func (c *Cellar) keptOf(ctx context.Context, jug store.Jug) (Stood, bool, error) {
	stood, seq, err := c.kept(ctx, jug)
	if err != nil {
		return stood, false, err
	}
	if seq == jug.Seq && (c.today(stood.At) || jug.Emptied) {
		return stood, true, nil
	}
	if c.background.ask(jug.ID) {
		return stood, false, nil
	}
	stood, err = c.refresh(ctx, jug.ID)
	return stood, true, err
}

// Brief is what a list says of a jug.
type Brief struct {
	Jug      string          `json:"jug"`
	At       time.Time       `json:"at"` // of what is said; zero: not worked out yet
	Emptied  bool            `json:"emptied,omitempty"`
	Standing advice.Standing `json:"standing"`
	Now      *estimate.State `json:"now,omitempty"`
	Finish   *Dates          `json:"finish,omitempty"`
	Unknown  string          `json:"unknown,omitempty"`
}

// brief reads as little as it can of what is kept of a jug.
func (c *Cellar) brief(ctx context.Context, jug store.Jug) (Brief, error) {
	b := Brief{}
	kept, err := c.store.Outlook(ctx, jug.ID)
	if err == nil && kept.Model == model {
		err = json.Unmarshal(kept.Body, &b)
	}
	if errors.Is(err, store.ErrNotFound) {
		err = nil
	}
	b.Jug, b.Emptied = jug.Name, jug.Emptied
	return b, err
}

// Briefs lists some of the jugs, skip of them left out, those that stand full before the
// emptied and the youngest first; all is how many there are.
func (c *Cellar) Briefs(ctx context.Context, skip, most int) (list []Brief, all int, err error) {
	jugs, err := c.jugs(ctx)
	if err != nil {
		return nil, 0, err
	}
	all = len(jugs)
	jugs = jugs[min(skip, all):]
	for _, j := range jugs[:min(most, len(jugs))] {
		b, err := c.brief(ctx, j)
		if err != nil {
			return nil, all, err
		}
		list = append(list, b)
	}
	return list, all, nil
}

// JugWants is all that one jug wants, the most urgent first.
type JugWants struct {
	Jug    string        `json:"jug"`
	Urgent bool          `json:"urgent"` // one of them is for today, or before anything else
	Wants  []advice.Want `json:"wants"`
}

// Board is what Today shows.
type Board struct {
	Jugs    []JugWants
	All     int // jugs that want something, of which Jugs are the most urgent
	Pending int // jugs that are being worked out anew
}

// Board lists the jugs that want something by now, or within the days ahead, the most
// urgent first; most is how many at most. It reads what was last worked out and waits for
// nothing (InBackground).
func (c *Cellar) Board(ctx context.Context, ahead time.Duration, most int) (Board, error) {
	if !c.background.on() {
		if _, err := c.Today(ctx, ahead); err != nil {
			return Board{}, err
		}
	}
	stale, err := c.store.Stale(ctx, model)
	if err != nil {
		return Board{}, err
	}
	wants, all, err := c.store.TodayOf(ctx, c.Now(), c.Now().Add(ahead), most)
	return Board{byJug(wantedOf(wants)), all, len(stale)}, err
}

// byJug gathers wants in the order in which the first of each jug comes.
func byJug(wants []Wanted) []JugWants {
	var jugs []JugWants
	at := map[string]int{}
	for _, w := range wants {
		i, ok := at[w.Jug]
		if !ok {
			i = len(jugs)
			at[w.Jug] = i
			jugs = append(jugs, JugWants{Jug: w.Jug})
		}
		jugs[i].Urgent = jugs[i].Urgent || w.Urgency >= advice.Today
		jugs[i].Wants = append(jugs[i].Wants, w.Want)
	}
	return jugs
}
