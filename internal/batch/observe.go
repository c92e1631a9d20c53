package batch

import (
	"math"
	"slices"
	"strings"
	"time"

	"skep/internal/estimate"
	"skep/internal/measure"
)

// scaleAt is the temperature of a hydrometer's scale when it was not told.
const scaleAt measure.Celsius = 20

// tastes are the words for sweetness that count as evidence, on estimate's scale, and
// tasteSD how far apart two tongues may be on it. Assumed, no source.
var tastes = map[string]float64{
	"dry": 0, "off-dry": 0.25, "medium dry": 0.4, "medium": 0.5, "medium sweet": 0.7, "sweet": 1,
}

const tasteSD = 0.25

// Observations returns what was seen of the jug, in time order, as package estimate
// takes it. Readings taken before pitching have hour 0.
//
// A weight is given as it would have been in the first vessel, so that one empty
// weight serves them all. Weights are left out where that cannot be done: in a later
// vessel when either empty weight is unknown, and once something unmeasured was taken
// out. A sample whose temperature was not told is counted as being at that of the
// must seen on the same visit, else of the room, else of the scale. Of an empty jug
// only gravity, Brix and taste are left to see, from its bottles.
func (s State) Observations() []estimate.Observation {
	all := make([]estimate.Observation, len(s.seen))
	for i, seen := range s.seen {
		all[i] = seen.What
		all[i].ID = seen.ID
		all[i].At = s.Hours(seen.At)
	}
	return all
}

// see keeps a reading for Observations.
func (s *State) see(id string, at time.Time, o estimate.Observation) {
	s.seen = append(s.seen, Dated[estimate.Observation]{ID: id, At: at, What: o})
}

// ownShare of the spread of a gravity is the reading's own: half a division of the scale for
// the eye, and as much for gas and drops on the stem. That the scale itself is off all readings
// of a hydrometer share, and the estimate counts it apart. Assumed, no source.
const ownShare = 0.7

// seeGravity keeps a hydrometer's reading. sample are the thermometers that may tell
// of the sample, best first.
func (s *State) seeGravity(id string, at time.Time, sense estimate.Sense, q *measure.Quantity, scale measure.Celsius, sample ...*measure.Quantity) {
	if q == nil {
		return
	}
	if scale == 0 {
		scale = scaleAt
	}
	s.see(id, at, estimate.Observation{
		Sense: sense, Value: q.Value, SD: ownShare * q.SD,
		Sample: firstOf(scale, sample...), Calibrated: scale,
	})
}

func firstOf(otherwise measure.Celsius, told ...*measure.Quantity) measure.Celsius {
	if i := slices.IndexFunc(told, func(q *measure.Quantity) bool { return q != nil }); i >= 0 {
		return measure.Celsius(told[i].Value)
	}
	return otherwise
}

// seeMass keeps the weight of the full vessel, as if it were still the first vessel.
func (s *State) seeMass(id string, at time.Time, full *measure.Quantity) {
	if full == nil || s.Empty || s.lost {
		return
	}
	o := estimate.Observation{Sense: estimate.SawMass, Value: full.Value, SD: full.SD}
	if len(s.Rackings) > 0 {
		was, is := s.Made.What.Vessel.Tare, s.Vessel.Tare
		if was == nil || is == nil {
			return
		}
		o.Value += was.Value - is.Value
		o.SD = math.Hypot(o.SD, math.Hypot(was.SD, is.SD))
	}
	s.see(id, at, o)
}

// seeLook keeps all that one visit tells.
func (s *State) seeLook(l Dated[Looked]) {
	look := l.What
	s.seeGravity(l.ID, l.At, estimate.SawGravity, look.Gravity, look.Calibrated, look.Sample, look.Liquid, look.Room)
	s.seeGravity(l.ID, l.At, estimate.SawSpent, look.Spent, look.Calibrated, look.SpentAt, look.Room)
	if q := look.Brix; q != nil {
		s.see(l.ID, l.At, estimate.Observation{
			Sense: estimate.SawBrix, Value: q.Value, SD: q.SD,
			Sample: firstOf(scaleAt, look.Sample, look.Liquid, look.Room), Calibrated: scaleAt,
		})
	}
	s.seeMass(l.ID, l.At, look.Mass)
	if q := look.Bubbles; q != nil && !s.Empty {
		s.see(l.ID, l.At, estimate.Observation{Sense: estimate.SawBubbles, Value: q.Value, SD: q.SD})
	}
	if sweet, known := tastes[strings.ToLower(strings.TrimSpace(look.Taste))]; known {
		s.see(l.ID, l.At, estimate.Observation{Sense: estimate.SawTaste, Value: sweet, SD: tasteSD})
	}
}
