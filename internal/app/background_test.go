package app_test

import (
	"context"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"skep/internal/app"
)

// inBackground is a cellar with one jug, its pages' view of it, and a clock to be moved.
func inBackground(t *testing.T) (direct, pages *app.Cellar, work func(context.Context) error, clock *atomic.Int64) {
	t.Helper()
	clock = new(atomic.Int64)
	clock.Store(time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC).Unix())
	direct, err := app.Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return time.Unix(clock.Load(), 0).UTC() })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { direct.Close() })
	if _, err := direct.Start(t.Context(), app.StartWords{
		Name: "heather", Jug: "4.5 L", With: []string{"1.1 kg honey"}, Yeast: "a packet of white wine yeast", Room: "20 C",
	}); err != nil {
		t.Fatal(err)
	}
	pages, work = direct.InBackground()
	return direct, pages, work, clock
}

// freshSoon waits for the work behind the pages.
func freshSoon(t *testing.T, pages *app.Cellar) app.Stood {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		stood, fresh, err := pages.Kept(t.Context(), "heather")
		if err != nil {
			t.Fatal(err)
		}
		if fresh {
			return stood
		}
		if time.Now().After(end) {
			t.Fatal("the forecast was never made anew")
		}
	}
}

func TestForecastsAreMadeBehindThePages(t *testing.T) {
	direct, pages, work, clock := inBackground(t)
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error)
	go func() { done <- work(ctx) }()
	if before := freshSoon(t, pages); before.Standing.Day != 0 {
		t.Errorf("day %d, want 0", before.Standing.Day)
	}

	// Written by a page: answered at once, told of a moment later.
	clock.Add(9 * 24 * 3600)
	if _, err := pages.Look(t.Context(), app.LookWords{Jug: "heather", Gravity: "1.040 at 20 C"}); err != nil {
		t.Fatal(err)
	}
	after := freshSoon(t, pages)
	whole, err := direct.Stand(t.Context(), "heather")
	if err != nil {
		t.Fatal(err)
	}
	if after.Standing.Day != 9 || after.Standing.Sentence != whole.Standing.Sentence || len(after.Course) != len(whole.Course) {
		t.Errorf("kept: %q on day %d, %d points; worked out: %q, %d points", after.Standing.Sentence, after.Standing.Day, len(after.Course), whole.Standing.Sentence, len(whole.Course))
	}
	if after.Bottling == nil || after.Bottling.Reason != whole.Bottling.Reason || after.Bottling.Limit != whole.Bottling.Limit {
		t.Errorf("the verdict that is kept, %+v, is not the one worked out, %+v", after.Bottling, whole.Bottling)
	}

	// Days on, nothing written: what is kept is of another day, and made anew.
	clock.Add(2 * 24 * 3600)
	if _, fresh, err := pages.Kept(t.Context(), "heather"); err != nil || fresh {
		t.Errorf("Kept after two days = fresh %t, %v, want not", fresh, err)
	}
	if later := freshSoon(t, pages); later.Standing.Day != 11 {
		t.Errorf("day %d, want 11", later.Standing.Day)
	}
	stop()
	if err := <-done; err != nil {
		t.Errorf("the work ended with %v", err)
	}

	// Nobody works: the page does it itself.
	clock.Add(24 * 3600)
	if stood, fresh, err := pages.Kept(t.Context(), "heather"); err != nil || !fresh || stood.Standing.Day != 12 {
		t.Errorf("Kept = day %d, fresh %t, %v, want day 12, fresh", stood.Standing.Day, fresh, err)
	}
}

func TestBoardHasOneCardForAJug(t *testing.T) {
	direct, pages, _, clock := inBackground(t)
	if _, err := direct.Start(t.Context(), app.StartWords{Name: "apple", Jug: "4.5 L", With: []string{"4 L apple juice"}, Yeast: "a packet of white wine yeast"}); err != nil {
		t.Fatal(err)
	}
	clock.Add(30 * 24 * 3600)
	board, err := pages.Board(t.Context(), 30*24*time.Hour, 10)
	if err != nil || board.Pending != 0 || board.All != 2 || len(board.Jugs) != 2 {
		t.Fatalf("Board = %+v, %v, want 2 jugs, none pending", board, err)
	}
	if one, err := pages.Board(t.Context(), 30*24*time.Hour, 1); err != nil || one.All != 2 || len(one.Jugs) != 1 || one.Jugs[0].Jug != board.Jugs[0].Jug {
		t.Errorf("Board of one = %+v, %v, want the first of two", one, err)
	}
	jugs := board.Jugs
	for i, j := range jugs {
		for k, w := range j.Wants {
			if k > 0 && w.Urgency > j.Wants[k-1].Urgency {
				t.Errorf("%s wants %q before %q", j.Jug, j.Wants[k-1].What, w.What)
			}
		}
		if i > 0 && j.Wants[0].Urgency > jugs[i-1].Wants[0].Urgency {
			t.Errorf("%s is more urgent and comes later", j.Jug)
		}
	}
	list, all, err := pages.Briefs(t.Context(), 1, 5)
	if err != nil || all != 2 || len(list) != 1 || list[0].Standing.Sentence == "" {
		t.Errorf("Briefs = %+v, %d, %v, want the second of two", list, all, err)
	}
}

// A day later every jug is worked out anew, on all processors, and the pages are told how
// many are left; nothing is left over, and nothing is lost by several at once.
func TestEveryJugIsWorkedOutAnewEachDay(t *testing.T) {
	direct, pages, work, clock := inBackground(t)
	names := []string{"heather"}
	for _, name := range []string{"apple", "quince", "plum", "gorse"} {
		if _, err := direct.Start(t.Context(), app.StartWords{Name: name, Jug: "4.5 L", With: []string{"4 L apple juice"}, Yeast: "a packet of white wine yeast"}); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	clock.Add(24 * 3600)
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error)
	go func() { done <- work(ctx) }()
	defer func() {
		stop()
		if err := <-done; err != nil {
			t.Errorf("the work ended with %v", err)
		}
	}()
	today := time.Unix(clock.Load(), 0).UTC()
	most := 0
	for end := time.Now().Add(30 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		board, err := pages.Board(t.Context(), 0, 10)
		if err != nil {
			t.Fatal(err)
		}
		most = max(most, board.Pending)
		list, _, err := pages.Briefs(t.Context(), 0, 10)
		if err != nil {
			t.Fatal(err)
		}
		old := 0
		for _, b := range list {
			if !b.At.Equal(today) {
				old++
			}
		}
		if len(list) == len(names) && old == 0 && board.Pending == 0 {
			break
		}
		if time.Now().After(end) {
			t.Fatalf("%d of %d jugs are still of yesterday, %d pending", old, len(list), board.Pending)
		}
	}
	if most == 0 {
		t.Error("the pages were never told that jugs are being worked out")
	}
	for _, name := range names {
		if stood, fresh, err := pages.Kept(t.Context(), name); err != nil || !fresh || stood.Standing.Day != 1 {
			t.Errorf("Kept(%q) = day %d, fresh %t, %v, want day 1, fresh", name, stood.Standing.Day, fresh, err)
		}
	}
}
