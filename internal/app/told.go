package app

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/measure"
)

// Told returns an entry of a history in the words it was told in, to be put right: a
// LookWords, AddWords, PitchWords, RackWords, MoveWords or TasteWords, with Instead set to
// its number. After a correction they are those of the correction.
//
// Errors: *AskError for a number that is not there or was taken back, or an entry that
// cannot be put right by words.
func (c *Cellar) Told(ctx context.Context, jug string, number int) (any, error) {
	_, events, _, err := c.jug(ctx, jug)
	if err != nil {
		return nil, err
	}
	line, err := entry(events, number)
	if err != nil {
		return nil, err
	}
	if !line.Stands() {
		return nil, ask("number", fmt.Sprint(number), "", errors.New("it was taken back"))
	}
	when := line.At.In(c.Now().Location()).Format("2006-01-02 15:04")
	switch h := line.Now.(type) {
	case batch.Looked:
		return LookWords{
			Mass: words(h.Mass), Bubbles: words(h.Bubbles), Gravity: sampled(h.Gravity, h.Sample), Spent: sampled(h.Spent, h.SpentAt), Brix: words(h.Brix), PH: words(h.PH), TA: words(h.TA),
			Room: words(h.Room), Liquid: words(h.Liquid), Drawn: words(h.Drawn), Calibrated: scale(h.Calibrated),
			Clarity: h.Clarity, Smell: h.Smell, Taste: h.Taste, Note: h.Note, When: when, Instead: number,
		}, nil
	case batch.Added:
		return AddWords{Parts: partsTold(h.Parts), Why: h.Why, When: when, Instead: number}, nil
	case batch.Stabilised:
		return AddWords{Parts: partsTold(h.Parts), Keeps: true, When: when, Instead: number}, nil
	case batch.Pitched:
		return PitchWords{Yeast: yeastTold(h), Must: words(h.Temperature), When: when, Instead: number}, nil
	case batch.Racked:
		return RackWords{
			To: h.To.Name, Left: words(h.Left), Full: words(h.Full), Empty: words(h.To.Tare), When: when, Instead: number,
		}, nil
	case batch.Moved:
		return MoveWords{Place: h.Place, Room: words(h.Room), When: when, Instead: number}, nil
	case batch.Tasted:
		return TasteWords{
			Words: h.Words, Look: h.Look, Smell: h.Smell, Taste: h.Taste, Balance: h.Balance, Score: h.Score, When: when, Instead: number,
		}, nil
	}
	return nil, ask("number", fmt.Sprint(number), "take it back and record it anew", fmt.Errorf("an entry of the kind %q cannot be put right by words", line.Now.Kind()))
}

// words are those of a quantity that a person told; what Skep assumed for itself is left
// to be told.
func words(q *measure.Quantity) string {
	if q == nil || strings.HasSuffix(q.Words, "(assumed)") {
		return ""
	}
	return q.Words
}

// sampled are the words of a reading with the temperature of its sample.
func sampled(q, sample *measure.Quantity) string {
	if q == nil || sample == nil {
		return words(q)
	}
	return q.Words + " at " + sample.Words
}

func scale(t measure.Celsius) string {
	if t == 0 {
		return ""
	}
	return fmt.Sprintf("%g C", float64(t))
}

func partsTold(all []batch.Part) []string {
	var told []string
	for _, p := range all {
		told = append(told, p.Words)
	}
	return told
}

func yeastTold(p batch.Pitched) string {
	if strings.Contains(p.Amount.Words, p.Yeast) {
		return p.Amount.Words
	}
	return p.Amount.Words + " of " + p.Yeast
}

// SaidAt is the same cellar for words that were said at an earlier time: a phone that
// could not reach it kept them. "An hour ago" and no time at all are meant as of then. A
// time still to come is none.
func (c *Cellar) SaidAt(t time.Time) *Cellar {
	said := *c
	if !t.IsZero() && t.Before(c.Now()) {
		said.said = t.In(c.Now().Location()).Truncate(time.Second)
	}
	return &said
}
