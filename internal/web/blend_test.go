package web

import (
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"

	"skep/internal/app"
)

// twoJugs is a cellar with heather, that is dry, proven and racked, and clover, that works.
func twoJugs(t *testing.T) *Server {
	t.Helper()
	s := dryJug(t)
	if _, err := s.cellar.Look(t.Context(), app.LookWords{Jug: "heather", Gravity: "0.996 at 20 C", Spent: "0.996 at 20 C"}); err != nil {
		t.Fatal(err)
	}
	words := startWords
	words.Name, words.Jug, words.Volume = "clover", "5 L", "4.5 L"
	if _, err := s.cellar.Start(t.Context(), words); err != nil {
		t.Fatal(err)
	}
	return s
}

// A blend is asked for in the address and writes nothing; told to be done it is written into
// all its jugs, once, shown where it went, and can be taken back from there.
func TestBlendPage(t *testing.T) {
	s := twoJugs(t)
	for _, page := range []string{"/jugs/heather", "/jugs/heather/finish"} {
		if !strings.Contains(show(t, s, page), `href="/blend?jugs=heather"`) {
			t.Errorf("%s has no way to a blend of its jug", page)
		}
	}
	first := show(t, s, "/blend?jugs=heather")
	if !strings.Contains(first, "<option selected>heather</option>") || strings.Contains(first, "<h2>") || strings.Contains(first, "fault") {
		t.Error("a link does not choose its jug, or is answered as if something was asked")
	}
	const asked = "/blend?jugs=heather&take=2+L&jugs=clover&take=1+L&jugs=&take=&lost=100+mL"
	body := show(t, s, asked)
	for _, want := range []string{"2.90 L", "2.00 L", ">proven<", ">not proven<", ">not read<", "Clover is not proven to have finished", "Say above which jug takes it", `name="take" value="2 L"`} {
		if !strings.Contains(body, want) {
			t.Errorf("the answer lacks %q", want)
		}
	}
	if strings.Contains(body, `action="/blend"`) {
		t.Error("it can be recorded before it is said which jug takes it")
	}
	body = show(t, s, asked+"&to=summer")
	for _, want := range []string{`action="/blend"`, `type="hidden" name="jugs" value="clover"`, `name="found" value=""`, `type="hidden" name="lost" value="100 mL"`} {
		if !strings.Contains(body, want) {
			t.Errorf("what is sent when it was done lacks %q", want)
		}
	}
	if n := entries(t, s, "poured into"); n != 0 {
		t.Errorf("asking made %d entries", n)
	}

	done := []string{"jugs", "heather", "take", "2 L", "jugs", "clover", "take", "1 L", "lost", "100 mL", "to", "summer"}
	var to string
	for range 2 {
		r := send(s, "/blend", keyOne, done...)
		if to = r.Header.Get("Location"); r.StatusCode != http.StatusSeeOther || to != "/jugs/summer?said=2" {
			t.Fatalf("a blend done = %d to %q: %s", r.StatusCode, to, text(t, r))
		}
	}
	if n := entries(t, s, "2.00 L poured into summer"); n != 1 {
		t.Errorf("done, sent twice, made %d entries", n)
	}
	body = show(t, s, to)
	for _, want := range []string{"Recorded:", "blended of 2.00 L of heather and 1.00 L of clover, lost 100 mL", `action="/jugs/summer/history/2/withdraw"`} {
		if !strings.Contains(body, want) {
			t.Errorf("the jug that took it lacks %q", want)
		}
	}
	if strings.Contains(body, "not in sight") || strings.Contains(body, `class="button" href="/jugs/summer/pitch"`) {
		t.Error("a blend is told to end, or urged to be given yeast")
	}
	if r := send(s, "/jugs/summer/history/2/withdraw", keyTwo); r.Header.Get("Location") != "/jugs" {
		t.Errorf("taken back = %d to %q, want the jugs: summer is no more", r.StatusCode, r.Header.Get("Location"))
	}
	if n := entries(t, s, "took back"); n != 1 {
		t.Errorf("heather has %d entries that take the blend back, want 1", n)
	}
}

// Into a jug that stands, by a wish, and by a double tap.
func TestBlendPageIntoAJugThatStands(t *testing.T) {
	s := twoJugs(t)
	body := show(t, s, "/blend?jugs=heather&take=&jugs=clover&take=&strength=14")
	if !strings.Contains(body, "<details open>") || !strings.Contains(body, "Not to be had.") {
		t.Error("a wish that cannot be met is not told, or its field is hidden")
	}
	const wish = "/blend?jugs=heather&take=&jugs=clover&take=&to=summer&strength=9"
	if body := show(t, s, wish); !strings.Contains(body, `name="found" value="4.30 L"`) || !strings.Contains(body, `name="strength" value="9"`) {
		t.Error("what meets a wish is not sent along when it was done")
	}
	pairs := []string{"jugs", "heather", "take", "", "found", "1.25 L", "jugs", "clover", "take", "", "found", "0.50 L", "to", "summer", "strength", "9"}
	r := send(s, "/blend", keyTwo, pairs...)
	if body := show(t, s, r.Header.Get("Location")); !strings.Contains(body, "blended of 1.25 L of heather and 0.50 L of clover") {
		t.Errorf("a blend by a wish = %d, and is not of what the page said", r.StatusCode)
	}
	send(s, "/jugs/summer/history/2/withdraw", strings.Repeat("C", 26))
	body = show(t, s, "/blend?jugs=heather&take=500+mL&to=clover")
	if !strings.Contains(body, ">stays<") || !strings.Contains(body, `action="/blend"`) {
		t.Error("one jug into another that stands is no blend")
	}
	var taps sync.WaitGroup
	for range 2 {
		taps.Go(func() {
			r := send(s, "/blend", keyOne, "jugs", "heather", "take", "all", "to", "clover")
			if to := r.Header.Get("Location"); r.StatusCode != http.StatusSeeOther || !strings.HasPrefix(to, "/jugs/clover?said=") {
				t.Errorf("a tap = %d to %q: %s", r.StatusCode, to, text(t, r))
			}
		})
	}
	taps.Wait()
	if n := entries(t, s, "poured into clover"); n != 1 {
		t.Errorf("two taps made %d entries", n)
	}
}

// What is wrong stands in the line or at the field that it is about, and what was typed stays.
func TestBlendPageRefuses(t *testing.T) {
	s := twoJugs(t)
	const both = "jugs=heather&take=1+L&jugs=clover&take=2+L&to=summer"
	for _, tt := range []struct{ asked, want string }{
		{"jugs=heather&take=", `id="w-jug-2"`},
		{"jugs=&take=&jugs=&take=", `id="w-jug-1"`},
		{"jugs=heather&take=1+L&jugs=clover&take=much", `id="w-take-2"`},
		{"jugs=heather&take=&jugs=clover&take=none&strength=9", `id="w-take-2"`},
		{"jugs=heather&take=1+L&jugs=&take=2+L", `id="w-jug-2"`},
		{"jugs=heather&take=1+L&jugs=nobody&take=", `id="w-jug-2"`},
		{"jugs=heather&take=9+L&jugs=clover&take=", `id="w-take-1"`},
		{both + "&strength=12", `id="w-take-1"`},
		{both + "&lost=9+L", `id="w-lost"`},
		{both + "&volume=3+L", `id="w-volume"`},
		{"jugs=heather&take=&jugs=clover&take=&to=summer&sweet=very", `id="w-sweet"`},
		{"jugs=heather&take=&jugs=clover&take=&to=summer&ph=3.4", `id="w-ph"`},
		{both + "&jug=1+L", `id="w-jug"`},
		{both + "&when=tomorrow", `id="w-when"`},
	} {
		pairs, err := url.ParseQuery(tt.asked)
		if err != nil {
			t.Fatal(err)
		}
		pairs.Set("key", keyOne)
		r := from(s, machine, http.MethodPost, "/blend", pairs, nil)
		body := text(t, r)
		if r.StatusCode != http.StatusUnprocessableEntity || strings.Count(body, `class="fault"`)+strings.Count(body, `class="want"`) != 1 || !strings.Contains(body, tt.want) {
			t.Errorf("%s = %d, want 422, one fault, and %q", tt.asked, r.StatusCode, tt.want)
		}
		for _, words := range pairs["take"] {
			if !strings.Contains(body, `value="`+words+`"`) {
				t.Errorf("%s: %q is gone from the form", tt.asked, words)
			}
		}
		if only := tt.want == `id="w-jug"` || tt.want == `id="w-when"`; !only { // of what is asked only when it is done
			if r := from(s, machine, http.MethodGet, "/blend?"+tt.asked, nil, nil); r.StatusCode != http.StatusUnprocessableEntity {
				t.Errorf("asked, %s = %d, want 422", tt.asked, r.StatusCode)
			}
		}
	}
	if n := entries(t, s, "poured into"); n != 0 {
		t.Errorf("refused, and yet %d entries", n)
	}
}

func TestBlendPageOfFewerThanTwoJugs(t *testing.T) {
	s, now := atHome(t)
	if body := show(t, s, "/blend"); !strings.Contains(body, "none does") || strings.Contains(body, "<fieldset>") {
		t.Error("an empty cellar has a form to blend, or no word of what it takes")
	}
	if _, err := s.cellar.Start(t.Context(), startWords); err != nil {
		t.Fatal(err)
	}
	*now = now.AddDate(0, 0, 1)
	if body := show(t, s, "/blend?jugs=heather"); !strings.Contains(body, "only heather does") {
		t.Error("a single jug can be blended")
	}
}
