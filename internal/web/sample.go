package web

import (
	"context"
	"crypto/rand"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"skep/internal/app"
)

// A sample cellar is for looking around: made-up jugs in a file of their own that is
// thrown away. A cookie says that a browser is in it. What a form writes goes by the form's
// key, which says in which cellar the form was shown: a page left open, or an entry that a
// phone kept, never ends up in the other.
const (
	sampleName = "skep-sample" // of the cookie
	sampleMark = "sample"      // before the keys of its forms; the others have capitals and digits only
)

// sampleKey is a key for a form of the sample cellar.
func sampleKey() string { return sampleMark + rand.Text() }

// sample is the made-up cellar, made when somebody first asks for it.
type sample struct {
	mu     sync.Mutex
	folder string
	cellar *app.Cellar
}

// open returns the sample cellar.
func (s *sample) open(ctx context.Context, clock func() time.Time) (*app.Cellar, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.cellar != nil {
		return s.cellar, nil
	}
	folder, err := os.MkdirTemp("", "skep-sample-")
	if err != nil {
		return nil, err
	}
	cellar, err := app.OpenSample(context.WithoutCancel(ctx), filepath.Join(folder, "cellar.db"), clock)
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(folder))
	}
	s.folder, s.cellar = folder, cellar
	return cellar, nil
}

func (s *sample) close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.cellar == nil {
		return nil
	}
	err := errors.Join(s.cellar.Close(), os.RemoveAll(s.folder))
	s.cellar = nil
	return err
}

// request finds the cellar that a request is about.
func (s *Server) request(r *http.Request) (*request, error) {
	req := &request{Request: r, cellar: s.pages}
	if err := r.ParseForm(); err != nil {
		return req, err
	}
	_ = r.ParseMultipartForm(largestForm) // of a file: who reads it finds out again what is wrong with it
	in := inSample(r)
	if key := r.PostForm.Get("key"); key != "" {
		in = strings.HasPrefix(key, sampleMark)
	}
	if !in {
		return req, nil
	}
	var err error
	if req.cellar, err = s.sample.open(r.Context(), s.cellar.Now); err != nil {
		req.cellar = s.pages
		return req, err
	}
	req.sample = true
	return req, nil
}

func (s *Server) sampleRoutes() {
	s.page("POST /sample", s.enterSample)
	s.page("POST /sample/leave", s.leaveSample)
}

func (s *Server) enterSample(r *request) (answer, error) {
	if _, err := s.sample.open(r.Context(), s.cellar.Now); err != nil {
		return answer{}, err
	}
	return answer{To: "/", Cookie: sampleCookie(true)}, nil
}

func (s *Server) leaveSample(*request) (answer, error) {
	return answer{To: "/", Cookie: sampleCookie(false)}, nil
}

// inSample says that a browser looks around in the sample cellar.
func inSample(r *http.Request) bool {
	cookie, err := r.Cookie(sampleName)
	return err == nil && cookie.Value == "yes"
}

// sampleCookie is the cookie of who looks around, until the browser is closed; or the end of it.
func sampleCookie(in bool) *http.Cookie {
	c := &http.Cookie{Name: sampleName, Value: "yes", Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode}
	if !in {
		c.MaxAge = -1
	}
	return c
}
