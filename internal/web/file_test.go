package web

import (
	"bytes"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"skep/internal/app"
)

// sendIn sends a file as the form of a new jug does; "" sends the form without one.
func sendIn(t *testing.T, s *Server, key, document string) *http.Response {
	t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	if err := form.WriteField("key", key); err != nil {
		t.Fatal(err)
	}
	file, err := form.CreateFormFile("file", map[bool]string{true: "", false: "heather.json"}[document == ""])
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(file, document); err != nil {
		t.Fatal(err)
	}
	if err := form.Close(); err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, "http://192.0.2.7:7537/start/file", &body)
	r.RemoteAddr = machine
	r.Header.Set("Content-Type", form.FormDataContentType())
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w.Result()
}

// What a jug's page gives as a file, another cellar takes in, word for word, and again when
// the jug has grown.
func TestJugAsAFile(t *testing.T) {
	s, other := oneJug(t), oneJug(t)
	if _, err := other.cellar.Withdraw(t.Context(), "heather", 1, ""); err != nil { // its own heather
		t.Fatal(err)
	}
	if !strings.Contains(show(t, s, "/jugs/heather/history"), `href="/jugs/heather/file"`) {
		t.Error("the history has no way to the file")
	}
	for _, tt := range []struct{ look, said string }{{"", fmt.Sprintf("%d new entries", entries(t, s, ""))}, {"", "here already"}, {"8 bubbles a minute", "one new entry"}} {
		if tt.look != "" {
			if _, err := s.cellar.Look(t.Context(), app.LookWords{Jug: "heather", Bubbles: tt.look}); err != nil {
				t.Fatal(err)
			}
		}
		r := from(s, machine, http.MethodGet, "/jugs/heather/file", nil, nil)
		document := text(t, r)
		if r.StatusCode != http.StatusOK || r.Header.Get("Content-Type") != "application/json" || !strings.Contains(r.Header.Get("Content-Disposition"), `filename=heather.json`) {
			t.Fatalf("the file = %d, %v", r.StatusCode, r.Header)
		}
		r = sendIn(t, other, keyOne, document)
		to := r.Header.Get("Location")
		if r.StatusCode != http.StatusSeeOther || !strings.HasPrefix(to, "/jugs/heather?taken=") {
			t.Fatalf("the file taken in = %d to %q: %s", r.StatusCode, to, text(t, r))
		}
		if body := show(t, other, to); !strings.Contains(body, tt.said) {
			t.Errorf("after the file was taken in the jug does not say %q", tt.said)
		}
		if back := text(t, from(other, machine, http.MethodGet, "/jugs/heather/file", nil, nil)); back != document {
			t.Error("what comes back is not what was taken in")
		}
	}
	if r := from(s, machine, http.MethodGet, "/jugs/nobody/file", nil, nil); r.StatusCode != http.StatusNotFound {
		t.Errorf("the file of nobody = %d, want 404", r.StatusCode)
	}
}

func TestJugFileIsRefused(t *testing.T) {
	s := oneJug(t)
	document := text(t, from(s, machine, http.MethodGet, "/jugs/heather/file", nil, nil))
	before := entries(t, s, "")
	for name, tt := range map[string]struct{ document, want string }{
		"none":          {"", "No file was chosen"},
		"another file":  {"%PDF-1.7", "It is no document of a jug"},
		"cut short":     {document[:len(document)/2], "It is no document of a jug"},
		"newer":         {strings.Replace(document, `"version": 1`, `"version": 2`, 1), "It is of version 2"},
		"larger":        {strings.Repeat(" ", largestFile), "It is larger than 32 MB"},
		"another story": {strings.Replace(document, "1.1 kg honey", "2.2 kg honey", 1), "do not go together"},
	} {
		r := sendIn(t, s, keyOne, tt.document)
		if body := text(t, r); r.StatusCode != http.StatusUnprocessableEntity || strings.Count(body, `class="fault"`) != 1 || !strings.Contains(body, `id="w-file"`) || !strings.Contains(body, tt.want) {
			t.Errorf("%s = %d, want 422 and %q at the field", name, r.StatusCode, tt.want)
		}
	}
	if after := entries(t, s, ""); after != before {
		t.Errorf("refused, and yet %d entries, want %d", after, before)
	}
}

// A file chosen in the sample cellar goes into the sample cellar.
func TestJugFileOfTheSampleCellar(t *testing.T) {
	s := oneJug(t)
	t.Cleanup(func() { _ = s.Close() })
	document := text(t, from(s, machine, http.MethodGet, "/jugs/heather/file", nil, nil))
	other, _ := atHome(t)
	t.Cleanup(func() { _ = other.Close() })
	if r := sendIn(t, other, sampleKey(), document); r.StatusCode != http.StatusSeeOther {
		t.Fatalf("the file in the sample cellar = %d: %s", r.StatusCode, text(t, r))
	}
	if names, err := other.cellar.Standing(t.Context()); err != nil || len(names) != 0 {
		t.Errorf("one's own cellar holds %q, %v", names, err)
	}
}
