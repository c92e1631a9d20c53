package web

import (
	"bytes"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"skep/internal/app"
	"skep/internal/paper"
)

// bottled is a server with 12 bottles on its shelf, filled four months ago.
func bottled(t *testing.T) (*Server, *time.Time) {
	t.Helper()
	s, now := atHome(t)
	*now = now.AddDate(0, -4, 0)
	fillShelf(t, s)
	*now = now.AddDate(0, 4, 0)
	return s, now
}

// fillShelf bottles a jug, now.
func fillShelf(t *testing.T, s *Server) {
	t.Helper()
	if _, err := s.cellar.Start(t.Context(), app.StartWords{Name: "elder", Jug: "10 L", With: []string{"2.2 kg honey", "200 g elderflower"}, Gravity: "1.075 at 20 C", Yeast: "a packet of champagne yeast"}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.cellar.Bottle(t.Context(), app.BottleWords{Jug: "elder", Bottles: []string{"12 x 750 mL"}, Done: true, Despite: "for this test"}); err != nil {
		t.Fatal(err)
	}
}

func TestShelf(t *testing.T) {
	s, now := bottled(t)
	_, page := s.get(t, "/shelf")
	for _, want := range []string{"Elder", "<strong>12</strong> of 12 × 750 mL", "still", "Drunk", "Given", "Broken"} {
		if !strings.Contains(page, want) {
			t.Errorf("the shelf lacks %q", want)
		}
	}
	lots, err := s.cellar.Shelf(t.Context())
	if err != nil || len(lots) != 1 {
		t.Fatalf("Shelf = %v, %v, want one lot", lots, err)
	}
	lot := newShelfLot(&request{cellar: s.cellar}, lots[0])
	one := url.Values{"why": {"drunk"}, "size": {"750 mL"}, "from": {"shelf"}, "key": {strings.Repeat("a", 20)}}
	var to string
	for range 2 { // a double tap
		var status int
		if status, to, _ = s.send(t, lot.To("open"), one); status != http.StatusSeeOther || !strings.HasPrefix(to, "/shelf?") {
			t.Fatalf("a bottle drunk = %d to %q, want 303 to the shelf", status, to)
		}
	}
	_, page = s.get(t, to)
	if !strings.Contains(page, "<strong>11</strong> of 12") || !strings.Contains(page, "drunk") || !strings.Contains(page, "Undo") {
		t.Error("after a bottle was drunk the shelf does not show 11, what was recorded and a way back")
	}
	_, rest, _ := strings.Cut(page, `name="number" value="`)
	number, _, _ := strings.Cut(rest, `"`)
	status, to, _ := s.send(t, lot.To("undo"), url.Values{"number": {number}, "from": {"shelf"}, "key": {strings.Repeat("b", 20)}})
	if _, page := s.get(t, to); status != http.StatusSeeOther || !strings.Contains(page, "<strong>12</strong> of 12") || !strings.Contains(page, "taken back") {
		t.Errorf("undo = %d to %q, want 12 bottles again", status, to)
	}

	// The lot's own page.
	*now = now.AddDate(0, 3, 0)
	if _, err := s.cellar.Taste(t.Context(), app.TasteWords{Jug: "elder", Smell: "bread", Score: 5}); err != nil {
		t.Fatal(err)
	}
	*now = now.AddDate(0, 6, 0)
	if _, err := s.cellar.Taste(t.Context(), app.TasteWords{Jug: "elder", Smell: "elderflower", Score: 8}); err != nil {
		t.Fatal(err)
	}
	_, page = s.get(t, lot.To())
	for _, want := range []string{"Elder, in bottles", "months in the bottle", "Smell: from &#34;bread&#34; to &#34;elderflower&#34;", "2.2 kg honey", "Burst"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page of the lot lacks %q", want)
		}
	}
	status, to, _ = s.send(t, lot.To("move"), url.Values{"place": {"pantry"}, "key": {strings.Repeat("c", 20)}})
	if _, page := s.get(t, to); status != http.StatusSeeOther || !strings.HasPrefix(to, lot.To()) || !strings.Contains(page, "place: pantry") {
		t.Errorf("moving = %d to %q, want the lot with its place", status, to)
	}
	for _, tt := range []struct {
		name, path string
		form       url.Values
		status     int
		want       string
	}{
		{"moved nowhere", lot.To("move"), url.Values{}, 422, `id="w-place"`},
		{"half a bottle", lot.To("open"), url.Values{"count": {"half"}, "why": {"drunk"}}, 422, "whole number"},
		{"more than there are", lot.To("open"), url.Values{"count": {"40"}, "why": {"drunk"}}, 422, "not 40"},
		{"a lot of nobody", "/shelf/nobody/open", url.Values{"why": {"drunk"}}, 404, "nobody"},
	} {
		tt.form.Set("key", strings.Repeat("d", 20))
		if status, _, page := s.send(t, tt.path, tt.form); status != tt.status || !strings.Contains(page, tt.want) {
			t.Errorf("%s = %d, want %d with %q", tt.name, status, tt.status, tt.want)
		}
	}
	if status, _ := s.get(t, "/shelf/nobody"); status != http.StatusNotFound {
		t.Errorf("GET /shelf/nobody = %d, want 404", status)
	}
}

func TestEmptyShelf(t *testing.T) {
	s, _ := atHome(t)
	if status, page := s.get(t, "/shelf"); status != http.StatusOK || !strings.Contains(page, "Nothing is bottled yet") {
		t.Errorf("GET /shelf of an empty cellar = %d, want it to say what comes here", status)
	}
}

// What is printed comes as a file that is one, or the form says why not.
func TestPrint(t *testing.T) {
	s, _ := bottled(t)
	s.send(t, "/plans", func() url.Values { f := elderflower(); f.Set("name", "may wine"); return f }())
	labels := "/print/labels/elder?print=yes&"
	for path, status := range map[string]int{
		"/print/sheet/may%20wine": 200, "/print/shelf": 200, "/print/tag/elder": 200, "/print/story/elder": 200, "/print/class/elder": 200,
		"/print/tag/elder?paper=letter": 200, "/print/shelf?paper=A3": 422,
		labels: 200, labels + "sheet=A4+90x60&without=dates&without=drinks&outline=yes&title=For+Anna&words=with+thanks&steps=0.1&count=30&start=3": 200,
		"/print/sheet/nobody": 404, "/print/tag/nobody": 404, "/print/labels/nobody": 404,
	} {
		r := from(s, machine, http.MethodGet, path, nil, nil)
		body := text(t, r)
		if r.StatusCode != status || status == 200 && (!strings.HasPrefix(body, "%PDF-") || !strings.Contains(r.Header.Get("Content-Disposition"), ".pdf")) {
			t.Errorf("GET %s = %d, want %d and a PDF of a name", path, r.StatusCode, status)
		}
	}
	if _, page := s.get(t, "/print/labels/elder"); !strings.Contains(page, "Labels of elder") || !strings.Contains(page, "99.1") {
		t.Error("the form of labels lacks its heading or the common sheets")
	}
	for query, want := range map[string]string{
		"sheet=A4+of+some+kind": `id="w-sheet"`, "start=99": `id="w-start"`, "count=many": `id="w-count"`, "steps=0.2": `id="w-steps"`,
		"count=1001": `id="w-count"`, "law=Mars": `id="w-law"`,
		"sheet=A4+40x20": "does not fit", "title=%E4%BA%8C": "fault",
	} {
		if status, page := s.get(t, labels+query); status != 422 || !strings.Contains(page, want) {
			t.Errorf("labels with %s = %d, want 422 with %q", query, status, want)
		}
	}
}

// Labels of the page are those of the command for the same words.
func TestLabelsAreThoseOfTheCommand(t *testing.T) {
	s, now := bottled(t)
	label, err := s.cellar.Label(t.Context(), app.LabelWords{Jug: "elder", Law: "US"})
	if err != nil {
		t.Fatal(err)
	}
	for query, ask := range map[string]paper.LabelAsk{
		"law=US": {},
		"law=US&sheet=A4+3x7+63.5x38.1&start=3&count=30": {Sheet: "A4 3x7 63.5x38.1", Start: 3, Count: 30},
		"law=US&code=none&without=dates":                 {Code: "none", Without: []string{"dates"}},
	} {
		sheet, count, err := ask.Lay(label, s.cellar.Units())
		if err != nil {
			t.Fatal(err)
		}
		var want bytes.Buffer
		if err := paper.Labels(&want, slices.Repeat([]app.Label{label}, count), sheet, *now); err != nil {
			t.Fatal(err)
		}
		if r := from(s, machine, http.MethodGet, "/print/labels/elder?print=yes&"+query, nil, nil); text(t, r) != want.String() {
			t.Errorf("labels with %s are not those of the command", query)
		}
	}
}
