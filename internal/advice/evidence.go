package advice

import (
	"time"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
)

// Evidence is all that the rules may look at. What is not known is left zero; a rule
// takes the careful side of what it was not told.
type Evidence struct {
	Now     time.Time
	Jug     batch.State
	State   estimate.State    // at Now
	Members []estimate.Member // at Now; empty if there is no estimate
	Outlook estimate.Outlook  // its States give the dates of what is to come
	// Explanations are what may lie behind it all, the likeliest first; where there are none
	// the phases of State stand for them.
	Explanations []estimate.Explanation
	// The temperatures between which this kind of yeast works, °C; zero if not known.
	YeastLow, YeastTop measure.Celsius
	YeastStops         measure.PercentVol // strength that most jugs of this yeast reach; zero if not known
	Feeding            []Feeding          // what the plan asks for and has not been given yet
}

// Feeding is a portion of nutrient that the plan asks for.
type Feeding struct {
	At    time.Time
	What  string    // "1.2 g diammonium phosphate"
	Until time.Time // last sensible moment
}

// Phase is where a jug stands in its life.
type Phase string

// The phases.
const (
	Waiting    Phase = "waiting"     // yeast is in, nothing is seen yet
	Working    Phase = "working"     // it ferments
	Slowing    Phase = "slowing"     // it ferments, past its best
	Quiet      Phase = "quiet"       // probably over, not proven
	Finished   Phase = "finished"    // over, and proven
	Stalled    Phase = "stalled"     // it stands still with sugar that it should be eating
	CannotTell Phase = "cannot tell" // what is known does not decide, or contradicts itself
)

// Standing is where a jug stands, in words.
type Standing struct {
	Phase    Phase    `json:"phase"`
	Day      int      `json:"day"`      // since pitching, by the calendar; 0 on that day
	Sentence string   `json:"sentence"` // one sentence that a newcomer understands
	Because  []string `json:"because"`  // the facts it rests on, two at most
	Next     []Want   `json:"next"`     // what would tell more, dated
	Proof    Proof    `json:"proof"`
}

// Proof is what shows that a jug no longer moves, and that it is finished.
// The zero value proves nothing.
type Proof struct {
	Still     bool      `json:"still"`         // two readings, or weights and a reading, show no change
	Over      bool      `json:"over"`          // the estimate holds it to be over
	Likely    bool      `json:"likely"`        // it is rather over than not, by the estimate
	Finished  bool      `json:"finished"`      // it stands still, is over, and dry, at the yeast's limit, or seemingly dry and too strong for a sample to show it
	Dry       bool      `json:"dry"`           // more than LittleSugar is left with a chance of SweetChance at most
	Spent     bool      `json:"spent"`         // a sample was fermented out since anything went in
	Fell      bool      `json:"fell"`          // that sample came down by more than LittleSugar from where the jug stands
	Unsampled bool      `json:"unsampled"`     // none was, though one would tell: it is not called dry before
	Held      bool      `json:"held"`          // it is over and hardly any sugar that live yeast could take is left, or it stood still for WatchDays with stabilisers in it
	By        string    `json:"by"`            // "1.004 on 3 May and 1.004 on 12 May"; "" without proof
	At        time.Time `json:"at,omitzero"`   // of the last reading it rests on
	Missing   string    `json:"missing"`       // the one measurement that is missing; "" if finished
	When      time.Time `json:"when,omitzero"` // earliest date for it
}

// Urgency orders wants; the higher, the sooner.
type Urgency int

// The urgencies.
const (
	Someday Urgency = iota // nothing is lost by waiting
	Soon                   // within the dates given
	Today                  // on its date
	Danger                 // before anything else
)

// Want is one thing that a jug wants, and why.
type Want struct {
	At      time.Time `json:"at"`    // from when
	Until   time.Time `json:"until"` // last sensible moment; zero if there is none
	Urgency Urgency   `json:"urgency"`
	Kind    WantKind  `json:"kind"`
	What    string    `json:"what"` // "Take a second gravity"
	Why     string    `json:"why"`
}

// WantKind says what sort of thing is wanted, for icons and for sorting.
type WantKind string

// The kinds of want.
const (
	WantLook    WantKind = "look"    // look at it
	WantMeasure WantKind = "measure" // take a reading or a weight
	WantFeed    WantKind = "feed"
	WantRescue  WantKind = "rescue"
	WantWarm    WantKind = "warm"
	WantRack    WantKind = "rack"
	WantTopUp   WantKind = "top up"
	WantAirlock WantKind = "airlock"
	WantBottle  WantKind = "bottle"
	WantTaste   WantKind = "taste"
	WantRelease WantKind = "release" // pressure: chill, open, move away from people
)
