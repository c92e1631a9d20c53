package web

import (
	"html/template"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"skep/internal/app"
)

var startWords = app.StartWords{
	Name: "heather", Jug: "4.5 L", With: []string{"1.1 kg honey"}, Yeast: "a packet of white wine yeast", Room: "20 C", Gravity: "1.084 at 20 C",
}

// Today tells of a jug at work which look to come would tell most, but where a reading is
// wanted already it speaks of no other.
func TestTodayTellsTheMostTellingLook(t *testing.T) {
	s, _ := atHome(t)
	if _, err := s.cellar.Start(t.Context(), startWords); err != nil {
		t.Fatal(err)
	}
	kept, _, err := s.pages.Kept(t.Context(), "heather")
	if err != nil || len(kept.NextLooks) == 0 {
		t.Fatal(len(kept.NextLooks), err)
	}
	body := show(t, s, "/")
	said := template.HTMLEscapeString(upperFirst(kept.NextLooks[0].Words))
	if wanted := strings.Contains(body, "hydrometer reading"); strings.Contains(body, said) == wanted {
		t.Errorf("a reading is wanted: %t; %q is told: %t", wanted, said, !wanted)
	}
	c := card{Jug: "heather", First: wanted{Wanted: app.Wanted{}}}
	c.First.Kind = "measure"
	if c.beside(app.Brief{Telling: &kept.NextLooks[0]}); c.Telling != nil {
		t.Error("two readings are asked for on one card")
	}
}

// send posts a form as a browser of this machine would, with a key of its own.
func send(s *Server, path, key string, pairs ...string) *http.Response {
	v := url.Values{"key": {key}}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	return from(s, machine, http.MethodPost, path, v, nil)
}

func show(t *testing.T, s *Server, path string) string {
	t.Helper()
	r := from(s, machine, http.MethodGet, path, nil, nil)
	if r.StatusCode != http.StatusOK {
		t.Fatalf("GET %s = %d", path, r.StatusCode)
	}
	return text(t, r)
}

const keyOne, keyTwo = "AAAAAAAAAAAAAAAAAAAAAAAAAA", "BBBBBBBBBBBBBBBBBBBBBBBBBB"

// Every recorder writes one entry, however often its form is sent, and answers with the
// page that shows it.
func TestRecordersWriteOnce(t *testing.T) {
	for _, tt := range []struct {
		path   string
		fields []string
		said   string
	}{
		{"look", []string{"bubbles", "8", "mass", "5.2", "gravity", "1.044", "sample", "22", "ph", "3.4"}, "weight 5.2 kg, 8 bubbles a minute, gravity 1.044 at 22 C"},
		{"add", []string{"part", "1 g diammonium phosphate\n1 lemon"}, "added 1 g diammonium phosphate, 1 lemon"},
		{"rack", []string{"left", "200 mL"}, "left behind 200 mL"},
		{"move", []string{"place", "the hall", "room", "17"}, "moved to the hall, room 17 C"},
		{"pitch", []string{"yeast", "5 g champagne yeast"}, "champagne yeast, 5 g"},
		{"taste", []string{"taste", "dry", "score", "7"}, "7"},
	} {
		s := oneJug(t)
		for range 2 {
			r := send(s, "/jugs/heather/"+tt.path, keyOne, tt.fields...)
			if to := r.Header.Get("Location"); r.StatusCode != http.StatusSeeOther || !strings.HasPrefix(to, "/jugs/heather?said=") {
				t.Fatalf("POST %s = %d to %q: %s", tt.path, r.StatusCode, to, text(t, r))
			} else if body := show(t, s, to); !strings.Contains(body, "Recorded:") || !strings.Contains(body, tt.said) || !strings.Contains(body, "Undo") {
				t.Errorf("after %s the page lacks %q and the way back", tt.path, tt.said)
			}
		}
		if n := entries(t, s, tt.said); n != 1 {
			t.Errorf("%s sent twice made %d entries", tt.path, n)
		}
	}
}

// What was typed wrongly comes back at its field, the rest kept, and nothing is written.
func TestRecordersRefuse(t *testing.T) {
	s := oneJug(t)
	before := entries(t, s, "")
	for _, tt := range []struct {
		path, field, words string
		more               []string
	}{
		{"look", "mass", "5 furlongs", []string{"note", "kept"}},
		{"look", "gravity", "10.50", nil},
		{"look", "when", "tomorrow", []string{"note", "kept"}},
		{"add", "part", "300 g moon dust", []string{"why", "kept"}},
		{"rack", "left", "a lot", nil},
		{"move", "room", "warm", nil},
		{"pitch", "yeast", "5 furlongs of yeast", nil},
		{"taste", "score", "good", []string{"words", "kept"}},
	} {
		r := send(s, "/jugs/heather/"+tt.path, keyOne, append([]string{tt.field, tt.words}, tt.more...)...)
		body := text(t, r)
		if r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(body, `id="w-`+tt.field+`"`) || !strings.Contains(body, tt.words) {
			t.Errorf("%s with %s=%q = %d, without a fault at the field", tt.path, tt.field, tt.words, r.StatusCode)
		}
		if tt.more != nil && !strings.Contains(body, "kept") {
			t.Errorf("%s with %s=%q lost what else was typed", tt.path, tt.field, tt.words)
		}
	}
	// A fault of no field is told above the form.
	r := send(s, "/jugs/heather/rack", keyOne, "left", "400 L")
	if body := text(t, r); r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(body, `role="alert"`) || !strings.Contains(body, "400 L") {
		t.Errorf("400 L left behind of 4.5 = %d", r.StatusCode)
	}
	if n := entries(t, s, ""); n != before {
		t.Errorf("%d entries were written", n-before)
	}
	if r := send(s, "/jugs/nobody/look", keyOne, "mass", "5"); r.StatusCode != http.StatusNotFound {
		t.Errorf("a look at no jug = %d, want 404", r.StatusCode)
	}
	if r := send(s, "/jugs/heather/look", "short", "mass", "5"); r.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a look under no key = %d, want 422", r.StatusCode)
	}
}

// An entry is put right in the words that it was told in, and taken back.
func TestCorrectAndWithdraw(t *testing.T) {
	s := oneJug(t)
	send(s, "/jugs/heather/look", keyOne, "mass", "5.2", "gravity", "1.044", "sample", "22")
	if body := show(t, s, "/jugs/heather/history"); !strings.Contains(body, "/jugs/heather/history/4/correct") {
		t.Fatal("the history has no look to put right")
	}
	form := show(t, s, "/jugs/heather/history/4/correct")
	for _, want := range []string{`value="5.2 kg"`, `value="1.044 at 22 C"`, `name="instead" value="4"`, `action="/jugs/heather/look"`} {
		if !strings.Contains(form, want) {
			t.Errorf("the form lacks %s", want)
		}
	}
	r := send(s, "/jugs/heather/look", keyTwo, "mass", "5.1", "instead", "4")
	if r.StatusCode != http.StatusSeeOther || entries(t, s, "correction of 4: weight 5.1 kg") != 1 {
		t.Errorf("the correction = %d: %s", r.StatusCode, text(t, r))
	}
	r = send(s, "/jugs/heather/history/4/withdraw", "CCCCCCCCCCCCCCCCCCCCCCCCCC")
	if r.StatusCode != http.StatusSeeOther || entries(t, s, "took back 4") != 1 {
		t.Errorf("the withdrawal = %d: %s", r.StatusCode, text(t, r))
	}
	if ask := show(t, s, "/jugs/heather/history/1/withdraw"); !strings.Contains(ask, "the whole jug goes with it") {
		t.Error("brew day is taken back without a word")
	}
}

// The page of a jug says what stands in the record of it, in words, numbers and a picture.
func TestJugPage(t *testing.T) {
	s := oneJug(t)
	for show, label := range map[string]string{"": "Gravity", "weight": "Weight lost", "temperature": "Temperature", "nonsense": "Gravity"} {
		body := text(t, from(s, machine, http.MethodGet, "/jugs/heather?show="+show, nil, nil))
		for _, want := range []string{"<h1>heather</h1>", `<h2 id="course">` + label, `role="img"`, "The same in numbers", "May it be bottled?", "Not yet."} {
			if !strings.Contains(body, want) {
				t.Errorf("show=%s lacks %q", show, want)
			}
		}
		if strings.Contains(body, " style=") || strings.Contains(body, "<style") {
			t.Errorf("show=%s has style within, which its policy forbids", show)
		}
	}
	send(s, "/jugs/heather/look", keyOne, "smell", "rotten eggs")
	if body := show(t, s, "/jugs/heather/rescue"); !strings.Contains(body, "Hydrogen sulphide") || !strings.Contains(body, "Keep it.") {
		t.Error("a smell of rotten eggs is passed over")
	}
	what := show(t, s, "/jugs/heather/what-if?if=25+C%0A300+g+honey")
	for _, want := range []string{"<h2>Leave it</h2>", "<h2>25 C</h2>", "<h2>300 g honey</h2>"} {
		if !strings.Contains(what, want) {
			t.Errorf("what if lacks %q", want)
		}
	}
	if r := from(s, machine, http.MethodGet, "/jugs/heather/what-if?if=moon+dust", nil, nil); r.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("what if of moon dust = %d, want 422", r.StatusCode)
	}
	if body := show(t, s, "/jugs/heather/bottle"); !strings.Contains(body, "Why it was done although") {
		t.Error("a bottling against the verdict asks for no reason")
	}
	r := send(s, "/jugs/heather/bottle", keyTwo)
	if body := text(t, r); r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(body, "not yet") {
		t.Errorf("a bottling against the verdict = %d", r.StatusCode)
	}
}

// What a form of the sample cellar writes never reaches the maker's own, nor the other way.
func TestSampleIsApart(t *testing.T) {
	s := oneJug(t)
	t.Cleanup(func() { _ = s.Close() })
	r := from(s, machine, http.MethodPost, "/sample", nil, nil)
	cookies := r.Cookies()
	if r.StatusCode != http.StatusSeeOther || len(cookies) != 1 {
		t.Fatalf("POST /sample = %d, %v", r.StatusCode, cookies)
	}
	in := cookies[0]
	body := text(t, from(s, machine, http.MethodGet, "/", nil, in))
	if !strings.Contains(body, "blackberry") || strings.Contains(body, "heather</a>") {
		t.Error("the sample's Today has not its own jugs")
	}
	if !strings.Contains(body, "Taste a bottle of") || strings.Contains(body, `year&#39;s%20apple/look"`) || strings.Contains(body, `year%27s%20apple/look"`) || !strings.Contains(body, `/jugs/blackberry/look"`) {
		t.Error("the sample's Today offers a look into a jug that is empty, or none into one that is not")
	}
	form := text(t, from(s, machine, http.MethodGet, "/jugs/elderflower/look", nil, in))
	_, key, _ := strings.Cut(form, `name="key" value="`)
	key, _, _ = strings.Cut(key, `"`)
	if !strings.HasPrefix(key, sampleMark) {
		t.Fatalf("the key of a form of the sample is %q", key)
	}
	// Sent after the sample was left, from a page that was still open.
	if r := send(s, "/jugs/elderflower/look", key, "note", "late"); r.StatusCode != http.StatusSeeOther || len(r.Cookies()) != 1 || r.Cookies()[0].Value != "yes" {
		t.Errorf("the late entry = %d, %v", r.StatusCode, r.Cookies())
	}
	if _, err := s.cellar.History(t.Context(), "elderflower"); err == nil {
		t.Error("the maker's own cellar has the sample's jug")
	}
	// And one of the maker's own, sent while looking around.
	if r := from(s, machine, http.MethodPost, "/jugs/heather/look", url.Values{"key": {keyOne}, "note": {"own"}}, in); r.StatusCode != http.StatusSeeOther {
		t.Errorf("an own entry from within the sample = %d", r.StatusCode)
	}
	if n := entries(t, s, "own"); n != 1 {
		t.Errorf("it made %d entries in the own cellar", n)
	}
}
