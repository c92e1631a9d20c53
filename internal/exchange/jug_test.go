package exchange_test

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"skep/internal/app"
	"skep/internal/batch"
	"skep/internal/exchange"
)

// cellar is an empty one.
func cellar(t *testing.T, now *time.Time) *app.Cellar {
	t.Helper()
	c, err := app.Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return *now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

// grown is a jug with a correction and a withdrawal, and a blend of it.
func grown(t *testing.T, c *app.Cellar, now *time.Time) {
	t.Helper()
	must := func(_ any, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	ctx := t.Context()
	for _, name := range []string{"elder", "heather"} {
		must(c.Start(ctx, app.StartWords{
			Name: name, Jug: "5 L", With: []string{"1.1 kg honey"}, Volume: "4.5 L", Yeast: "a packet of champagne yeast", Room: "20 C", Gravity: "1.080",
		}))
	}
	*now = now.AddDate(0, 2, 0)
	seen, err := c.Look(ctx, app.LookWords{Jug: "elder", Saw: []string{"0.996 at 20 C", "20 C", "smells of “flowers” <&>"}, PH: "3.4", TA: "5.5 g/L"})
	must(seen, err)
	must(c.Look(ctx, app.LookWords{Jug: "elder", Saw: []string{"0.997 at 20 C"}, Instead: seen.Number}))
	must(c.Add(ctx, app.AddWords{Jug: "elder", Parts: []string{"0.2 g tannin"}}))
	must(c.Withdraw(ctx, "elder", 0, "a slip"))
	must(c.Blend(ctx, app.BlendWords{Jugs: []string{"elder", "heather"}, Take: []string{"1 L", "1 L"}, To: "summer", Done: true}))
}

// What is written is read the same to the last word, and taken in twice it is there once.
func TestJugThereAndBack(t *testing.T) {
	now := time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)
	from := cellar(t, &now)
	grown(t, from, &now)
	ctx := t.Context()
	to := cellar(t, &now)
	for _, name := range []string{"summer", "elder"} { // the blend before what it was made of
		events, err := from.Record(ctx, name)
		if err != nil {
			t.Fatal(err)
		}
		var document bytes.Buffer
		if err := exchange.WriteJug(&document, events); err != nil {
			t.Fatal(err)
		}
		back, err := exchange.ReadJug(bytes.NewReader(document.Bytes()))
		if err != nil || !reflect.DeepEqual(back, events) {
			t.Fatalf("%s: ReadJug = %v, %+v\nwant %+v", name, err, back, events)
		}
		for _, want := range []int{len(events), 0} {
			taken, err := to.Take(ctx, back)
			if err != nil || taken.Jug != name || taken.New != want {
				t.Errorf("Take(%s) = %d new, %v, want %d", name, taken.New, err, want)
			}
		}
		here, err := to.Record(ctx, name)
		if err != nil || !reflect.DeepEqual(here, events) {
			t.Errorf("%s as taken in is not as it was, %v", name, err)
		}
		if a, b := stood(t, from, name), stood(t, to, name); a != b {
			t.Errorf("%s stands at %s there and %s here", name, a, b)
		}
		l, err := to.Label(ctx, app.LabelWords{Jug: name})
		if err != nil {
			t.Errorf("label of %s: %v", name, err)
		}
		if notes := strings.Join(l.Notes, " "); name == "summer" && !strings.Contains(notes, "wine of elder is made of is not in this record") {
			t.Errorf("a blend without its parts says %q, want that their allergens are not known", notes)
		}
	}
	if err := to.Whole(ctx); err != nil {
		t.Error(err)
	}

	// It grows there, and is taken in again; grown on both sides it is refused.
	look := func(c *app.Cellar) {
		t.Helper()
		if _, err := c.Look(ctx, app.LookWords{Jug: "elder", Note: "clear"}); err != nil {
			t.Fatal(err)
		}
	}
	take := func() (app.Taken, error) {
		events, err := from.Record(ctx, "elder")
		if err != nil {
			t.Fatal(err)
		}
		return to.Take(ctx, events)
	}
	look(from)
	if taken, err := take(); err != nil || taken.New != 1 {
		t.Errorf("grown: %d new, %v, want 1", taken.New, err)
	}
	look(from)
	look(to)
	if _, err := take(); err == nil || !strings.Contains(err.Error(), "both here and there") {
		t.Errorf("grown on both sides: %v, want it refused", err)
	}
}

// stood is where a jug stands, in full.
func stood(t *testing.T, c *app.Cellar, name string) string {
	t.Helper()
	s, err := c.Stand(t.Context(), name)
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("%+v", *s.Now)
}

// A jug that stands full keeps its name.
func TestTakeOfANameThatIsThere(t *testing.T) {
	now := time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)
	from, to := cellar(t, &now), cellar(t, &now)
	for _, c := range []*app.Cellar{from, to} {
		if _, err := c.Start(t.Context(), app.StartWords{Name: "elder", Jug: "5 L", With: []string{"1.1 kg honey"}, Volume: "4.5 L"}); err != nil {
			t.Fatal(err)
		}
	}
	events, err := from.Record(t.Context(), "elder")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := to.Take(t.Context(), events); err == nil || !strings.Contains(err.Error(), "another jug that stands full") {
		t.Errorf("Take = %v, want it refused for its name", err)
	}
}

const begun = `{"format":"skep jug","version":1,"jug":"j","name":"elder","entries":[{"id":"a","at":"2026-05-01T10:00:00Z","recorded":"2026-05-01T10:00:00Z","happened":{"kind":"made","name":"elder","vessel":{"name":"5 L","litres":5}}}]}`

func TestReadJugRefuses(t *testing.T) {
	if events, err := exchange.ReadJug(strings.NewReader(begun)); err != nil || len(events) != 1 {
		t.Fatalf("ReadJug = %d events, %v", len(events), err)
	}
	for _, tt := range []struct{ name, old, new, want string }{
		{"prose", begun, "dear all", "no document of a jug"},
		{"another format", "skep jug", "recipe", `its format is "recipe"`},
		{"of tomorrow", `"version":1`, `"version":2`, "newer version"},
		{"of no version", `"version":1`, `"version":0`, "no version"},
		{"a kind of tomorrow", `"kind":"made"`, `"kind":"distant"`, "newer version"},
		{"a field of tomorrow", `"litres":5`, `"litres":5,"colour":"green"`, "newer version"},
		{"nothing in it", begun, `{"format":"skep jug","version":1,"jug":"j","entries":[]}`, ""},
		{"no beginning", `"kind":"made","name":"elder","vessel":{"name":"5 L","litres":5}`, `"kind":"noted","note":"x"`, ""},
		{"no time", `"at":"2026-05-01T10:00:00Z"`, `"at":"yesterday"`, "no document of a jug"},
	} {
		if _, err := exchange.ReadJug(strings.NewReader(strings.Replace(begun, tt.old, tt.new, 1))); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want %q", tt.name, err, tt.want)
		}
	}
	if _, err := exchange.ReadJug(strings.NewReader(strings.Replace(begun, `"version":1`, `"version":2`, 1))); !errors.Is(err, batch.ErrNewer) {
		t.Errorf("of tomorrow: %v, want batch.ErrNewer", err)
	}
}

// What is read is a record, and is written and read the same again.
func FuzzReadJug(f *testing.F) {
	f.Add([]byte(begun))
	f.Add([]byte(`{"format":"skep jug","version":1,"jug":"j","entries":[{}]}`))
	f.Add([]byte(strings.Replace(begun, `"litres":5`, `"litres":-1e400`, 1)))
	f.Fuzz(func(t *testing.T, body []byte) {
		events, err := exchange.ReadJug(bytes.NewReader(body))
		if err != nil {
			return
		}
		var document bytes.Buffer
		if err := exchange.WriteJug(&document, events); err != nil {
			t.Fatalf("what was read is not written: %v", err)
		}
		again, err := exchange.ReadJug(&document)
		if err != nil || !reflect.DeepEqual(events, again) {
			t.Fatalf("%v: %+v became %+v", err, events, again)
		}
	})
}
