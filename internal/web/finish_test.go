package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"skep/internal/app"
)

// dryJug is a jug that is dry, proven and racked.
func dryJug(t *testing.T) *Server {
	t.Helper()
	s, now := atHome(t)
	*now = time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)
	words := startWords
	words.Jug, words.Volume = "5 L", "4.5 L"
	if _, err := s.cellar.Start(t.Context(), words); err != nil {
		t.Fatal(err)
	}
	for _, day := range []int{1, 10, 20} {
		*now = time.Date(2026, 7, day, 10, 0, 0, 0, time.UTC)
		if _, err := s.cellar.Look(t.Context(), app.LookWords{Jug: "heather", Gravity: "0.996 at 20 C", Room: "20 C"}); err != nil {
			t.Fatal(err)
		}
	}
	*now = time.Date(2026, 7, 21, 10, 0, 0, 0, time.UTC)
	if _, err := s.cellar.Rack(t.Context(), app.RackWords{Jug: "heather", Left: "200 mL"}); err != nil {
		t.Fatal(err)
	}
	return s
}

// The page tells the ways, then the steps of one with the amounts for the jug, and writes
// down what was done and nothing that was only asked.
func TestFinishPage(t *testing.T) {
	s := dryJug(t)
	if body := show(t, s, "/jugs/heather"); !strings.Contains(body, `href="/jugs/heather/finish"`) {
		t.Error("the jug's page has no link to its finishing")
	}
	ways := show(t, s, "/jugs/heather/finish")
	for _, want := range []string{"Which way?", "finish?path=dry", "finish?path=sparkling"} {
		if !strings.Contains(ways, want) {
			t.Errorf("the ways lack %q", want)
		}
	}
	const asked = "/jugs/heather/finish?path=sweet&to=1.012"
	plan := show(t, s, asked)
	for _, want := range []string{"Next. Wait until it is clear", "potassium sorbate (", "of a stock of 10 g", "If it woke in closed bottles", `name="done" value="clear"`, `name="to" value="1.012"`, "sulphite"} {
		if !strings.Contains(plan, want) {
			t.Errorf("the steps lack %q", want)
		}
	}
	if strings.Contains(plan, "skep look") || strings.Count(plan, "It was done") != 1 {
		t.Error("a page speaks of commands, or another step than the next can be told of")
	}
	if n := entries(t, s, "to be finished"); n != 0 {
		t.Errorf("asking made %d entries", n)
	}
	for range 2 {
		r := send(s, "/jugs/heather/finish", keyOne, "path", "sweet", "to", "1.012", "done", "clear")
		if to := r.Header.Get("Location"); r.StatusCode != http.StatusSeeOther || !strings.HasPrefix(to, "/jugs/heather?said=") {
			t.Fatalf("a step done = %d to %q: %s", r.StatusCode, to, text(t, r))
		}
	}
	if way, step := entries(t, s, "to be finished: sweet, to 1.012"), entries(t, s, "clear"); way != 1 || step != 1 {
		t.Errorf("done, sent twice, made %d and %d entries, want one of the way and one of the step", way, step)
	}
	// The way is kept; what a look tells is recorded there.
	if body := show(t, s, "/jugs/heather/finish"); !strings.Contains(body, "Next. Read its pH") || !strings.Contains(body, "/jugs/heather/look?for=ph") {
		t.Error("the next step is not the pH, with a link to record it")
	}
	if body := show(t, s, "/"); !strings.Contains(body, "To finish it: Read its pH") || !strings.Contains(body, `href="/jugs/heather/finish"`) {
		t.Error("Today has not the next step, or no way to it")
	}
}

func TestFinishPageRefuses(t *testing.T) {
	s := dryJug(t)
	for _, tt := range []struct{ name, pairs, want string }{
		{"no such way", "path=frozen", `id="w-path"`},
		{"sweetened to dry", "path=sweet&to=dry", `id="w-to"`},
		{"too lively", "path=sparkling&fizz=30+g/L", `id="w-fizz"`},
		{"a step before its time", "path=sweet&done=sweeten", "the step before it is not done"},
		{"done already", "path=dry&done=rack", "done already"},
	} {
		values, err := url.ParseQuery(tt.pairs)
		if err != nil {
			t.Fatal(err)
		}
		var pairs []string
		for name := range values {
			pairs = append(pairs, name, values.Get(name))
		}
		r := send(s, "/jugs/heather/finish", keyOne, pairs...)
		if body := strings.ToLower(text(t, r)); r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(body, tt.want) {
			t.Errorf("%s = %d, want 422 and %q", tt.name, r.StatusCode, tt.want)
		}
	}
	if n := entries(t, s, "to be finished"); n != 0 {
		t.Errorf("refused, and yet %d entries", n)
	}
}

// A jug that works, or stalled, is offered no stabilising.
func TestFinishPageBeforeItIsOver(t *testing.T) {
	s := oneJug(t)
	body := show(t, s, "/jugs/heather/finish?path=sweet")
	if strings.Contains(body, "It was done") || !strings.Contains(body, "look?for=gravity") {
		t.Error("a working jug: a step can be told of, or nothing leads to a reading")
	}
}
