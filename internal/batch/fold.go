package batch

import (
	"errors"
	"fmt"
	"time"

	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/must"
)

// overfill is how much more than the jug is thought to hold may be taken out of it:
// bottles are filled to within some 2 %, marks on a jug are read to 2 or 3 %, and
// fermenting shrinks it by 1 %. Common practice, no source.
const overfill = 1.05

// waterGramsPerLitre turns a gravity into a density: water at 20 °C, [tanaka2001].
const waterGramsPerLitre = 998.2067

// Fold returns where a jug stands after its events, taken in the order in which they
// happened and, at one time, in that of writing.
//
// Errors: as History; a record that does not begin with Made or has two; an event
// before the jug was made; something done to the jug after it was bottled to the
// last; more bottles opened than were filled; a negative mass or a quantity of the
// wrong kind.
func Fold(events []Event) (State, error) {
	lines, err := History(events)
	if err != nil {
		return State{}, err
	}
	s := State{events: events}
	for _, l := range lines {
		s.Jug = l.Event.Jug
		s.Seq = max(s.Seq, l.Event.Seq)
	}
	made, err := start(lines)
	if err != nil {
		return State{}, err
	}
	if !made.Stands() {
		m := dated(made, made.Now.(Made))
		return State{Jug: s.Jug, Seq: s.Seq, Name: m.What.Name, Made: m, Withdrawn: true, events: events}, nil
	}
	for _, l := range lines {
		if !l.Stands() {
			continue
		}
		if err := s.apply(l, made.At); err != nil {
			return State{}, said(l, err)
		}
	}
	if len(s.Pitches) == 0 {
		s.Must = s.InJug
	}
	return s, nil
}

// start finds the one Made.
func start(lines []Line) (Line, error) {
	var made *Line
	for i, l := range lines {
		if _, ok := l.Event.Happened.(Made); !ok {
			continue
		}
		if made != nil {
			return Line{}, said(l, errors.New("the jug was already made"))
		}
		made = &lines[i]
	}
	if made == nil || made.Event.Seq != 1 {
		return Line{}, errors.New("the record does not begin with the making of the jug")
	}
	return *made, nil
}

func dated[T Happening](l Line, h T) Dated[T] { return Dated[T]{ID: l.Event.ID, At: l.At, What: h} }

// apply takes in the next event. Corrections and withdrawals have done their work in
// History and are passed over.
func (s *State) apply(l Line, made time.Time) error {
	switch l.Now.(type) {
	case Corrected, Withdrawn:
		return nil
	case Added, Stabilised, Racked, Bottled, Pitched, Poured, Blended:
		if s.Empty {
			return errors.New("the jug is empty: nothing is left in it")
		}
	}
	if l.At.Before(made) {
		return fmt.Errorf("before the jug was made, on %s", day(made))
	}
	s.Last = l.At
	switch h := l.Now.(type) {
	case Made:
		s.made(dated(l, h))
	case Pitched:
		if len(s.Pitches) == 0 {
			s.Must = s.InJug
		}
		s.Pitches = append(s.Pitches, dated(l, h))
		s.thermometer(l.At, h.Temperature, true)
	case Looked:
		s.looked(dated(l, h))
	case Added:
		s.Additions = append(s.Additions, dated(l, h))
		s.put(l, sum(h.Parts))
	case Stabilised:
		s.Stabilisings = append(s.Stabilisings, dated(l, h))
		s.Stayed = append(s.Stayed, 1)
		s.put(l, sum(h.Parts))
	case Racked:
		s.racked(l, h)
	case Heated:
		s.Heatings = append(s.Heatings, dated(l, h))
	case Aimed:
		aim := dated(l, h)
		s.Aim = &aim
	case Poured:
		s.poured(l, h)
	case Blended:
		s.Blends = append(s.Blends, dated(l, h))
		s.BlendStayed = append(s.BlendStayed, 1)
		s.put(l, h.Adds())
	case Moved:
		s.Place = h.Place
		s.thermometer(l.At, h.Room, false)
	case Bottled:
		s.bottled(l, h)
	case Shelved:
		return s.shelved(h)
	case Opened:
		s.Openings = append(s.Openings, dated(l, h))
		return s.opened(l.At, h)
	case Tasted:
		s.Tastings = append(s.Tastings, dated(l, h))
	case Noted:
		s.Notes = append(s.Notes, dated(l, h))
	}
	return nil
}

func (s *State) made(m Dated[Made]) {
	s.Made, s.Name, s.Vessel = m, m.What.Name, m.What.Vessel
	s.InJug = sum(m.What.Parts)
	s.PutIn = s.InJug
	s.litres, s.known = firstVolume(m.What, s.InJug)
	s.weighed(m.At, m.What.Full, s.Vessel.Tare)
	s.seeGravity(m.ID, m.At, estimate.SawGravity, m.What.Gravity, m.What.Calibrated, m.What.Sample)
	s.seeMass(m.ID, m.At, m.What.Full)
}

// firstVolume is the volume at the start: by weight where both weights are known,
// else as read off the vessel, else from the amounts.
func firstVolume(m Made, in must.Must) (litres float64, known bool) {
	if m.Full != nil && m.Vessel.Tare != nil {
		density := 0.0 // g/L
		if rho, err := in.Density(20); err == nil {
			density = float64(rho)
		} else if m.Gravity != nil {
			density = m.Gravity.Value * waterGramsPerLitre
		}
		if density > 0 {
			solid := in[must.Pulp] + in[must.Yeast]
			return max(0, m.Full.Value-m.Vessel.Tare.Value-solid) / density, true
		}
	}
	if m.Volume != nil {
		return m.Volume.Value, true
	}
	return volume(in)
}

func volume(m must.Must) (litres float64, known bool) {
	v, err := m.Volume(20)
	return float64(v), err == nil
}

func (s *State) looked(l Dated[Looked]) {
	s.Looks = append(s.Looks, l)
	s.thermometer(l.At, l.What.Room, false)
	s.thermometer(l.At, l.What.Liquid, true)
	s.weighed(l.At, l.What.Mass, s.Vessel.Tare)
	s.seeLook(l)
	if l.What.Drawn != nil && !s.Empty {
		s.draw(l.ID, l.At, l.What.Drawn.Value, &s.Drawn)
	}
}

func (s *State) thermometer(at time.Time, q *measure.Quantity, liquid bool) {
	if q != nil {
		s.Temperatures = append(s.Temperatures, Temperature{At: at, Value: measure.Celsius(q.Value), SD: q.SD, Liquid: liquid})
	}
}

// put adds to the jug. The volume grows by what the mixture grows by.
func (s *State) put(l Line, in must.Must) {
	s.net = 0
	before, knownBefore := volume(s.InJug)
	s.InJug = s.InJug.Plus(in)
	s.PutIn = s.PutIn.Plus(in)
	after, knownAfter := volume(s.InJug)
	switch {
	case s.known && knownBefore && knownAfter:
		s.litres += after - before
	case s.known:
		// What is in the jug is not known, only how much: count it as water.
		water := must.Must{must.Water: s.litres * waterGramsPerLitre}
		before, _ = volume(water)
		if after, ok := volume(water.Plus(in)); ok {
			s.litres += after - before
		}
	case knownAfter:
		s.litres, s.known = after, true
	}
	s.change(Change{ID: l.Event.ID, At: l.At, Added: in})
}

// draw takes litres out of the jug.
func (s *State) draw(id string, at time.Time, litres float64, into *must.Must) {
	switch {
	case litres == 0:
	case !s.known:
		s.change(Change{ID: id, At: at, Unmeasured: true})
	default:
		if litres > overfill*s.litres && s.Overdrawn == nil {
			s.Overdrawn = &OverdrawnError{ID: id, Taken: litres, Held: s.litres}
		}
		share := 1.0
		if litres < s.litres {
			share = litres / s.litres
		}
		s.take(id, at, share, into)
	}
}

// take takes a share of all that is in the jug.
func (s *State) take(id string, at time.Time, share float64, into *must.Must) {
	s.net = 0
	drawn, left, err := s.InJug.Draw(share)
	if err != nil {
		panic("batch: " + err.Error())
	}
	s.InJug = left
	*into = into.Plus(drawn)
	for i := range s.Stayed {
		s.Stayed[i] *= 1 - share
	}
	for i := range s.BlendStayed {
		s.BlendStayed[i] *= 1 - share
	}
	s.litres *= 1 - share
	if share > 0 && share < 1 {
		s.change(Change{ID: id, At: at, DrawnShare: share})
	}
}

// change notes a change since pitching; what went in before is part of Must.
func (s *State) change(c Change) {
	s.lost = s.lost || c.Unmeasured
	if len(s.Pitches) > 0 {
		s.Changes = append(s.Changes, c)
	}
}

// weighed keeps the latest weight of the contents alone.
func (s *State) weighed(at time.Time, full, tare *measure.Quantity) {
	if full != nil && tare != nil {
		s.net, s.netAt = full.Value-tare.Value, at
	}
}

// racked leaves behind the volume told; failing that, what two weighings of the
// contents within a day tell; all pulp and yeast stay behind too.
func (s *State) racked(l Line, r Racked) {
	s.Rackings = append(s.Rackings, dated(l, r))
	lees := must.Must{must.Pulp: s.InJug[must.Pulp], must.Yeast: s.InJug[must.Yeast]}
	for c := range lees {
		s.Drawn[c] += lees[c]
		s.InJug[c] -= lees[c]
	}
	before, beforeAt := s.net-float64(lees.Mass()), s.netAt
	s.net = 0
	s.Vessel = r.To
	s.weighed(l.At, r.Full, r.To.Tare)
	after := s.net
	switch {
	case r.Left != nil:
		s.draw(l.Event.ID, l.At, r.Left.Value, &s.Drawn)
	case before > 0 && after > 0 && l.At.Sub(beforeAt) <= 24*time.Hour:
		s.take(l.Event.ID, l.At, max(0, 1-after/before), &s.Drawn)
	default:
		s.change(Change{ID: l.Event.ID, At: l.At, Unmeasured: true})
	}
	s.net = after
	s.seeMass(l.Event.ID, l.At, r.Full)
}

// bottled fills bottles, and tells where the rest went. Emptying the jug is no
// change to what the wine is, and makes no Change.
func (s *State) bottled(l Line, b Bottled) {
	s.Bottlings = append(s.Bottlings, dated(l, b))
	id, at := l.Event.ID, l.At
	if b.Priming != nil {
		s.put(l, b.Priming.Adds)
	}
	filled := b.Litres()
	if !s.known { // the bottles themselves tell
		s.litres, s.known = filled, true
		if b.Left != nil {
			s.litres += b.Left.Value
		}
	}
	held := s.litres
	s.draw(id, at, filled, &s.InBottles)
	if b.Left == nil {
		s.Empty = true
		s.take(id, at, 1, &s.Drawn)
	} else if lost := s.litres - b.Left.Value; lost > 0 {
		s.draw(id, at, lost, &s.Drawn)
	} else if filled+b.Left.Value > overfill*held && s.Overdrawn == nil {
		s.Overdrawn = &OverdrawnError{ID: id, Taken: filled + b.Left.Value, Held: held}
	}
	code := b.Code
	if code == "" {
		code = fmt.Sprintf("%s-%d", s.Made.At.Format("060102"), len(s.Bottlings))
	}
	for _, some := range b.Bottles {
		s.Shelf = append(s.Shelf, Lot{
			Bottling: id, Code: code, At: at, Style: b.Style, Bottles: some, Left: some.Count, Place: b.Place, Warmest: b.Warmest,
		})
		s.Empties = append(s.Empties, Empties{At: at, SizeML: some.SizeML, Kind: some.Kind, Count: -some.Count})
	}
}

// poured takes out what went into a blend; of a jug that was emptied, what else there was
// stayed with its lees.
func (s *State) poured(l Line, p Poured) {
	s.Pourings = append(s.Pourings, dated(l, p))
	s.draw(l.Event.ID, l.At, p.Litres.Value, &s.InBlends)
	if p.Emptied {
		s.Empty = true
		s.take(l.Event.ID, l.At, 1, &s.Drawn)
	}
}

// Adds is all that went in.
func (b Blended) Adds() must.Must {
	var all must.Must
	for _, source := range b.Sources {
		all = all.Plus(source.Wine.Adds)
	}
	return all
}

// Litres is what the bottles hold, L.
func (b Bottled) Litres() float64 {
	litres := 0.0
	for _, some := range b.Bottles {
		litres += some.Each() / 1000 * float64(some.Count)
	}
	return litres
}

// Each is what one of the bottles holds, mL.
func (b Bottles) Each() float64 {
	switch {
	case !b.Part:
		return b.SizeML
	case b.HoldsML > 0:
		return b.HoldsML
	}
	return b.SizeML / 2
}

// shelved moves the bottles of one bottling, or all.
func (s *State) shelved(h Shelved) error {
	found := false
	for i := range s.Shelf {
		if lot := &s.Shelf[i]; h.Of == "" || lot.Bottling == h.Of {
			lot.Place, found = h.Place, true
			if h.Warmest != 0 {
				lot.Warmest = h.Warmest
			}
		}
	}
	if !found {
		return errors.New("there are no such bottles on the shelf")
	}
	return nil
}

// opened takes bottles off the shelf, from the first lot that fits and has enough. Older
// entries do not tell a part bottle: of those any lot will do.
func (s *State) opened(at time.Time, o Opened) error {
	most := 0
	for _, exactly := range []bool{true, false} {
		for i := range s.Shelf {
			lot := &s.Shelf[i]
			if lot.Bottling != o.Of || lot.Bottles.SizeML != o.SizeML || lot.Bottles.Kind != o.Bottle || exactly && lot.Bottles.Part != o.Part {
				continue
			}
			if lot.Left >= o.Count {
				lot.Left -= o.Count
				if o.Back {
					s.Empties = append(s.Empties, Empties{At: at, SizeML: o.SizeML, Kind: o.Bottle, Count: o.Count})
				}
				return nil
			}
			most = max(most, lot.Left)
		}
	}
	return fmt.Errorf("%d bottles of %g mL are not on the shelf; there are %d", o.Count, o.SizeML, most)
}

func sum(list []Part) must.Must {
	var all must.Must
	for _, p := range list {
		all = all.Plus(p.Adds)
	}
	return all
}
