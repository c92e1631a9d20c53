package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// A trial writes nothing before it is told that it was done, and then once.
func TestTrialPage(t *testing.T) {
	s := dryJug(t)
	if body := show(t, s, "/jugs/heather"); !strings.Contains(body, `href="/jugs/heather/trial"`) {
		t.Error("the jug's page has no way to a trial")
	}
	if body := show(t, s, "/jugs/heather/trial"); strings.Contains(body, "<h2>") {
		t.Error("there is a sheet before it is said what is tried")
	}
	asked := show(t, s, "/jugs/heather/trial?what=honey&glasses=3")
	for _, want := range []string{"50 g of honey", "without", `<th scope="row">3</th>`, "Careful.", "stabilised first"} {
		if !strings.Contains(asked, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
	if strings.Contains(asked, `<th scope="row">4</th>`) || strings.Contains(asked, "It was done") {
		t.Error("the sheet has a fourth glass, or records before one was chosen")
	}
	if body := show(t, s, "/jugs/heather/trial?what=honey&chose=2"); !strings.Contains(body, "For the jug") || !strings.Contains(body, "If it woke in closed bottles") || !strings.Contains(body, "It was done") {
		t.Error("a chosen glass is not scaled to the jug")
	}
	if n := entries(t, s, "by trial"); n != 0 {
		t.Errorf("asking made %d entries", n)
	}
	for range 2 {
		r := send(s, "/jugs/heather/trial", keyOne, "what", "honey", "chose", "2")
		if to := r.Header.Get("Location"); r.StatusCode != http.StatusSeeOther || !strings.HasPrefix(to, "/jugs/heather?said=") {
			t.Fatalf("a trial done = %d to %q: %s", r.StatusCode, to, text(t, r))
		}
	}
	if n := entries(t, s, "honey, by trial, glass 2"); n != 1 {
		t.Errorf("done, sent twice, made %d entries", n)
	}
}

// Sugar into a jug that works is no sweetening: the page says so, and why it was done all
// the same is asked for before there is anything to record.
func TestTrialPageOfAWorkingJug(t *testing.T) {
	s := oneJug(t)
	chosen := show(t, s, "/jugs/heather/trial?what=honey&chose=2")
	for _, want := range []string{"Not yet.", `name="despite"`, `href="/jugs/heather/add"`} {
		if !strings.Contains(chosen, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if strings.Contains(chosen, "Record that it went in") {
		t.Error("it can be recorded without a reason")
	}
	if r := send(s, "/jugs/heather/trial", keyOne, "what", "honey", "chose", "2"); r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(text(t, r), "not yet") {
		t.Errorf("recorded without a reason = %d", r.StatusCode)
	}
	if body := show(t, s, "/jugs/heather/trial?what=acid&chose=1"); strings.Contains(body, "Not yet.") {
		t.Error("acid is refused as if it were sugar")
	}
	r := from(s, machine, http.MethodGet, "/jugs/heather/trial?what=honey&chose=2&despite=1", nil, nil)
	if body := text(t, r); r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(body, `id="w-despite"`) {
		t.Errorf("a reason without words = %d, without a fault at its field", r.StatusCode)
	}
	const why = "it is to be drunk tonight"
	if body := show(t, s, "/jugs/heather/trial?what=honey&chose=2&despite="+url.QueryEscape(why)); !strings.Contains(body, `name="despite" value="`+why+`"`) || !strings.Contains(body, "Record that it went in") {
		t.Error("with a reason it cannot be recorded")
	}
	if n := entries(t, s, "by trial"); n != 0 {
		t.Errorf("asking made %d entries", n)
	}
}

// With pH and acidity read, the page of an acid trial foretells the pH; without, it says what
// to read, and where.
func TestTrialPageForetellsThePH(t *testing.T) {
	s := dryJug(t)
	const asked = "/jugs/heather/trial?what=tartaric+acid&chose=2"
	if body := show(t, s, asked); strings.Contains(body, `class="n">pH<`) || !strings.Contains(body, `href="/jugs/heather/look?for=ph"`) {
		t.Error("the pH is foretold from nothing, or nothing is said of reading it")
	}
	r := send(s, "/jugs/heather/look", keyOne, "ph", "3.7", "ta", "4.5")
	if r.StatusCode != http.StatusSeeOther {
		t.Fatalf("a look at the acidity = %d: %s", r.StatusCode, text(t, r))
	}
	body := show(t, s, asked)
	for _, want := range []string{`class="n">pH<`, "The pH comes to 3."} {
		if !strings.Contains(body, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

func TestTrialPageRefuses(t *testing.T) {
	s := oneJug(t)
	for field, words := range map[string]string{"chose": "9", "glasses": "many", "what": "diammonium phosphate", "solution": "900 g/L"} {
		pairs := []string{field, words}
		if field != "what" {
			pairs = append(pairs, "what", "honey")
		}
		r := send(s, "/jugs/heather/trial", keyOne, pairs...)
		if body := text(t, r); r.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(body, `id="w-`+field+`"`) {
			t.Errorf("%s=%q = %d, without a fault at the field", field, words, r.StatusCode)
		}
	}
	if n := entries(t, s, "by trial"); n != 0 {
		t.Errorf("refused, and yet %d entries", n)
	}
}
