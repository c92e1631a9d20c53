package app

import (
	"context"
	"fmt"
	"slices"
	"time"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
)

// Jug is all that is told of one jug on its page.
type Jug struct {
	Name    string        `json:"name"`
	Made    time.Time     `json:"made"`
	Vessel  string        `json:"vessel"`
	Place   string        `json:"place,omitempty"`
	Empty   bool          `json:"empty,omitempty"`
	Pitched bool          `json:"pitched"`
	Blend   bool          `json:"blend,omitempty"` // of wines, with no yeast of its own: it is not followed in time
	In      []string      `json:"in"`              // what it was made of, as told
	Stood   Stood         `json:"stood"`
	Fresh   bool          `json:"fresh"` // Stood is of the whole record and of this day
	History []HistoryLine `json:"history"`

	state batch.State
}

// Jug tells of one jug, by what was last worked out of it (Kept).
//
// Errors: an unknown jug; a record that does not fold.
func (c *Cellar) Jug(ctx context.Context, name string) (Jug, error) {
	kept, events, state, err := c.jug(ctx, name)
	if err != nil {
		return Jug{}, err
	}
	j := Jug{
		Name: kept.Name, Made: state.Made.At, Vessel: state.Vessel.Name, Place: state.Place,
		Empty: state.Empty, Pitched: len(state.Pitches) > 0, Blend: len(state.Pitches) == 0 && len(state.Blends) > 0, In: madeOf(state), state: state,
	}
	if j.Stood, j.Fresh, err = c.keptOf(ctx, kept); err != nil {
		return j, err
	}
	j.History, err = historyOf(events)
	return j, err
}

// madeOf is what a jug was made of, as told: what went in on brew day, and the wines of a blend.
func madeOf(state batch.State) []string {
	var all []string
	for _, p := range state.Made.What.Parts {
		all = append(all, p.Words)
	}
	for _, b := range state.Blends {
		for _, s := range b.What.Sources {
			all = append(all, s.Wine.Words)
		}
	}
	return all
}

// Course is one quantity of a jug in time: what was read, and what is reckoned to have
// been and to come.
type Course struct {
	Of     string    // as in Courses
	Label  string    // "Gravity"
	Unit   string    // "" for gravity
	Now    time.Time // what lies after it is forecast
	Days   []CourseDay
	Seen   []CourseSeen
	Marks  []CourseMark
	Finish *Dates // nil where nothing is reckoned
	Note   string // how what was seen and what is reckoned were brought together; "" if that is plain
}

// CourseDay is a quantity at one time, with its range.
type CourseDay struct {
	At time.Time
	measure.Range
}

// CourseSeen is a reading, corrected to what the course is of.
type CourseSeen struct {
	At    time.Time
	Words string // as told
	measure.Range
}

// CourseMark is something that was done.
type CourseMark struct {
	At   time.Time
	Kind string // as batch has it: "pitched", "added", "racked", "bottled"
	Said string
}

// Courses are the quantities that Course tells of, with their labels.
func Courses() [][2]string {
	return [][2]string{
		{"gravity", "Gravity"},
		{"sugar", "Sugar left"},
		{"strength", "Strength"},
		{"weight", "Weight lost"},
		{"bubbles", "Bubbles"},
		{"temperature", "Temperature"},
	}
}

// afterFinish is how far a course goes beyond the latest likely end.
const afterFinish = 7 * 24 * time.Hour

// Course is one quantity in time; an unknown one is gravity.
func (j Jug) Course(of string) Course {
	course := Course{Of: "gravity", Now: j.Stood.At, Finish: j.Stood.Finish}
	for _, known := range Courses() {
		if known[0] == of {
			course.Of = of
		}
	}
	for _, known := range Courses() {
		if known[0] == course.Of {
			course.Label = known[1]
		}
	}
	reckoned := map[string]func(estimate.State) measure.Range{
		"gravity":  func(s estimate.State) measure.Range { return s.Gravity },
		"sugar":    func(s estimate.State) measure.Range { return s.Sugar },
		"strength": func(s estimate.State) measure.Range { return s.Ethanol },
		"weight":   func(s estimate.State) measure.Range { return s.WeightLost },
		"bubbles":  func(s estimate.State) measure.Range { return s.Rate },
	}[course.Of]
	if reckoned != nil {
		for _, p := range j.Stood.Course {
			course.Days = append(course.Days, CourseDay{p.Day, reckoned(p.State)})
		}
	}
	course.Unit = map[string]string{"sugar": "g/L", "strength": "% vol", "weight": "g", "bubbles": "a minute", "temperature": "°C"}[course.Of]
	switch course.Of {
	case "gravity":
		course.Seen = j.gravities()
	case "weight":
		course.Seen, course.Note = j.weights(course)
	case "bubbles":
		course.Seen = j.readings(func(l batch.Looked) *measure.Quantity { return l.Bubbles })
		course.inBubbles()
	case "temperature":
		for _, t := range j.state.Temperatures {
			course.Seen = append(course.Seen, CourseSeen{t.At, "", measure.Normal(float64(t.Value), t.SD, "°C")})
		}
		course.Finish = nil
	}
	course.meetNow()
	course.Marks = j.marks()
	course.trim()
	return course
}

// readings are what was seen of one kind.
func (j Jug) readings(of func(batch.Looked) *measure.Quantity) []CourseSeen {
	var all []CourseSeen
	for _, l := range j.state.Looks {
		if q := of(l.What); q != nil {
			all = append(all, CourseSeen{l.At, q.Words, measure.Normal(q.Value, q.SD, "")})
		}
	}
	return all
}

// gravities are the hydrometer's readings at 20 °C. One beyond the tables is left out here;
// it stands in the history.
func (j Jug) gravities() []CourseSeen {
	var all []CourseSeen
	see := func(at time.Time, q, sample *measure.Quantity, scale measure.Celsius) {
		if q == nil {
			return
		}
		if sg, err := corrected(*q, sample, scale); err == nil {
			all = append(all, CourseSeen{at, q.Words, measure.Normal(float64(sg), q.SD, "SG")})
		}
	}
	made := j.state.Made
	see(made.At, made.What.Gravity, made.What.Sample, made.What.Calibrated)
	for _, l := range j.state.Looks {
		sample := l.What.Sample
		if sample == nil {
			sample = l.What.Liquid
		}
		see(l.At, l.What.Gravity, sample, l.What.Calibrated)
	}
	return all
}

// weights are what was lost since pitching, by the scale: from what went in and the
// empty weight where both are known, else from the first weighing, which is put where the
// course has it.
func (j Jug) weights(course Course) (all []CourseSeen, note string) {
	s := j.state
	began := 0.0 // g, vessel and must
	if tare := s.Made.What.Vessel.Tare; tare != nil {
		began = tare.Value + float64(s.Must.Mass())
	}
	for _, o := range s.Observations() {
		if o.Sense != estimate.SawMass {
			continue
		}
		at := s.Start().Add(time.Duration(float64(o.At) * float64(time.Hour)))
		change, known := heavier(s, at)
		if !known {
			break
		}
		if began == 0 {
			first := course.at(at)
			if !first.Known() {
				first = measure.Exact(0, "g")
			}
			began = o.Value - change + first.Value
			note = "Weights are counted from the first weighing, which is put where the forecast has it."
		}
		all = append(all, CourseSeen{at, fmt.Sprintf("%.0f g", o.Value), measure.Normal(began+change-o.Value, o.SD, "g")})
	}
	return all, note
}

// heavier is how many g additions and drawings have added to the must as pitched.
func heavier(s batch.State, at time.Time) (grams float64, known bool) {
	pitched := float64(s.Must.Mass())
	mass := pitched
	for _, c := range s.Changes {
		if c.At.After(at) {
			break
		}
		if c.Unmeasured {
			return 0, false
		}
		mass = mass*(1-c.DrawnShare) + float64(c.Added.Mass())
	}
	return mass - pitched, true
}

// inBubbles turns the reckoned gas, g/L in a day, into bubbles a minute of this jug's own
// lock: by the middle of what the bubbles counted say that one bubble stands for. Without
// any it stays gas.
func (c *Course) inBubbles() {
	var per []float64
	for _, s := range c.Seen {
		if rate := c.at(s.At); s.Value > 0 && rate.Known() && rate.Value > 0 {
			per = append(per, s.Value/rate.Value)
		}
	}
	if len(per) == 0 {
		if len(c.Seen) == 0 {
			c.Label, c.Unit = "Gas given off", "g/L a day"
		} else {
			c.Days = nil // bubbles seen, but none that tells how large one is
		}
		return
	}
	slices.Sort(per)
	scale := per[len(per)/2]
	for i, d := range c.Days {
		c.Days[i].Range = measure.Range{Value: scale * d.Value, Unit: c.Unit, Low: scale * d.Low, High: scale * d.High}
	}
	c.Note = "The forecast is of gas; the bubbles counted in this jug say how much of it one bubble stands for."
}

// marks are what was done to the jug.
func (j Jug) marks() []CourseMark {
	var all []CourseMark
	mark := func(at time.Time, h batch.Happening) {
		all = append(all, CourseMark{at, h.Kind(), describe(h, nil)})
	}
	for _, d := range j.state.Pitches {
		mark(d.At, d.What)
	}
	for _, d := range j.state.Additions {
		mark(d.At, d.What)
	}
	for _, d := range j.state.Stabilisings {
		mark(d.At, d.What)
	}
	for _, d := range j.state.Rackings {
		mark(d.At, d.What)
	}
	for _, d := range j.state.Bottlings {
		mark(d.At, d.What)
	}
	slices.SortStableFunc(all, func(a, b CourseMark) int { return a.At.Compare(b.At) })
	return all
}

// meetNow puts a day of now into the course, where what was meets what is to come.
func (c *Course) meetNow() {
	i, there := slices.BinarySearchFunc(c.Days, c.Now, func(d CourseDay, t time.Time) int { return d.At.Compare(t) })
	if now := c.at(c.Now); now.Known() && !there {
		c.Days = slices.Insert(c.Days, i, CourseDay{c.Now, now})
	}
}

// trim ends the course soon after the latest likely end, and leaves out days of which
// nothing is known.
func (c *Course) trim() {
	end := c.Now
	if c.Finish != nil && c.Finish.To.After(end) {
		end = c.Finish.To
	}
	end = end.Add(afterFinish)
	c.Days = slices.DeleteFunc(c.Days, func(d CourseDay) bool { return !d.Known() || d.At.After(end) })
}

// at is the course at a time, on the straight between its days; not known outside them.
func (c Course) at(t time.Time) measure.Range {
	i, _ := slices.BinarySearchFunc(c.Days, t, func(d CourseDay, t time.Time) int { return d.At.Compare(t) })
	if i == len(c.Days) || i == 0 && !c.Days[0].At.Equal(t) {
		return measure.RangeOf(nil, c.Unit)
	}
	b := c.Days[i]
	if b.At.Equal(t) {
		return b.Range
	}
	a := c.Days[i-1]
	part := float64(t.Sub(a.At)) / float64(b.At.Sub(a.At))
	between := func(x, y float64) float64 { return x + part*(y-x) }
	return measure.Range{
		Value: between(a.Value, b.Value), Unit: b.Unit, Low: between(a.Low, b.Low), High: between(a.High, b.High),
	}
}
