package app

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"skep/internal/advice"
	"skep/internal/store"
)

// Occasion is one event of the calendar. UID names it for ever, and Sequence rises
// whenever anything else of it changes, so that a calendar that has it already moves it.
type Occasion struct {
	UID       string    `json:"uid"`
	Sequence  int       `json:"sequence"`
	Changed   time.Time `json:"changed"` // when it was last told otherwise
	Cancelled bool      `json:"cancelled,omitempty"`
	JugID     string    `json:"jug_id"`
	Jug       string    `json:"jug"`
	Kind      string    `json:"kind"` // "feed", "look", "rack", "bottle", "taste", "drink", "drink up", "release"
	What      string    `json:"what"`
	Why       string    `json:"why,omitempty"`
	// Begin is the moment of a portion of nutrient, and of all else midnight UTC of its day.
	Begin time.Time `json:"begin"`
	Timed bool      `json:"timed,omitempty"`
}

// day is that of the occasion, as Begin has it where it has no time.
func (o Occasion) day(zone *time.Location) time.Time {
	if o.Timed {
		return dateOf(o.Begin, zone)
	}
	return o.Begin
}

// dateOf is midnight UTC of the day on which a moment falls in a zone.
func dateOf(t time.Time, zone *time.Location) time.Time {
	t = t.In(zone)
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
}

// onCalendar is the kind of occasion for each kind of want. What can be done any day has
// none, or a calendar would be full of it.
var onCalendar = map[advice.WantKind]string{
	advice.WantFeed: "feed", advice.WantRack: "rack", advice.WantBottle: "bottle", advice.WantTaste: "taste", advice.WantDrink: "drink up",
	advice.WantLook: "look", advice.WantMeasure: "look", advice.WantWarm: "look", advice.WantRescue: "look", advice.WantRelease: "release",
}

// severalOf are the kinds of which a jug may have more than one.
var severalOf = []string{"feed", "taste", "drink", "drink up"}

// calendarAhead is how far the calendar looks: past the windows of strong wines.
const calendarAhead = 10 * 365 * 24 * time.Hour

// Calendar lists what is on the calendar of all jugs: portions of nutrient, the next look,
// racking and bottling, tastings, and when bottles are at their best. What was told before
// keeps its UID; what is no longer wanted is listed as cancelled until its day has gone by.
// What was listed is kept, so that a change of the forecast is a change of the event.
func (c *Cellar) Calendar(ctx context.Context) ([]Occasion, error) {
	wanted, err := c.occasions(ctx)
	if err != nil {
		return nil, err
	}
	var told []Occasion
	if err := c.store.Get(ctx, store.Calendars, calendarTold, &told); err != nil && !errors.Is(err, store.ErrNotFound) {
		return nil, err
	}
	before, err := json.Marshal(told)
	if err != nil {
		return nil, err
	}
	list := retold(told, wanted, c.Now())
	after, err := json.Marshal(list)
	if err != nil || bytes.Equal(before, after) {
		return list, err
	}
	return list, c.store.Put(ctx, store.Calendars, calendarTold, list)
}

// calendarTold is the name under which what was told is kept.
const calendarTold = "told"

// occasions are what the calendar should hold now; UID, Sequence and Changed are not set.
func (c *Cellar) occasions(ctx context.Context) ([]Occasion, error) {
	if _, err := c.Today(ctx, 0); err != nil { // works out what is stale
		return nil, err
	}
	now := c.Now()
	wants, err := c.store.Today(ctx, now, now.Add(calendarAhead))
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(wants, func(a, b store.Want) int { return a.At.Compare(b.At) })
	var all []Occasion
	has := map[[2]string]bool{} // jug and kind
	for _, w := range wants {
		kind := onCalendar[advice.WantKind(w.Kind)]
		key := [2]string{w.Jug, kind}
		if kind == "" || has[key] && !slices.Contains(severalOf, kind) {
			continue
		}
		has[key] = true
		o := Occasion{JugID: w.Jug, Jug: w.Name, Kind: kind, What: w.What, Why: w.Why, Begin: dateOf(w.At, now.Location())}
		if kind == "feed" {
			o.Begin, o.Timed = w.At.UTC().Round(15*time.Minute), true
			if !w.Until.IsZero() {
				o.Why = list(o.Why, "not after "+w.Until.In(now.Location()).Format("Mon 2 January 15:04"))
			}
		}
		all = append(all, o)
	}
	jugs, err := c.jugs(ctx)
	if err != nil {
		return nil, err
	}
	for _, jug := range jugs {
		brief, err := c.brief(ctx, jug)
		if err != nil {
			return nil, err
		}
		for _, o := range expected(jug, brief, now) {
			if !has[[2]string{jug.ID, o.Kind}] {
				all = append(all, o)
			}
		}
	}
	lots, err := c.store.Shelf(ctx)
	if err != nil {
		return nil, err
	}
	for _, lot := range lots {
		w, err := c.wineOf(ctx, lot)
		if err != nil {
			return nil, err
		}
		window := advice.DrinkingWindow(lot.Lot, w.Strength)
		day := dateOf(window.From, now.Location())
		if day.Before(dateOf(now, now.Location())) {
			continue
		}
		all = append(all, Occasion{
			JugID: lot.Jug, Jug: lot.Name, Kind: "drink", Begin: day,
			What: fmt.Sprintf("Likely at its best from now to %s, in bottles of %.0f mL", window.To.In(now.Location()).Format("January 2006"), lot.Bottles.SizeML),
			Why:  window.Why + " (" + window.Source + ")",
		})
	}
	return all, nil
}

// expected are racking and bottling of a jug that still works, as the forecast has them.
func expected(jug store.Jug, b Brief, now time.Time) []Occasion {
	if jug.Emptied || b.Finish == nil || b.Finish.Chance < 0.5 || !b.Finish.To.After(now) {
		return nil
	}
	zone := now.Location()
	of := func(kind, what string, low, mid, high float64) Occasion {
		return Occasion{
			JugID: jug.ID, Jug: jug.Name, Kind: kind, What: what, Begin: dateOf(daysAfter(b.Finish.Day, mid), zone),
			Why: fmt.Sprintf("by the forecast, most likely %s to %s; look before you do it",
				daysAfter(b.Finish.From, low).In(zone).Format("2 January"), daysAfter(b.Finish.To, high).In(zone).Format("2 January 2006")),
		}
	}
	mid := float64(settlingFrom+settlingTo) / 2
	return []Occasion{
		of("rack", "Rack it off its lees", settlingFrom, mid, settlingTo),
		of("bottle", "Bottle it, at the earliest, once two readings prove it finished", settlingFrom+clearing, mid+clearing, settlingTo+clearing),
	}
}

// retold gives what is wanted the names of what was told of it before, and keeps as
// cancelled what is wanted no more and still lies ahead.
//
// The same thing on the same day is the same occasion; so is what was due and still is.
// Of the others of one kind of one jug, the earliest wanted is the earliest that was told,
// moved, and so on. What has gone by of a kind of which there are several is left alone.
func retold(told, wanted []Occasion, now time.Time) []Occasion {
	zone := now.Location()
	today := dateOf(now, zone)
	slices.SortStableFunc(wanted, func(a, b Occasion) int { return a.Begin.Compare(b.Begin) })
	from := make([]*Occasion, len(wanted)) // what was told of each
	used := make([]bool, len(told))
	alike := map[[2]string][]int{} // of what was told, by jug and kind
	for j, o := range told {
		alike[[2]string{o.JugID, o.Kind}] = append(alike[[2]string{o.JugID, o.Kind}], j)
	}
	match := func(same func(was Occasion, is *Occasion) bool) {
		for i := range wanted {
			for _, j := range alike[[2]string{wanted[i].JugID, wanted[i].Kind}] {
				if from[i] == nil && !used[j] && same(told[j], &wanted[i]) {
					from[i], used[j] = &told[j], true
				}
			}
		}
	}
	match(func(was Occasion, is *Occasion) bool { return was.What == is.What && was.Begin.Equal(is.Begin) })
	match(func(was Occasion, is *Occasion) bool {
		due := was.What == is.What && !was.Cancelled && !was.day(zone).After(today) && !is.day(zone).After(today)
		if due {
			is.Begin = was.Begin
		}
		return due
	})
	match(func(was Occasion, is *Occasion) bool {
		return !was.day(zone).Before(today) || !slices.Contains(severalOf, is.Kind)
	})
	var list []Occasion
	for i, o := range wanted {
		if was := from[i]; was != nil {
			o.UID, o.Sequence, o.Changed = was.UID, was.Sequence, was.Changed
			if o != *was {
				o.Sequence, o.Changed = o.Sequence+1, now.UTC()
			}
		} else {
			o.Changed = now.UTC()
			sum := sha256.Sum256(fmt.Appendf(nil, "%s %s %s %s %s %d", o.JugID, o.Kind, o.What, o.Begin, o.Changed, i))
			o.UID = fmt.Sprintf("%x@skep", sum[:12])
		}
		list = append(list, o)
	}
	for j, was := range told {
		if used[j] || was.day(zone).Before(today) {
			continue
		}
		if !was.Cancelled {
			was.Cancelled, was.Sequence, was.Changed = true, was.Sequence+1, now.UTC()
		}
		list = append(list, was)
	}
	slices.SortStableFunc(list, func(a, b Occasion) int { return cmp.Or(a.Begin.Compare(b.Begin), cmp.Compare(a.UID, b.UID)) })
	return list
}
