package safety

import (
	"fmt"

	"skep/internal/advice"
	"skep/internal/app"
	"skep/internal/batch"
)

// Outcome is what came of one jug.
type Outcome struct {
	Number   int
	Trouble  Trouble
	Finished bool          // told to be finished with next to no sugar, or ready
	Unsafe   bool          // told so while it held more than Beyond over what its bottle bears
	Sweet    bool          // told to have stopped sweet
	Went     bool          // told so while more than Beyond was still to go
	Answer   advice.Answer // the last
	Burst    bool          // a year later there is more pressure than the bottle called ready bears
	Due      bool          // truly over and dry when two asked-for readings a week apart were taken, or when told to be ready before
	Known    bool          // told to be finished within a week of it
	Cleared  bool          // told to be ready within a week of it
	Story    []string      // what was read, what was true and what was said, each time
}

// What counts.
const (
	// Beyond is the fermentable sugar over what a bottle bears that nothing called finished
	// may hold, g/L.
	Beyond = 4.0
	// dryGL is the most fermentable sugar that a dry jug may keep, g/L, and restGL the most
	// that may still go of what is over: as the estimate counts.
	dryGL, restGL = 2.0, 0.5
	// soon is the days that Skep has from the second asked-for reading.
	soon = 7
)

// over says whether the jug is truly over, and dry.
func (m *maker) over() (bool, error) {
	will, err := m.brew.yearInBottle(m.bottle.warmest, 0)
	return will < restGL && m.brew.left.sugar < dryGL, err
}

// hold holds what Skep says against what is true.
func (m *maker) hold(said app.Judged) error {
	o, v, stand := m.out, said.Verdict, said.Stood.Standing
	o.Answer = v.Answer
	o.Story = append(o.Story, m.told(said))
	ready, finished := v.Answer != advice.NotYet, stand.Phase == advice.Finished
	if ready && m.ended > 0 && m.second == 0 { // sooner than it could be due
		o.Due, m.second = true, m.day
	}
	if o.Due && m.day < m.second+soon+1 { // by the calendar
		o.Known = o.Known || ready || finished
		o.Cleared = o.Cleared || ready
	}
	will, err := m.brew.yearInBottle(m.bottle.warmest, m.priming)
	if err != nil {
		return err
	}
	sweet := finished && !stand.Proof.Dry
	if sweet {
		unprimed, err := m.brew.yearInBottle(m.bottle.warmest, 0)
		if err != nil {
			return err
		}
		o.Sweet = true
		o.Went = o.Went || unprimed > Beyond
	}
	if !ready && (!finished || sweet) {
		return nil
	}
	fermentable := m.brew.left.sugar + m.priming
	if m.brew.kept { // what stabilisers hold does not ferment
		fermentable = will
	}
	bears, err := m.brew.bears(m.bottle)
	if err != nil {
		return err
	}
	o.Finished = true
	o.Unsafe = o.Unsafe || fermentable > bears+Beyond
	if ready {
		gauge, err := m.brew.gauge(m.bottle, will)
		o.Burst = gauge > m.bottle.limit
		return err
	}
	return nil
}

// told is one line of a jug's story.
func (m *maker) told(said app.Judged) string {
	var read string
	for _, e := range m.events {
		if l, looked := e.Happened.(batch.Looked); looked && l.Gravity != nil {
			read = l.Gravity.Words
		}
	}
	truth := fmt.Sprintf("day %.0f: read %s; truly %.1f g/L of sugar, %.1f %% vol", m.day, read, m.brew.left.sugar, m.brew.strength())
	if m.brew.stopped {
		truth += ", stopped"
	}
	estimate := "none"
	if now := said.Stood.Now; now != nil {
		estimate = fmt.Sprintf("%.1f to %.1f g/L", now.Hexose.Low, now.Hexose.High)
	}
	v := said.Verdict
	return fmt.Sprintf("%s; estimate %s; %s, %s: %s; asks for %q", truth, estimate, said.Stood.Standing.Phase, v.Answer, v.Reason, v.Settles)
}
