package advice

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/measure"
)

// WantDrink is the kind of want of a wine whose best time goes by.
const WantDrink WantKind = "drink"

// Window is when a wine in bottles is likely at its best.
type Window struct {
	From   time.Time `json:"from"`
	To     time.Time `json:"to"`
	Why    string    `json:"why"`
	Source string    `json:"source"`
}

// windows are months from bottling, by strength: the first row that the wine is below of.
// Common practice, no source: wines differ more than this table.
var windows = []struct {
	below    measure.PercentVol
	from, to int // months
}{
	{9, 2, 12},
	{12, 3, 24},
	{14, 6, 48},
	{100, 9, 84},
}

const (
	sparklingFrom, sparklingTo = 2, 18 // months
	strengthUntold             = 11    // % vol

	noSource = "common practice, no source"
)

// keeps are the months that a closure keeps a wine at most. Common practice, no source;
// that a cork pushed in by hand wants drinking soon is a trade figure [cork-sizes].
var keeps = map[string]int{"PET cap": 6, "hand cork": 6, "swing-top": 12}

// WindowWords tells the table of drinking windows, a line each, for people.
func WindowWords() []string {
	var all []string
	low := measure.PercentVol(0)
	for _, row := range windows {
		strength := fmt.Sprintf("%g to %g %% vol", low, row.below)
		switch {
		case low == 0:
			strength = fmt.Sprintf("under %g %% vol", row.below)
		case row.below == 100:
			strength = fmt.Sprintf("%g %% vol and more", low)
		}
		all = append(all, fmt.Sprintf("still, %s: %d to %d months", strength, row.from, row.to))
		low = row.below
	}
	all = append(all, fmt.Sprintf("sparkling: %d to %d months", sparklingFrom, sparklingTo))
	for _, closure := range slices.Sorted(maps.Keys(keeps)) {
		all = append(all, fmt.Sprintf("under a %s: no longer than %d months", closure, keeps[closure]))
	}
	return append(all, "a bottle that is not full: within a month")
}

// DrinkingWindow is when bottles of a lot are likely at their best. A strength that is not
// known is taken as a usual one.
func DrinkingWindow(lot batch.Lot, strength measure.Range) Window {
	if lot.Bottles.Part {
		return Window{From: lot.At, To: lot.At.AddDate(0, 1, 0), Why: "a part bottle holds much air: it is the one to open first", Source: noSource}
	}
	w := Window{Source: noSource}
	from, to := sparklingFrom, sparklingTo
	if lot.Style == batch.Sparkling {
		w.Why = "sparkling wine needs some weeks to make its gas, and fades sooner than still"
	} else {
		percent := measure.PercentVol(strengthUntold)
		if strength.Known() {
			percent = measure.PercentVol(strength.Value)
		}
		for _, row := range windows {
			if percent < row.below {
				from, to = row.from, row.to
				break
			}
		}
		w.Why = fmt.Sprintf("still wine of about %.0f %% vol", math.Round(float64(percent)))
	}
	if most, short := keeps[lot.Bottles.Closure]; short && most < to {
		to, from = most, min(from, most/2)
		w.Why += fmt.Sprintf("; a %s keeps it for %d months", lot.Bottles.Closure, most)
	}
	w.From, w.To = lot.At.AddDate(0, from, 0), lot.At.AddDate(0, to, 0)
	return w
}

// BottlingDay is what to mind on the day of bottling and after it. Common practice, no
// source; part says that one bottle is not filled.
func BottlingDay(style batch.Style, part bool) []string {
	day := []string{"Hold the hose at the bottom of the bottle, without splashing, and fill each to its height; look each bottle over for chips and scratches first"}
	if style == batch.Sparkling {
		day = append(day,
			"Beside the glass fill one bottle made for carbonated drinks (PET), with the same room at the top: the test bottle. Press it each week; as soon as it is hard, chill all",
			"Stand all of them in a closed box, cool, away from people and out of children's reach",
			"Before you open one: a day in the cold, eye protection on, over a sink, pointed away from faces")
	}
	if part {
		day = append(day, "The part bottle is the test bottle: keep it in the cold and open it first, within a few weeks; it tells how the others are")
	}
	return day
}

// Reminders of bottles. Common practice, no source.
var (
	tasteMonths = []int{3, 6, 12} // from bottling
	tasteGrace  = days(60)        // so long it stays on the list
	tasteEarly  = days(21)        // a tasting counts that came so much sooner
	partAfter   = days(14)        // to open the part bottle
	testAfter   = days(7)         // to press or open the test bottle of a sparkling wine
)

const (
	drinkAhead = 2                // months before the window closes
	petKind    = "carbonated PET" // as package reference names it
)

// shelved are what bottles on the shelf want: to be tasted, drunk in time, and, when one
// has burst, to be seen to.
func shelved(e Evidence) []Want {
	var all []Want
	name := strings.TrimSpace(e.Jug.Name)
	done := map[string]bool{} // bottlings
	for _, lot := range e.Jug.Shelf {
		if lot.Left == 0 {
			continue
		}
		if lot.Bottles.Part {
			all = append(all, Want{
				At: later(e.Now, lot.At.Add(partAfter)), Urgency: Someday, Kind: WantTaste,
				What: "Open the part bottle of " + name, Why: "it does not keep, and it tells how the others are",
			})
			continue
		}
		w := DrinkingWindow(lot, e.State.Ethanol)
		if !done[lot.Bottling] {
			done[lot.Bottling] = true
			all = append(all, tastings(e, lot, w, name)...)
			all = append(all, burst(e, lot, name)...)
		}
		all = append(all, Want{
			At: later(e.Now, w.To.AddDate(0, -drinkAhead, 0)), Urgency: Someday, Kind: WantDrink,
			What: fmt.Sprintf("Drink what is left of %s: %s", name, bottlesOf(lot)), Why: fmt.Sprintf("its best time ends about %s (%s)", w.To.Format("January 2006"), w.Source),
		})
	}
	return all
}

// bottlesOf reads "1 bottle of 750 mL".
func bottlesOf(lot batch.Lot) string {
	many := "s"
	if lot.Left == 1 {
		many = ""
	}
	return fmt.Sprintf("%d bottle%s of %.0f mL", lot.Left, many, lot.Bottles.SizeML)
}

// tastings are dates to open a bottle of a bottling, while there is one and it was not
// tasted about then.
func tastings(e Evidence, lot batch.Lot, w Window, name string) []Want {
	var all []Want
	add := func(at time.Time, what, why string) {
		tasted := false
		for _, t := range e.Jug.Tastings {
			tasted = tasted || !t.At.Before(at.Add(-tasteEarly)) && !t.At.After(e.Now) && t.At.After(lot.At)
		}
		if until := at.Add(tasteGrace); !tasted && until.After(e.Now) {
			all = append(all, Want{At: at, Until: until, Urgency: Someday, Kind: WantTaste, What: what, Why: why})
		}
	}
	if lot.Style == batch.Sparkling {
		what := "Chill one bottle of " + name + " and open it cold, with eye protection"
		if lot.Bottles.Kind == petKind {
			what = "Press the test bottle of " + name + "; if it is hard, chill all"
		}
		add(lot.At.Add(testAfter), what, "so much gas it has by now; too much shows in time")
	}
	for _, months := range tasteMonths {
		if at := lot.At.AddDate(0, months, 0); !at.After(w.To) {
			add(at, "Taste a bottle of "+name, fmt.Sprintf("%d months in the bottle change it", months))
		}
	}
	return all
}

// burst warns of the other bottles of a filling of which one burst.
func burst(e Evidence, lot batch.Lot, name string) []Want {
	for _, o := range e.Jug.Openings {
		if o.What.Of == lot.Bottling && strings.Contains(strings.ToLower(o.What.Why), "burst") {
			return []Want{{
				At: o.At, Urgency: Danger, Kind: WantRelease,
				What: "Put the bottles of " + name + " in the cold, boxed, away from people; a day later, with gloves and eye protection, let the gas out of each",
				Why:  "one of the same filling burst on " + day(o.At),
			}}
		}
	}
	return nil
}
