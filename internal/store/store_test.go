package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
)

var update = flag.Bool("update", false, "write testdata/ anew")

var day0 = time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)

func day(n int) time.Time { return day0.AddDate(0, 0, n) }

// event is the happening on a day, with an id that tells both.
func event(jug, id string, on int, h batch.Happening) batch.Event {
	return batch.Event{ID: jug + "/" + id, Jug: jug, At: day(on), Recorded: day(on), Happened: h}
}

func made(jug, name string) batch.Event {
	return event(jug, "made", 0, batch.Made{Name: name, Parts: []batch.Part{{
		Ingredient: "must", Words: "a gallon of must", Amount: measure.Quantity{Words: "4 kg", Kind: measure.Mass, Value: 4000},
		Grams: 4000, Adds: must.Must{must.Water: 3200, must.Glucose: 400, must.Fructose: 400},
	}}})
}

func note(jug, id string, on int) batch.Event {
	return event(jug, id, on, batch.Noted{Note: "note " + id})
}

var five = batch.Bottled{Bottles: []batch.Bottles{{SizeML: 700, Count: 5, Kind: "still-wine glass"}}, Style: batch.Still}

// fresh is a new record on disk.
func fresh(t testing.TB) (s *Store, path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "cellar", "skep.db")
	return reopen(t, path), path
}

func reopen(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() }) // some tests have closed it
	return s
}

func add(t testing.TB, s *Store, events ...batch.Event) {
	t.Helper()
	if err := s.Append(t.Context(), events...); err != nil {
		t.Fatal(err)
	}
}

func read(t testing.TB, s *Store, jug string) []batch.Event {
	t.Helper()
	events, err := s.Events(t.Context(), jug)
	if err != nil {
		t.Fatal(err)
	}
	return events
}

func TestEventsComeBackAsWritten(t *testing.T) {
	s, path := fresh(t)
	late := note("j", "late", 3)
	late.At = late.At.In(time.FixedZone("", 7200)).Add(123456789 * time.Nanosecond)
	add(t, s, made("j", "heather"), note("j", "one", 2))
	add(t, s, late)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	want := []batch.Event{made("j", "heather"), note("j", "one", 2), note("j", "late", 3)}
	for i := range want {
		want[i].Seq = i + 1
	}
	want[2].At = day(3).Add(123 * time.Millisecond) // kept to the millisecond, read in UTC
	if diff := cmp.Diff(want, read(t, reopen(t, path), "j")); diff != "" {
		t.Errorf("events (-written +read):\n%s", diff)
	}
	if none := read(t, reopen(t, path), "k"); len(none) != 0 {
		t.Errorf("a jug that is not there has %d events", len(none))
	}
}

func TestAppendRefuses(t *testing.T) {
	numbered := func(e batch.Event, seq int) batch.Event { e.Seq = seq; return e }
	for _, tt := range []struct {
		name   string
		events []batch.Event
		want   error // nil: any
	}{
		{"a jug that was not made", []batch.Event{note("k", "one", 1)}, nil},
		{"a number that is taken", []batch.Event{numbered(note("j", "two", 1), 2)}, ErrConflict},
		{"a number too far", []batch.Event{numbered(note("j", "two", 1), 4)}, ErrConflict},
		{"an id that told something else", []batch.Event{event("j", "one", 2, batch.Noted{Note: "another"})}, ErrConflict},
		{"an id that told it at another time", []batch.Event{note("j", "one", 3)}, ErrConflict},
		{"an id of another jug", []batch.Event{made("k", "ling"), {ID: "j/one", Jug: "k", At: day(2), Recorded: day(2), Happened: batch.Noted{Note: "x"}}}, ErrConflict},
		{"a name that is taken", []batch.Event{made("k", "HEATHER")}, ErrNameTaken},
		{"what the fold refuses", []batch.Event{note("j", "early", -1)}, nil},
		{"more bottles than it holds", []batch.Event{event("j", "b", 60, batch.Bottled{Bottles: []batch.Bottles{{SizeML: 750, Count: 6}}, Style: batch.Still})}, nil},
		{"nothing", []batch.Event{{ID: "x", Jug: "j", At: day(1), Recorded: day(1)}}, nil},
		{"no id", []batch.Event{{Jug: "j", At: day(1), Recorded: day(1), Happened: batch.Noted{Note: "x"}}}, nil},
		{"no jug", []batch.Event{{ID: "x", At: day(1), Recorded: day(1), Happened: batch.Noted{Note: "x"}}}, nil},
		{"no time of writing", []batch.Event{{ID: "x", Jug: "j", At: day(1), Happened: batch.Noted{Note: "x"}}}, nil},
		{"no number", []batch.Event{event("j", "nan", 1, batch.Looked{Mass: &measure.Quantity{Kind: measure.Mass, Value: math.NaN()}})}, nil},
		{"the second of two", []batch.Event{note("j", "good", 2), note("j", "early", -1)}, nil},
		{"the second of two jugs", []batch.Event{made("l", "ling"), note("m", "lost", 2)}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s, _ := fresh(t)
			add(t, s, made("j", "heather"), note("j", "one", 2))
			err := s.Append(t.Context(), tt.events...)
			if err == nil || tt.want != nil && !errors.Is(err, tt.want) {
				t.Errorf("Append = %v, want %v", err, tt.want)
			}
			if got := len(read(t, s, "j")); got != 2 {
				t.Errorf("the jug has %d events, want the 2 from before: all or none", got)
			}
			if jugs, err := s.Jugs(t.Context()); err != nil || len(jugs) != 1 {
				t.Errorf("there are %d jugs, %v, want 1", len(jugs), err)
			}
			if err := s.Check(t.Context()); err != nil {
				t.Error(err)
			}
		})
	}
}

func TestSendingTwiceDoesNoHarm(t *testing.T) {
	s, _ := fresh(t)
	for range 3 {
		add(t, s, made("j", "heather"), note("j", "one", 2))
	}
	add(t, s, note("j", "one", 2), note("j", "two", 2))
	if got := len(read(t, s, "j")); got != 3 {
		t.Errorf("%d events, want 3", got)
	}
}

func TestEventsAreNeitherChangedNorDeleted(t *testing.T) {
	s, _ := fresh(t)
	add(t, s, made("j", "heather"))
	for _, statement := range []string{`UPDATE event SET at_ms = 0`, `DELETE FROM event`, `DELETE FROM jug`} {
		if _, err := s.db.Exec(statement); err == nil {
			t.Errorf("%s was let through", statement)
		}
	}
}

func TestJugsFollowTheirEvents(t *testing.T) {
	s, _ := fresh(t)
	ctx := t.Context()
	old := made("old", "heather")
	old.At = day(-300)
	add(t, s, old, event("old", "b", 60, five))
	add(t, s, made("j", "Heather")) // the name is free: the other jug is empty
	add(t, s, made("gone", "ling"), event("gone", "w", 1, batch.Withdrawn{Of: "gone/made"}))
	jugs, err := s.Jugs(ctx)
	if err != nil {
		t.Fatal(err)
	}
	want := []Jug{
		{ID: "j", Name: "Heather", Made: day(0), Seq: 1},
		{ID: "old", Name: "heather", Made: day(-300), Seq: 2, Emptied: true},
		{ID: "gone", Name: "ling", Made: day(0), Seq: 2, Withdrawn: true},
	}
	if diff := cmp.Diff(want, jugs); diff != "" {
		t.Errorf("jugs (-want +got):\n%s", diff)
	}
	for name, id := range map[string]string{"heather": "j", "HEATHER": "j", "Ling": "gone"} {
		if j, err := s.JugByName(ctx, name); err != nil || j.ID != id {
			t.Errorf("JugByName(%q) = %q, %v, want %q", name, j.ID, err, id)
		}
	}
	if _, err := s.JugByName(ctx, "clover"); !errors.Is(err, ErrNotFound) {
		t.Errorf("JugByName(clover) = %v, want ErrNotFound", err)
	}
	// To undo the bottling would bring a second heather back.
	if err := s.Append(ctx, event("old", "undo", 61, batch.Withdrawn{Of: "old/b"})); !errors.Is(err, ErrNameTaken) {
		t.Errorf("second heather = %v, want ErrNameTaken", err)
	}
	// A correction of the name frees it.
	renamed := made("j", "bell heather").Happened
	add(t, s, event("j", "c", 1, batch.Corrected{Of: "j/made", By: renamed}))
	add(t, s, event("old", "undo", 61, batch.Withdrawn{Of: "old/b"}))
	if lots, err := s.Shelf(ctx); err != nil || len(lots) != 0 {
		t.Errorf("shelf after undoing = %v, %v", lots, err)
	}
	if err := s.Check(ctx); err != nil {
		t.Error(err)
	}
}

func TestShelf(t *testing.T) {
	s, _ := fresh(t)
	add(t, s, made("j", "heather"), event("j", "b", 60, five),
		event("j", "o", 70, batch.Opened{Of: "j/b", SizeML: 700, Bottle: "still-wine glass", Count: 2}))
	add(t, s, made("k", "ling"), event("k", "b", 50, five),
		event("k", "o", 70, batch.Opened{Of: "k/b", SizeML: 700, Bottle: "still-wine glass", Count: 5}))
	if err := s.SaveWine(t.Context(), "j", json.RawMessage(`{"strength":11}`)); err != nil {
		t.Fatal(err)
	}
	lots, err := s.Shelf(t.Context())
	want := []Lot{{Jug: "j", Name: "heather", Wine: json.RawMessage(`{"strength":11}`), Lot: batch.Lot{
		Bottling: "j/b", Code: day0.Format("060102") + "-1", At: day(60), Style: batch.Still, Bottles: five.Bottles[0], Left: 3,
	}}}
	if diff := cmp.Diff(want, lots); err != nil || diff != "" {
		t.Errorf("shelf, %v (-want +got):\n%s", err, diff)
	}
	if lots, err := s.LotsNamed(t.Context(), want[0].Code); err != nil || len(lots) != 2 || lots[0].Name != "heather" || lots[1].Left != 0 {
		t.Errorf("lots of that code = %+v, %v; want both, the youngest first", lots, err)
	}
}

// Empty bottles are counted from the events, so that taking one back counts them again.
func TestEmpties(t *testing.T) {
	s, _ := fresh(t)
	ctx := t.Context()
	since := func(when time.Time, size float64, want int) {
		t.Helper()
		if n, err := s.EmptiesSince(ctx, when, size, "still-wine glass"); err != nil || n != want {
			t.Errorf("empty bottles of %g mL since %s: %d, %v; want %d", size, when.Format(time.DateOnly), n, err, want)
		}
	}
	add(t, s, made("j", "heather"), event("j", "b", 60, five),
		event("j", "o", 70, batch.Opened{Of: "j/b", SizeML: 700, Bottle: "still-wine glass", Count: 2, Back: true}))
	since(day(59), 700, -3)
	since(day(60), 700, -3)
	since(day(61), 700, 2)
	since(day(71), 700, 0)
	since(day(59), 750, 0)
	add(t, s, event("j", "undo", 71, batch.Withdrawn{Of: "j/o"}))
	since(day(59), 700, -5)
	add(t, s, event("j", "undo all", 72, batch.Withdrawn{Of: "j/b"}))
	since(day(59), 700, 0)
}

func TestToday(t *testing.T) {
	s, _ := fresh(t)
	ctx := t.Context()
	add(t, s, made("j", "heather"))
	add(t, s, made("k", "ling"))
	want := func(jug, name, what string, from, until, urgency int) Want {
		w := Want{Jug: jug, Name: name, At: day(from), Urgency: urgency, Kind: "look", What: what, Why: "because"}
		if until > 0 {
			w.Until = day(until)
		}
		return w
	}
	feed, rack, past, later := want("j", "heather", "feed", 1, 5, 2), want("j", "heather", "rack", 2, 0, 1), want("j", "heather", "cool", 1, 2, 3), want("j", "heather", "bottle", 9, 0, 9)
	stir := want("k", "ling", "stir", 3, 0, 2)
	if err := errors.Join(s.SaveAgenda(ctx, "j", []Want{want("j", "", "forgotten", 1, 0, 5)}), s.SaveAgenda(ctx, "j", []Want{rack, past, feed, later}), s.SaveAgenda(ctx, "k", []Want{stir})); err != nil {
		t.Fatal(err)
	}
	got, err := s.Today(ctx, day(3), day(3).Add(time.Hour))
	if diff := cmp.Diff([]Want{feed, stir, rack}, got); err != nil || diff != "" {
		t.Errorf("Today, %v (-want +got):\n%s", err, diff)
	}
	if got, err := s.Today(ctx, day(3), day(10)); err != nil || len(got) != 4 || got[0].What != "bottle" {
		t.Errorf("Today to day 10 = %+v, %v, want the bottling first of 4", got, err)
	}
	add(t, s, event("k", "w", 3, batch.Withdrawn{Of: "k/made"}))
	if got, err := s.Today(ctx, day(3), day(3)); err != nil || len(got) != 2 {
		t.Errorf("Today = %+v, %v, want nothing of the withdrawn jug", got, err)
	}
	if err := s.SaveAgenda(ctx, "nil", []Want{stir}); err == nil {
		t.Error("an agenda of no jug was kept")
	}
}

func TestOutlookAndWhatIsStale(t *testing.T) {
	s, _ := fresh(t)
	ctx := t.Context()
	add(t, s, made("j", "heather"), note("j", "one", 1))
	save := func(seq int, body string) {
		t.Helper()
		if err := s.SaveOutlook(ctx, Outlook{Jug: "j", Seq: seq, Model: "1", Body: json.RawMessage(body)}); err != nil {
			t.Fatal(err)
		}
	}
	kept := func(model, want string, stale bool) {
		t.Helper()
		o, err := s.Outlook(ctx, "j")
		if want == "" && !errors.Is(err, ErrNotFound) || want != "" && (err != nil || string(o.Body) != want) {
			t.Errorf("Outlook = %s, %v, want %q", o.Body, err, want)
		}
		old, err := s.Stale(ctx, model)
		if err != nil || (len(old) == 1) != stale {
			t.Errorf("Stale = %v, %v, want %t when the outlook is %q", old, err, stale, want)
		}
	}
	kept("1", "", true)
	save(2, `{"n":2}`)
	kept("1", `{"n":2}`, false)
	kept("2", `{"n":2}`, true) // another model
	add(t, s, note("j", "two", 2))
	kept("1", `{"n":2}`, true) // another event
	save(3, `{"n":3}`)
	save(2, `{"n":2}`) // a slow program comes too late
	kept("1", `{"n":3}`, false)
	add(t, s, event("j", "b", 60, five)) // in bottles now, which are judged anew
	kept("1", `{"n":3}`, true)
	save(4, `{"n":4}`)
	kept("1", `{"n":4}`, false)
	kept("2", `{"n":4}`, true)
	add(t, s, event("j", "o", 70, batch.Opened{Of: "j/b", SizeML: 700, Bottle: "still-wine glass", Count: 5}))
	kept("2", `{"n":4}`, false) // drunk to the last
}

func TestDrawers(t *testing.T) {
	s, _ := fresh(t)
	ctx := t.Context()
	jug := batch.Vessel{Name: "Glass gallon", Litres: 4.5, Tare: &measure.Quantity{Words: "2 lb 10 oz", Kind: measure.Mass, Value: 1190, SD: 3}}
	if err := errors.Join(s.Put(ctx, Vessels, "glass GALLON", 1), s.Put(ctx, Vessels, jug.Name, jug), s.Put(ctx, Vessels, "demijohn", 2), s.Put(ctx, Settings, "units", "us")); err != nil {
		t.Fatal(err)
	}
	var got batch.Vessel
	if err := s.Get(ctx, Vessels, "glass gallon", &got); err != nil || !cmp.Equal(got, jug) {
		t.Errorf("Get = %+v, %v, want %+v", got, err, jug)
	}
	var names []string
	all, err := s.All(ctx, Vessels)
	for _, k := range all {
		names = append(names, k.Name)
	}
	if err != nil || !cmp.Equal(names, []string{"demijohn", "Glass gallon"}) {
		t.Errorf("All = %v, %v", names, err)
	}
	for name, err := range map[string]error{
		"Get":                     s.Get(ctx, Vessels, "carboy", &got),
		"Get from another drawer": s.Get(ctx, Plans, "units", &got),
	} {
		if !errors.Is(err, ErrNotFound) {
			t.Errorf("%s of what is not there = %v, want ErrNotFound", name, err)
		}
	}
	if err := s.Put(ctx, Settings, "x", math.NaN()); err == nil {
		t.Error("a number that is none was kept")
	}
	if err := s.Get(ctx, Settings, "units", new(int)); err == nil || errors.Is(err, ErrNotFound) {
		t.Errorf("a word read as a number = %v", err)
	}
}

func TestTwoHandlesWriteAtOnce(t *testing.T) {
	one, path := fresh(t)
	two := reopen(t, path)
	add(t, one, made("j", "heather"))
	var wg sync.WaitGroup
	for h, s := range []*Store{one, two} {
		for w := range 2 {
			wg.Go(func() {
				for i := range 25 {
					if err := s.Append(context.Background(), note("j", fmt.Sprint(h, w, i), 1)); err != nil {
						t.Errorf("handle %d: %v", h, err)
					}
				}
			})
		}
	}
	wg.Wait()
	if got := len(read(t, one, "j")); got != 101 {
		t.Errorf("%d events, want 101", got)
	}
	if err := one.Check(t.Context()); err != nil {
		t.Error(err)
	}
	// Both saw 101 events and number the next themselves: one of them is told.
	first, second := note("j", "x", 2), note("j", "y", 2)
	first.Seq, second.Seq = 102, 102
	add(t, one, first)
	if err := two.Append(t.Context(), second); !errors.Is(err, ErrConflict) {
		t.Errorf("the second event 102 = %v, want ErrConflict", err)
	}
}

func TestTwoProgramsMakeOneRecord(t *testing.T) {
	for range 5 {
		path := filepath.Join(t.TempDir(), "skep.db")
		var wg sync.WaitGroup
		for i := range 4 {
			wg.Go(func() {
				s, err := Open(path)
				if err != nil {
					t.Error(err)
					return
				}
				jug := fmt.Sprint("jug", i)
				if err := errors.Join(s.Append(context.Background(), made(jug, jug)), s.Close()); err != nil {
					t.Error(err)
				}
			})
		}
		wg.Wait()
		if jugs, err := reopen(t, path).Jugs(t.Context()); err != nil || len(jugs) != 4 {
			t.Fatalf("%d jugs, %v, want 4", len(jugs), err)
		}
	}
}

func TestAWriterWhoHoldsOnIsNamed(t *testing.T) {
	_, path := fresh(t)
	slow, err := open(path, "")
	if err != nil {
		t.Fatal(err)
	}
	defer slow.Close()
	tx, err := slow.db.Begin()
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	s := reopen(t, path)
	s.db.SetMaxOpenConns(1) // the one that is told not to wait for five seconds
	if _, err := s.db.Exec(`PRAGMA busy_timeout = 50`); err != nil {
		t.Fatal(err)
	}
	if err := s.Append(t.Context(), made("j", "heather")); !errors.Is(err, ErrBusy) {
		t.Errorf("Append = %v, want ErrBusy", err)
	}
	if _, err := s.Jugs(t.Context()); err != nil {
		t.Errorf("a reader had to wait: %v", err)
	}
}

// What Append promises rests on these; no test can cut the power.
func TestEveryConnectionIsDurable(t *testing.T) {
	s, path := fresh(t)
	backup := path + ".backup" // a copy forgets the journal's kind
	if err := s.Backup(t.Context(), backup); err != nil {
		t.Fatal(err)
	}
	for _, s := range []*Store{s, reopen(t, backup)} {
		for range 3 { // all held at once, so each is another
			conn, err := s.db.Conn(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			defer conn.Close()
			for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "5000"} {
				var got string
				if err := conn.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
					t.Errorf("%s = %q, %v, want %q", pragma, got, err, want)
				}
			}
		}
	}
}

func TestOnlyTheOwnerReads(t *testing.T) {
	if os.PathSeparator == '\\' {
		t.Skip("file modes mean little on Windows")
	}
	s, path := fresh(t)
	add(t, s, made("j", "heather"))
	backup := path + ".backup"
	if err := s.Backup(t.Context(), backup); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]fs.FileMode{filepath.Dir(path): 0o700, path: 0o600, path + "-wal": 0o600, path + "-shm": 0o600, backup: 0o600} {
		if info, err := os.Stat(name); err != nil || info.Mode().Perm() != want {
			t.Errorf("%s: %v, %v, want %v", filepath.Base(name), info.Mode().Perm(), err, want)
		}
	}
}

func TestWhatCannotBeOpenedSaysWhy(t *testing.T) {
	exec := func(t *testing.T, path string, statements ...string) {
		db, err := sql.Open("sqlite", address(path))
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		for _, s := range statements {
			if _, err := db.Exec(s); err != nil {
				t.Fatal(err)
			}
		}
	}
	record := func(t *testing.T, path string) {
		s, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		add(t, s, made("j", "heather"))
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	for _, tt := range []struct {
		name    string
		prepare func(t *testing.T, path string)
		more    string
		want    error
	}{
		{"a newer version", func(t *testing.T, path string) {
			record(t, path)
			exec(t, path, `CREATE TABLE closure (id TEXT)`, `PRAGMA user_version = 99`)
		}, "", ErrNewer},
		{"a read-only record", record, "&mode=ro", ErrReadOnly},
		{"a read-only record on a read-only disk", record, "&mode=ro&immutable=1", ErrReadOnly},
		{"a text", func(t *testing.T, path string) {
			if err := os.WriteFile(path, []byte(strings.Repeat("dear diary, ", 500)), 0o600); err != nil {
				t.Fatal(err)
			}
		}, "", ErrNotARecord},
		{"another program's database", func(t *testing.T, path string) { exec(t, path, `CREATE TABLE wine (name TEXT)`) }, "", ErrNotARecord},
		{"another program's numbered database", func(t *testing.T, path string) { exec(t, path, `PRAGMA application_id = 77`) }, "", ErrNotARecord},
		{"a folder", func(t *testing.T, path string) {
			if err := os.Mkdir(path, 0o700); err != nil {
				t.Fatal(err)
			}
		}, "", ErrNotARecord},
	} {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "skep 100%?#.db") // signs that mean something in an address
			tt.prepare(t, path)
			before, _ := os.ReadFile(path)
			s, err := open(path, tt.more)
			if !errors.Is(err, tt.want) {
				t.Errorf("open = %v, %v, want %v", s, err, tt.want)
			}
			if after, _ := os.ReadFile(path); string(after) != string(before) {
				t.Error("the file was changed")
			}
		})
	}
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if s, err := Open(filepath.Join(file, "skep.db")); err == nil || !strings.HasPrefix(err.Error(), "open record "+file) {
		t.Errorf("Open under a file = %v, %v, want an error that names the path", s, err)
	}
}

func TestBackupIsAWholeRecord(t *testing.T) {
	s, path := fresh(t)
	add(t, s, made("j", "heather"), note("j", "one", 1))
	copied := path + ".backup"
	if err := s.Backup(t.Context(), copied); err != nil {
		t.Fatal(err)
	}
	add(t, s, note("j", "two", 1))
	if err := s.Backup(t.Context(), copied); !errors.Is(err, fs.ErrExist) {
		t.Errorf("second backup to one name = %v, want fs.ErrExist", err)
	}
	b := reopen(t, copied)
	if err := b.Check(t.Context()); err != nil {
		t.Error(err)
	}
	if got := len(read(t, b, "j")); got != 2 {
		t.Errorf("the backup has %d events, want the 2 of its moment", got)
	}
	if _, err := os.Stat(copied + ".part"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the half-made copy was left: %v", err)
	}
	if err := s.Backup(t.Context(), filepath.Join(path, "x")); err == nil {
		t.Error("a backup under a file was made")
	}
}

func TestCheckFindsFaults(t *testing.T) {
	for _, tt := range []struct{ name, statement, want string }{
		{"whole", `SELECT 1`, ""},
		{"missing event", `DROP TRIGGER event_is_not_deleted; DELETE FROM event WHERE seq = 2`, `jug "heather": event 2 is missing`},
		{"missing last event", `DROP TRIGGER event_is_not_deleted; DELETE FROM event WHERE seq = 3`, `jug "heather": event 3 is missing`},
		{"unreadable event", `DROP TRIGGER event_is_not_changed; UPDATE event SET body = '{"kind":"frozen"}' WHERE seq = 2`, "newer version"},
		{"event that makes no sense", `DROP TRIGGER event_is_not_changed; UPDATE event SET at_ms = 0 WHERE seq = 2`, "before the jug was made"},
		{"wrong list of jugs", `UPDATE jug SET name = 'ling'`, "does not agree"},
		{"wrong shelf", `UPDATE lot SET remain = 9`, "does not agree"},
		{"orphans", `PRAGMA foreign_keys = 0; INSERT INTO agenda VALUES ('x', 0, 0, 0, 0, '', '', '')`, "table agenda"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s, _ := fresh(t)
			add(t, s, made("j", "heather"), note("j", "one", 1), event("j", "b", 60, five))
			if _, err := s.db.Exec(tt.statement); err != nil {
				t.Fatal(err)
			}
			err := s.Check(t.Context())
			if (err == nil) != (tt.want == "") || err != nil && !strings.Contains(err.Error(), tt.want) {
				t.Errorf("Check = %v, want %q", err, tt.want)
			}
		})
	}
	s, path := fresh(t)
	for i := range 50 {
		jug := fmt.Sprint("jug", i)
		add(t, s, made(jug, jug))
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	info, err := file.Stat()
	if err != nil {
		t.Fatal(err)
	}
	// The last page holds events: the schema, without which nothing opens, lies before.
	if _, err := file.WriteAt([]byte("smear smear smear smear smear smear"), info.Size()-4096); err != nil {
		t.Fatal(err)
	}
	if err := file.Close(); err != nil {
		t.Fatal(err)
	}
	if err := reopen(t, path).Check(t.Context()); !errors.Is(err, ErrDamaged) {
		t.Errorf("Check of a smeared file = %v, want ErrDamaged", err)
	}
}

// Every old schema opens, and is brought up to date with all that is in it. With
// -update the file of the last one is written anew; older ones stay.
func TestOldRecordsOpen(t *testing.T) {
	if *update {
		writeOld(t, schema-1)
	}
	files, err := filepath.Glob("testdata/v*.db")
	if err != nil || len(files) != schema-1 {
		t.Fatalf("%d old records, %v, want one of each of the %d schemas before this", len(files), err, schema-1)
	}
	for _, file := range files {
		body, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(t.TempDir(), "old.db")
		if err := os.WriteFile(path, body, 0o600); err != nil {
			t.Fatal(err)
		}
		s := reopen(t, path)
		if err := s.Check(t.Context()); err != nil {
			t.Errorf("%s: %v", file, err)
		}
		want := oldEvents()
		for i := range want {
			want[i].Seq = i + 1
		}
		if diff := cmp.Diff(want, read(t, s, "j")); diff != "" {
			t.Errorf("%s (-written +read):\n%s", file, diff)
		}
		if lots, err := s.Shelf(t.Context()); err != nil || len(lots) != 1 || lots[0].Left != 3 || lots[0].Code == "" {
			t.Errorf("%s: shelf = %+v, %v, want 3 bottles of a lot with a name", file, lots, err)
		}
		if n, err := s.EmptiesSince(t.Context(), time.Time{}, 700, "still-wine glass"); err != nil || n != -5 {
			t.Errorf("%s: the kitchen has %d empty bottles more, %v, want 5 less", file, n, err)
		}
	}
}

func oldEvents() []batch.Event {
	return []batch.Event{
		made("j", "heather"), note("j", "one", 1), event("j", "b", 60, five),
		event("j", "o", 70, batch.Opened{Of: "j/b", SizeML: 700, Bottle: "still-wine glass", Count: 2}),
	}
}

// writeOld writes a record as a version that knew only the first migrations would.
func writeOld(t *testing.T, version int) {
	path := filepath.Join(t.TempDir(), "old.db")
	if err := create(path); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", address(path))
	if err != nil {
		t.Fatal(err)
	}
	s := &Store{db}
	if err := s.migrate(t.Context(), version); err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec(`INSERT INTO jug (id, name, made_ms, seq, emptied) VALUES ('j', 'heather', ?1, 4, 1)`, day0.UnixMilli()); err != nil {
		t.Fatal(err)
	}
	for i, e := range oldEvents() {
		body, err := batch.Encode(e.Happened)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := db.Exec(`INSERT INTO event (id, jug, seq, at_ms, recorded_ms, kind, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)`,
			e.ID, e.Jug, i+1, e.At.UnixMilli(), e.Recorded.UnixMilli(), e.Happened.Kind(), string(body)); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(fmt.Sprintf("testdata/v%d.db", version), body, 0o600); err != nil {
		t.Fatal(err)
	}
}

// A program that stopped between the last migration and the filling of what follows
// from the events leaves the rest to the next.
func TestHalfMigratedRecordIsFinished(t *testing.T) {
	s, path := fresh(t)
	add(t, s, oldEvents()...)
	if _, err := s.db.Exec(`DELETE FROM lot; UPDATE jug SET name = '?'; PRAGMA user_version = 1`); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if err := reopen(t, path).Check(t.Context()); err != nil {
		t.Error(err)
	}
}

func TestEveryTableAndColumnIsExplained(t *testing.T) {
	files, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil || len(files) != schema {
		t.Fatalf("%d migrations, %v, want %d", len(files), err, schema)
	}
	column := regexp.MustCompile(`^    [a-z_]+ +(TEXT|INTEGER|REAL|BLOB)|^CREATE TABLE`)
	seen := 0
	for _, file := range files {
		body, err := fs.ReadFile(migrations, file)
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(string(body)) {
			if !column.MatchString(line) {
				continue
			}
			seen++
			if !strings.Contains(line, " -- ") {
				t.Errorf("%s: no comment on %s", file, line)
			}
			if strings.Contains(line, "_ms ") && !strings.Contains(line, "ms since 1970 UTC") {
				t.Errorf("%s: no unit on %s", file, line)
			}
		}
	}
	if seen < 30 {
		t.Errorf("saw %d tables and columns, which is too few", seen)
	}
}
