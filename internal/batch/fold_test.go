package batch_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/must"
)

var day0 = time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)

func day(n float64) time.Time { return day0.Add(time.Duration(n * 24 * float64(time.Hour))) }

// entry is an event told by day; its number is its place in the list.
type entry struct {
	id   string
	day  float64
	what batch.Happening
}

func record(entries ...entry) []batch.Event {
	events := make([]batch.Event, len(entries))
	for i, e := range entries {
		id := e.id
		if id == "" {
			id = fmt.Sprintf("e%d", i+1)
		}
		events[i] = batch.Event{ID: id, Jug: "j", Seq: i + 1, At: day(e.day), Recorded: day(e.day), Happened: e.what}
	}
	return events
}

func fold(t testing.TB, entries ...entry) batch.State {
	t.Helper()
	s, err := batch.Fold(record(entries...))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var (
	start   = entry{"made", 0, batch.Made{Name: "heather", Vessel: vessel, Parts: []batch.Part{honey(1200), water(3400)}}}
	pitch   = entry{"pitched", 0.1, batch.Pitched{Yeast: "white wine", Grams: 5}}
	six750  = []batch.Bottles{{SizeML: 750, Count: 5, Kind: "still-wine glass"}, {SizeML: 330, Count: 1, Kind: "beer glass", Part: true}}
	bottled = batch.Bottled{Bottles: six750, Style: batch.Still}
)

func TestWhatARecordMayNotSay(t *testing.T) {
	noted := batch.Noted{Note: "x"}
	for _, tt := range []struct {
		name string
		more []entry
		want string // in the error
	}{
		{"before the start", []entry{{"", -1, batch.Looked{Mass: grams("5 kg", 5000, 5)}}}, "before the jug was made, on 1 May 2026"},
		{"made twice", []entry{{"", 1, batch.Made{Name: "again"}}}, "already made"},
		{"correction of nothing", []entry{{"", 1, batch.Corrected{Of: "nil", By: noted}}}, `no earlier event "nil"`},
		{"correction of itself", []entry{{"c", 1, batch.Corrected{Of: "c", By: noted}}}, `no earlier event "c"`},
		{"correction of a later event", []entry{{"", 1, batch.Withdrawn{Of: "n"}}, {"n", 1, noted}}, `no earlier event "n"`},
		{"correction to another kind", []entry{{"n", 1, noted}, {"", 1, batch.Corrected{Of: "n", By: batch.Tasted{Words: "y"}}}}, "cannot be put in the place of"},
		{"correction of a withdrawal", []entry{{"n", 1, noted}, {"w", 1, batch.Withdrawn{Of: "n"}}, {"", 1, batch.Corrected{Of: "w", By: noted}}}, "cannot be put in the place of"},
		{"correction by a withdrawal", []entry{{"n", 1, noted}, {"", 1, batch.Corrected{Of: "n", By: batch.Withdrawn{Of: "made"}}}}, "cannot put a withdrawn"},
		{"correction to before the start", []entry{{"n", 1, noted}, {"", 1, batch.Corrected{Of: "n", By: noted, At: day(-1)}}}, "before the jug was made"},
		{"start moved behind what followed", []entry{{"", 1, batch.Corrected{Of: "made", By: start.what, At: day(2)}}}, "before the jug was made, on 3 May 2026"},
		{"negative weight", []entry{{"", 1, batch.Looked{Mass: grams("-5 kg", -5000, 5)}}}, "below zero"},
		{"negative part", []entry{{"", 1, batch.Added{Parts: []batch.Part{honey(-5)}}}}, "honey: grams is -5"},
		{"no number", []entry{{"", 1, batch.Looked{Gravity: gravity("?", math.NaN())}}}, "is not a number"},
		{"wrong kind", []entry{{"", 1, batch.Looked{Mass: litres("5 L", 5)}}}, `weight "5 L" is a volume, not a mass`},
		{"lighter than its vessel", []entry{{"", 1, batch.Racked{To: vessel, Full: grams("1 kg", 1000, 5)}}}, "below the empty weight"},
		{"nothing added", []entry{{"", 1, batch.Added{}}}, "nothing was added"},
		{"no bottles", []entry{{"", 1, batch.Bottled{Style: batch.Still}}}, "no bottles"},
		{"no style", []entry{{"", 1, batch.Bottled{Bottles: six750, Style: "fizzy"}}}, `style "fizzy"`},
		{"no size", []entry{{"", 1, batch.Bottled{Bottles: []batch.Bottles{{Count: 3}}, Style: batch.Still}}}, "above zero"},
		{"added to an empty jug", []entry{{"", 1, bottled}, {"", 2, batch.Added{Parts: []batch.Part{honey(5)}}}}, "the jug is empty"},
		{"more opened than filled", []entry{{"b", 1, bottled}, {"", 2, batch.Opened{Of: "b", SizeML: 750, Bottle: "still-wine glass", Count: 6}}}, "there are 5"},
		{"opened before it was filled", []entry{{"b", 2, bottled}, {"", 1, batch.Opened{Of: "b", SizeML: 750, Bottle: "still-wine glass", Count: 1}}}, "there are 0"},
		{"poured from an empty jug", []entry{{"", 1, bottled}, {"", 2, batch.Poured{Blend: "x", Into: "y", Litres: *litres("1 L", 1)}}}, "the jug is empty"},
		{"poured into nothing", []entry{{"", 1, batch.Poured{Litres: *litres("1 L", 1)}}}, "what the wine was blended into"},
		{"blended of nothing", []entry{{"", 1, batch.Blended{Blend: "x"}}}, "what was blended"},
		{"blended of no jug", []entry{{"", 1, batch.Blended{Blend: "x", Sources: []batch.Source{{Wine: wine(100)}}}}}, "comes from no jug"},
		{"more sure than sure", []entry{{"", 1, batch.Blended{Blend: "x", Sources: []batch.Source{{Jug: "k", Name: "k", Wine: wine(100), Over: 1.5}}}}}, "outside 0 to 1"},
		{"no aim", []entry{{"", 1, batch.Aimed{}}}, "not told"},
		{"heated to a volume", []entry{{"", 1, batch.Heated{To: *litres("5 L", 5)}}}, "is a volume, not a temperature"},
		{"score", []entry{{"", 1, batch.Tasted{Score: 11}}}, "outside 1 to 10"},
		{"score of another scale", []entry{{"", 1, batch.Tasted{Score: 21, OutOf: 20}}}, "outside 1 to 20"},
		{"a bottle holds more than it can", []entry{{"", 1, batch.Bottled{
			Bottles: []batch.Bottles{{SizeML: 375, Count: 1, Part: true, HoldsML: 376}}, Style: batch.Still,
		}}}, "does not hold 376 mL"},
		{"no bottles to move", []entry{{"", 1, batch.Shelved{Place: "cellar"}}}, "no such bottles"},
		{"bottles moved nowhere", []entry{{"b", 1, bottled}, {"", 2, batch.Shelved{Of: "b"}}}, "where to"},
		{"the same id", []entry{{"made", 1, noted}}, "there twice"},
	} {
		s, err := batch.Fold(record(append([]entry{start, pitch}, tt.more...)...))
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: Fold = %v, %v, want an error with %q", tt.name, s.Name, err, tt.want)
		}
	}
	if _, err := batch.Fold(record(pitch)); err == nil {
		t.Error("a record without Made was taken")
	}
	if _, err := batch.Fold(record(pitch, start)); err == nil {
		t.Error("a record that begins with the yeast was taken")
	}
	if _, err := batch.Fold(nil); err == nil {
		t.Error("no record at all was taken")
	}
	other := record(start, pitch)
	other[1].Jug = "k"
	if _, err := batch.Fold(other); err == nil {
		t.Error("an event of another jug was taken")
	}
}

func TestCheckAsksBeforeWriting(t *testing.T) {
	made := fold(t, start, pitch)
	held, err := made.Volume()
	if err != nil {
		t.Fatal(err)
	}
	fills := func(l float64) batch.Bottled {
		return batch.Bottled{Bottles: []batch.Bottles{{SizeML: l * 1000, Count: 1}}, Style: batch.Still}
	}
	for _, tt := range []struct {
		name string
		s    batch.State
		h    batch.Happening
		day  float64
		bad  bool
	}{
		{"a jug begins by being made", batch.State{}, start.what, 0, false},
		{"and by nothing else", batch.State{}, batch.Noted{Note: "x"}, 0, true},
		{"a look", made, batch.Looked{Mass: grams("5 kg", 5000, 5)}, 1, false},
		{"a look too early", made, batch.Looked{Mass: grams("5 kg", 5000, 5)}, -1, true},
		{"yeast again", made, pitch.what, 9, false},
		{"bottles that just hold it", made, fills(float64(held) * 1.04), 60, false},
		{"bottles that hold more", made, fills(float64(held) * 1.06), 60, true},
		{"bottles and a rest that are more", made, batch.Bottled{Bottles: six750, Style: batch.Still, Left: litres("2 L", 2)}, 60, true},
		{"more poured away than there was", made, batch.Poured{Blend: "x", Into: "y", Litres: *litres("5 L", 5)}, 60, true},
		{"all of it poured away", made, batch.Poured{Blend: "x", Into: "y", Litres: *litres("4 L", 4), Emptied: true}, 60, false},
		{"more left behind than there was", made, batch.Racked{To: vessel, Left: litres("5 L", 5)}, 60, true},
	} {
		if err := tt.s.Check(tt.h, day(tt.day)); (err != nil) != tt.bad {
			t.Errorf("%s: Check = %v, want an error: %v", tt.name, err, tt.bad)
		}
	}
	var over *batch.OverdrawnError
	if err := made.Check(fills(9), day(60)); !errors.As(err, &over) || over.Taken != 9 || over.Held != float64(held) {
		t.Errorf("Check(9 L of %.2f L) = %v, want an OverdrawnError that says so", held, err)
	}

	// The start is corrected to half the honey and water: now the bottles are too many.
	half := batch.Corrected{Of: "made", By: batch.Made{Name: "heather", Parts: []batch.Part{honey(600), water(1700)}}}
	full := fold(t, start, pitch, entry{"b", 60, bottled})
	if err := full.Check(half, day(61)); !errors.As(err, &over) || over.ID != "b" {
		t.Errorf("Check(correction to half) = %v, want an OverdrawnError of the bottling", err)
	}
	// A record that is overdrawn all the same opens, says so, and can be put right.
	bad := fold(t, start, pitch, entry{"b", 60, bottled}, entry{"", 61, half})
	if bad.Overdrawn == nil {
		t.Fatal("an overdrawn record does not say so")
	}
	if err := bad.Check(batch.Noted{Note: "odd"}, day(62)); err != nil {
		t.Errorf("Check(note) on an overdrawn record = %v, want nil", err)
	}
	if err := bad.Check(batch.Withdrawn{Of: "e4"}, day(62)); err != nil {
		t.Errorf("Check(withdrawal of the fault) = %v, want nil", err)
	}
}

func TestCheckWritesNothing(t *testing.T) {
	events := make([]batch.Event, 0, 8) // room behind, in which a careless append would write
	events = append(events, record(start, pitch)...)
	s, err := batch.Fold(events)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Check(batch.Noted{Note: "x"}, day(1)); err != nil {
		t.Fatal(err)
	}
	if got := events[:3][2]; got.ID != "" {
		t.Errorf("Check wrote %q behind the caller's events", got.ID)
	}
}

func TestCorrectionsAndWithdrawalsCanBeUndone(t *testing.T) {
	say := func(note string) batch.Noted { return batch.Noted{Note: note} }
	n := entry{"n", 1, say("one")}
	for _, tt := range []struct {
		name string
		more []entry
		want string // notes that count, with their day
	}{
		{"as written", nil, "one 1"},
		{"corrected", []entry{{"c", 2, batch.Corrected{Of: "n", By: say("two")}}}, "two 1"},
		{"corrected in time", []entry{{"c", 2, batch.Corrected{Of: "n", By: say("one"), At: day(0.5)}}}, "one 0.5"},
		{"corrected twice", []entry{{"c", 2, batch.Corrected{Of: "n", By: say("two"), At: day(0.5)}}, {"d", 3, batch.Corrected{Of: "n", By: say("three")}}}, "three 0.5"},
		{"correction corrected", []entry{{"c", 2, batch.Corrected{Of: "n", By: say("two")}}, {"d", 3, batch.Corrected{Of: "c", By: say("three"), At: day(0.75)}}}, "three 0.75"},
		{"correction withdrawn", []entry{{"c", 2, batch.Corrected{Of: "n", By: say("two"), At: day(0.5)}}, {"w", 3, batch.Withdrawn{Of: "c"}}}, "one 1"},
		{"second of two withdrawn", []entry{{"c", 2, batch.Corrected{Of: "n", By: say("two")}}, {"d", 3, batch.Corrected{Of: "n", By: say("three")}}, {"w", 4, batch.Withdrawn{Of: "d"}}}, "two 1"},
		{"withdrawn", []entry{{"w", 2, batch.Withdrawn{Of: "n"}}}, ""},
		{"withdrawn and back", []entry{{"w", 2, batch.Withdrawn{Of: "n"}}, {"v", 3, batch.Withdrawn{Of: "w"}}}, "one 1"},
		{"withdrawn, back and away", []entry{{"w", 2, batch.Withdrawn{Of: "n"}}, {"v", 3, batch.Withdrawn{Of: "w"}}, {"u", 4, batch.Withdrawn{Of: "v"}}}, ""},
		{"corrected and withdrawn", []entry{{"c", 2, batch.Corrected{Of: "n", By: say("two")}}, {"w", 3, batch.Withdrawn{Of: "n"}}}, ""},
	} {
		entries := append([]entry{start, n}, tt.more...)
		s := fold(t, entries...)
		var got []string
		for _, note := range s.Notes {
			if note.ID != "n" {
				t.Errorf("%s: the note has id %q, want that of the event", tt.name, note.ID)
			}
			got = append(got, fmt.Sprintf("%s %g", note.What.Note, note.At.Sub(day0).Hours()/24))
		}
		if strings.Join(got, ", ") != tt.want {
			t.Errorf("%s: notes %q, want %q", tt.name, got, tt.want)
		}
		lines, err := batch.History(record(entries...))
		if err != nil || len(lines) != len(entries) {
			t.Errorf("%s: history has %d lines, %v, want all %d", tt.name, len(lines), err, len(entries))
		}
		for _, l := range lines {
			if l.Event.ID == "n" && l.Event.Happened.(batch.Noted).Note != "one" {
				t.Errorf("%s: history forgot the first words: %q", tt.name, l.Event.Happened)
			}
			if l.Event.ID == "n" && l.Stands() != (tt.want != "") {
				t.Errorf("%s: Stands = %v", tt.name, l.Stands())
			}
		}
	}
}

func TestHistoryNamesWhatUndidWhat(t *testing.T) {
	lines, err := batch.History(record(start,
		entry{"n", 1, batch.Noted{Note: "one"}}, entry{"m", 1, batch.Noted{Note: "other"}},
		entry{"c", 2, batch.Corrected{Of: "n", By: batch.Noted{Note: "two"}}}, entry{"w", 2, batch.Withdrawn{Of: "m"}}))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, l := range lines {
		got = append(got, fmt.Sprintf("%s corrected by %q withdrawn by %q", l.Event.ID, l.CorrectedBy, l.WithdrawnBy))
	}
	want := []string{
		`made corrected by "" withdrawn by ""`, `n corrected by "c" withdrawn by ""`, `m corrected by "" withdrawn by "w"`,
		`c corrected by "" withdrawn by ""`, `w corrected by "" withdrawn by ""`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("history (-want +got):\n%s", diff)
	}
}

func TestAWithdrawnJugComesBack(t *testing.T) {
	gone := fold(t, start, pitch, entry{"w", 1, batch.Withdrawn{Of: "made"}})
	if !gone.Withdrawn || gone.Name != "heather" || !gone.Made.At.Equal(day(0)) || len(gone.Pitches) != 0 {
		t.Errorf("withdrawn jug = %v, %q, %d pitchings", gone.Withdrawn, gone.Name, len(gone.Pitches))
	}
	if err := gone.Check(batch.Withdrawn{Of: "w"}, day(2)); err != nil {
		t.Error(err)
	}
	back := fold(t, start, pitch, entry{"w", 1, batch.Withdrawn{Of: "made"}}, entry{"v", 2, batch.Withdrawn{Of: "w"}})
	if back.Withdrawn || len(back.Pitches) != 1 {
		t.Errorf("jug taken back = %v, %d pitchings", back.Withdrawn, len(back.Pitches))
	}
}

func TestEventsCountInTheOrderTheyHappened(t *testing.T) {
	// Written last, happened first: the racking took its share before the honey went in.
	late := fold(t, start, pitch,
		entry{"a", 20, batch.Added{Parts: []batch.Part{honey(100)}}},
		entry{"r", 10, batch.Racked{To: vessel, Left: litres("0.4 L", 0.4)}})
	prompt := fold(t, start, pitch,
		entry{"r", 10, batch.Racked{To: vessel, Left: litres("0.4 L", 0.4)}},
		entry{"a", 20, batch.Added{Parts: []batch.Part{honey(100)}}})
	if diff := cmp.Diff(prompt.Changes, late.Changes); diff != "" {
		t.Errorf("order of writing made a difference (-prompt +late):\n%s", diff)
	}
	if prompt.InJug != late.InJug || len(late.Changes) != 2 || late.Changes[0].ID != "r" {
		t.Errorf("changes = %+v", late.Changes)
	}
	// At one and the same time, the order of writing decides.
	same := fold(t, start, pitch,
		entry{"a", 20, batch.Added{Parts: []batch.Part{honey(100)}}},
		entry{"r", 20, batch.Racked{To: vessel, Left: litres("0.4 L", 0.4)}})
	if len(same.Changes) != 2 || same.Changes[0].ID != "a" {
		t.Errorf("changes at one time = %+v", same.Changes)
	}
}

func TestVolumeComesFromTheBestThatIsKnown(t *testing.T) {
	in := must.Must{}.Plus(honey(1200).Adds).Plus(water(3400).Adds)
	byAmounts, err := in.Volume(20)
	if err != nil {
		t.Fatal(err)
	}
	rho, err := in.Density(20)
	if err != nil {
		t.Fatal(err)
	}
	list := []batch.Part{honey(1200), water(3400)}
	for _, tt := range []struct {
		name string
		made batch.Made
		want float64 // L; 0 means ErrVolumeUnknown
	}{
		{"amounts", batch.Made{Parts: list}, float64(byAmounts)},
		{"mark on the vessel before amounts", batch.Made{Parts: list, Volume: litres("4.2 L", 4.2)}, 4.2},
		{"weight before all", batch.Made{Parts: list, Volume: litres("4.2 L", 4.2), Vessel: vessel, Full: grams("5.6 kg", 5600, 5)}, (5600 - 1190) / float64(rho)},
		{"weight and gravity alone", batch.Made{Gravity: gravity("1.085", 1.085), Vessel: vessel, Full: grams("5.6 kg", 5600, 5)}, (5600 - 1190) / 1083.054},
		{"pulp takes no room", batch.Made{Parts: append([]batch.Part{fruit(1000)}, list...), Vessel: vessel, Full: grams("6.5 kg", 6500, 5)}, -1},
		{"weight without the vessel's", batch.Made{Full: grams("5.6 kg", 5600, 5), Gravity: gravity("1.085", 1.085)}, 0},
		{"nothing", batch.Made{}, 0},
	} {
		tt.made.Name = "x"
		got, err := fold(t, entry{"made", 0, tt.made}).Volume()
		switch {
		case tt.want == 0:
			if !errors.Is(err, batch.ErrVolumeUnknown) {
				t.Errorf("%s: Volume = %g L, %v, want ErrVolumeUnknown", tt.name, got, err)
			}
		case tt.want < 0:
			mixed, err2 := in.Plus(fruit(1000).Adds).Density(20)
			want := (6500 - 1190 - 530) / float64(mixed)
			if err != nil || err2 != nil || math.Abs(float64(got)-want) > 1e-9 {
				t.Errorf("%s: Volume = %g L, %v, want %g L", tt.name, got, err, want)
			}
		case err != nil || math.Abs(float64(got)-tt.want) > 1e-6*tt.want:
			t.Errorf("%s: Volume = %g L, %v, want %g L", tt.name, got, err, tt.want)
		}
	}
}

func TestVolumeFollowsWhatGoesInAndOut(t *testing.T) {
	all := must.Must{}.Plus(honey(1200).Adds).Plus(water(3400).Adds).Plus(honey(200).Adds)
	want, err := all.Volume(20)
	if err != nil {
		t.Fatal(err)
	}
	more := entry{"", 5, batch.Added{Parts: []batch.Part{honey(200)}}}
	got, err := fold(t, start, pitch, more).Volume()
	if err != nil || math.Abs(float64(got-want)) > 1e-9 {
		t.Errorf("volume after honey = %g L, %v, want %g L", got, err, want)
	}
	got, err = fold(t, start, pitch, more, entry{"", 6, batch.Looked{Drawn: litres("200 mL", 0.2)}}).Volume()
	if err != nil || math.Abs(float64(got-want)+0.2) > 1e-9 {
		t.Errorf("volume after a sample = %g L, %v, want %g L", got, err, want-0.2)
	}
	// Only the litres are known: 200 g of this honey take 140 mL (its density is 1.42).
	unknown := entry{"made", 0, batch.Made{Name: "x", Volume: litres("4 L", 4)}}
	got, err = fold(t, unknown, pitch, more).Volume()
	if err != nil || math.Abs(float64(got)-4.14) > 0.01 {
		t.Errorf("volume of an unknown must after honey = %g L, %v, want 4.14 L", got, err)
	}
	// Nothing is known till the bottles are counted.
	blank := entry{"made", 0, batch.Made{Name: "x"}}
	got, err = fold(t, blank, pitch, entry{"", 60, batch.Bottled{Bottles: six750, Style: batch.Still, Left: litres("1 L", 1)}}).Volume()
	if err != nil || got != 1 {
		t.Errorf("volume after bottling all but a litre = %g L, %v, want 1 L", got, err)
	}
	if s := fold(t, blank, pitch, entry{"r", 9, batch.Racked{To: vessel, Left: litres("1 L", 1)}}); len(s.Changes) != 1 || !s.Changes[0].Unmeasured {
		t.Errorf("a share of an unknown volume = %+v, want it to be called unmeasured", s.Changes)
	}
}

func TestRackingByWeight(t *testing.T) {
	second := batch.Vessel{Name: "demijohn", Litres: 4.5, Tare: grams("1.5 kg", 1500, 4)}
	look := entry{"l", 30, batch.Looked{Mass: grams("5690 g", 1190+4500, 5)}}
	s := fold(t, start, pitch, look, entry{"r", 30.1, batch.Racked{To: second, Full: grams("5775 g", 1500+4275, 5)}})
	if len(s.Changes) != 1 || math.Abs(s.Changes[0].DrawnShare-0.05) > 1e-12 {
		t.Errorf("changes = %+v, want 5 %% drawn", s.Changes)
	}
	if s.Vessel.Name != "demijohn" {
		t.Errorf("vessel = %q", s.Vessel.Name)
	}
	for name, entries := range map[string][]entry{
		"a week old":       {look, {"r", 37, batch.Racked{To: second, Full: grams("5775 g", 5775, 5)}}},
		"fed since":        {look, {"a", 30.05, batch.Added{Parts: []batch.Part{honey(100)}}}, {"r", 30.1, batch.Racked{To: second, Full: grams("5775 g", 5775, 5)}}},
		"new tare unknown": {look, {"r", 30.1, batch.Racked{To: batch.Vessel{Name: "x"}, Full: grams("5775 g", 5775, 5)}}},
	} {
		s := fold(t, append([]entry{start, pitch}, entries...)...)
		if last := s.Changes[len(s.Changes)-1]; !last.Unmeasured || last.DrawnShare != 0 {
			t.Errorf("%s: %+v, want it to be called unmeasured", name, last)
		}
	}
}

func TestShelf(t *testing.T) {
	s := fold(t, start, pitch, entry{"b", 60, bottled},
		entry{"", 70, batch.Opened{Of: "b", SizeML: 750, Bottle: "still-wine glass", Count: 2}},
		entry{"", 71, batch.Opened{Of: "b", SizeML: 330, Bottle: "beer glass", Count: 1}})
	if len(s.Shelf) != 2 || s.Shelf[0].Left != 3 || s.Shelf[1].Left != 0 || !s.Empty {
		t.Errorf("shelf = %+v, empty %v", s.Shelf, s.Empty)
	}
}

// The part bottle is opened by itself, bottles stand where they were last put, and the
// kitchen has back what was kept.
func TestShelfInParts(t *testing.T) {
	b := batch.Bottled{
		Bottles: []batch.Bottles{
			{SizeML: 750, Count: 5, Kind: "still-wine glass"},
			{SizeML: 750, Count: 1, Kind: "still-wine glass", Part: true, HoldsML: 300},
		},
		Style: batch.Still, Place: "larder", Warmest: 24,
	}
	if b.Litres() != 4.05 {
		t.Errorf("the bottles hold %g L, want 4.05 L", b.Litres())
	}
	open := batch.Opened{Of: "b", SizeML: 750, Bottle: "still-wine glass", Count: 1, Back: true}
	part := open
	part.Part, part.Back = true, false
	s := fold(t, start, pitch, entry{"b", 60, b}, entry{"", 61, batch.Shelved{Of: "b", Place: "attic", Warmest: 33}},
		entry{"", 62, part}, entry{"", 63, open}, entry{"", 64, batch.Shelved{Place: "cellar"}})
	if len(s.Shelf) != 2 || s.Shelf[0].Left != 4 || s.Shelf[1].Left != 0 {
		t.Fatalf("shelf = %+v, want 4 and 0 left", s.Shelf)
	}
	if l := s.Shelf[0]; l.Place != "cellar" || l.Warmest != 33 || l.Code != s.Made.At.Format("060102")+"-1" {
		t.Errorf("lot = %+v, want in the cellar, the attic's 33 °C kept, coded by the day it was made", l)
	}
	kitchen := 0
	for _, e := range s.Empties {
		kitchen += e.Count
	}
	if kitchen != -5 {
		t.Errorf("the kitchen has %d bottles more, want 5 less: %+v", kitchen, s.Empties)
	}
}

// An older entry does not tell that it was the part bottle.
func TestOldEntryOpensThePartBottle(t *testing.T) {
	b := batch.Bottled{Bottles: []batch.Bottles{{SizeML: 375, Count: 1, Kind: "still-wine glass", Part: true}}, Style: batch.Still}
	s := fold(t, start, pitch, entry{"b", 60, b}, entry{"", 61, batch.Opened{Of: "b", SizeML: 375, Bottle: "still-wine glass", Count: 1}})
	if s.Shelf[0].Left != 0 {
		t.Errorf("shelf = %+v, want nothing left", s.Shelf)
	}
}

func TestObservations(t *testing.T) {
	second := batch.Vessel{Name: "demijohn", Tare: grams("1.5 kg", 1500, 4)}
	made := start.what.(batch.Made)
	made.Gravity, made.Sample, made.Full = gravity("1.085", 1.085), degrees("25 C", 25), grams("5.79 kg", 5790, 5)
	s := fold(t, entry{"made", 0, made}, entry{"p", 1, batch.Pitched{Yeast: "white wine", Grams: 5}},
		entry{"l", 3, batch.Looked{
			Gravity: gravity("1.060", 1.060), Calibrated: 15, Liquid: degrees("21 C", 21), Room: degrees("18 C", 18),
			Brix: brix("17 Bx", 17), Bubbles: bubbles("8", 8), Taste: " Sweet ",
		}},
		entry{"r", 11, batch.Racked{To: second, Left: litres("0.2 L", 0.2), Full: grams("5.8 kg", 5800, 3)}},
		entry{"m", 12, batch.Looked{Mass: grams("5.79 kg", 5790, 3), Taste: "like soap"}},
		entry{"q", 13, batch.Racked{To: batch.Vessel{Name: "unknown"}}},
		entry{"k", 14, batch.Looked{Mass: grams("5 kg", 5000, 3), Gravity: gravity("1.000", 1)}},
	)
	spread := math.Sqrt(3*3 + 3*3 + 4*4) // the reading and both empty weights
	want := []estimate.Observation{
		{ID: "made", At: 0, Sense: estimate.SawGravity, Value: 1.085, SD: 0.0007, Sample: 25, Calibrated: 20},
		{ID: "made", At: 0, Sense: estimate.SawMass, Value: 5790, SD: 5},
		{ID: "l", At: 48, Sense: estimate.SawGravity, Value: 1.060, SD: 0.0007, Sample: 21, Calibrated: 15},
		{ID: "l", At: 48, Sense: estimate.SawBrix, Value: 17, SD: 0.2, Sample: 21, Calibrated: 20},
		{ID: "l", At: 48, Sense: estimate.SawBubbles, Value: 8, SD: 1},
		{ID: "l", At: 48, Sense: estimate.SawTaste, Value: 1, SD: 0.25},
		{ID: "r", At: 240, Sense: estimate.SawMass, Value: 5490, SD: spread},
		{ID: "m", At: 264, Sense: estimate.SawMass, Value: 5480, SD: spread},
		// "k" weighs what no one knows any more; its gravity still counts.
		{ID: "k", At: 312, Sense: estimate.SawGravity, Value: 1, SD: 0.0007, Sample: 20, Calibrated: 20},
	}
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })
	if diff := cmp.Diff(want, s.Observations(), near); diff != "" {
		t.Errorf("observations (-want +got):\n%s", diff)
	}
	if !slices.IsSortedFunc(s.Observations(), func(a, b estimate.Observation) int { return int(a.At - b.At) }) {
		t.Error("observations are not in time order")
	}
}

// What was put in is in the jug, drawn, or in bottles, to the rounding of some 60
// additions of doubles; and a record means the same each time it is read.
func TestMassIsKeptThroughEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		entries := []entry{{"made", 0, batch.Made{
			Name: "x", Vessel: vessel,
			Parts: []batch.Part{honey(rapid.Float64Range(1, 2000).Draw(t, "honey")), water(rapid.Float64Range(500, 5000).Draw(t, "water")), fruit(rapid.Float64Range(0, 2000).Draw(t, "fruit"))},
		}}}
		emptied := false
		for i := range rapid.IntRange(0, 60).Draw(t, "entries") {
			at := rapid.Float64Range(0, 100).Draw(t, "day")
			volume := litres("some", rapid.Float64Range(0, 3).Draw(t, "litres"))
			var h batch.Happening
			switch rapid.IntRange(0, 9).Draw(t, "what") {
			case 0:
				h = pitch.what
			case 1:
				h = batch.Added{Parts: []batch.Part{honey(rapid.Float64Range(0, 500).Draw(t, "g")), fruit(rapid.Float64Range(0, 500).Draw(t, "g"))}}
			case 2:
				h = batch.Racked{To: vessel, Left: volume}
			case 3:
				h = batch.Looked{Drawn: volume, Mass: grams("x", rapid.Float64Range(0, 6000).Draw(t, "g"), 5)}
			case 4:
				h = batch.Racked{To: vessel, Full: grams("x", rapid.Float64Range(1190, 6000).Draw(t, "g"), 5)}
			case 5:
				h = batch.Bottled{Bottles: six750[:1], Style: batch.Sparkling, Priming: ptr(honey(10)), Left: volume}
			case 6:
				if emptied {
					h = batch.Noted{Note: "x"} // what may follow an empty jug is another test
					break
				}
				emptied = true
				h = batch.Bottled{Bottles: six750, Style: batch.Still}
				at = 101
			case 8:
				h = batch.Poured{Blend: "x", Into: "y", Litres: *volume}
			case 9:
				h = batch.Blended{Blend: "z", Sources: []batch.Source{{Jug: "k", Wine: wine(rapid.Float64Range(0, 3000).Draw(t, "g"))}}}
			case 7:
				if i > 0 {
					h = batch.Withdrawn{Of: entries[len(entries)-1].id}
				} else {
					h = batch.Noted{Note: "x"}
				}
			}
			entries = append(entries, entry{fmt.Sprint("e", i), at, h})
		}
		events := record(entries...)
		s, err := batch.Fold(events)
		if err != nil {
			t.Fatal(err)
		}
		out := s.InJug.Plus(s.Drawn).Plus(s.InBottles).Plus(s.InBlends)
		for c := range must.Components {
			if math.Abs(out[c]-s.PutIn[c]) > 1e-9*s.PutIn[c] {
				t.Errorf("%s: %g g in jug, drawn, bottled and blended away, %g g put in", c, out[c], s.PutIn[c])
			}
		}
		if err := errors.Join(s.InJug.Check(), s.Drawn.Check(), s.InBottles.Check()); err != nil {
			t.Error(err)
		}
		for _, c := range s.Changes {
			if !(c.DrawnShare >= 0 && c.DrawnShare < 1) {
				t.Errorf("share drawn = %g, want 0 to below 1", c.DrawnShare)
			}
		}
		slices.Reverse(events) // the order in memory means nothing
		again, err := batch.Fold(events)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(s, again, cmp.FilterPath(func(p cmp.Path) bool { return p.String() == "events" }, cmp.Ignore()), cmp.AllowUnexported(batch.State{})); diff != "" {
			t.Errorf("folded twice (-first +second):\n%s", diff)
		}
	})
}

// What went into a jug leaves it in the same share as the wine, by every way out.
func TestWhatStaysOfAStabiliser(t *testing.T) {
	doses := []entry{{"s", 40, batch.Stabilised{Parts: []batch.Part{water(1)}}}, {"b", 41, batch.Blended{Blend: "z", Sources: []batch.Source{{Jug: "k", Wine: wine(1000)}}}}}
	before := fold(t, append([]entry{start, pitch}, doses...)...)
	held, err := before.Volume()
	if err != nil {
		t.Fatal(err)
	}
	half := litres("half", float64(held)/2)
	for name, out := range map[string]batch.Happening{
		"a sample": batch.Looked{Drawn: half}, "lees": batch.Racked{To: vessel, Left: half},
		"a blend": batch.Poured{Blend: "x", Into: "y", Litres: *half},
		"bottles": batch.Bottled{Bottles: []batch.Bottles{{SizeML: 1000 * half.Value, Count: 1}}, Style: batch.Still, Left: half},
	} {
		s := fold(t, append(append([]entry{start, pitch}, doses...), entry{"o", 50, out})...)
		if math.Abs(s.Stayed[0]-0.5) > 1e-9 || math.Abs(s.BlendStayed[0]-0.5) > 1e-9 {
			t.Errorf("%s: %g and %g stayed, want half", name, s.Stayed[0], s.BlendStayed[0])
		}
	}
}

func TestPouredAndBlended(t *testing.T) {
	gave := fold(t, start, pitch, entry{"p", 60, batch.Poured{Blend: "x", Into: "y", Litres: *litres("4 L", 4), Emptied: true}})
	if !gave.Empty || gave.InJug.Mass() != 0 || gave.InBlends.Mass() == 0 || gave.Drawn.Mass() == 0 || len(gave.Shelf) != 0 {
		t.Errorf("a jug poured out holds %g g, %g in blends, %g lost, empty %t", gave.InJug.Mass(), gave.InBlends.Mass(), gave.Drawn.Mass(), gave.Empty)
	}
	took := fold(t, entry{"made", 0, batch.Made{Name: "summer"}},
		entry{"b", 0, batch.Blended{Blend: "x", Sources: []batch.Source{{Jug: "k", Wine: wine(2000)}, {Jug: "l", Wine: wine(1000)}}}})
	want, err := wine(3000).Adds.Volume(20)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := took.Volume(); err != nil || math.Abs(float64(got-want)) > 1e-9 {
		t.Errorf("a blend of 3 kg is %g L, %v, want %g L", got, err, want)
	}
	if took.Must != took.InJug {
		t.Errorf("nobody put yeast in, and what it is reckoned from is not what it holds")
	}
}

func BenchmarkFold(b *testing.B) {
	entries := []entry{start, pitch}
	for i := range 48 {
		entries = append(entries, entry{"", 1 + float64(i), batch.Looked{Mass: grams("5 kg", 5000, 5), Drawn: litres("50 mL", 0.05)}})
	}
	events := record(entries...)
	for b.Loop() {
		if _, err := batch.Fold(events); err != nil {
			b.Fatal(err)
		}
	}
}
