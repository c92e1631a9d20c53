package web

import (
	"net/http"
	"testing"

	"github.com/emersion/go-ical"
)

// The feed is read by another parser, and holds what the jug wants.
func TestCalendarFeed(t *testing.T) {
	s, _ := atHome(t)
	ask(t, s, "POST", "/api/jugs", `{"name": "rose hip", "jug": "1 gal", "with": ["1 kg honey"], "yeast": "wine yeast"}`)
	r := from(s, machine, http.MethodGet, "/calendar.ics", nil, nil)
	if r.StatusCode != http.StatusOK || r.Header.Get("Content-Type") != "text/calendar; charset=utf-8" {
		t.Fatalf("the feed = %d, %q", r.StatusCode, r.Header.Get("Content-Type"))
	}
	calendar, err := ical.NewDecoder(r.Body).Decode()
	if err != nil {
		t.Fatal(err)
	}
	if len(calendar.Events()) == 0 {
		t.Error("the feed of a working jug has no event")
	}
	if r := from(s, phone, http.MethodGet, "/calendar.ics", nil, nil); r.StatusCode != http.StatusUnauthorized {
		t.Errorf("the feed for a stranger = %d, want 401", r.StatusCode)
	}
}
