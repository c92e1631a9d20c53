package estimate

import (
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
)

// Situation is all that is known of a jug apart from what was seen in it.
// Hours count from pitching.
type Situation struct {
	Seed          uint64
	Must          must.Must // as pitched, with the juice its fruit will give; central values, g
	SugarSD       float64   // relative standard deviation of its sugar
	VolumeSD      float64   // relative standard deviation of how much of it there is
	NitrogenSD    float64   // standard deviation of ln(assimilable nitrogen)
	Yeast         kinetics.YeastKind
	YeastGrams    float64            // dry yeast pitched; 0 = unknown
	Course        []TemperaturePoint // of the must, in time order; straight between points, held flat beyond the ends
	TemperatureSD float64            // K, an error shared by the whole course
	Heat          float64            // K by which the must is warmer than the course for each g/L of sugar that goes in an hour; 0 where the course is that of the must
	Tare          float64            // empty weight of the vessel, g; 0 = unknown
	TareSD        float64            // g; looks after a change of vessel are given as if in the first
	Changes       []Change           // what was added or taken, in time order
	Stops         measure.Hours      // when the yeast in it stops of its own accord; 0: it does not
	Until         measure.Hours      // how far to look ahead
	Learned       Habits             // what earlier jugs told; nil if nothing
}

// TemperaturePoint is one point of a course of temperature.
type TemperaturePoint = kinetics.TemperaturePoint

// Change is what was done to a jug: a share of it drawn first, then a must added.
type Change struct {
	At         measure.Hours
	Added      must.Must
	DrawnShare float64 // of the liquid, 0 to 1
}

// Sense is a way of looking at a jug.
type Sense string

// The senses, with the unit of Observation.Value.
const (
	SawGravity Sense = "gravity"       // specific gravity as read on a hydrometer
	SawBrix    Sense = "refractometer" // °Bx as read on a refractometer
	SawMass    Sense = "mass"          // whole jug with all that is in and on it, g
	SawBubbles Sense = "bubbles"       // bubbles per minute at the airlock
	SawTaste   Sense = "taste"         // 0 dry to 1 sweet
	SawSpent   Sense = "fermented out" // specific gravity that a sample came to with fresh yeast in the warm
)

// Observation is one look at a jug.
type Observation struct {
	ID         string
	At         measure.Hours
	Sense      Sense
	Value      float64         // in the unit of the sense, as read
	SD         float64         // of the reading, same unit
	Sample     measure.Celsius // temperature of the sample; 0 = as the scale
	Calibrated measure.Celsius // temperature of the instrument's scale; 0 = 20 °C
}

// Estimator turns a situation and what was seen into a Posterior.
type Estimator interface {
	Estimate(s Situation, seen []Observation) (*Posterior, error)
}

// State is what the evidence says of a jug at one time, as 80 % ranges.
type State struct {
	At         measure.Hours `json:"at_hours"`
	Hexose     measure.Range `json:"fermentable_sugar"` // still fermentable, whether or not it will go, as hexose, g/L
	Sugar      measure.Range `json:"sugar"`             // all sugar, g/L
	Gravity    measure.Range `json:"gravity"`           // specific gravity 20/20, degassed
	Ethanol    measure.Range `json:"ethanol"`           // % vol
	WeightLost measure.Range `json:"weight_lost"`       // by fermentation since pitching, g
	Rate       measure.Range `json:"rate"`              // CO2 given off, g/L in a day
	Nitrogen   measure.Range `json:"nitrogen"`          // assimilable, mg/L
	Phases     Phases        `json:"phases"`
}

// Phases are the shares of the ensemble in each phase; they add to 1.
type Phases struct {
	Starting float64 `json:"starting"` // less than 0.5 g/L of CO2 made so far
	Working  float64 `json:"working"`  // at a third of its fastest or more, or still speeding up
	Slowing  float64 `json:"slowing"`  // past its fastest, under a third of it
	Dry      float64 `json:"dry"`      // over, with less than 2 g/L of fermentable sugar left
	Stopped  float64 `json:"stopped"`  // over, with more than that left
}

// Member is one jug of the ensemble at one time.
type Member struct {
	HexoseGL       float64 // glucose, fructose and sucrose left, as hexose, g/L
	SlowGL         float64 // slow sugar left, fermentable or not, g/L
	SugarGL        float64 // all sugar left, g/L
	EthanolPct     float64 // % vol
	Gravity        float64 // 20/20, degassed
	RateGLDay      float64 // CO2 given off, g/L in a day
	EventualHexose float64 // the most that can still ferment, g/L: all fermentable sugar left, with what only stopped
}

// Misfit is a reading that does not fit the others and what is known of the jug.
// It was not thrown away, but it counted for little.
type Misfit struct {
	ID        string        `json:"id"`
	Z         float64       `json:"z"` // distance from what was expected, in standard deviations
	Predicted measure.Range `json:"predicted"`
	Words     string        `json:"words"`
	Perhaps   []string      `json:"perhaps,omitempty"` // what may be behind it, the likeliest first
}

// Outlook is a Posterior in short: what a page shows, small enough to keep.
type Outlook struct {
	States       []State       `json:"states"`       // about 40 times from pitching to the horizon
	Finish       measure.Range `json:"finish"`       // hours from pitching until fermentation is over
	Unfinished   float64       `json:"unfinished"`   // share of the ensemble not over at the horizon
	Final        State         `json:"final"`        // at the horizon
	Misfits      []Misfit      `json:"misfits"`      // readings that do not fit
	Contradicted string        `json:"contradicted"` // "" or why the evidence was set aside
}
