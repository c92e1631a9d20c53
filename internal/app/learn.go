package app

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
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
	Jug   string    `json:"jug"` // its id
	Name  string    `json:"name"`
	Seq   int       `json:"seq"`      // of the record it was worked out from
	Model string    `json:"model"`    // with which
	At    time.Time `json:"finished"` // when it was first known to be
	kindred
	Tells estimate.Habits `json:"tells"`
}

// kindred is what a jug has in common with those that can tell of it.
type kindred struct {
	Yeast string `json:"yeast"`
	Cups  bool   `json:"cups"` // most of its sugar was honey by the cup
	Room  bool   `json:"room"` // its temperature was read
}

func kindredOf(state batch.State) kindred {
	return kindred{Yeast: state.Pitches[0].What.Yeast, Cups: byCup(state), Room: len(state.Temperatures) > 0}
}

// topics are what can be forgotten, each with its habits, and of which jugs they tell.
var topics = []struct {
	name   string
	habits []estimate.Habit
	tells  func(of, by kindred) bool
}{
	{
		"yeast",
		[]estimate.Habit{estimate.YeastSpeed, estimate.YeastGrowth, estimate.YeastCells, estimate.YeastHarm, estimate.YeastLimit, estimate.YeastLag},
		func(of, by kindred) bool { return of.Yeast == by.Yeast },
	},
	{"lock", []estimate.Habit{estimate.Lock, estimate.Drying}, func(_, _ kindred) bool { return true }},
	{"room", []estimate.Habit{estimate.Room}, func(of, by kindred) bool { return of.Room && by.Room }},
	{"cup", []estimate.Habit{estimate.CupOfHoney}, func(of, by kindred) bool { return of.Cups && by.Cups }},
	{"losses", []estimate.Habit{estimate.Losses}, func(_, _ kindred) bool { return true }},
}

// forgottenSetting is the name under which it is kept what was forgotten, and when.
const forgottenSetting = "forgotten"

// lessons are all that is kept of what jugs told, and what of it is forgotten: by topic,
// what had finished by then.
func (c *Cellar) lessons(ctx context.Context) (all []lesson, forgotten map[string]time.Time, err error) {
	forgotten = map[string]time.Time{}
	if err := c.store.Get(ctx, store.Settings, forgottenSetting, &forgotten); err != nil && !errors.Is(err, store.ErrNotFound) {
		return nil, nil, err
	}
	all, err = drawer[lesson](ctx, c.store, store.Lessons)
	return all, forgotten, err
}

// counting are the lessons that count, habit by habit: told by other jugs that are kindred
// in this, and not forgotten.
func counting(all []lesson, forgotten map[string]time.Time, jug string, of kindred) (jugs []lesson) {
	for _, one := range all {
		if one.Jug == jug || one.Model != model {
			continue
		}
		tells := estimate.Habits{}
		for _, topic := range topics {
			if !topic.tells(of, one.kindred) || !one.At.After(forgotten[topic.name]) {
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
	return jugs
}

// learned is what other jugs told of one that is still to come or under way, in words too;
// nil if nothing. What cannot be read tells nothing: an estimate is never kept from its maker.
func (c *Cellar) learned(state batch.State) (habits estimate.Habits, words string) {
	if len(state.Pitches) == 0 || c.store == nil { // Judge asks without a record of others
		return nil, ""
	}
	all, forgotten, err := c.lessons(context.Background())
	if err != nil {
		return nil, ""
	}
	jugs := counting(all, forgotten, state.Jug, kindredOf(state))
	if habits = estimate.Learn(habitsOf(jugs)); len(habits) == 0 {
		return nil, ""
	}
	of := "a jug"
	if len(jugs) > 1 {
		of = fmt.Sprintf("%d jugs", len(jugs))
	}
	var about []string
	for _, topic := range topics {
		if slices.ContainsFunc(topic.habits, func(h estimate.Habit) bool { _, told := habits[h]; return told }) {
			about = append(about, topic.name)
		}
	}
	return habits, fmt.Sprintf("%s: learned from %s of yours", strings.Join(about, ", "), of)
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
func (c *Cellar) learnFrom(ctx context.Context, state batch.State, s advice.Standing) error {
	finished := !state.Withdrawn && len(state.Pitches) > 0 && (state.Empty || s.Phase == advice.Finished)
	var before lesson
	err := c.store.Get(ctx, store.Lessons, state.Jug, &before)
	kept := err == nil
	switch {
	case err != nil && !errors.Is(err, store.ErrNotFound):
		return err
	case !kept && !finished, kept && finished && before.Seq == state.Seq && before.Model == model:
		return nil
	case finished:
		one, err := c.lesson(state)
		if err != nil || len(one.Tells) == 0 {
			break // what cannot be estimated tells nothing, and its page says why
		}
		switch n := len(state.Bottlings); {
		case !state.Empty:
			one.At = s.Proof.At
		case n > 0:
			one.At = state.Bottlings[n-1].At
		default: // it went into others
			one.At = state.Last
		}
		if kept && before.At.Before(one.At) {
			one.At = before.At // later entries do not make it finish later: what was forgotten stays so
		}
		return c.store.Put(ctx, store.Lessons, state.Jug, one)
	}
	if !kept {
		return nil
	}
	return c.store.Drop(ctx, store.Lessons, state.Jug)
}

// lesson works out what a jug tells, without what others told.
func (c *Cellar) lesson(state batch.State) (lesson, error) {
	one := lesson{Jug: state.Jug, Name: state.Name, Seq: state.Seq, Model: model, kindred: kindredOf(state)}
	s, _, _, err := c.situation(state)
	if err != nil {
		return one, err
	}
	s.Learned = nil
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

// stale are the jugs to be worked out anew: those that store.Stale finds, and the finished
// ones whose lesson is of another version of the model.
func (c *Cellar) stale(ctx context.Context) ([]string, error) {
	ids, err := c.store.Stale(ctx, model)
	if err != nil {
		return nil, err
	}
	all, err := drawer[lesson](ctx, c.store, store.Lessons)
	for _, one := range all {
		if one.Model != model && !slices.Contains(ids, one.Jug) {
			ids = append(ids, one.Jug)
		}
	}
	return ids, err
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

// Taught is what finished jugs told of this kitchen.
type Taught struct {
	Topics    []TaughtTopic        `json:"topics"`
	Forgotten map[string]time.Time `json:"forgotten"`         // topic: what had finished by then does not count
	Pending   int                  `json:"pending,omitempty"` // jugs that are being worked out, and may tell more
}

// TaughtTopic is what finished jugs told of one topic.
type TaughtTopic struct {
	Topic  string         `json:"topic"`           // "yeast", "lock", "room", "cup", "losses"
	Yeast  string         `json:"yeast,omitempty"` // whose it is
	Jugs   []string       `json:"jugs"`            // that told of it
	Habits []LearnedHabit `json:"habits"`
}

// LearnedHabit is one thing that finished jugs told: what the next jug was thought to be
// before them, and is after.
type LearnedHabit struct {
	Habit  estimate.Habit `json:"habit"`
	Before measure.Range  `json:"before"`
	After  measure.Range  `json:"after"`
}

// Learned tells what finished jugs told of yeast, lock, room, cup and losses: what was kept
// when each last changed. Jugs of which nothing is kept, or by an older model, are worked
// out first, or behind the pages (InBackground).
func (c *Cellar) Learned(ctx context.Context) (Taught, error) {
	unread, err := c.behind(ctx, true)
	if err != nil {
		return Taught{}, err
	}
	c.background.visited()
	if !c.background.on() {
		if err := c.refreshAll(ctx, unread, nil); err != nil {
			return Taught{}, err
		}
		unread = nil
	}
	all, forgotten, err := c.lessons(ctx)
	if err != nil {
		return Taught{}, err
	}
	yeasts := map[string]bool{}
	for _, one := range all {
		yeasts[one.Yeast] = true
	}
	learned := Taught{Topics: []TaughtTopic{}, Forgotten: forgotten, Pending: len(unread)}
	for _, topic := range topics {
		of := []string{""}
		if topic.name == "yeast" {
			of = slices.Sorted(maps.Keys(yeasts))
		}
		for _, yeast := range of {
			one := TaughtTopic{Topic: topic.name, Yeast: yeast}
			one.tell(topic.habits, counting(all, forgotten, "", kindred{Yeast: yeast, Cups: true, Room: true}))
			if len(one.Habits) > 0 {
				learned.Topics = append(learned.Topics, one)
			}
		}
	}
	return learned, nil
}

// tell writes down what jugs told of habits.
func (l *TaughtTopic) tell(habits []estimate.Habit, jugs []lesson) {
	yeast, _ := kinetics.YeastNamed(l.Yeast) // of other topics than yeast: none, and none is needed
	usual := estimate.Situation{Yeast: yeast, TemperatureSD: toldRoomSD, SugarSD: cupSD}
	next := estimate.Learn(habitsOf(jugs))
	for _, h := range habits {
		after, told := next[h]
		if !told {
			continue
		}
		one := LearnedHabit{h, estimate.Told{SD: 1}.Range(h, usual), after.Range(h, usual)}
		if h == estimate.Losses {
			one.Before, one.After = sharesLost(one.Before), sharesLost(one.After)
		}
		l.Habits = append(l.Habits, one)
	}
	for _, jug := range jugs {
		if slices.ContainsFunc(habits, func(h estimate.Habit) bool { _, told := jug.Tells[h]; return told }) {
			l.Jugs = append(l.Jugs, jug.Name)
		}
	}
}

// cupSD is how surely the sugar of honey by the cup is known, relative: to show it by.
const cupSD = 0.06

// sharesLost shows losses in per cent of the wine of a jug that was racked.
func sharesLost(z measure.Range) measure.Range {
	const middle, half = 50 * (must.RackingLow + must.RackingHigh), 50 * (must.RackingHigh - must.RackingLow)
	return measure.Range{Value: middle + half*z.Value, Low: max(0, middle+half*z.Low), High: middle + half*z.High, Unit: "%"}
}

// Forget lets what finished jugs told until now no longer count, of one topic or, with no
// words, of all; with back, it counts again. The record stays as it is; jugs under way are
// worked out anew.
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
	_, forgotten, err := c.lessons(ctx)
	if err != nil {
		return err
	}
	for _, name := range names {
		if forgotten[name] = c.Now(); back {
			delete(forgotten, name)
		}
	}
	if err := c.store.Put(ctx, store.Settings, forgottenSetting, forgotten); err != nil {
		return fmt.Errorf("forget %s: %w", strings.Join(names, ", "), err)
	}
	jugs, err := c.jugs(ctx)
	for _, j := range jugs {
		if !j.Emptied {
			c.after(ctx, j.ID)
		}
	}
	return err
}
