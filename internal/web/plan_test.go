package web

import (
	"fmt"
	"html"
	"net/http"
	"net/url"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"skep/internal/app"
)

// elderflower is what the form of a plan asks for.
func elderflower() url.Values {
	return url.Values{"jug": {"1 gal"}, "strength": {"11"}, "with": {"4 cups elderflower\n1 lemon"}, "yeast": {"champagne yeast"}}
}

// send sends a form from this machine.
func (s *Server) send(t *testing.T, path string, form url.Values) (status int, to, page string) {
	t.Helper()
	r := from(s, machine, http.MethodPost, path, form, nil)
	return r.StatusCode, r.Header.Get("Location"), text(t, r)
}

func TestPlan(t *testing.T) {
	s, _ := atHome(t)
	ask := func(change ...string) string {
		asked := elderflower()
		for i := 0; i < len(change); i += 2 {
			asked.Set(change[i], change[i+1])
		}
		return withQuery("/plan", asked)
	}
	for _, tt := range []struct {
		name, path string
		status     int
		want       []string
	}{
		{"nothing asked", "/plan", 200, []string{"Which jug", "See an example", "None yet"}},
		{"a plan", ask(), 200, []string{"It becomes", "11.0 % vol", "Elderflower", "4 cups", "In the kitchen", "Bottles", "hemlock", "this much honey", "1 lemon</textarea>"}},
		{"so much honey", ask("strength", "", "use", "900 g"), 200, []string{"<td>900 g</td>", "this strength"}},
		{"prices", ask("price", "honey 12 per kg"), 200, []string{"Cost:", "without a price"}},
		{"sweet", ask("sweet", "medium"), 200, []string{"medium, once it is sweetened", "Later, to sweeten"}},
		{"more than yeast bears", ask("strength", "19"), 422, []string{`id="w-strength"`, "cannot be had", "Ask for 16 % vol or less", "high-alcohol yeast", `value="19"`}},
		{"honey that does not reach", ask("on-hand", "500 g"), 422, []string{`id="w-strength"`, "is not enough", "Fill the jug and have about"}},
		{"a gravity and a strength", ask("gravity", "1.090"), 422, []string{`id="w-gravity"`, "not both"}},
		{"no jug", ask("jug", ""), 422, []string{`id="w-jug"`}},
		{"no goal", ask("strength", ""), 422, []string{`id="w-strength"`, "what is it to become"}},
		{"a price without a number", ask("price", "honey dear"), 422, []string{`id="w-price"`, "<details open>"}},
		{"an herb that nobody knows", ask("with", "2 cups moonwort"), 422, []string{`id="w-with"`, "2 cups moonwort"}},
	} {
		status, page := s.get(t, tt.path)
		if status != tt.status {
			t.Errorf("%s: GET %s = %d, want %d", tt.name, tt.path, status, tt.status)
		}
		for _, want := range tt.want {
			if !strings.Contains(strings.ToLower(page), strings.ToLower(want)) {
				t.Errorf("%s: GET %s lacks %q", tt.name, tt.path, want)
			}
		}
	}
}

// What is fixed instead gives the plan that it was read off.
func TestPlanHolds(t *testing.T) {
	s, _ := atHome(t)
	_, page := s.get(t, withQuery("/plan", elderflower()))
	_, rest, _ := strings.Cut(page, "Fix instead:")
	_, rest, _ = strings.Cut(rest, `href="`)
	to, _, _ := strings.Cut(rest, `"`)
	address, err := url.Parse(html.UnescapeString(to))
	if err != nil || address.Query().Get("use") == "" || address.Query().Get("strength") != "" {
		t.Fatalf("the first link of what can be fixed is %q, %v; want one that uses so much honey and frees the strength", to, err)
	}
	if status, held := s.get(t, address.String()); status != http.StatusOK || !strings.Contains(held, "11.0 % vol") {
		t.Errorf("GET %s = %d; want the same strength again", address, status)
	}
}

func TestKeepPlan(t *testing.T) {
	s, _ := atHome(t)
	keep := func(name string, change ...string) url.Values {
		asked := elderflower()
		asked.Set("name", name)
		for i := 0; i < len(change); i += 2 {
			asked.Set(change[i], change[i+1])
		}
		return asked
	}
	status, to, _ := s.send(t, "/plans", keep("May / June"))
	if status != http.StatusSeeOther || to != "/plans/May%20%2F%20June?kept=yes" {
		t.Fatalf("keeping a plan = %d to %q, want 303 to its page", status, to)
	}
	if status, page := s.get(t, to); status != http.StatusOK || !strings.Contains(page, "Kept as “May / June”.") || !strings.Contains(page, "Undo") || !strings.Contains(page, "11.0 % vol") {
		t.Errorf("GET %s = %d, want the plan, that it is kept, and a way back", to, status)
	}
	if status, _, page := s.send(t, "/plans", keep("")); status != 422 || !strings.Contains(page, `id="w-name"`) || !strings.Contains(page, "It becomes") {
		t.Errorf("keeping without a name = %d, want 422 at the name, with the plan still there", status)
	}
	if status, _, page := s.send(t, "/plans", keep("may / june", "strength", "9")); status != 422 || !strings.Contains(page, `name="replace"`) {
		t.Errorf("a name that is taken = %d, want 422 and the choice to replace", status)
	}
	if status, to, _ := s.send(t, "/plans", keep("may / june", "strength", "9", "replace", "yes")); status != http.StatusSeeOther || !strings.HasPrefix(to, "/plans/may") {
		t.Errorf("replacing = %d to %q, want 303", status, to)
	}
	if status, _, _ := s.send(t, "/plans", keep("x", "strength", "30")); status != 422 {
		t.Errorf("keeping what cannot be had = %d, want 422", status)
	}
	s.send(t, "/plans", keep("strong", "strength", "13"))
	if _, page := s.get(t, "/plan/compare?one=may+/+june&two=strong"); !strings.Contains(page, "% vol more") || !strings.Contains(page, "the same") {
		t.Error("comparing two plans does not say which is the stronger")
	}
	if status, page := s.get(t, "/plan/compare?one=may+/+june&two=nobody"); status != 422 || !strings.Contains(page, `id="w-two"`) {
		t.Errorf("comparing with a plan that is not there = %d, want 422 at the field", status)
	}
	status, to, _ = s.send(t, "/plans/strong/forget", nil)
	if _, page := s.get(t, to); status != http.StatusSeeOther || !strings.Contains(page, `value="13"`) || !strings.Contains(page, "kept no longer") {
		t.Errorf("forgetting = %d to %q, want 303 to the form with what it asked", status, to)
	}
	for _, path := range []string{"/plans/strong", "/plans/nobody"} {
		if status, _ := s.get(t, path); status != http.StatusNotFound {
			t.Errorf("GET %s = %d, want 404", path, status)
		}
	}
}

// What a person waits for when they change a word of a plan: under 100 ms is wanted.
func BenchmarkPlanPage(b *testing.B) {
	cellar, err := app.Open(b.Context(), filepath.Join(b.TempDir(), "cellar.db"), time.Now)
	if err != nil {
		b.Fatal(err)
	}
	defer cellar.Close()
	s := New(cellar, Options{Hosts: []string{"192.0.2.7"}})
	for i := 0; b.Loop(); i++ {
		asked := elderflower()
		asked.Set("strength", fmt.Sprint(9+i%5))
		if r := from(s, machine, http.MethodGet, withQuery("/plan", asked), nil, nil); r.StatusCode != http.StatusOK {
			b.Fatal(r.Status)
		}
	}
}
