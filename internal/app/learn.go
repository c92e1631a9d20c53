package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/store"
)

// lesson is what a finished jug tells of the kitchen. It is worked out from the record and
// can be again.
type lesson struct {
	Jug   string          `json:"jug"` // its id
	Name  string          `json:"name"`
	Seq   int             `json:"seq"`   // of the record it was worked out from
	Model string          `json:"model"` // with which
	At    time.Time       `json:"at"`    // of the last entry of that record
	Yeast string          `json:"yeast"`
	Cups  bool            `json:"cups"` // most of its sugar was honey by the cup
	Tells estimate.Habits `json:"tells"`
}

// lessons are those of all jugs, read once. Cellars of one record share them.
type lessons struct {
	mutex     sync.Mutex
	read      bool
	all       []lesson
	forgotten map[string]time.Time // topic: what finished by then does not count
}

// topics are what can be forgotten, each with its habits.
var topics = []struct {
	name   string
	habits []estimate.Habit
}{
	{"yeast", []estimate.Habit{estimate.YeastSpeed, estimate.YeastGrowth, estimate.YeastCells, estimate.YeastHarm, estimate.YeastLimit, estimate.YeastLag}},
	{"lock", []estimate.Habit{estimate.Lock, estimate.Drying}},
	{"room", []estimate.Habit{estimate.Room}},
	{"cup", []estimate.Habit{estimate.CupOfHoney}},
	{"losses", []estimate.Habit{estimate.Losses}},
}

// forgottenSetting is the name under which it is kept what was forgotten, and when.
const forgottenSetting = "forgotten"

// look reads what is kept, if it was not.
func (l *lessons) look(ctx context.Context, s *store.Store) error {
	if l.read {
		return nil
	}
	all, err := drawer[lesson](ctx, s, store.Lessons)
	if err != nil {
		return err
	}
	forgotten := map[string]time.Time{}
	if err := s.Get(ctx, store.Settings, forgottenSetting, &forgotten); err != nil && !errors.Is(err, store.ErrNotFound) {
		return err
	}
	l.all, l.forgotten, l.read = all, forgotten, true
	return nil
}

// counting are the lessons that count for a jug, habit by habit: of other jugs, of its
// yeast where it is about yeast, and not forgotten.
func (l *lessons) counting(jug, yeast string, cups bool) (jugs []lesson) {
	for _, one := range l.all {
		if one.Jug == jug || one.Model != model {
			continue
		}
		tells := estimate.Habits{}
		for _, topic := range topics {
			if topic.name == "yeast" && one.Yeast != yeast || topic.name == "cup" && !(cups && one.Cups) || !one.At.After(l.forgotten[topic.name]) {
				continue
			}
			for _, h := range topic.habits {
				if told, known := one.Tells[h]; known {
					tells[h] = told
				}
			}
		}
		if one.Tells = tells; len(tells) > 0 {
			jugs = append(jugs, one)
		}
	}
	slices.SortFunc(jugs, func(a, b lesson) int { return strings.Compare(a.Jug, b.Jug) })
	return jugs
}

// learned is what other jugs told of one that is still to come or under way; nil if
// nothing. What cannot be read tells nothing: an estimate is never kept from its maker.
func (c *Cellar) learned(state batch.State) estimate.Habits {
	if c.lessons == nil || len(state.Pitches) == 0 {
		return nil
	}
	c.lessons.mutex.Lock()
	defer c.lessons.mutex.Unlock()
	if c.lessons.look(context.Background(), c.store) != nil {
		return nil
	}
	return estimate.Learn(habitsOf(c.lessons.counting(state.Jug, state.Pitches[0].What.Yeast, byCup(state))))
}

func habitsOf(jugs []lesson) []estimate.Habits {
	var all []estimate.Habits
	for _, one := range jugs {
		all = append(all, one.Tells)
	}
	return all
}

// byCup says that most of a jug's sugar came as honey by the cup.
func byCup(state batch.State) bool {
	var cups, all float64
	for _, p := range state.Made.What.Parts {
		sugar := p.Adds.Hexose(must.SlowShare)
		all += sugar
		if p.Adds[must.SlowSugar] > 0 && (p.Amount.Tool == measure.Cup || p.Amount.Tool == measure.Spoon) {
			cups += sugar
		}
	}
	return all > 0 && cups > all/2
}

// learnFrom keeps what a jug tells, once it is finished; one that is not any more, for an
// entry was taken back, tells nothing.
func (c *Cellar) learnFrom(ctx context.Context, state batch.State, phase advice.Phase) error {
	if c.lessons == nil {
		return nil
	}
	c.lessons.mutex.Lock()
	defer c.lessons.mutex.Unlock()
	if err := c.lessons.look(ctx, c.store); err != nil {
		return err
	}
	at := slices.IndexFunc(c.lessons.all, func(l lesson) bool { return l.Jug == state.Jug })
	finished := !state.Withdrawn && len(state.Pitches) > 0 && (state.Empty || phase == advice.Finished)
	switch {
	case !finished && at < 0:
		return nil
	case !finished:
		c.lessons.all = slices.Delete(c.lessons.all, at, at+1)
		if err := c.store.Drop(ctx, store.Lessons, state.Jug); !errors.Is(err, store.ErrNotFound) {
			return err
		}
		return nil
	case at >= 0 && c.lessons.all[at].Seq == state.Seq && c.lessons.all[at].Model == model:
		return nil
	}
	one, err := c.lesson(state)
	if err != nil || len(one.Tells) == 0 {
		return nil // what cannot be estimated tells nothing, and its page says why
	}
	if at < 0 {
		c.lessons.all = append(c.lessons.all, one)
	} else {
		c.lessons.all[at] = one
	}
	return c.store.Put(ctx, store.Lessons, state.Jug, one)
}

// lesson works out what a jug tells, without what others told.
func (c *Cellar) lesson(state batch.State) (lesson, error) {
	one := lesson{
		Jug: state.Jug, Name: state.Name, Seq: state.Seq, Model: model, At: state.Last,
		Yeast: state.Pitches[0].What.Yeast, Cups: byCup(state),
	}
	untaught := *c
	untaught.lessons = nil
	s, _, _, err := untaught.situation(state)
	if err != nil {
		return one, err
	}
	p, err := c.think.Estimate(s, state.Observations())
	if err != nil || p.Contradicted != "" {
		return one, err
	}
	one.Tells = p.Habits()
	if told, counted := lost(state); counted {
		one.Tells[estimate.Losses] = told
	}
	return one, nil
}

// lostShares are the least and the most of the wine that is reckoned to stay behind when a
// jug is bottled: heel and hose, and the lees of one that was never racked.
func lostShares(state batch.State) (low, high float64) {
	if low, high = must.RackingLow, must.RackingHigh; len(state.Rackings) == 0 {
		low, high = low+must.LeesLow, high+must.LeesHigh
	}
	return low, high
}

// lost is what counted bottles tell of the wine that stayed behind, in half widths of what
// was reckoned with, for a jug bottled at once and to the last.
func lost(state batch.State) (estimate.Told, bool) {
	if len(state.Bottlings) != 1 || !state.Empty {
		return estimate.Told{}, false
	}
	b := state.Bottlings[0].What
	if b.Planned == nil || !b.Planned.Held.Known() || !(b.Planned.Held.Value > 0) {
		return estimate.Told{}, false
	}
	held := b.Planned.Held
	low, high := lostShares(state)
	middle, half := (low+high)/2, (high-low)/2
	z := (1 - b.Litres()/held.Value - middle) / half
	// The volume of the jug is not known better than its range, of four in five.
	sd := (held.High - held.Low) / 2.56 / held.Value / half
	precision := 1 + 1/(sd*sd)
	return estimate.Told{Mean: z / (sd * sd) / precision, SD: math.Sqrt(1 / precision)}, sd > 0
}

// LearnedHabit is one thing that finished jugs told, before them and after.
type LearnedHabit struct {
	Topic  string         `json:"topic"`           // "yeast", "lock", "room", "cup", "losses"
	Yeast  string         `json:"yeast,omitempty"` // whose it is
	Habit  estimate.Habit `json:"habit"`
	Before measure.Range  `json:"before"`
	After  measure.Range  `json:"after"`
	Jugs   []string       `json:"jugs"` // that told of it
}

// Taught is what finished jugs told of this kitchen.
type Taught struct {
	Habits    []LearnedHabit       `json:"habits"`
	Forgotten map[string]time.Time `json:"forgotten"` // topic: what had finished by then does not count
}

// Learned tells what finished jugs told of yeast, lock, room, cup and losses. What is not
// kept yet, or was made with an older model, is worked out first.
func (c *Cellar) Learned(ctx context.Context) (Taught, error) {
	jugs, err := c.store.Jugs(ctx)
	if err != nil {
		return Taught{}, err
	}
	for _, j := range jugs {
		events, err := c.store.Events(ctx, j.ID)
		if err != nil {
			return Taught{}, err
		}
		state, err := batch.Fold(events)
		if err != nil {
			continue // told where the jug is
		}
		stood, _, err := c.stand(state)
		if err != nil {
			continue
		}
		if err := c.learnFrom(ctx, state, stood.Standing.Phase); err != nil {
			return Taught{}, err
		}
	}
	c.lessons.mutex.Lock()
	defer c.lessons.mutex.Unlock()
	learned := Taught{Habits: []LearnedHabit{}, Forgotten: c.lessons.forgotten}
	var yeasts []string
	for _, one := range c.lessons.all {
		if !slices.Contains(yeasts, one.Yeast) {
			yeasts = append(yeasts, one.Yeast)
		}
	}
	slices.Sort(yeasts)
	for i, yeast := range append(yeasts, "") {
		kind, err := kinetics.YeastNamed(yeast)
		if err != nil && yeast != "" {
			continue
		}
		jugs := c.lessons.counting("", yeast, true)
		for _, topic := range topics {
			if (topic.name == "yeast") != (i < len(yeasts)) {
				continue
			}
			for _, h := range topic.habits {
				learned.Habits = append(learned.Habits, about(topic.name, kind, h, jugs)...)
			}
		}
	}
	return learned, nil
}

// about is what jugs told of one habit: nothing or one thing.
func about(topic string, yeast kinetics.YeastKind, h estimate.Habit, jugs []lesson) []LearnedHabit {
	next, told := estimate.Learn(habitsOf(jugs))[h]
	if !told {
		return nil
	}
	one := LearnedHabit{Topic: topic, Yeast: yeast.Name, Habit: h}
	for _, jug := range jugs {
		if _, told := jug.Tells[h]; told {
			one.Jugs = append(one.Jugs, jug.Name)
		}
	}
	usual := estimate.Situation{Yeast: yeast, TemperatureSD: toldRoomSD, SugarSD: cupSD}
	one.Before, one.After = estimate.Told{SD: 1}.Range(h, usual), next.Range(h, usual)
	if h == estimate.Losses {
		one.Before, one.After = sharesLost(one.Before), sharesLost(one.After)
	}
	return []LearnedHabit{one}
}

// cupSD is how surely the sugar of honey by the cup is known, relative: to show it by.
const cupSD = 0.06

// sharesLost shows losses in per cent of the wine of a jug that was racked.
func sharesLost(z measure.Range) measure.Range {
	const middle, half = 50 * (must.RackingLow + must.RackingHigh), 50 * (must.RackingHigh - must.RackingLow)
	return measure.Range{Value: middle + half*z.Value, Low: max(0, middle+half*z.Low), High: middle + half*z.High, Unit: "%"}
}

// Forget lets what finished jugs told until now no longer count, of one topic or, with no
// words, of all; with back, it counts again. The record stays as it is.
//
// Errors: *AskError for an unknown topic.
func (c *Cellar) Forget(ctx context.Context, topic string, back bool) error {
	var names []string
	for _, t := range topics {
		if topic == "" || strings.EqualFold(strings.TrimSpace(topic), t.name) {
			names = append(names, t.name)
		}
	}
	if len(names) == 0 {
		return ask("what", topic, `write yeast, lock, room, cup or losses, or nothing for all`, errors.New("nothing of that name is learned"))
	}
	c.lessons.mutex.Lock()
	defer c.lessons.mutex.Unlock()
	if err := c.lessons.look(ctx, c.store); err != nil {
		return err
	}
	forgotten := map[string]time.Time{}
	for name, at := range c.lessons.forgotten {
		forgotten[name] = at
	}
	for _, name := range names {
		if forgotten[name] = c.Now(); back {
			delete(forgotten, name)
		}
	}
	if err := c.store.Put(ctx, store.Settings, forgottenSetting, forgotten); err != nil {
		return fmt.Errorf("forget %s: %w", strings.Join(names, ", "), err)
	}
	c.lessons.forgotten = forgotten
	return nil
}
