package app

import (
	"context"
	"errors"
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
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
	c.background.visited()
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
	NextStep string          `json:"next_step,omitempty"` // of finishing it, once it is finished or that was begun
	Telling  *NextLook       `json:"telling,omitempty"`   // else the look to come that would tell most
}

// keptBrief is a Brief as it is kept: a small part of what is kept of a jug, so that a list
// of many need not read all of it.
type keptBrief struct {
	ID    string // of the jug
	Seq   int    // number of the latest event it knew of
	Model string // with which it was worked out
	Brief
}

// keepBrief keeps what lists tell of a jug.
func (c *Cellar) keepBrief(ctx context.Context, state batch.State, stood Stood, e advice.Evidence) error {
	b := Brief{At: stood.At, Standing: stood.Standing, Now: stood.Now, Finish: stood.Finish, Unknown: stood.Unknown, Emptied: state.Empty}
	if !state.Empty && !state.Withdrawn {
		b.NextStep = c.nextStep(ctx, state, stood, e)
		if b.NextStep == "" && stood.Standing.Phase != advice.Finished && len(stood.NextLooks) > 0 {
			b.Telling = &stood.NextLooks[0]
		}
	}
	return c.store.Put(ctx, store.Briefs, state.Jug, keptBrief{state.Jug, state.Seq, model, b})
}

// nextStep is the next step of finishing a jug that is finished, or of which a way to the
// bottle was begun; "" none, or one that its wants tell of.
func (c *Cellar) nextStep(ctx context.Context, state batch.State, stood Stood, e advice.Evidence) string {
	aim, err := c.aim(FinishWords{}, state)
	if err != nil {
		return ""
	}
	switch {
	case aim != nil:
	case stood.Standing.Phase != advice.Finished:
		return ""
	default:
		return "choose how: dry, sweet or sparkling"
	}
	var laid FinishAnswer
	if err := c.lay(ctx, FinishWords{}, *aim, state, stood, e, &laid); err != nil {
		return "" // its page says why
	}
	for _, s := range laid.Plan.Steps {
		if s.Key == laid.Plan.Next && s.Key != advice.StepProof && s.Key != advice.StepBottle {
			return s.What
		}
	}
	return ""
}

// brief reads what is kept for lists.
func (c *Cellar) brief(ctx context.Context, jug store.Jug) (Brief, error) {
	kept := keptBrief{}
	err := c.store.Get(ctx, store.Briefs, jug.ID, &kept)
	if errors.Is(err, store.ErrNotFound) {
		err = nil
	}
	if kept.Model != model {
		kept = keptBrief{}
	}
	kept.Jug, kept.Emptied = jug.Name, kept.Emptied || jug.Emptied
	return kept.Brief, err
}

// Briefs lists some of the jugs, skip of them left out, those that stand full before the
// emptied and the youngest first; all is how many there are.
func (c *Cellar) Briefs(ctx context.Context, skip, most int) (list []Brief, all int, err error) {
	c.background.visited()
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
	Brief  Brief         `json:"brief"`
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
	c.background.visited()
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
	if err != nil {
		return Board{}, err
	}
	board := Board{All: all, Pending: max(len(stale), c.background.pending())}
	at := map[string]int{}
	for i, w := range wantedOf(wants) {
		n, ok := at[wants[i].Jug]
		if !ok {
			n = len(board.Jugs)
			at[wants[i].Jug] = n
			brief, err := c.brief(ctx, store.Jug{ID: wants[i].Jug, Name: w.Jug})
			if err != nil {
				return Board{}, err
			}
			board.Jugs = append(board.Jugs, JugWants{Jug: w.Jug, Brief: brief})
		}
		one := &board.Jugs[n]
		one.Urgent = one.Urgent || w.Urgency >= advice.Today
		one.Wants = append(one.Wants, w.Want)
	}
	return board, nil
}
