package batch

import (
	"encoding/json"
	"time"

	"skep/internal/measure"
)

// Made is the start of a jug: the must as it was mixed. Every record begins with it.
type Made struct {
	Name    string            `json:"name"`
	Vessel  Vessel            `json:"vessel"`
	Parts   []Part            `json:"parts,omitempty"`
	Volume  *measure.Quantity `json:"volume,omitempty"`  // of the liquid, as read off the vessel
	Full    *measure.Quantity `json:"full,omitempty"`    // mass of vessel and must together
	Gravity *measure.Quantity `json:"gravity,omitempty"` // first reading of the hydrometer
	Sample  *measure.Quantity `json:"sample,omitempty"`  // temperature of the sample
	// Calibrated is the temperature of the hydrometer's scale, °C; 0 means not told.
	Calibrated measure.Celsius `json:"calibrated,omitempty"`
	Plan       json.RawMessage `json:"plan,omitempty"` // the plan it was made from, as its owner wrote it
}

// Pitched says that yeast went in. Time counts from the first pitching.
type Pitched struct {
	Yeast       string            `json:"yeast"` // the kind, as kinetics names it
	Amount      measure.Quantity  `json:"amount"`
	Grams       float64           `json:"grams"`                 // g of dry yeast
	Temperature *measure.Quantity `json:"temperature,omitempty"` // of the must
}

// Looked is what was seen on one visit; what was not looked at is nil or "".
type Looked struct {
	Mass       *measure.Quantity `json:"mass,omitempty"`       // of vessel and contents
	Bubbles    *measure.Quantity `json:"bubbles,omitempty"`    // per minute, at the airlock
	Gravity    *measure.Quantity `json:"gravity,omitempty"`    // hydrometer as read; of a Brix scale, turned into gravity
	Brix       *measure.Quantity `json:"brix,omitempty"`       // refractometer as read
	Sample     *measure.Quantity `json:"sample,omitempty"`     // temperature of the sample read
	Spent      *measure.Quantity `json:"spent,omitempty"`      // hydrometer in a sample that fresh yeast fermented out
	SpentAt    *measure.Quantity `json:"spent_at,omitempty"`   // temperature of that sample
	Room       *measure.Quantity `json:"room,omitempty"`       // temperature of the air beside the jug
	Liquid     *measure.Quantity `json:"liquid,omitempty"`     // temperature of the must
	Drawn      *measure.Quantity `json:"drawn,omitempty"`      // volume taken out and not given back
	Calibrated measure.Celsius   `json:"calibrated,omitempty"` // of the hydrometer, °C; 0 means not told
	PH         *measure.Quantity `json:"ph,omitempty"`         // by strip or meter
	TA         *measure.Quantity `json:"ta,omitempty"`         // titratable acidity, g/L as tartaric acid
	Clarity    string            `json:"clarity,omitempty"`
	Smell      string            `json:"smell,omitempty"`
	Taste      string            `json:"taste,omitempty"` // "dry" … "sweet" are evidence; other words are kept
	Note       string            `json:"note,omitempty"`
}

// Added says that something went in after the start: nutrient, honey, fruit, water, acid.
type Added struct {
	Parts []Part `json:"parts"`
	Why   string `json:"why,omitempty"`
}

// Racked says that the liquid was moved off its lees into another vessel.
type Racked struct {
	To   Vessel            `json:"to"`
	Left *measure.Quantity `json:"left,omitempty"` // volume that stayed behind and is lost
	Full *measure.Quantity `json:"full,omitempty"` // mass of the new vessel and contents
}

// Stabilised says that something went in to keep the yeast from waking.
type Stabilised struct {
	Parts []Part `json:"parts"`
}

// Heated says that the wine was pasteurised: how warm it was in the middle, and how long.
type Heated struct {
	To      measure.Quantity `json:"to"`
	For     measure.Quantity `json:"for"`
	Bottles bool             `json:"bottles,omitempty"` // in its bottles, not in the jug
}

// Aimed says how the wine is to be finished, so that nobody has to say it again.
type Aimed struct {
	Path string            `json:"path"`           // as package advice names it
	To   *measure.Quantity `json:"to,omitempty"`   // gravity to sweeten to
	With string            `json:"with,omitempty"` // what to sweeten or prime with
	Fizz *measure.Quantity `json:"fizz,omitempty"` // CO2 wanted
}

// Poured says that wine left this jug to be blended. All entries of one blending, in the
// jugs that gave and in the one that took, have the same Blend.
type Poured struct {
	Blend   string           `json:"blend"`
	Into    string           `json:"into"` // id of the jug that took it
	Name    string           `json:"name"` // and its name then
	Litres  measure.Quantity `json:"litres"`
	Emptied bool             `json:"emptied,omitempty"` // what else there was stayed with the lees and is lost
}

// Blended says that wine of other jugs went in.
type Blended struct {
	Blend   string            `json:"blend"`
	Sources []Source          `json:"sources"`
	Lost    *measure.Quantity `json:"lost,omitempty"` // of all that was poured; Sources are without it
}

// WineOf begins the ingredient that is the wine of a Source; its name follows.
const WineOf = "wine of "

// Source is one part of a blend, and what was known of it when it was poured.
type Source struct {
	Jug      string        `json:"jug"`  // id of the jug that gave it
	Name     string        `json:"name"` // and its name then
	Wine     Part          `json:"wine"` // what reached the blend; unlike other parts, as it is and not as it was before it fermented
	Strength measure.Range `json:"strength"`
	Gravity  measure.Range `json:"gravity"`
	Sugar    measure.Range `json:"sugar"`              // that yeast could still take, g/L
	Over     float64       `json:"over"`               // chance that it did not ferment any more, 0 to 1
	Yeast    string        `json:"yeast,omitempty"`    // that last went into it
	Sorbate  float64       `json:"sorbate,omitempty"`  // g of potassium sorbate in it
	Bacteria bool          `json:"bacteria,omitempty"` // malolactic bacteria had gone in
}

// Moved says that the jug now stands elsewhere.
type Moved struct {
	Place string            `json:"place"`
	Room  *measure.Quantity `json:"room,omitempty"` // temperature there
}

// Style is what a bottling is meant to be.
type Style string

// The styles of bottling.
const (
	Still           Style = "still"
	StillStabilised Style = "still and stabilised"
	Sparkling       Style = "sparkling"
)

// Bottled says that bottles were filled.
type Bottled struct {
	Bottles []Bottles       `json:"bottles"`
	Style   Style           `json:"style"`
	Priming *Part           `json:"priming,omitempty"` // stirred in before filling
	Warmest measure.Celsius `json:"warmest,omitempty"` // warmest place the bottles will stand, °C; 0 means not told
	// Left is the volume that stays in the jug for another day. Nil means that the
	// jug is empty now: what the bottles did not take went with the lees.
	Left    *measure.Quantity `json:"left,omitempty"`
	Place   string            `json:"place,omitempty"`   // where they stand
	Code    string            `json:"code,omitempty"`    // of the lot, if its maker gave one
	Planned *Planned          `json:"planned,omitempty"` // what was reckoned with; nil in older entries
	Despite string            `json:"despite,omitempty"` // the maker's own reason, where the verdict was against it
}

// Planned is what a bottling was reckoned to come to: beside what was counted it tells the
// maker's own losses.
type Planned struct {
	Held    measure.Range `json:"held"`    // in the jug, L
	Wine    measure.Range `json:"wine"`    // into bottles, L
	Bottles []Bottles     `json:"bottles"` // best fill
}

// Bottles are bottles of one size and kind.
type Bottles struct {
	SizeML  float64 `json:"size_ml"` // mL, nominal
	Count   int     `json:"count"`
	Kind    string  `json:"kind"`               // as reference.Bottles names it
	Closure string  `json:"closure,omitempty"`  // as reference.Closures names it
	Part    bool    `json:"part,omitempty"`     // only part filled
	HoldsML float64 `json:"holds_ml,omitempty"` // mL in each part bottle; 0: half of its size
}

// Shelved says that bottles now stand elsewhere.
type Shelved struct {
	Of      string          `json:"of,omitempty"` // id of the bottling; "": all of the jug
	Place   string          `json:"place"`
	Warmest measure.Celsius `json:"warmest,omitempty"` // the warmest it gets there, °C; 0 means not told
}

// Opened says that bottles left the shelf: drunk, given away, broken.
type Opened struct {
	Of     string  `json:"of"`      // id of the bottling
	SizeML float64 `json:"size_ml"` // mL, as bottled
	Bottle string  `json:"bottle"`  // its kind, as bottled
	Part   bool    `json:"part,omitempty"`
	Count  int     `json:"count"`
	Why    string  `json:"why,omitempty"`
	Back   bool    `json:"back,omitempty"` // the empty bottles are kept, to be filled again
}

// Tasted is a verdict on the wine: a card, free words, or both.
type Tasted struct {
	Words   string `json:"words"`
	Look    string `json:"look,omitempty"` // colour and clearness
	Smell   string `json:"smell,omitempty"`
	Taste   string `json:"taste,omitempty"`
	Balance string `json:"balance,omitempty"` // of sweet, sour, bitter and strong
	Score   int    `json:"score,omitempty"`   // 1 poor to the maker's best; 0 means none given
	OutOf   int    `json:"out_of,omitempty"`  // the maker's best; 0 means 10
}

// Best is the highest score that the maker gives.
func (t Tasted) Best() int {
	if t.OutOf == 0 {
		return 10
	}
	return t.OutOf
}

// Noted is anything else worth keeping.
type Noted struct {
	Note string `json:"note"`
}

// Corrected says that an earlier event should have read otherwise. By is of the
// same kind as what it corrects.
type Corrected struct {
	Of string    // id of the event, or of a correction of it
	By Happening // what it should have said
	At time.Time // when it truly happened; zero keeps the time told before
}

// Withdrawn says that an earlier event is to count as never written. To withdraw a
// correction or a withdrawal undoes it; to withdraw Made withdraws the jug.
type Withdrawn struct {
	Of  string `json:"of"`
	Why string `json:"why,omitempty"`
}

func (Made) Kind() string       { return "made" }
func (Pitched) Kind() string    { return "pitched" }
func (Looked) Kind() string     { return "looked" }
func (Added) Kind() string      { return "added" }
func (Racked) Kind() string     { return "racked" }
func (Stabilised) Kind() string { return "stabilised" }
func (Heated) Kind() string     { return "heated" }
func (Aimed) Kind() string      { return "aimed" }
func (Poured) Kind() string     { return "poured" }
func (Blended) Kind() string    { return "blended" }
func (Moved) Kind() string      { return "moved" }
func (Bottled) Kind() string    { return "bottled" }
func (Shelved) Kind() string    { return "shelved" }
func (Opened) Kind() string     { return "opened" }
func (Tasted) Kind() string     { return "tasted" }
func (Noted) Kind() string      { return "noted" }
func (Corrected) Kind() string  { return "corrected" }
func (Withdrawn) Kind() string  { return "withdrawn" }
