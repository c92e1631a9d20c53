package web

import (
	"net/http"
	"strings"
	"testing"

	"skep/internal/app/calc"
	"skep/internal/app/handbook"
)

// get asks for a page from this machine.
func (s *Server) get(t *testing.T, path string) (int, string) {
	t.Helper()
	r := from(s, machine, http.MethodGet, path, nil, nil)
	return r.StatusCode, text(t, r)
}

// Every calculation is a form, every example a link that is answered.
func TestCalculations(t *testing.T) {
	s, _ := atHome(t)
	_, list := s.get(t, "/calc")
	for _, c := range calc.All() {
		if !strings.Contains(list, `href="/calc/`+c.Name+`"`) {
			t.Errorf("/calc does not lead to %s", c.Name)
		}
		status, empty := s.get(t, "/calc/"+c.Name)
		if status != http.StatusOK || strings.Contains(empty, "Answer</h2>") || strings.Contains(empty, "aria-invalid") {
			t.Errorf("GET /calc/%s = %d, want an empty form and no answer", c.Name, status)
		}
		for _, i := range c.Inputs {
			if !strings.Contains(empty, `name="`+i.Name+`"`) {
				t.Errorf("/calc/%s does not ask for %s", c.Name, i.Name)
			}
		}
		for _, e := range c.Examples {
			to := calcAddress(c.Name, calc.Said(e))
			if status, page := s.get(t, to); status != http.StatusOK || !strings.Contains(page, "Answer</h2>") {
				t.Errorf("GET %s = %d, want an answer", to, status)
			}
		}
	}
}

func TestCalculationAnswers(t *testing.T) {
	s, _ := atHome(t)
	for _, tt := range []struct {
		name, path string
		status     int
		want       []string
	}{
		{"strength from two gravities", "/calc/abv?og=1.098&fg=1.004", 200, []string{"<dt>Alcohol</dt><dd>12.", "% vol", "most likely", "oiml-r22", `value="1.098"`}},
		{"a unit is missing", "/calc/density?sugar=20", 422, []string{`id="w-sugar"`, "has no unit", `value="20"`}},
		{"one of two", "/calc/abv?fg=1.004", 422, []string{`class="fault"`, `value="1.004"`}},
		{"beyond the method", "/calc/density?sugar=83+%25mass", 422, []string{`class="fault"`, "outside"}},
		{"several of a kind", "/calc/blend?part=5+L+12+%25vol+1.010%0D%0A1+L+0+%25vol+1.098", 200, []string{"Answer</h2>", "5 L 12 %vol 1.010\n1 L"}},
		{"no such question", "/calc/luck", 404, []string{"no page /calc/luck"}},
	} {
		status, page := s.get(t, tt.path)
		if status != tt.status {
			t.Errorf("%s: GET %s = %d, want %d", tt.name, tt.path, status, tt.status)
		}
		for _, want := range tt.want {
			if !strings.Contains(page, want) {
				t.Errorf("%s: GET %s lacks %q", tt.name, tt.path, want)
			}
		}
	}
}

// Every topic is a page, and no link of the handbook leads nowhere.
func TestHandbook(t *testing.T) {
	s, _ := atHome(t)
	status, contents := s.get(t, "/handbook")
	if status != http.StatusOK {
		t.Fatalf("GET /handbook = %d", status)
	}
	pages := map[string]string{}
	for _, c := range handbook.Contents() {
		for _, h := range c.Topics {
			if !strings.Contains(contents, `href="/handbook/`+h.Name+`"`) {
				t.Errorf("/handbook does not lead to %s", h.Name)
			}
			status, page := s.get(t, "/handbook/"+h.Name)
			if status != http.StatusOK || !strings.Contains(page, "<h1>") {
				t.Errorf("GET /handbook/%s = %d", h.Name, status)
			}
			pages[h.Name] = page
		}
	}
	for name, page := range pages {
		for _, part := range strings.Split(page, `href="/handbook/`)[1:] {
			to, _, _ := strings.Cut(part, `"`)
			topic, mark, _ := strings.Cut(to, "#")
			if pages[topic] == "" || mark != "" && !strings.Contains(pages[topic], `id="`+mark+`"`) {
				t.Errorf("/handbook/%s leads to %s, which is not there", name, to)
			}
		}
	}
	if status, _ := s.get(t, "/handbook/nothing"); status != http.StatusNotFound {
		t.Errorf("GET /handbook/nothing = %d, want 404", status)
	}
	if _, page := s.get(t, "/handbook?q=rotten"); !strings.Contains(page, "1 topic tells") && !strings.Contains(page, "topics tell of “rotten”") || !strings.Contains(page, "rotten-eggs") {
		t.Error("searching for rotten does not find the topic on rotten eggs")
	}
	if _, page := s.get(t, "/handbook?q=zeppelin"); !strings.Contains(page, "0 topics tell") {
		t.Error("searching for a zeppelin finds something")
	}
}

// Whatever word of the trade a page links is explained.
func TestTermsAreExplained(t *testing.T) {
	s, _ := atHome(t)
	_, words := s.get(t, "/handbook/words")
	files, err := pageFiles.ReadDir("pages")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		raw, err := pageFiles.ReadFile("pages/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		for _, part := range strings.Split(string(raw), `{{template "term" "`)[1:] {
			term, _, _ := strings.Cut(part, `"`)
			if !strings.Contains(words, `id="`+termMark(term)+`"`) {
				t.Errorf("pages/%s links %q, which the handbook does not explain", f.Name(), term)
			}
		}
	}
}
