package app

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func occasion(kind, what string, day int) Occasion {
	return Occasion{JugID: "1", Jug: "Heather", Kind: kind, What: what, Begin: time.Date(2026, 7, day, 0, 0, 0, 0, time.UTC)}
}

func july(day int) time.Time { return time.Date(2026, 7, day, 10, 0, 0, 0, time.UTC) }

// What is told anew is the same event moved, not another one.
func TestRetold(t *testing.T) {
	first := retold(nil, []Occasion{occasion("look", "Weigh it", 5), occasion("rack", "Rack it", 20), occasion("feed", "Give 1 g", 3), occasion("feed", "Give 1 g", 4)}, july(1))
	uid := map[string]string{}
	for _, o := range first {
		uid[fmt.Sprint(o.Kind, o.Begin.Day())] = o.UID
		if o.Sequence != 0 || !o.Changed.Equal(july(1)) {
			t.Errorf("told for the first time: %+v", o)
		}
	}
	if len(uid) != 4 {
		t.Fatalf("uids %v, want four", uid)
	}
	for _, tt := range []struct {
		name   string
		wanted []Occasion
		now    time.Time
		want   []string // kind and day it was told for, day it has, sequence, "cancelled"
	}{
		{"nothing changed", []Occasion{occasion("feed", "Give 1 g", 3), occasion("feed", "Give 1 g", 4), occasion("look", "Weigh it", 5), occasion("rack", "Rack it", 20)}, july(2), []string{"feed3 3 0", "feed4 4 0", "look5 5 0", "rack20 20 0"}},
		{"the forecast moved", []Occasion{occasion("feed", "Give 1 g", 3), occasion("feed", "Give 1 g", 4), occasion("look", "Weigh it", 6), occasion("rack", "Rack it", 25)}, july(2), []string{"feed3 3 0", "feed4 4 0", "look5 6 1", "rack20 25 1"}},
		{"the first portion was given on its day", []Occasion{occasion("feed", "Give 1 g", 4), occasion("look", "Weigh it", 5), occasion("rack", "Rack it", 20)}, july(3), []string{"feed3 3 1 cancelled", "feed4 4 0", "look5 5 0", "rack20 20 0"}},
		{"and the day after", []Occasion{occasion("feed", "Give 1 g", 4), occasion("look", "Weigh it", 5), occasion("rack", "Rack it", 20)}, july(4), []string{"feed4 4 0", "look5 5 0", "rack20 20 0"}},
		{"a look was taken", []Occasion{occasion("look", "Read it", 12), occasion("rack", "Rack it", 20)}, july(6), []string{"look5 12 1", "rack20 20 0"}},
		{"racking is due, and still is", []Occasion{occasion("rack", "Rack it", 24)}, july(24), []string{"rack20 20 0"}},
		{"the jug was taken back", nil, july(10), []string{"rack20 20 1 cancelled"}},
	} {
		var got []string
		for _, o := range retold(slices.Clone(first), tt.wanted, tt.now) {
			was := "new"
			for name, id := range uid {
				if id == o.UID {
					was = name
				}
			}
			words := fmt.Sprint(was, " ", o.Begin.Day(), " ", o.Sequence)
			if o.Cancelled {
				words += " cancelled"
			}
			got = append(got, words)
		}
		slices.Sort(got)
		slices.Sort(tt.want)
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// However the wants go: UIDs differ, what is told twice does not change, a sequence never
// falls, and nothing that lies ahead is dropped without being called off.
func TestRetoldLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var told []Occasion
		day := 1
		for range rapid.IntRange(1, 6).Draw(t, "times") {
			day += rapid.IntRange(0, 3).Draw(t, "days on")
			var wanted []Occasion
			for range rapid.IntRange(0, 5).Draw(t, "wants") {
				kind := rapid.SampledFrom([]string{"feed", "look", "taste"}).Draw(t, "kind")
				one := kind == "look" && slices.ContainsFunc(wanted, func(o Occasion) bool { return o.Kind == kind })
				if !one {
					wanted = append(wanted, occasion(kind, rapid.SampledFrom([]string{"this", "that"}).Draw(t, "what"), rapid.IntRange(1, 28).Draw(t, "day")))
				}
			}
			list := retold(slices.Clone(told), slices.Clone(wanted), july(day))
			now := map[string]Occasion{}
			standing := 0
			for _, o := range list {
				if _, twice := now[o.UID]; twice || o.UID == "" {
					t.Fatalf("%q is the UID of two", o.UID)
				}
				now[o.UID] = o
				if !o.Cancelled {
					standing++
				}
			}
			if standing != len(wanted) {
				t.Fatalf("%d stand, %d are wanted", standing, len(wanted))
			}
			for _, was := range told {
				o, there := now[was.UID]
				switch {
				case !there && !was.Begin.Before(dateOf(july(day), time.UTC)):
					t.Fatalf("%+v lies ahead and is dropped", was)
				case there && o.Sequence < was.Sequence, there && o != was && o.Sequence == was.Sequence:
					t.Fatalf("%+v became %+v", was, o)
				}
			}
			again := retold(slices.Clone(list), slices.Clone(wanted), july(day))
			if !slices.Equal(again, list) {
				t.Fatalf("told again: %+v, before %+v", again, list)
			}
			told = list
		}
	})
}

// A jug's calendar, from the day the yeast goes in to the bottles, over the file.
func TestCalendarOfAJug(t *testing.T) {
	now := time.Date(2026, 5, 3, 18, 0, 0, 0, time.UTC)
	c, err := Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	calendar := func() map[string][]Occasion {
		t.Helper()
		list, err := c.Calendar(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		kinds := map[string][]Occasion{}
		for _, o := range list {
			kinds[o.Kind] = append(kinds[o.Kind], o)
		}
		return kinds
	}
	if len(calendar()) != 0 {
		t.Error("an empty cellar has a calendar")
	}
	plan, err := c.Plan(t.Context(), PlanWords{Name: "heather", Jug: "5 L", Strength: "12", Yeast: "mead", Honey: "heather honey"})
	if err != nil {
		t.Fatal(err)
	}
	if err := c.KeepPlan(t.Context(), "heather", plan); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Start(t.Context(), StartWords{Name: "Heather", Plan: "heather", Yeast: "a packet of mead yeast", Room: "20 C"}); err != nil {
		t.Fatal(err)
	}
	first := calendar()
	if len(first["feed"]) != len(plan.Nutrient.Feedings) || len(first["feed"]) == 0 || !first["feed"][0].Timed || !strings.Contains(first["feed"][0].Why, "not after") {
		t.Errorf("portions of nutrient: %+v, the plan has %d", first["feed"], len(plan.Nutrient.Feedings))
	}
	if len(first["look"]) != 1 || len(first["rack"]) != 1 || len(first["bottle"]) != 1 || !first["bottle"][0].Begin.After(first["rack"][0].Begin) {
		t.Fatalf("the calendar of a new jug is %+v", first)
	}
	now = now.Add(time.Hour)
	if again := calendar(); !slices.Equal(again["rack"], first["rack"]) || !slices.Equal(again["feed"], first["feed"]) {
		t.Errorf("an hour later, with nothing written: %+v, before %+v", again, first)
	}
	// Cold slows it: racking moves, and is the same event.
	if _, err := c.Move(t.Context(), MoveWords{Jug: "Heather", Place: "cellar", Room: "14 C"}); err != nil {
		t.Fatal(err)
	}
	moved := calendar()
	if was, is := first["rack"][0], moved["rack"][0]; is.UID != was.UID || is.Sequence != was.Sequence+1 || !is.Begin.After(was.Begin) {
		t.Errorf("racking of a jug moved to the cold: %+v, before %+v", is, was)
	}
	if _, err := c.Withdraw(t.Context(), "Heather", 1, "a trial"); err != nil {
		t.Fatal(err)
	}
	for kind, all := range calendar() {
		for _, o := range all {
			if !o.Cancelled {
				t.Errorf("%s of a jug that was taken back stands: %+v", kind, o)
			}
		}
	}
}

func TestCalendarOfBottles(t *testing.T) {
	c := labelCellar(t, "1.2 kg honey")
	if _, err := c.Bottle(t.Context(), BottleWords{Jug: "Elderflower", Bottles: []string{"5 x 750 mL"}, Done: true, Despite: "a test"}); err != nil {
		t.Fatal(err)
	}
	list, err := c.Calendar(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	count := map[string]int{}
	for _, o := range list {
		if o.Kind == "drink" && !strings.Contains(o.Why, "common practice") {
			t.Errorf("a drinking window without its source: %+v", o)
		}
		count[o.Kind]++
	}
	if count["drink"] != 1 || count["taste"] < 3 {
		t.Errorf("of bottles the calendar has %v, want when they are best and three tastings", count)
	}
}
