package app

import (
	"context"
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/store"
)

// Wanted is what one jug wants.
type Wanted struct {
	Jug string `json:"jug"`
	advice.Want
}

// Today lists what every jug wants by now, most urgent first; ahead adds what is
// wanted in the days to come.
//
// It reads what was worked out when each jug's record last changed, so that a cellar of
// a thousand jugs answers at once. Jugs of which an older version worked it out, or none
// did, are worked out first.
func (c *Cellar) Today(ctx context.Context, ahead time.Duration) ([]Wanted, error) {
	stale, err := c.stale(ctx)
	if err != nil {
		return nil, err
	}
	if err := c.refreshAll(ctx, stale, nil); err != nil {
		return nil, err
	}
	return c.wants(ctx, ahead)
}

// wants lists what was worked out.
func (c *Cellar) wants(ctx context.Context, ahead time.Duration) ([]Wanted, error) {
	wants, err := c.store.Today(ctx, c.Now(), c.Now().Add(ahead))
	if err != nil {
		return nil, err
	}
	return wantedOf(wants), nil
}

func wantedOf(wants []store.Want) []Wanted {
	list := make([]Wanted, len(wants))
	for i, w := range wants {
		list[i] = Wanted{Jug: w.Name, Want: advice.Want{
			At: w.At, Until: w.Until, Urgency: advice.Urgency(w.Urgency),
			Kind: advice.WantKind(w.Kind), What: w.What, Why: w.Why,
		}}
	}
	return list
}

// agenda is wants as the store keeps them.
func agenda(wants []advice.Want) []store.Want {
	list := make([]store.Want, len(wants))
	for i, w := range wants {
		list[i] = store.Want{
			At: w.At, Until: w.Until, Urgency: int(w.Urgency), Kind: string(w.Kind), What: w.What, Why: w.Why,
		}
	}
	return list
}

// HistoryLine is one entry of a jug's record.
type HistoryLine struct {
	Number      int       `json:"number"`
	At          time.Time `json:"at"`
	Recorded    time.Time `json:"recorded"`
	Kind        string    `json:"kind"`
	Said        string    `json:"said"`
	Corrected   int       `json:"corrected_by,omitempty"` // number of the entry that corrects it
	Withdrawn   int       `json:"withdrawn_by,omitempty"` // number of the entry that takes it back
	CorrectedTo string    `json:"corrected_to,omitempty"`
}

// History returns everything written of a jug, in the order in which it happened, with
// what was corrected and what was taken back.
//
// Errors: an unknown jug.
func (c *Cellar) History(ctx context.Context, name string) ([]HistoryLine, error) {
	_, events, _, err := c.jug(ctx, name)
	if err != nil {
		return nil, err
	}
	return historyOf(events)
}

func historyOf(events []batch.Event) ([]HistoryLine, error) {
	lines, err := batch.History(events)
	if err != nil {
		return nil, err
	}
	number := numbers(events)
	list := make([]HistoryLine, len(lines))
	for i, l := range lines {
		list[i] = HistoryLine{
			Number: l.Event.Seq, At: l.At, Recorded: l.Event.Recorded, Kind: l.Event.Happened.Kind(),
			Said: describe(l.Event.Happened, number), Corrected: number[l.CorrectedBy], Withdrawn: number[l.WithdrawnBy],
		}
		if l.CorrectedBy != "" {
			list[i].CorrectedTo = describe(l.Now, number)
		}
	}
	return list, nil
}
