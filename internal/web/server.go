package web

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/url"

	"skep/internal/app"
)

// Options say how the pages are served.
type Options struct {
	Hosts []string     // names and addresses, without port, under which a browser may ask, beside this machine's own
	Lan   []string     // addresses of the pages in the home network, "http://192.0.2.7:7537"; none: only this machine is served
	Log   *slog.Logger // faults of ours; nil: slog.Default
}

// Server answers a browser.
type Server struct {
	cellar  *app.Cellar // as other programs have it: with an answer comes its forecast
	pages   *app.Cellar // as pages have it: the forecast is made behind them
	work    func(context.Context) error
	sample  sample
	log     *slog.Logger
	options Options
	mux     *http.ServeMux
	codes   codes  // that let a device in
	units   string // told for as long as the pages are open, in the place of those kept; "": none
}

// New is the whole of the pages over a cellar.
func New(cellar *app.Cellar, o Options) *Server {
	s := &Server{cellar: cellar, log: o.Log, options: o, mux: http.NewServeMux()}
	s.pages, s.work = cellar.InBackground()
	if kept, err := cellar.Fresh(context.Background()); err == nil && kept.Units() != cellar.Units() {
		s.units = string(cellar.Units())
	}
	if s.log == nil {
		s.log = slog.Default()
	}
	s.routes()
	return s
}

// Work makes forecasts behind the pages until ctx ends. Without it each page makes its own
// before it answers.
//
// Errors: of the record.
func (s *Server) Work(ctx context.Context) error {
	err := s.work(ctx)
	if err != nil {
		s.log.Error("forecasts are made by each page itself from now on", "error", err)
	}
	return err
}

// Close throws the sample cellar away, if anybody asked for it.
func (s *Server) Close() error { return s.sample.close() }

// routes is the table of addresses.
func (s *Server) routes() {
	s.mux.Handle("GET /assets/{file}", http.HandlerFunc(serveAsset))
	s.page("/", s.notFound)
	s.pairRoutes()
	s.apiRoutes()

	s.page("GET /{$}", s.today)
	s.sampleRoutes()
	s.jugRoutes()
	s.planRoutes()
	s.brewRoutes()
	s.calcRoutes()
	s.handbookRoutes()
	s.kitchenRoutes()
	s.shelfRoutes()
	s.printRoutes()
	s.mux.HandleFunc("GET /calendar.ics", s.calendarFeed)
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.guard(s.letIn(s.mux)).ServeHTTP(w, r)
}

// request is one request and the cellar it is about.
type request struct {
	*http.Request
	cellar *app.Cellar
	sample bool // the cellar is the made-up one
}

// form returns what was typed.
func (r *request) form() (form, error) {
	if err := r.ParseForm(); err != nil {
		return form{}, err
	}
	return form{Values: r.Form}, nil
}

// answer is what a handler answers with: a page, or another address to go to.
type answer struct {
	Template string // name of the file under pages, less ".html"
	Title    string
	Place    place
	Data     any

	Status int    // 0: 200
	Part   string // only this template of the file, for a swap; empty: the whole page
	To     string // see other: where what was asked for is shown
	Cookie *http.Cookie
	Sent   []byte // a file, in the place of a page
	File   string // its name
}

// place is a main place of the program, as the navigation has them.
type place string

// The main places.
const (
	placeToday    place = "Today"
	placeJugs     place = "Jugs"
	placePlan     place = "Plan"
	placeShelf    place = "Shelf"
	placeKitchen  place = "Kitchen"
	placeHandbook place = "Handbook"
	nowhere       place = ""
)

// page makes a handler of one address.
func (s *Server) page(pattern string, handle func(*request) (answer, error)) {
	s.mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
		req, err := s.request(r)
		var a answer
		if err == nil {
			req.cellar, err = s.fresh(r.Context(), req.cellar)
		}
		if err == nil {
			a, err = handle(req)
		}
		if err != nil {
			a = s.failed(req, err)
		}
		if a.Cookie == nil && req.sample != inSample(r) {
			a.Cookie = sampleCookie(req.sample) // a form of the other cellar was sent: go where it is
		}
		if a.Cookie != nil {
			http.SetCookie(w, a.Cookie)
		}
		if a.To != "" {
			http.Redirect(w, r, a.To, http.StatusSeeOther)
			return
		}
		if a.Sent != nil {
			sendFile(w, a)
			return
		}
		if err := render(w, req, a); err != nil {
			s.log.Error("page", "address", r.URL.Path, "error", err)
			http.Error(w, "this page could not be made; the record is unharmed", http.StatusInternalServerError)
		}
	})
}

// fresh is a cellar in the units of the day.
func (s *Server) fresh(ctx context.Context, c *app.Cellar) (*app.Cellar, error) {
	if s.units != "" {
		return c.InUnits(s.units)
	}
	fresh, err := c.Fresh(ctx)
	if err != nil {
		return c, err
	}
	return fresh, nil
}

// failed is the page of an error that no form shows.
func (s *Server) failed(r *request, err error) answer {
	a := answer{Template: "error", Title: "That did not work", Status: http.StatusInternalServerError}
	data := errorData{Sentence: plainly(err.Error()), Hint: hintOf(err)}
	var large *http.MaxBytesError
	switch {
	case errors.As(err, new(*app.NoJugError)):
		a.Status = http.StatusNotFound
	case errors.As(err, new(*app.AskError)):
		a.Status = http.StatusUnprocessableEntity
	case errors.As(err, &large):
		a.Status, data.Sentence = http.StatusRequestEntityTooLarge, "that was more than a page takes"
	default:
		s.log.Error("request", "address", r.URL.Path, "error", err)
	}
	a.Data = data
	return a
}

type errorData struct{ Sentence, Hint string }

func (s *Server) notFound(r *request) (answer, error) {
	return answer{
		Template: "error", Title: "No such page", Status: http.StatusNotFound,
		Data: errorData{Sentence: "there is no page " + r.URL.Path, Hint: "the main places are linked above"},
	}, nil
}

// jugAddress is where the page of a jug lies; more are the parts of the address after it.
func jugAddress(jug string, more ...string) string { return addressOf("/jugs/", jug, more) }

// addressOf is where a thing lies in a place, or what is done with it.
func addressOf(place, name string, more []string) string {
	address := place + url.PathEscape(name)
	for _, m := range more {
		address += "/" + url.PathEscape(m)
	}
	return address
}
