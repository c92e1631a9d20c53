package exchange

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"skep/internal/batch"
)

// The document of a jug: all that was ever written of it, in the order of writing. Of each
// entry "happened" is as package batch has it, with its kind; quantities name their kind, and are in
// the units of package measure beside the words in which they were told. Times are of
// RFC 3339.
const (
	jugFormat  = "skep jug"
	jugVersion = 1
	// mostBytes is the largest document that is read: a jug of a hundred entries has 0.1 MB.
	mostBytes = 64 << 20
)

type jugDocument struct {
	Format  string     `json:"format"`
	Version int        `json:"version"`
	Jug     string     `json:"jug"` // its id, the same for ever
	Name    string     `json:"name"`
	Entries []jugEntry `json:"entries"`
}

type jugEntry struct {
	ID       string          `json:"id"`
	At       time.Time       `json:"at"`       // when it happened
	Recorded time.Time       `json:"recorded"` // when it was written down
	Happened json.RawMessage `json:"happened"`
}

// WriteJug writes a jug's record as a JSON document, from which ReadJug reads the same.
func WriteJug(w io.Writer, events []batch.Event) error {
	state, err := batch.Fold(events)
	if err != nil {
		return err
	}
	d := jugDocument{Format: jugFormat, Version: jugVersion, Jug: state.Jug, Name: state.Name, Entries: []jugEntry{}}
	for _, e := range events {
		body, err := batch.Encode(e.Happened)
		if err != nil {
			return err
		}
		d.Entries = append(d.Entries, jugEntry{e.ID, e.At, e.Recorded, body})
	}
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	return encoder.Encode(d)
}

// ReadJug reads what WriteJug wrote.
//
// Errors: what is no such document; one of a newer version, or with an entry that only a
// newer version knows (batch.ErrNewer); entries that make no record.
func ReadJug(r io.Reader) ([]batch.Event, error) {
	body, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	if err != nil {
		return nil, err
	}
	if len(body) > mostBytes {
		return nil, fmt.Errorf("it is larger than %d MB: no jug is", mostBytes>>20)
	}
	var d jugDocument
	if err := json.Unmarshal(body, &d); err != nil {
		return nil, fmt.Errorf("it is no document of a jug: %w", err)
	}
	switch {
	case d.Format != jugFormat:
		return nil, fmt.Errorf("it is no document of a jug: its format is %q, not %q", d.Format, jugFormat)
	case d.Version > jugVersion:
		return nil, fmt.Errorf("it is of version %d, and this program knows %d: %w", d.Version, jugVersion, batch.ErrNewer)
	case d.Version < 1 || d.Jug == "":
		return nil, errors.New("it is no document of a jug: it has no version or no jug")
	}
	events := make([]batch.Event, len(d.Entries))
	for i, e := range d.Entries {
		h, err := batch.Decode(e.Happened)
		if err != nil {
			return nil, fmt.Errorf("entry %d: %w", i+1, err)
		}
		events[i] = batch.Event{ID: e.ID, Jug: d.Jug, Seq: i + 1, At: e.At.UTC(), Recorded: e.Recorded.UTC(), Happened: h}
	}
	if _, err := batch.Fold(events); err != nil {
		return nil, err
	}
	return events, nil
}
