package web

import (
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"skep/internal/app"
)

// atHome is a server for the home network, with a clock that a test may move.
func atHome(t *testing.T) (*Server, *time.Time) {
	t.Helper()
	now := time.Date(2026, 6, 14, 16, 0, 0, 0, time.UTC)
	cellar, err := app.Open(context.Background(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cellar.Close() })
	return New(cellar, Options{Hosts: []string{"192.0.2.7"}, Lan: []string{"http://192.0.2.7:7537"}}), &now
}

// from sends a request as a device of that address would, with a cookie if it has one.
func from(s *Server, remote, method, path string, form url.Values, cookie *http.Cookie) *http.Response {
	r := httptest.NewRequest(method, "http://192.0.2.7:7537"+path, strings.NewReader(form.Encode()))
	r.RemoteAddr = remote
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	if cookie != nil {
		r.AddCookie(cookie)
	}
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w.Result()
}

const (
	phone   = "192.0.2.31:40000"
	machine = "127.0.0.1:40000"
)

func text(t *testing.T, r *http.Response) string {
	t.Helper()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

// pairNow lets a device in and returns its cookie, nil if it was refused.
func pairNow(s *Server, code, name string) (*http.Response, *http.Cookie) {
	r := from(s, phone, http.MethodPost, "/pair", url.Values{"code": {code}, "name": {name}}, nil)
	for _, c := range r.Cookies() {
		if c.Name == deviceKey {
			return r, c
		}
	}
	return r, nil
}

func TestStrangersAreRefused(t *testing.T) {
	s, _ := atHome(t)
	for _, path := range []string{"/", "/jugs", "/devices", "/api/jugs", "/nothing"} {
		if r := from(s, phone, http.MethodGet, path, nil, nil); r.StatusCode != http.StatusUnauthorized {
			t.Errorf("GET %s from a stranger = %d, want 401", path, r.StatusCode)
		}
	}
	forged := &http.Cookie{Name: deviceKey, Value: strings.Repeat("0", 64)}
	if r := from(s, phone, http.MethodGet, "/", nil, forged); r.StatusCode != http.StatusUnauthorized {
		t.Errorf("GET / with a made-up key = %d, want 401", r.StatusCode)
	}
	if r := from(s, phone, http.MethodPost, "/devices/code", nil, nil); r.StatusCode != http.StatusUnauthorized {
		t.Errorf("a stranger who asks for a code = %d, want 401", r.StatusCode)
	}
	passed := httptest.NewRequest(http.MethodGet, "http://localhost/", nil)
	passed.RemoteAddr = machine
	passed.Header.Set("X-Forwarded-For", "198.51.100.4")
	w := httptest.NewRecorder()
	if s.ServeHTTP(w, passed); w.Code != http.StatusUnauthorized {
		t.Errorf("GET / passed on for a stranger by a server of this machine = %d, want 401", w.Code)
	}
	if r := from(s, machine, http.MethodGet, "/", nil, nil); r.StatusCode != http.StatusOK {
		t.Errorf("GET / from this machine = %d, want 200", r.StatusCode)
	}
}

func TestPairing(t *testing.T) {
	s, _ := atHome(t)
	shown := text(t, from(s, machine, http.MethodPost, "/devices/code", nil, nil))
	code := s.codes.code
	if !strings.Contains(shown, code) || !strings.Contains(shown, "<svg") {
		t.Fatalf("the page of a new code shows neither code nor picture")
	}
	spaced := strings.ToLower(code[:4] + " " + code[4:])
	r, key := pairNow(s, spaced, "Ada's phone")
	if r.StatusCode != http.StatusSeeOther || key == nil {
		t.Fatalf("pairing with the code = %d, cookie %v, want 303 and a key", r.StatusCode, key)
	}
	if !key.HttpOnly || key.SameSite != http.SameSiteLaxMode || len(key.Value) != 64 {
		t.Errorf("cookie = %+v, want one that no script reads and no other site sends", key)
	}
	if r := from(s, phone, http.MethodGet, "/", nil, key); r.StatusCode != http.StatusOK {
		t.Errorf("GET / with the key = %d, want 200", r.StatusCode)
	}
	if r, again := pairNow(s, code, "another"); again != nil || r.StatusCode != http.StatusForbidden {
		t.Errorf("the code a second time = %d, %v, want 403 and no key", r.StatusCode, again)
	}
	// A paired phone may read the list but lets nobody in.
	if body := text(t, from(s, phone, http.MethodGet, "/devices", nil, key)); !strings.Contains(body, "Ada&#39;s phone") {
		t.Error("the list of devices lacks the phone")
	}
	if r := from(s, phone, http.MethodPost, "/devices/code", nil, key); r.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a phone that asks for a code = %d, want 422", r.StatusCode)
	}
	devices, err := s.cellar.Devices(context.Background())
	if err != nil || len(devices) != 1 {
		t.Fatalf("Devices = %v, %v, want one", devices, err)
	}
	if strings.Contains(devices[0].ID, key.Value) {
		t.Error("the record holds the key itself")
	}
	address := "/devices/" + devices[0].ID
	if r := from(s, machine, http.MethodPost, address, url.Values{"do": {"name"}, "name": {" "}}, nil); r.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("an empty name = %d, want 422", r.StatusCode)
	}
	from(s, machine, http.MethodPost, address, url.Values{"do": {"revoke"}}, nil)
	if r := from(s, phone, http.MethodGet, "/", nil, key); r.StatusCode != http.StatusUnauthorized {
		t.Errorf("GET / with a revoked key = %d, want 401", r.StatusCode)
	}
}

func TestCodesEnd(t *testing.T) {
	s, now := atHome(t)
	code := s.Code()
	*now = now.Add(codeLasts + time.Second)
	if _, key := pairNow(s, code, "late"); key != nil {
		t.Error("a code that is too old let a device in")
	}
	code = s.Code()
	for range codeTries {
		if _, key := pairNow(s, "AAAAAAAA", "guess"); key != nil {
			t.Fatal("a guess let a device in")
		}
	}
	if _, key := pairNow(s, code, "owner"); key != nil {
		t.Errorf("the code still holds after %d wrong ones", codeTries)
	}
	code = s.Code()
	if r, key := pairNow(s, code, ""); key != nil || r.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("pairing without a name = %d, want 422", r.StatusCode)
	}
	if _, key := pairNow(s, code, "owner"); key == nil {
		t.Error("the code was spent on a request without a name")
	}
}

func TestGuard(t *testing.T) {
	s, _ := atHome(t)
	for _, tt := range []struct {
		name, host, site string
		want             int
	}{
		{"own name", "localhost:7537", "same-origin", http.StatusOK},
		{"own address", "[::1]:7537", "none", http.StatusOK},
		{"home address", "192.0.2.7:7537", "same-origin", http.StatusOK},
		{"a name pointed here by somebody else", "evil.example:7537", "same-origin", http.StatusMisdirectedRequest},
		{"a form on another site", "localhost:7537", "cross-site", http.StatusForbidden},
	} {
		r := httptest.NewRequest(http.MethodPost, "http://"+tt.host+"/devices/code", nil)
		r.RemoteAddr = machine
		r.Header.Set("Sec-Fetch-Site", tt.site)
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		if w.Code != tt.want {
			t.Errorf("%s: status %d, want %d", tt.name, w.Code, tt.want)
		}
		if tt.want == http.StatusOK && !strings.Contains(w.Header().Get("Content-Security-Policy"), "script-src 'self'") {
			t.Errorf("%s: no policy of what the page may load", tt.name)
		}
	}
	r := httptest.NewRequest(http.MethodPost, "http://localhost/devices/x", strings.NewReader("name="+strings.Repeat("x", largestForm)))
	r.RemoteAddr = machine
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	if w.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("a form of %d bytes = %d, want 413", largestForm, w.Code)
	}
}
