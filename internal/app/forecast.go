package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
)

// Explanation is one thing that may lie behind what is seen of a jug, how likely it is, and why.
type Explanation struct {
	estimate.Explanation
	Words string     `json:"words"` // "it is working"
	From  *time.Time `json:"from,omitempty"`
}

// NextLook is what one look to come is expected to tell.
type NextLook struct {
	estimate.Worth
	Day   time.Time `json:"day"`
	Words string    `json:"words"` // "weigh it on Saturday: that should settle it"
	Owned bool      `json:"owned"` // the record shows that the tool is there
}

// followed is a jug read against the model.
type followed struct {
	situation    estimate.Situation
	posterior    *estimate.Posterior
	explanations []estimate.Explanation
	hour         measure.Hours // now
}

// follow estimates a jug. The situation comes from c.situation.
func (c *Cellar) follow(state batch.State, s estimate.Situation) (followed, error) {
	f := followed{situation: s, hour: min(state.Hours(c.Now()), s.Until)}
	var err error
	f.posterior, f.explanations, err = estimate.Explain(c.think, s, state.Observations(), f.hour, clues(state))
	if err != nil {
		return f, fmt.Errorf("jug %q: %w", state.Name, err)
	}
	return f, nil
}

// clues are what the record tells besides what the model can use.
func clues(state batch.State) estimate.Clues {
	var k estimate.Clues
	if t := state.Pitches[0].What.Temperature; t != nil {
		k.Pitched = measure.Celsius(t.Value)
	}
	for _, l := range state.Looks {
		if q := l.What.PH; q != nil && (k.PH == 0 || q.Value < k.PH) {
			k.PH = q.Value
		}
		k.Eggs = k.Eggs || advice.RottenEggs(l.What.Smell+" "+l.What.Note)
	}
	return k
}

// explained puts explanations in words.
func explained(state batch.State, all []estimate.Explanation) []Explanation {
	told := make([]Explanation, len(all))
	for i, x := range all {
		told[i] = Explanation{Explanation: x, Words: advice.Means(x.Kind)}
		if x.Since > 0 {
			from := day(state, float64(x.Since)/24)
			told[i].From = &from
		}
	}
	return told
}

// tools are the senses that a look to come may use, with the error of a reading when none
// was taken yet: a hydrometer to a division, a kitchen scale to 2 g, a minute's count to a
// bubble (assumed). What needs no tool is always there.
var tools = []struct {
	sense estimate.Sense
	sd    float64
	does  string
	owned bool
}{
	{estimate.SawMass, 2, "weigh it", false},
	{estimate.SawGravity, 0.001, "read the hydrometer", false},
	{estimate.SawBrix, 0.2, "read the refractometer", false},
	{estimate.SawTemperature, 0.5, "read the thermometer beside it", false},
	{estimate.SawBubbles, 1, "count the bubbles of a minute", true},
	{estimate.SawTaste, 0.25, "taste it", true},
}

// daysAhead are the days on which a look may be taken.
var daysAhead = []int{0, 1, 2, 3, 5, 7, 10, 14}

// nextLooks are the looks that tell most of when it is over and whether it may be bottled,
// first those whose tools are there: what was used before counts as owned. Sound for a
// bottle is a wine with at most advice.LittleSugar left.
func nextLooks(state batch.State, f followed, now time.Time) ([]NextLook, error) {
	owned := map[estimate.Sense]bool{estimate.SawTemperature: len(state.Temperatures) > 0}
	sd := map[estimate.Sense]float64{}
	weighed := f.situation.Tare > 0
	for _, o := range state.Observations() {
		owned[o.Sense], sd[o.Sense] = true, o.SD
		weighed = weighed || o.Sense == estimate.SawMass
	}
	var looks []estimate.Observation
	does := map[estimate.Sense]string{}
	for _, tool := range tools {
		does[tool.sense] = tool.does
		owned[tool.sense] = owned[tool.sense] || tool.owned
		// The first weighing of an unknown vessel tells nothing yet, and a refractometer is
		// spoken of only where there is one.
		if tool.sense == estimate.SawMass && !weighed || tool.sense == estimate.SawBrix && !owned[tool.sense] {
			continue
		}
		for _, d := range daysAhead {
			at := f.hour + measure.Hours(24*d)
			if at > f.situation.Until {
				continue
			}
			looks = append(looks, estimate.Observation{ID: tool.does, At: at, Sense: tool.sense, SD: cmp.Or(sd[tool.sense], tool.sd)})
		}
	}
	worths, err := f.posterior.Worths(f.hour, looks, func(m estimate.Member) bool { return m.EventualHexose <= advice.LittleSugar })
	if err != nil {
		return nil, err
	}
	var all []NextLook
	for _, w := range worths {
		n := NextLook{Worth: w, Day: now.Add(time.Duration(float64(w.At-f.hour) * float64(time.Hour))), Owned: owned[w.Sense]}
		n.Words = does[w.Sense] + " " + onDay(now, n.Day) + ": " + worthWords(w)
		all = append(all, n)
	}
	slices.SortStableFunc(all, func(a, b NextLook) int {
		switch {
		case a.Owned == b.Owned:
			return 0
		case a.Owned:
			return -1
		}
		return 1
	})
	return all, nil
}

// onDay tells a day to come.
func onDay(now, day time.Time) string {
	switch n := measure.DaysBetween(now, day); {
	case n <= 0:
		return "today"
	case n == 1:
		return "tomorrow"
	case n < 7:
		return "on " + day.Format("Monday")
	}
	return "on " + day.Format("Monday, 2 January")
}

// worthWords is what a look should tell, in words.
func worthWords(w estimate.Worth) string {
	if w.Settles {
		return "that should settle it"
	}
	var all []string
	if w.Finish >= 0.02 {
		all = append(all, fmt.Sprintf("it should narrow the day when it is over by %.0f %%", 100*w.Finish))
	}
	if w.Bottling >= 0.02 {
		all = append(all, fmt.Sprintf("it should leave %.0f %% less doubt whether it may be bottled then", 100*w.Bottling))
	}
	return strings.Join(all, "; ")
}

// Did is what one reading did to the forecast.
type Did struct {
	Said     string        `json:"said"` // "before any reading", "gravity 1.032 on 3 May"
	At       time.Time     `json:"at,omitzero"`
	Left     measure.Range `json:"left"`     // sugar that can still ferment today, g/L
	Finish   Dates         `json:"finish"`   // when it is over
	Moved    float64       `json:"moved"`    // by which the middle of what is left went, g/L
	Narrowed float64       `json:"narrowed"` // share of its range taken away; below zero, it widened
	Days     float64       `json:"days"`     // by which the middle of the finish date went
	Misfits  []string      `json:"misfits,omitempty"`
}

// Told is how a forecast came about.
type Told struct {
	Stood
	Prior []string `json:"prior"` // what is known without any reading, and from where
	Steps []Did    `json:"steps"` // the first is without any reading
}

// Explain tells where a jug stands, and reading by reading how that is known: the model is
// asked anew after each, with all before it.
//
// Errors: an unknown jug; one that is not followed in time, for want of yeast, litres or
// because it came by a blend.
func (c *Cellar) Explain(ctx context.Context, name string) (Told, error) {
	_, _, state, err := c.jug(ctx, name)
	if err != nil {
		return Told{}, err
	}
	stood, _, err := c.stand(state)
	err = errors.Join(err, stood.lookAhead())
	told := Told{Stood: stood}
	if err != nil {
		return told, err
	}
	s, err := c.followable(state)
	if err != nil {
		return told, err
	}
	sugar := s.Must.Hexose(1)
	litres, err := s.Must.Volume(20)
	if err != nil {
		return told, err
	}
	told.Prior = []string{
		fmt.Sprintf("%.0f ± %.0f g/L of fermentable sugar, by what went in (ingredients of the record)", sugar/float64(litres), math.Hypot(s.SugarSD, s.VolumeSD)*sugar/float64(litres)),
		fmt.Sprintf("%s: most jugs stop between %.0f and %.0f %% vol, and it works from %.0f °C (kinds of yeast, from memory, unverified)", s.Yeast.Name, float64(s.Yeast.ToleranceLow), float64(s.Yeast.ToleranceHigh), float64(s.Yeast.TemperatureLow)),
		"rates of growth and of use as in wine, to a factor of two each way [coleman2007] [cramer2002]",
		fmt.Sprintf("temperature to ± %.1f °C; skep handbook how-long tells the rest", s.TemperatureSD),
	}
	seen := state.Observations()
	hour := min(state.Hours(c.Now()), s.Until)
	for k := range len(seen) + 1 {
		p, _, err := estimate.Explain(c.think, s, seen[:k], hour, clues(state))
		if err != nil {
			return told, fmt.Errorf("jug %q: %w", state.Name, err)
		}
		step := Did{Said: "before any reading", Left: p.At(hour).Hexose, Finish: dates(state, p.Outlook())}
		if k > 0 {
			o, before := seen[k-1], told.Steps[k-1]
			step.At = day(state, float64(o.At)/24)
			step.Said = fmt.Sprintf("%s on %s", o.Show(), step.At.Format("2 January"))
			step.Moved = step.Left.Value - before.Left.Value
			if was := before.Left.High - before.Left.Low; was > 0 {
				step.Narrowed = 1 - (step.Left.High-step.Left.Low)/was
			}
			step.Days = step.Finish.Day.Sub(before.Finish.Day).Hours() / 24
			for _, m := range p.Misfits {
				if m.ID == o.ID {
					step.Misfits = append(step.Misfits, m.Words)
				}
			}
		}
		told.Steps = append(told.Steps, step)
	}
	return told, nil
}

// followable is the situation of a jug that the model can follow in time.
//
// Errors: what is missing, for a person.
func (c *Cellar) followable(state batch.State) (estimate.Situation, error) {
	switch {
	case state.Empty:
		return estimate.Situation{}, fmt.Errorf("jug %q is empty", state.Name)
	case len(state.Pitches) == 0 && len(state.Blends) > 0:
		return estimate.Situation{}, fmt.Errorf("jug %q holds a blend: nobody knows how much yeast is in it, so it is not followed in time", state.Name)
	case len(state.Pitches) == 0:
		return estimate.Situation{}, fmt.Errorf("jug %q has no yeast yet; record it: skep pitch", state.Name)
	}
	s, _, _, err := c.situation(state)
	if errors.Is(err, batch.ErrVolumeUnknown) {
		err = fmt.Errorf("jug %q: %w", state.Name, err)
	}
	return s, err
}
