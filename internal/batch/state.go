package batch

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/must"
)

// ErrVolumeUnknown says that nothing in the record tells how many litres there are:
// no parts with their masses, no volume read, no weight with the vessel's own.
var ErrVolumeUnknown = errors.New("the volume is not known: give the amounts, the litres, or the full and the empty weight")

// Dated is a happening that stands, with its event's id and time.
type Dated[T any] struct {
	ID   string
	At   time.Time
	What T
}

// Change is a change to the must after pitching. What is drawn is drawn first.
type Change struct {
	ID         string // the event
	At         time.Time
	DrawnShare float64   // share of the liquid taken out, 0 to 1
	Added      must.Must // g
	Unmeasured bool      // something was taken out, and nothing tells how much
}

// Temperature is one reading of a thermometer.
type Temperature struct {
	At     time.Time
	Value  measure.Celsius
	SD     float64 // K
	Liquid bool    // of the must itself; otherwise of the room
}

// Lot is bottles of one filling, size and kind on the shelf.
type Lot struct {
	Bottling string // id of the event
	Code     string // as its maker called it, else the day the jug was made and which of its bottlings it is
	At       time.Time
	Style    Style
	Bottles  Bottles         // as filled
	Left     int             // bottles not yet opened
	Place    string          // where they stand, if told
	Warmest  measure.Celsius // the warmest it gets there, °C; 0 means not told
}

// Empties are bottles of the kitchen that were filled, or came back empty.
type Empties struct {
	At     time.Time
	SizeML float64 // mL, nominal
	Kind   string
	Count  int // negative: filled
}

// State is where a jug stands: the fold of its events.
//
// Masses are g of unfermented must. Put in = jug + drawn +
// bottled + blended away, for every component. What came by a blend is counted as it came.
type State struct {
	Jug          string
	Name         string
	Withdrawn    bool // the jug itself; then only its making is told
	Made         Dated[Made]
	Vessel       Vessel // the one it stands in now
	Place        string
	Pitches      []Dated[Pitched]
	Looks        []Dated[Looked]
	Additions    []Dated[Added]
	Rackings     []Dated[Racked]
	Stabilisings []Dated[Stabilised]
	Stayed       []float64 // share of each of them that is still in the jug
	Heatings     []Dated[Heated]
	Aim          *Dated[Aimed] // the latest; nil if none
	Pourings     []Dated[Poured]
	Blends       []Dated[Blended]
	BlendStayed  []float64 // share of each of them that is still in the jug
	Bottlings    []Dated[Bottled]
	Openings     []Dated[Opened]
	Tastings     []Dated[Tasted]
	Notes        []Dated[Noted]

	Must         must.Must // as pitched: all that was in by then
	Changes      []Change  // since pitching, in time order
	Temperatures []Temperature
	PutIn        must.Must // all that ever went in
	InJug        must.Must
	Drawn        must.Must // samples, lees, losses
	InBottles    must.Must
	InBlends     must.Must // poured into other jugs
	Empty        bool      // bottled or poured to the last
	Shelf        []Lot
	Empties      []Empties
	Overdrawn    *OverdrawnError // the record takes out more than was there; nil if it does not
	Last         time.Time       // time of the latest event that stands
	Seq          int             // of the latest event of all

	litres float64 // L in the jug, when known
	known  bool
	net    float64 // g of contents at the last weighing, 0 if changed since
	netAt  time.Time
	lost   bool // something unmeasured was taken out
	seen   []Dated[estimate.Observation]
	events []Event // all of them, for Check
}

// Start is the time from which hours count: the first pitching, or the making of the
// jug while no yeast was pitched.
func (s State) Start() time.Time {
	if len(s.Pitches) > 0 {
		return s.Pitches[0].At
	}
	return s.Made.At
}

// Hours returns the hours from Start to t; before it, zero, for nothing ferments yet.
func (s State) Hours(t time.Time) measure.Hours {
	return measure.Hours(max(0, t.Sub(s.Start()).Hours()))
}

// Volume returns the liquid in the jug, L of unfermented must at 20 °C.
//
// Errors: ErrVolumeUnknown.
func (s State) Volume() (measure.Litres, error) {
	if !s.known {
		return 0, ErrVolumeUnknown
	}
	return measure.Litres(s.litres), nil
}

// Check says why h at that time cannot be the jug's next entry, if it cannot: it is
// asked before writing. The zero State takes only a Made.
//
// Errors: as Fold, with h among the events; *OverdrawnError if by it more is taken
// out than the jug held.
func (s State) Check(h Happening, at time.Time) error {
	next := Event{ID: "the next entry", Jug: s.Jug, Seq: s.Seq + 1, At: at, Happened: h}
	after, err := Fold(append(slices.Clip(s.events), next))
	if err != nil {
		return err
	}
	// A record that is overdrawn already must stay open to being put right.
	if after.Overdrawn != nil && (s.Overdrawn == nil || *after.Overdrawn != *s.Overdrawn) {
		return after.Overdrawn
	}
	return nil
}

// OverdrawnError says that more was taken out of the jug than was in it.
type OverdrawnError struct {
	ID    string  // the event that took it
	Taken float64 // L
	Held  float64 // L
}

// Error reads "5.25 L taken out, and the jug holds 4.40 L".
func (e *OverdrawnError) Error() string {
	return fmt.Sprintf("%.2f L taken out, and the jug holds %.2f L", e.Taken, e.Held)
}
