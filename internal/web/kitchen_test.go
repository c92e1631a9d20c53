package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

func TestKitchen(t *testing.T) {
	s, _ := atHome(t)
	key := strings.Repeat("k", 20)
	for _, tt := range []struct {
		name, path string
		form       url.Values
		status     int
		want       []string // in the page that it leads to, or in the answer
	}{
		{"a vessel", "vessel", url.Values{"name": {"green demijohn"}, "size": {"5 L"}, "empty": {"1.4 kg"}}, 303, []string{"The vessel “green demijohn” is kept.", "1.40 kg", "5.00 L"}},
		{"a vessel without a name", "vessel", url.Values{"size": {"5 L"}}, 422, []string{`id="w-vessel-name"`, "has no name", `value="5 L"`}},
		{"a vessel of a thimble", "vessel", url.Values{"name": {"thimble"}, "size": {"2 mL"}}, 422, []string{`id="w-vessel-size"`}},
		{"a honey", "honey", url.Values{"name": {"lime honey"}, "moisture": {"17.5 %mass"}}, 303, []string{"The honey “lime honey” is kept.", "Lime honey"}},
		{"a honey of water", "honey", url.Values{"name": {"wet"}, "moisture": {"70 %mass"}}, 422, []string{`id="w-honey-moisture"`}},
		{"a juice", "juice", url.Values{"name": {"our apples"}, "gravity": {"1.048 at 72 F"}}, 303, []string{"The juice “our apples” is kept."}},
		{"a juice of no gravity", "juice", url.Values{"name": {"our pears"}}, 422, []string{`id="w-juice-gravity"`}},
		{"a hydrometer", "hydrometer", url.Values{"calibrated": {"60 F"}, "water": {"1.002"}}, 303, []string{"made for 60 F and shows 1.002 in water"}},
		{"a hydrometer with slipped paper", "hydrometer", url.Values{"water": {"1.030"}}, 422, []string{`id="w-water"`, "made for 60 F"}},
		{"bottles", "bottles", url.Values{"size": {"750 mL"}, "count": {"12"}}, 303, []string{"12 × 750 mL"}},
		{"some bottles", "bottles", url.Values{"size": {"750 mL"}, "count": {"some"}}, 422, []string{`id="w-count"`}},
		{"a price", "price", url.Values{"price": {"honey 12 per kg"}}, 303, []string{"The price of honey is kept.", "honey 12 per kg"}},
		{"no price", "price", url.Values{"price": {"honey is dear"}}, 422, []string{`id="w-price"`}},
		{"a scale", "score", url.Values{"score": {"20"}}, 303, []string{"from 1 to 20"}},
		{"a scale of one", "score", url.Values{"score": {"1"}}, 422, []string{`id="w-score"`}},
		{"a price forgotten", "forget", url.Values{"what": {"price"}, "name": {"honey 12 per kg"}}, 303, []string{"is kept no longer", "None yet. With them plans"}},
		{"a vessel forgotten", "forget", url.Values{"what": {"vessel"}, "name": {"green demijohn"}}, 303, []string{"“green demijohn” is kept no longer", "None yet. A jug whose"}},
		{"a vessel forgotten twice", "forget", url.Values{"what": {"vessel"}, "name": {"green demijohn"}}, 422, []string{"None of that name is kept"}},
		{"a law", "law", url.Values{"law": {"UK"}}, 303, []string{"as in the UK", `value="UK" checked`}},
		{"a law of nobody", "law", url.Values{"law": {"Atlantis"}}, 422, []string{"Write EU, UK or US"}},
		{"units of nobody", "units", url.Values{"units": {"royal"}}, 422, []string{"us, imperial or metric"}},
	} {
		tt.form.Set("key", key)
		status, to, page := s.send(t, "/kitchen/"+tt.path, tt.form)
		if status == http.StatusSeeOther {
			_, page = s.get(t, to)
		}
		if status != tt.status {
			t.Errorf("%s: %d, want %d", tt.name, status, tt.status)
		}
		for _, want := range tt.want {
			if !strings.Contains(page, want) {
				t.Errorf("%s: the page lacks %q", tt.name, want)
			}
		}
	}
	if _, page := s.get(t, "/kitchen"); !strings.Contains(page, "Champagne yeast") {
		t.Error("the kitchen lacks the kinds of yeast")
	}
}

// Units hold for all pages from the next on.
func TestUnits(t *testing.T) {
	s, _ := atHome(t)
	s.send(t, "/kitchen/vessel", url.Values{"name": {"demijohn"}, "size": {"5 L"}})
	if _, to, _ := s.send(t, "/kitchen/units", url.Values{"units": {"us"}}); !strings.HasPrefix(to, "/kitchen?told=units") {
		t.Fatalf("keeping units leads to %q", to)
	}
	if _, page := s.get(t, "/kitchen"); !strings.Contains(page, "US gal") || !strings.Contains(page, `value="us" checked`) {
		t.Error("the kitchen does not show US gallons")
	}
	_, page := s.get(t, "/plan?jug=1+gal&strength=11")
	if !strings.Contains(page, "3.56 L") { // 94 of 100 of a US gallon; of an imperial one it would be 4.27 L
		t.Error("a plan of 1 gal is not of a US gallon")
	}
	_, _, got := ask(t, s, http.MethodPost, "/api/plan", `{"jug": "1 gal", "strength": "11 %vol"}`)
	vessel, _ := got["vessel"].(map[string]any)
	if litres, _ := vessel["litres"].(float64); litres > 3.8 || litres < 3.7 {
		t.Errorf("to other programs a jug of 1 gal holds %v L, want those of a US gallon", vessel["litres"])
	}
}

// What finished jugs told is shown, can be let go, and counts again.
func TestLearned(t *testing.T) {
	s, _ := atHome(t)
	if _, page := s.get(t, "/kitchen/learned"); !strings.Contains(page, "No finished jug has told anything") {
		t.Error("a new kitchen does not say that nothing is learned")
	}
	s, _ = bottled(t)
	status, page := s.get(t, "/kitchen/learned")
	if status != http.StatusOK || !strings.Contains(page, "From elder.") || !strings.Contains(page, "<h2>Losses</h2>") {
		t.Fatalf("GET /kitchen/learned = %d, want what the jug that is bottled told", status)
	}
	key := strings.Repeat("k", 20)
	_, to, _ := s.send(t, "/kitchen/learned", url.Values{"topic": {"losses"}, "key": {key}})
	if _, page := s.get(t, to); !strings.Contains(page, "losses until now no longer counts") || !strings.Contains(page, "Undo") || strings.Contains(page, "<h2>Losses</h2>") {
		t.Errorf("forgetting leads to %q; want it gone, and a way back", to)
	}
	_, to, _ = s.send(t, "/kitchen/learned", url.Values{"topic": {"losses"}, "back": {"yes"}, "key": {key}})
	if _, page := s.get(t, to); !strings.Contains(page, "counts again") {
		t.Errorf("undoing leads to %q, which does not say so", to)
	}
	if status, _, _ := s.send(t, "/kitchen/learned", url.Values{"topic": {"luck"}, "key": {key}}); status != 422 {
		t.Errorf("forgetting luck = %d, want 422", status)
	}
}
