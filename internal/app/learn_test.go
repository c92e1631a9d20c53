package app

import (
	"errors"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/store"
)

// A jug bottled to the last tells of the next one; what it told can be forgotten, and comes
// back; a forecast without it is the one there was before.
func TestJugsTellOfTheNext(t *testing.T) {
	c, now := quiet(t)
	next := func() Stood {
		stood, err := c.Stand(t.Context(), "next")
		if err != nil {
			t.Fatal(err)
		}
		return stood
	}
	start := func(name, yeast string) {
		t.Helper()
		if _, err := c.Start(t.Context(), StartWords{
			Name: name, Jug: "4.5 L", With: []string{"1.1 kg honey"}, Volume: "4.3 L", Yeast: "a packet of " + yeast, Room: "19 C",
		}); err != nil {
			t.Fatal(err)
		}
	}
	start("next", "champagne yeast")
	start("other", "mead yeast")
	if _, err := c.Bottle(t.Context(), BottleWords{Jug: "heather", Bottles: []string{"5 x 750 mL"}, Done: true, Despite: "a test"}); err != nil {
		t.Fatal(err)
	}
	*now = now.Add(24 * time.Hour)
	learned, err := c.Learned(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	for _, topic := range learned.Topics {
		found[topic.Topic] = true
		if !reflect.DeepEqual(topic.Jugs, []string{"heather"}) || topic.Topic == "yeast" && topic.Yeast != "champagne yeast" {
			t.Errorf("%s of %q is told by %q", topic.Topic, topic.Yeast, topic.Jugs)
		}
		for _, h := range topic.Habits {
			if h.Before == h.After || !h.Before.Known() || !h.After.Known() {
				t.Errorf("%s: %v after %v", h.Habit, h.After, h.Before)
			}
		}
	}
	if !found["yeast"] || !found["losses"] || found["cup"] {
		t.Errorf("learned of %v; want yeast and losses, and not of a cup: the honey was weighed", found)
	}
	taught := next()
	if !slices.ContainsFunc(taught.Assumed, func(s string) bool {
		return strings.HasPrefix(s, "yeast") && strings.HasSuffix(s, "learned from a jug of yours")
	}) {
		t.Errorf("the forecast does not say what it was learned from: %q", taught.Assumed)
	}
	if err := c.Forget(t.Context(), "", false); err != nil {
		t.Fatal(err)
	}
	forgot := next()
	c2, err := Open(t.Context(), filepath.Join(t.TempDir(), "new.db"), func() time.Time { return *now })
	if err != nil {
		t.Fatal(err)
	}
	defer c2.Close()
	_, events, state, err := c.jug(t.Context(), "next")
	if err != nil || len(events) == 0 {
		t.Fatal(err)
	}
	alone, _, err := c2.stand(state)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(forgot.Finish, alone.Finish) || !reflect.DeepEqual(forgot.Course, alone.Course) {
		t.Error("after forgetting, the forecast is not what it would be without the other jug")
	}
	if reflect.DeepEqual(taught.Course, forgot.Course) {
		t.Error("what was learned changed nothing")
	}
	if err := c.Forget(t.Context(), "", true); err != nil {
		t.Fatal(err)
	}
	if again := next(); !reflect.DeepEqual(again.Course, taught.Course) {
		t.Error("taken back, the forgetting still shows")
	}
	if err := c.Forget(t.Context(), "yeast", false); err != nil {
		t.Fatal(err)
	}
	knows := func(state batch.State, h estimate.Habit) bool {
		told, _ := c.learned(state)
		_, known := told[h]
		return known
	}
	if knows(state, estimate.YeastSpeed) {
		t.Error("the yeast is forgotten and still counts")
	}
	_, _, other, err := c.jug(t.Context(), "other")
	if err != nil {
		t.Fatal(err)
	}
	if knows(other, estimate.YeastSpeed) {
		t.Error("one yeast told of another")
	}
	var asked *AskError
	if err := c.Forget(t.Context(), "the weather", false); !errors.As(err, &asked) {
		t.Errorf("Forget(the weather): %v, want an *AskError", err)
	}
}

// A bottling that is taken back tells nothing any more, and a jug tells nothing of itself.
func TestLessonsFollowTheRecord(t *testing.T) {
	c, _ := quiet(t)
	if _, err := c.Bottle(t.Context(), BottleWords{Jug: "heather", Bottles: []string{"5 x 750 mL"}, Done: true, Despite: "a test"}); err != nil {
		t.Fatal(err)
	}
	_, _, state, err := c.jug(t.Context(), "heather")
	if err != nil {
		t.Fatal(err)
	}
	if told, _ := c.learned(state); len(told) != 0 {
		t.Errorf("a jug tells of itself: %v", told)
	}
	tells := func() []lesson {
		all, _, err := c.lessons(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	first := tells()
	if len(first) != 1 {
		t.Fatalf("%d lessons, want one", len(first))
	}
	if _, ok := first[0].Tells[estimate.Losses]; !ok {
		t.Error("a bottling with its count tells nothing of losses")
	}
	// An older version of the model left what it worked out: it counts no more, and is found.
	old := first[0]
	old.Model, old.At = "0", old.At.Add(-time.Hour)
	if err := c.store.Put(t.Context(), store.Lessons, old.Jug, old); err != nil {
		t.Fatal(err)
	}
	if got := counting(tells(), nil, "", old.kindred); len(got) != 0 {
		t.Errorf("counts of an older model: %v", got)
	}
	if _, err := c.Today(t.Context(), 0); err != nil {
		t.Fatal(err)
	}
	if got := tells()[0]; got.Model != model || !reflect.DeepEqual(got.Tells, first[0].Tells) || !got.At.Equal(old.At) {
		t.Errorf("made anew: %+v, want %+v, and finished no later than it was", got, first[0])
	}
	for range 4 { // the bottling, and the readings that proved it
		if _, err := c.Withdraw(t.Context(), "heather", 0, ""); err != nil {
			t.Fatal(err)
		}
	}
	if len(tells()) != 0 {
		t.Error("what was taken back still tells")
	}
}

// doubting finds every evidence against what is known.
type doubting struct{ estimate.Estimator }

func (d doubting) Estimate(s estimate.Situation, seen []estimate.Observation) (*estimate.Posterior, error) {
	p, err := d.Estimator.Estimate(s, seen)
	if err == nil {
		p.Contradicted = "it cannot be"
	}
	return p, err
}

// A jug whose evidence contradicts what is known of it tells nothing.
func TestContradictedTellsNothing(t *testing.T) {
	c, _ := quiet(t)
	c.think = doubting{c.think}
	if _, err := c.Bottle(t.Context(), BottleWords{Jug: "heather", Bottles: []string{"5 x 750 mL"}, Done: true, Despite: "a test"}); err != nil {
		t.Fatal(err)
	}
	if all, _, err := c.lessons(t.Context()); err != nil || len(all) != 0 {
		t.Errorf("lessons %v, %v; want none", all, err)
	}
}

// What tells of which jug: yeast of its own kind, a cup of cups, and a room that was read of
// one that was.
func TestCounting(t *testing.T) {
	day := time.Date(2026, 5, 1, 0, 0, 0, 0, time.UTC)
	tells := estimate.Habits{estimate.YeastLag: {Mean: 1, SD: 0.5}, estimate.Room: {Mean: 1, SD: 0.5}, estimate.CupOfHoney: {Mean: 1, SD: 0.5}, estimate.Lock: {Mean: 1, SD: 0.5}}
	all := []lesson{{Jug: "a", Model: model, At: day, kindred: kindred{"ale yeast", true, true}, Tells: tells}}
	for _, tt := range []struct {
		name      string
		forgotten map[string]time.Time
		jug       string
		of        kindred
		want      []estimate.Habit
	}{
		{"all alike", nil, "b", kindred{"ale yeast", true, true}, []estimate.Habit{estimate.YeastLag, estimate.Lock, estimate.Room, estimate.CupOfHoney}},
		{"nothing alike", nil, "b", kindred{"mead yeast", false, false}, []estimate.Habit{estimate.Lock}},
		{"itself", nil, "a", kindred{"ale yeast", true, true}, nil},
		{"forgotten that day", map[string]time.Time{"lock": day}, "b", kindred{"ale yeast", false, false}, []estimate.Habit{estimate.YeastLag}},
		{"forgotten before", map[string]time.Time{"lock": day.Add(-1)}, "b", kindred{"mead yeast", false, false}, []estimate.Habit{estimate.Lock}},
	} {
		got := map[estimate.Habit]bool{}
		for _, one := range counting(all, tt.forgotten, tt.jug, tt.of) {
			for h := range one.Tells {
				got[h] = true
			}
		}
		want := map[estimate.Habit]bool{}
		for _, h := range tt.want {
			want[h] = true
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %v tell, want %v", tt.name, got, want)
		}
	}
}

// Losses are told by bottles counted against what the jug held.
func TestLost(t *testing.T) {
	of := func(bottles int) batch.State {
		return batch.State{
			Empty: true, Rackings: make([]batch.Dated[batch.Racked], 1),
			Bottlings: []batch.Dated[batch.Bottled]{{What: batch.Bottled{
				Bottles: []batch.Bottles{{SizeML: 100, Count: bottles}},
				Planned: &batch.Planned{Held: measure.Normal(10, 0.05, "L")},
			}}},
		}
	}
	const usual = 99                     // of 100: heel and hose
	few, fewKnown := lost(of(usual - 3)) // 3 % more
	many, manyKnown := lost(of(usual + 1))
	if !fewKnown || !manyKnown || few.Mean < 1 || many.Mean > 0 || few.SD >= 1 {
		t.Errorf("0.3 L more than usual lost: %+v; 0.1 L less: %+v", few, many)
	}
	part := of(usual)
	part.Empty = false
	if _, known := lost(part); known {
		t.Error("a jug that still holds wine tells of losses")
	}
}
