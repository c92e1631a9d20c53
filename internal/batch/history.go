package batch

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"
)

// Line is one event of a record, and what became of it.
type Line struct {
	Event       Event
	Now         Happening // as it reads now, after corrections
	At          time.Time // when it happened, after corrections
	CorrectedBy string    // id of the latest correction that stands, or ""
	WithdrawnBy string    // id of the withdrawal that stands, or ""

	told time.Time // the time that a correction gave
}

// Stands says that the event counts.
func (l Line) Stands() bool { return l.WithdrawnBy == "" }

// History returns every event with what became of it, in the order in which things
// happened, then of writing.
//
// Errors: an event without id, number or time; two with the same; a correction or
// withdrawal of an event that is not there, comes later, or is of another kind.
func History(events []Event) ([]Line, error) {
	lines := make([]Line, len(events))
	for i, e := range events {
		lines[i] = Line{Event: e, Now: e.Happened, At: e.At}
	}
	slices.SortStableFunc(lines, func(a, b Line) int { return cmp.Compare(a.Event.Seq, b.Event.Seq) })
	place := make(map[string]int, len(lines))
	for i, l := range lines {
		if err := sound(l.Event, lines[0].Event.Jug); err != nil {
			return nil, said(l, err)
		}
		if _, twice := place[l.Event.ID]; twice || i > 0 && lines[i-1].Event.Seq == l.Event.Seq {
			return nil, said(l, fmt.Errorf("the event is there twice (id %q, number %d)", l.Event.ID, l.Event.Seq))
		}
		place[l.Event.ID] = i
	}
	// Backwards: when an event's turn comes, every later one has had its say on it,
	// so a withdrawn withdrawal has no effect and a correction may itself be corrected.
	for i := len(lines) - 1; i >= 0; i-- {
		of, content, at := target(lines[i])
		if of == "" {
			continue
		}
		j, known := place[of]
		if !known || j >= i {
			return nil, said(lines[i], fmt.Errorf("there is no earlier event %q", of))
		}
		if content != nil && subject(lines[j].Event.Happened).Kind() != content.Kind() {
			return nil, said(lines[i], fmt.Errorf("%s cannot be put in the place of %s", content.Kind(), lines[j].Event.Happened.Kind()))
		}
		if lines[i].Stands() {
			lines[j].amend(lines[i].Event.ID, content, at)
		}
	}
	for i, l := range lines {
		if _, correction := l.Now.(Corrected); !correction && !l.told.IsZero() {
			lines[i].At = l.told
		}
	}
	slices.SortStableFunc(lines, func(a, b Line) int { return a.At.Compare(b.At) })
	return lines, nil
}

// amend lets a later event have its say. Of two corrections the later gives the
// content, and the latest that tells a time gives the time.
func (l *Line) amend(by string, content Happening, at time.Time) {
	switch {
	case content == nil:
		if l.WithdrawnBy == "" {
			l.WithdrawnBy = by
		}
		return
	case l.CorrectedBy == "":
		l.CorrectedBy = by
		l.Now = content
		if c, ok := l.Event.Happened.(Corrected); ok {
			c.By = content
			l.Now = c
		}
	}
	if l.told.IsZero() {
		l.told = at
	}
}

// target is the event that l speaks of, what it puts in its place (nil to withdraw
// it), and when that happened (zero to leave the time).
func target(l Line) (of string, content Happening, at time.Time) {
	switch h := l.Now.(type) {
	case Withdrawn:
		return h.Of, nil, time.Time{}
	case Corrected:
		if l.told.IsZero() {
			return h.Of, h.By, h.At
		}
		return h.Of, h.By, l.told
	}
	return "", nil, time.Time{}
}

// subject is what an event or a correction is about.
func subject(h Happening) Happening {
	if c, ok := h.(Corrected); ok {
		return c.By
	}
	return h
}

// sound says what is wrong with an event by itself.
func sound(e Event, jug string) error {
	switch {
	case e.Happened == nil:
		return errors.New("nothing happened")
	case e.ID == "":
		return errors.New("the event has no id")
	case e.Seq <= 0:
		return fmt.Errorf("the event has number %d; they count from 1", e.Seq)
	case e.At.IsZero():
		return errors.New("the event has no time")
	case e.Jug != jug:
		return fmt.Errorf("the event is of another jug, %q", e.Jug)
	}
	return e.Happened.check()
}

// said puts what happened and when before an error.
func said(l Line, err error) error {
	kind := "event"
	if l.Event.Happened != nil {
		kind = l.Event.Happened.Kind()
	}
	return fmt.Errorf("%s on %s: %w", kind, day(l.At), err)
}

func day(t time.Time) string { return t.Format("2 January 2006 15:04") }
