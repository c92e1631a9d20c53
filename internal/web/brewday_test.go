package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"skep/internal/app"
)

// brewed is a server with a plan that is kept, and the address of its brew day.
func brewed(t *testing.T) (s *Server, now *time.Time, brew string) {
	t.Helper()
	s, now = atHome(t)
	words := planWords(form{Values: elderflower()})
	p, err := s.cellar.Plan(t.Context(), words)
	if err == nil {
		err = s.cellar.KeepPlan(t.Context(), "elderflower", p)
	}
	if err != nil {
		t.Fatal(err)
	}
	return s, now, "/plans/elderflower/brew"
}

var heading = regexp.MustCompile(`<h1>([^<]*)</h1>`)

// at is the heading of a page.
func at(page string) string {
	if found := heading.FindStringSubmatch(page); found != nil {
		return found[1]
	}
	return ""
}

// From plan to jug, one step after the other, with what was really used.
func TestBrewDay(t *testing.T) {
	s, now, brew := brewed(t)
	key := strings.Repeat("k", 20)
	press := func(do string, fields ...string) (int, string, string) {
		t.Helper()
		form := url.Values{"do": {do}, "key": {key}}
		for i := 0; i < len(fields); i += 2 {
			form.Set(fields[i], fields[i+1])
		}
		return s.send(t, brew, form)
	}
	next := func(want string, fields ...string) string {
		t.Helper()
		status, to, page := press("next", fields...)
		if status != http.StatusSeeOther {
			t.Fatalf("before %q: %d, %s", want, status, page)
		}
		_, page = s.get(t, to)
		if at(page) != want {
			t.Fatalf("next leads to %q, want %q", at(page), want)
		}
		return page
	}
	_, page := s.get(t, brew)
	for _, want := range []string{"Read this through, and gather", "4 cups elderflower", "Step 1 of"} {
		if !strings.Contains(page, want) {
			t.Errorf("the first step lacks %q", want)
		}
	}
	status, _, page := press("next", "empty", "1.35 kgs and a bit", "with", "1 kg honey\n5 cups elderflower\n1 lemon")
	if status != 422 || !strings.Contains(page, `id="w-empty"`) || !strings.Contains(page, "1.35 kgs and a bit") {
		t.Errorf("an empty weight that is none = %d, want 422 at its field with what was typed", status)
	}
	if _, page := s.get(t, brew); !strings.Contains(page, "1.35 kgs and a bit") || !strings.Contains(page, "5 cups elderflower") {
		t.Error("a reload lost what was typed")
	}
	next("Clean, then sanitise", "empty", "1.35 kg", "with", "1 kg honey\n5 cups elderflower\n1 lemon")
	next("Infuse")

	// A clock goes on by itself.
	if status, _, page := press("wait", "minutes", "soon"); status != 422 || !strings.Contains(page, `id="w-minutes"`) {
		t.Errorf("a clock of soon minutes = %d, want 422 at the field", status)
	}
	press("wait", "minutes", "20")
	if _, page := s.get(t, brew); !strings.Contains(page, "go on at 16:20") || !strings.Contains(page, `data-until="2026-06-14T16:20:00Z"`) {
		t.Error("the clock does not say when to go on")
	}
	*now = now.Add(21 * time.Minute)
	if _, page := s.get(t, brew); !strings.Contains(page, "the time is up") {
		t.Error("after 21 minutes the clock does not say that the time is up")
	}
	press("stop 3")
	if _, page := s.get(t, brew); strings.Contains(page, "data-until") {
		t.Error("the clock was put away and is still there")
	}

	next("Let it cool in the pot")
	next("Into the jug, and up to the mark")
	next("Measure", "volume", "4.2 L")
	// What contradicts the recipe is told while stirring still helps.
	page = next("Measure", "gravity", "1.110 at 22 C")
	if !strings.Contains(page, "Careful") || !strings.Contains(page, "Go on all the same") {
		t.Error("a gravity that contradicts the recipe is passed over")
	}
	if page = next("Measure", "gravity", "1.050 at 22 C", "sure", "1.110 at 22 C"); !strings.Contains(page, "Go on all the same") {
		t.Error("another gravity that contradicts the recipe is passed over")
	}
	next("Pitch the yeast", "gravity", "1.050 at 22 C", "sure", "1.050 at 22 C")
	press("back")
	next("Pitch the yeast", "gravity", "1.077 at 22 C")
	if status, _, page := press("next", "must", "45 C", "yeast", "a packet of champagne yeast"); status != 422 || !strings.Contains(page, `id="w-must"`) {
		t.Errorf("yeast into a must of 45 °C = %d, want 422", status)
	}
	next("Lock, and put it in its place", "must", "24 C", "yeast", "a packet of champagne yeast")
	page = next("Record the jug", "room", "19 C", "place", "pantry")
	// Another phone is still at an earlier step: what is typed there is kept all the same.
	press("keep", "at", "6", "gravity", "1.078 at 22 C")
	if _, page := s.get(t, brew); at(page) != "Record the jug" || !strings.Contains(page, "1.078 at 22 C") {
		t.Errorf("what was typed in an earlier step leaves brew day at %q, want it at its last with that", at(page))
	}
	press("keep", "at", "6", "gravity", "1.077 at 22 C")
	for _, want := range []string{"5 cups elderflower", "1.077 at 22 C", "they agree", "pantry"} {
		if !strings.Contains(page, want) {
			t.Errorf("the last step lacks %q", want)
		}
	}
	if _, to, _ := press("keep", "name", "elder of the wood"); to != "" {
		t.Errorf("keeping leads to %q, want nowhere", to)
	}
	for range 2 { // a double tap
		status, to, page := press("start", "name", "elder of the wood")
		if status != http.StatusSeeOther || to != "/jugs/elder%20of%20the%20wood/started?plan=elderflower" {
			t.Fatalf("start = %d to %q, want 303 to what was recorded: %s", status, to, page)
		}
	}
	_, page = s.get(t, "/jugs/elder%20of%20the%20wood/started?plan=elderflower")
	for _, want := range []string{"elder of the wood is started", "they agree", "Undo", "Feed the yeast"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page of a started jug lacks %q", want)
		}
	}
	history, err := s.cellar.History(t.Context(), "elder of the wood")
	if err != nil || len(history) != 3 || !strings.Contains(history[0].Said, "5 cups elderflower") || !strings.Contains(history[2].Said, "pantry") {
		t.Errorf("History = %+v, %v, want what was really used, the yeast and the place, once", history, err)
	}
	if _, page := s.get(t, brew); !strings.Contains(page, "Brew day is done") {
		t.Error("brew day is not done")
	}

	// Taken back, it can be gone on with; then the plan can be made once more.
	if status, to, _ := s.send(t, "/jugs/elder%20of%20the%20wood/started", url.Values{"key": {strings.Repeat("u", 20)}, "plan": {"elderflower"}}); status != http.StatusSeeOther || to != brew {
		t.Errorf("undo = %d to %q, want 303 to brew day", status, to)
	}
	if _, page := s.get(t, brew); at(page) != "Record the jug" || !strings.Contains(page, "1.077 at 22 C") {
		t.Errorf("after undo brew day is at %q, want its last step with what was typed", at(page))
	}
	if status, _, _ := s.send(t, brew+"/again", nil); status != 422 {
		t.Errorf("beginning again in the middle = %d, want 422: what was typed would be lost", status)
	}
	key = strings.Repeat("n", 20)
	if status, _, page := press("start", "name", ""); status != 422 || !strings.Contains(page, `id="w-name"`) {
		t.Errorf("a jug without a name = %d, want 422", status)
	}
	press("start", "name", "elder")
	s.send(t, brew+"/again", nil)
	if _, page := s.get(t, brew); !strings.Contains(page, "Step 1 of") || strings.Contains(page, "5 cups") {
		t.Error("a second brew day does not begin at the beginning")
	}
}

// As planned is as planned: the parts are those of the plan, not words read again.
func TestBrewDayAsPlanned(t *testing.T) {
	s, _, _ := brewed(t)
	p, err := s.cellar.KeptPlan(t.Context(), "elderflower")
	if err != nil {
		t.Fatal(err)
	}
	d := brewData{Plan: p, Steps: []app.Step{{Asks: []string{"with"}}}, Day: app.BrewDay{Step: 1}}
	d.note(form{Values: url.Values{"with": {strings.Join(planLines(p), "\r\n")}}})
	if d.Day.Words.With != nil {
		t.Errorf("unchanged lines are noted as %q, want nothing noted", d.Day.Words.With)
	}
	d.note(form{Values: url.Values{"with": {"900 g honey"}}})
	if len(d.Day.Words.With) != 1 {
		t.Errorf("changed lines are noted as %q, want the one line", d.Day.Words.With)
	}
}

func TestBrewDayOfNoPlan(t *testing.T) {
	s, _ := atHome(t)
	if status, _ := s.get(t, "/plans/nobody/brew"); status != http.StatusNotFound {
		t.Errorf("brew day of no plan = %d, want 404", status)
	}
	if status, _ := s.get(t, "/jugs/nobody/started"); status != http.StatusNotFound {
		t.Errorf("the start of no jug = %d, want 404", status)
	}
}
