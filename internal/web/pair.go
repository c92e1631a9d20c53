package web

import (
	"crypto/rand"
	"crypto/subtle"
	"errors"
	"fmt"
	"html/template"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"rsc.io/qr"

	"skep/internal/app"
)

// How a device of the home network is let in: whoever sits at this machine opens a page
// that shows a code, once, for ten minutes. The phone reads it off the screen, as a
// picture or as eight letters, and gets a key of its own in its place. The picture
// carries the code behind a "#", which a browser keeps to itself: no secret is in an
// address that a log could hold.
const (
	codeLasts   = 10 * time.Minute
	codeTries   = 5                                  // wrong codes, then it is void
	codeLetters = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789" // 32, none like another
	codeLength  = 8                                  // 40 bits
	deviceKey   = "skep-device"                      // name of the cookie
	keyLasts    = 400 * 24 * time.Hour               // the longest that browsers keep one
)

// codes holds the one code that lets a device in now.
type codes struct {
	mu    sync.Mutex
	code  string // empty: none
	until time.Time
	tries int
}

// fresh makes a new code in the place of an earlier one.
func (c *codes) fresh(now time.Time) string {
	raw := make([]byte, codeLength)
	_, _ = rand.Read(raw) // never fails: crypto/rand ends the program instead
	for i, b := range raw {
		raw[i] = codeLetters[b%byte(len(codeLetters))]
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.code, c.until, c.tries = string(raw), now.Add(codeLasts), 0
	return c.code
}

// use takes a code, once.
func (c *codes) use(code string, now time.Time) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.code == "" || now.After(c.until) {
		return false
	}
	said := strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' {
			return -1
		}
		return r
	}, code)
	if subtle.ConstantTimeCompare([]byte(strings.ToUpper(said)), []byte(strings.ToUpper(c.code))) != 1 {
		if c.tries++; c.tries >= codeTries {
			c.code = ""
		}
		return false
	}
	c.code = ""
	return true
}

// pairRoutes are the addresses of devices.
func (s *Server) pairRoutes() {
	s.page("GET /pair", s.pairForm)
	s.mux.HandleFunc("POST /pair", s.pair)
	s.page("GET /devices", s.devices)
	s.page("POST /devices/code", s.newCode)
	s.page("POST /devices/{id}", s.changeDevice)
}

// here says that a request comes from this machine itself, and was not passed on by a
// server on it that other machines ask.
func here(r *http.Request) bool {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	ip := net.ParseIP(host)
	passedOn := r.Header.Get("Forwarded") != "" || r.Header.Get("X-Forwarded-For") != ""
	return err == nil && ip != nil && ip.IsLoopback() && !passedOn
}

// letIn answers those who may ask, and shows all others the way in.
func (s *Server) letIn(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if here(r) || r.URL.Path == "/pair" || strings.HasPrefix(r.URL.Path, "/assets/") {
			next.ServeHTTP(w, r)
			return
		}
		cookie, err := r.Cookie(deviceKey)
		if err == nil {
			_, err = s.cellar.Device(r.Context(), cookie.Value)
		}
		switch {
		case err == nil:
			next.ServeHTTP(w, r)
		case errors.Is(err, app.ErrNotPaired) || errors.Is(err, http.ErrNoCookie):
			s.stranger(w, r)
		default:
			s.log.Error("device", "error", err)
			http.Error(w, "the list of devices could not be read", http.StatusInternalServerError)
		}
	})
}

// stranger is the answer to a device that is not paired.
func (s *Server) stranger(w http.ResponseWriter, r *http.Request) {
	if strings.HasPrefix(r.URL.Path, apiPrefix+"/") {
		writeProblem(w, &huma.ErrorModel{
			Status: http.StatusUnauthorized, Title: http.StatusText(http.StatusUnauthorized), Detail: app.ErrNotPaired.Error(),
		})
		return
	}
	req := &request{Request: r, cellar: s.cellar}
	a := pairPage(form{}, http.StatusUnauthorized)
	if err := render(w, req, a); err != nil {
		s.log.Error("page", "address", r.URL.Path, "error", err)
	}
}

type pairData struct{ Form form }

func pairPage(f form, status int) answer {
	return answer{Template: "pair", Title: "Pair this device", Status: status, Data: pairData{f}}
}

func (s *Server) pairForm(*request) (answer, error) { return pairPage(form{}, 0), nil }

// pair exchanges a code for a key.
func (s *Server) pair(w http.ResponseWriter, r *http.Request) {
	req := &request{Request: r, cellar: s.cellar}
	a, key, err := s.pairing(req)
	if err != nil {
		a = s.failed(req, err)
	}
	if key != "" {
		http.SetCookie(w, &http.Cookie{
			Name: deviceKey, Value: key, Path: "/", MaxAge: int(keyLasts.Seconds()),
			HttpOnly: true, Secure: r.TLS != nil, SameSite: http.SameSiteLaxMode,
		})
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return
	}
	if err := render(w, req, a); err != nil {
		s.log.Error("page", "address", r.URL.Path, "error", err)
	}
}

func (s *Server) pairing(r *request) (a answer, key string, err error) {
	f, err := r.form()
	if err != nil {
		return a, "", err
	}
	if len(f.Get("name")) == 0 {
		f.Field, f.Wrong, f.Hint = "name", "the device has no name", `write whose it is: "Ada's phone"`
		return pairPage(f, http.StatusUnprocessableEntity), "", nil
	}
	if !s.codes.use(f.Get("code"), r.cellar.Now()) {
		f.Field, f.Wrong = "code", "that is not the code, or it has been used or is too old"
		f.Hint = "the machine that Skep runs on shows a new one under Kitchen, Devices"
		return pairPage(f, http.StatusForbidden), "", nil
	}
	key, _, err = r.cellar.Pair(r.Context(), f.Get("name"))
	if err != nil {
		if f, err = f.reject(err); err != nil {
			return a, "", err
		}
		return pairPage(f, http.StatusUnprocessableEntity), "", nil
	}
	return a, key, nil
}

type devicesData struct {
	Devices []app.Device
	Lan     []string // addresses in the home network; none: only this machine is served
	Here    bool     // asked from this machine, which alone may let others in
	Code    string   // new code, if one was asked for
	Picture template.HTML
	Address string
	Form    form
}

// devices lists the devices that are let in, and lets in more.
func (s *Server) devices(r *request) (answer, error) { return s.devicesPage(r, form{}, "") }

func (s *Server) devicesPage(r *request, f form, code string) (answer, error) {
	all, err := r.cellar.Devices(r.Context())
	if err != nil {
		return answer{}, err
	}
	data := devicesData{Devices: all, Lan: s.options.Lan, Here: here(r.Request), Code: code, Form: f}
	if code != "" && len(data.Lan) > 0 {
		data.Address = data.Lan[0] + "/pair"
		if data.Picture, err = codePicture(data.Address + "#" + code); err != nil {
			return answer{}, err
		}
	}
	a := answer{Template: "devices", Title: "Devices", Place: placeKitchen, Data: data}
	if f.Wrong != "" {
		a.Status = http.StatusUnprocessableEntity
	}
	return a, nil
}

// newCode shows a code that lets one device in.
func (s *Server) newCode(r *request) (answer, error) {
	if !here(r.Request) {
		return answer{}, &app.AskError{Field: "code", Err: errors.New("only the machine that Skep runs on lets others in"), Tip: "open this page there"}
	}
	return s.devicesPage(r, form{}, s.codes.fresh(r.cellar.Now()))
}

func (s *Server) changeDevice(r *request) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	if f.Get("do") == "revoke" {
		err = r.cellar.RevokeDevice(r.Context(), r.PathValue("id"))
	} else {
		err = r.cellar.NameDevice(r.Context(), r.PathValue("id"), f.Get("name"))
	}
	if err != nil {
		if f, err = f.reject(err); err != nil {
			return answer{}, err
		}
		return s.devicesPage(r, f, "")
	}
	return answer{To: "/devices"}, nil
}

// Code makes a code that lets one device in, for the door that started the pages.
func (s *Server) Code() string { return s.codes.fresh(s.cellar.Now()) }

// codePicture draws text as a QR code in SVG, with the quiet margin of four modules that
// readers want.
//
// Errors: text too long for a code.
func codePicture(text string) (template.HTML, error) {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return "", fmt.Errorf("a picture of %d letters: %w", len(text), err)
	}
	const margin = 4
	var b strings.Builder
	side := code.Size + 2*margin
	fmt.Fprintf(&b, `<svg class="code" viewBox="0 0 %d %d" role="img" aria-label="Code to be read with the camera of a phone" shape-rendering="crispEdges"><rect width="%d" height="%d" fill="#fff"/><path fill="#000" d="`, side, side, side, side)
	for y := range code.Size {
		for x := range code.Size {
			if code.Black(x, y) {
				fmt.Fprintf(&b, "M%d %dh1v1h-1z", x+margin, y+margin)
			}
		}
	}
	b.WriteString(`"/></svg>`)
	return template.HTML(b.String()), nil // digits and our own markup alone
}
