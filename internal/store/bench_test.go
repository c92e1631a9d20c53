package store

import (
	"database/sql"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"skep/internal/batch"
)

// thousand is a record of 1,000 jugs with 50 events and 3 wants each. The notes are
// written past Append, which would check each of them and take a minute under -race.
func thousand(tb testing.TB) *Store {
	tb.Helper()
	s, _ := fresh(tb)
	err := s.write(tb.Context(), func(tx *sql.Tx) error {
		for i := range 1000 {
			jug := fmt.Sprint("jug", i)
			if err := extend(tb.Context(), tx, jug, []batch.Event{made(jug, jug)}); err != nil {
				return err
			}
			for n := range 49 {
				e := note(jug, fmt.Sprint(n), n)
				e.Seq = n + 2
				body, err := batch.Encode(e.Happened)
				if err != nil {
					return err
				}
				if err := insert(tb.Context(), tx, e, body); err != nil {
					return err
				}
			}
		}
		_, err := tx.Exec(`UPDATE jug SET seq = 50`)
		return err
	})
	if err != nil {
		tb.Fatal(err)
	}
	for i := range 1000 {
		wants := []Want{
			{At: day(i % 60), Until: day(i%60 + 3), Urgency: i % 4, What: "Look at it.", Why: "It slows down."},
			{At: day(i%60 + 14), Urgency: 1, What: "Rack it.", Why: "The lees are old."},
			{At: day(i%60 + 60), Urgency: 1, What: "Taste it.", Why: "It may be ready."},
		}
		if err := s.SaveAgenda(tb.Context(), fmt.Sprint("jug", i), wants); err != nil {
			tb.Fatal(err)
		}
	}
	return s
}

// Today over all jugs must answer before a person notices: the promise is 150 ms.
func TestTodayOverAThousandJugs(t *testing.T) {
	if testing.Short() {
		t.Skip("writes 50,000 events")
	}
	s := thousand(t)
	begun := time.Now()
	wants, err := s.Today(t.Context(), day(30), day(31))
	took := time.Since(begun)
	if err != nil || len(wants) < 200 {
		t.Fatalf("Today = %d wants, %v, want several hundred", len(wants), err)
	}
	if took > 150*time.Millisecond {
		t.Errorf("Today took %v, want below 150 ms", took)
	}
	begun = time.Now()
	if err := s.Check(t.Context()); err != nil {
		t.Error(err)
	}
	// Of some jugs only: the same wants, jug by jug in the order of the first of each.
	const most = 20
	first, jugs, err := s.TodayOf(t.Context(), day(30), day(31), most)
	if err != nil {
		t.Fatal(err)
	}
	var order []string
	of := map[string][]Want{}
	for _, w := range wants {
		if of[w.Jug] == nil {
			order = append(order, w.Jug)
		}
		of[w.Jug] = append(of[w.Jug], w)
	}
	var want []Want
	for _, jug := range order[:most] {
		want = append(want, of[jug]...)
	}
	if diff := cmp.Diff(want, first); diff != "" || jugs != len(order) {
		t.Errorf("TodayOf: %d jugs, want %d (-want +got):\n%s", jugs, len(order), diff)
	}
	t.Logf("Today: %d wants in %v; Check of 50,000 events: %v", len(wants), took, time.Since(begun))
}

func BenchmarkToday(b *testing.B) {
	s := thousand(b)
	for b.Loop() {
		if _, err := s.Today(b.Context(), day(30), day(31)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAppend(b *testing.B) {
	s, _ := fresh(b)
	n := 0
	for b.Loop() {
		jug := fmt.Sprint("jug", n/50)
		if n%50 == 0 {
			add(b, s, made(jug, jug))
		}
		add(b, s, note(jug, fmt.Sprint(n), 1))
		n++
	}
}

func BenchmarkOpen(b *testing.B) {
	s, path := fresh(b)
	add(b, s, made("j", "heather"))
	s.Close()
	for b.Loop() {
		reopenOnce(b, path)
	}
}

func BenchmarkOpenNew(b *testing.B) {
	dir, n := b.TempDir(), 0
	for b.Loop() {
		n++
		reopenOnce(b, filepath.Join(dir, fmt.Sprint(n)))
	}
}

func reopenOnce(b *testing.B, path string) {
	s, err := Open(path)
	if err != nil {
		b.Fatal(err)
	}
	if err := s.Close(); err != nil {
		b.Fatal(err)
	}
}
