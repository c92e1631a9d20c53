package app

import (
	"errors"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
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
	for _, h := range learned.Habits {
		found[h.Topic] = true
		if !reflect.DeepEqual(h.Jugs, []string{"heather"}) || h.Before == h.After || !h.Before.Known() || !h.After.Known() {
			t.Errorf("%s of %s: %v after %v, by %q", h.Habit, h.Topic, h.After, h.Before, h.Jugs)
		}
		if h.Topic == "yeast" && h.Yeast != "champagne yeast" {
			t.Errorf("%s is told of %q", h.Habit, h.Yeast)
		}
	}
	if !found["yeast"] || !found["losses"] || found["cup"] {
		t.Errorf("learned of %v; want yeast and losses, and not of a cup: the honey was weighed", found)
	}
	taught := next()
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
	if _, knows := c.learned(state)[estimate.YeastSpeed]; knows {
		t.Error("the yeast is forgotten and still counts")
	}
	_, _, other, err := c.jug(t.Context(), "other")
	if err != nil {
		t.Fatal(err)
	}
	if _, knows := c.learned(other)[estimate.YeastSpeed]; knows {
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
	if told := c.learned(state); len(told) != 0 {
		t.Errorf("a jug tells of itself: %v", told)
	}
	if len(c.lessons.all) != 1 {
		t.Fatalf("%d lessons, want one", len(c.lessons.all))
	}
	if _, ok := c.lessons.all[0].Tells[estimate.Losses]; !ok {
		t.Error("a bottling with its count tells nothing of losses")
	}
	for range 4 { // the bottling, and the readings that proved it
		if _, err := c.Withdraw(t.Context(), "heather", 0, ""); err != nil {
			t.Fatal(err)
		}
	}
	if len(c.lessons.all) != 0 {
		t.Error("what was taken back still tells")
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
