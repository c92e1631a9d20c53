package advice

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"skep/internal/property/nutrient"
)

// What a jug wants as time goes by. Common practice, no source.
const (
	airlockDays = 30 // between looks at the water in the airlock
	leesDays    = 14 // on the lees after it has gone quiet, before it is racked
)

// Wants lists what a jug wants, the most urgent first and then by date. Few: one of a
// kind, except for portions of nutrient and dates of tasting.
func Wants(e Evidence, s Standing, v Verdict) []Want {
	if e.Jug.Withdrawn {
		return nil
	}
	all := append(slices.Clone(s.Next), shelved(e)...)
	add := func(w Want) {
		if !slices.ContainsFunc(all, func(o Want) bool { return o.Kind == w.Kind }) {
			all = append(all, w)
		}
	}
	switch {
	case e.Jug.Empty, len(e.Jug.Pitches) == 0 && len(e.Jug.Blends) == 0:
	default:
		if s.Phase == Stalled {
			add(stalled(e, s))
		}
		all = append(all, feedings(e, s)...)
		addCellar(e, s, v, add)
		add(Want{
			At: later(e.Now, lastSeen(e).Add(days(airlockDays))), Urgency: Someday, Kind: WantAirlock,
			What: "See that there is water in the airlock", Why: "dry, it lets air in, and air makes vinegar",
		})
	}
	slices.SortStableFunc(all, func(a, b Want) int {
		return cmp.Or(cmp.Compare(b.Urgency, a.Urgency), a.At.Compare(b.At))
	})
	return all
}

func stalled(e Evidence, s Standing) Want {
	first := Rescue(e, s)[0]
	return Want{At: e.Now, Urgency: Today, Kind: WantRescue, What: first.What, Why: "it has stalled; " + first.Why}
}

// feedings are the portions due; once a third of the sugar is gone, or it stands still, none is.
func feedings(e Evidence, s Standing) []Want {
	if s.Phase != Waiting && s.Phase != Working && s.Phase != CannotTell || len(e.Members) > 0 && gone(e) >= nutrient.LastSugarGone {
		return nil
	}
	var all []Want
	for _, f := range e.Feeding {
		if !f.Until.IsZero() && f.Until.Before(e.Now) {
			continue
		}
		w := Want{At: f.At, Until: f.Until, Urgency: Soon, Kind: WantFeed, What: "Give " + f.What, Why: "yeast takes food up early; after a third of the sugar it no longer does"}
		if !f.At.After(e.Now) {
			w.Urgency = Today
		}
		all = append(all, w)
	}
	return all
}

// addCellar adds what a jug wants once it no longer works.
func addCellar(e Evidence, s Standing, v Verdict, add func(Want)) {
	over := s.Phase == Finished || s.Phase == Quiet
	if v.Answer != NotYet {
		add(Want{At: e.Now, Urgency: Soon, Kind: WantBottle, What: "Bottle it: " + string(v.Answer), Why: v.Reason})
	}
	if s.Phase == Finished && v.Answer == NotYet && v.Settles != "" {
		add(Want{At: later(e.Now, v.When), Urgency: Someday, Kind: WantBottle, What: "Before bottling: " + v.Settles, Why: v.Reason})
	}
	if !over {
		return
	}
	quiet := expectedEnd(e)
	if quiet.IsZero() || quiet.After(e.Now) {
		quiet = e.Now
	}
	if !rackedSince(e, quiet) {
		add(Want{At: later(e.Now, quiet.Add(days(leesDays))), Urgency: Someday, Kind: WantRack, What: "Rack it off its lees", Why: "it is quiet, and dead yeast gives off flavours in time"})
	} else if room, known := emptyShare(e); known && room > 0.1 {
		add(Want{
			At: e.Now, Urgency: Soon, Kind: WantTopUp, What: fmt.Sprintf("Top it up with like wine, or move it to a smaller jug: %.0f %% is air", 100*room),
			Why: "an airlock does not keep air off a half-full jug",
		})
	}
}

// rackedSince allows for a racking some days before the end, as is usual.
func rackedSince(e Evidence, quiet time.Time) bool {
	for _, r := range e.Jug.Rackings {
		if r.At.After(quiet.Add(-days(leesDays))) {
			return true
		}
	}
	return false
}

// emptyShare is the share of the jug without wine.
func emptyShare(e Evidence) (share float64, known bool) {
	litres, err := e.Jug.Volume()
	if err != nil || e.Jug.Vessel.Litres <= 0 {
		return 0, false
	}
	return 1 - float64(litres)/e.Jug.Vessel.Litres, true
}

// lastSeen is the last look or racking; the start, if there was none.
func lastSeen(e Evidence) time.Time {
	seen := e.Jug.Start()
	for _, l := range e.Jug.Looks {
		seen = later(seen, l.At)
	}
	for _, r := range e.Jug.Rackings {
		seen = later(seen, r.At)
	}
	return seen
}
