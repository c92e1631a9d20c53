package exchange_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-ical"

	"skep/internal/app"
	"skep/internal/exchange"
)

var day = time.Date(2026, 7, 18, 0, 0, 0, 0, time.UTC)

func written(t *testing.T, list ...app.Occasion) []byte {
	t.Helper()
	var file bytes.Buffer
	if err := exchange.Calendar(&file, list); err != nil {
		t.Fatal(err)
	}
	return file.Bytes()
}

// Another's parser reads back what was written, awkward words and all.
func TestCalendarIsReadBack(t *testing.T) {
	list := []app.Occasion{
		{UID: "a@skep", Sequence: 3, Changed: day.Add(7 * time.Hour), Jug: `Ежевика, "die zweite"; ß`, Kind: "rack", What: "Rack it off its lees", Why: strings.Repeat("quiet, and dead yeast gives off flavours; ", 9) + "\nlook first \\ then", Begin: day},
		{UID: "b@skep", Changed: day, Jug: "Heather", Kind: "feed", What: "Give 1.1 g", Begin: day.Add(6*time.Hour + 15*time.Minute), Timed: true, Cancelled: true},
	}
	file := written(t, list...)
	for line := range strings.Lines(string(file)) {
		if !strings.HasSuffix(line, "\r\n") || len(line) > 75+2 {
			t.Errorf("a line of %d bytes, want 75 at most and CRLF behind: %q", len(line), line)
		}
	}
	if !bytes.Equal(file, written(t, list...)) {
		t.Error("two writings of the same calendar differ")
	}
	c, err := ical.NewDecoder(bytes.NewReader(file)).Decode()
	if err != nil {
		t.Fatal(err)
	}
	events := c.Events()
	if len(events) != len(list) {
		t.Fatalf("%d events, want %d", len(events), len(list))
	}
	for i, e := range events {
		o := list[i]
		text := func(name string) string {
			s, err := e.Props.Text(name)
			if err != nil {
				t.Error(err)
			}
			return s
		}
		sequence, err := e.Props.Get(ical.PropSequence).Int()
		if text(ical.PropUID) != o.UID || sequence != o.Sequence || err != nil || text(ical.PropSummary) != o.Jug+": "+o.What || text(ical.PropDescription) != o.Why {
			t.Errorf("event %d reads %v, want %+v", i, e.Props, o)
		}
		status, err := e.Status()
		if want := map[bool]ical.EventStatus{true: ical.EventCancelled, false: ical.EventConfirmed}[o.Cancelled]; status != want || err != nil {
			t.Errorf("event %d is %s, %v, want %s", i, status, err, want)
		}
		stamp, err := e.Props.DateTime(ical.PropDateTimeStamp, time.UTC)
		if !stamp.Equal(o.Changed) || err != nil {
			t.Errorf("event %d is of %v, %v, want %v", i, stamp, err, o.Changed)
		}
		begin, err := e.DateTimeStart(time.UTC)
		if !begin.Equal(o.Begin) || err != nil {
			t.Errorf("event %d begins %v, %v, want %v", i, begin, err, o.Begin)
		}
		end, err := e.DateTimeEnd(time.UTC)
		if whole := map[bool]time.Duration{true: 15 * time.Minute, false: 24 * time.Hour}[o.Timed]; !end.Equal(o.Begin.Add(whole)) || err != nil {
			t.Errorf("event %d ends %v, %v, want %v later", i, end, err, whole)
		}
		if date := e.Props.Get(ical.PropDateTimeStart).ValueType() == ical.ValueDate; date == o.Timed {
			t.Errorf("event %d is of a whole day: %v", i, date)
		}
	}
}
