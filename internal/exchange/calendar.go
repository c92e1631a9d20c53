package exchange

import (
	"io"
	"time"

	ics "github.com/arran4/golang-ical"

	"skep/internal/app"
)

// portion is how long a portion of nutrient takes.
const portion = 15 * time.Minute

// Calendar writes occasions as a calendar, each as one event: a portion of nutrient at its
// time, all else on its day, and none of them takes time from anything else. What does not
// change is written alike each time.
func Calendar(w io.Writer, list []app.Occasion) error {
	c := ics.NewCalendarFor("Skep")
	c.SetXWRCalName("Skep")
	for _, o := range list {
		e := c.AddEvent(o.UID)
		e.SetSequence(o.Sequence)
		e.SetDtStampTime(o.Changed)
		e.SetLastModifiedAt(o.Changed)
		e.SetSummary(o.Jug + ": " + o.What)
		e.SetDescription(o.Why)
		e.SetProperty(ics.ComponentPropertyCategories, o.Kind)
		e.SetTimeTransparency(ics.TransparencyTransparent)
		status := ics.ObjectStatusConfirmed
		if o.Cancelled {
			status = ics.ObjectStatusCancelled
		}
		e.SetStatus(status)
		if o.Timed {
			e.SetStartAt(o.Begin)
			e.SetEndAt(o.Begin.Add(portion))
		} else {
			e.SetAllDayStartAt(o.Begin)
			e.SetAllDayEndAt(o.Begin.AddDate(0, 0, 1))
		}
	}
	return c.SerializeTo(w, ics.WithNewLineWindows)
}
