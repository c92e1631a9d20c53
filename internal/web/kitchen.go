package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"

	"skep/internal/app"
	"skep/internal/measure"
)

// teller is a form by which the kitchen is told something.
type teller struct {
	of    string // the last part of its address, and its mark in the page
	says  string // what the page says of it afterwards, about what
	write func(*request, form) (what string, err error)
}

// tellers are all of them.
var tellers = []teller{
	{"units", "All pages read and show %s.", func(r *request, f form) (string, error) {
		told, err := r.cellar.InUnits(f.Get("units"))
		if err != nil {
			return "", err
		}
		return unitNames[told.Units()], told.KeepUnits(r.Context())
	}},
	{"law", "Drinks are counted, and labels are worded, as in the %s.", func(r *request, f form) (string, error) {
		return f.Get("law"), r.cellar.KeepPlace(r.Context(), f.Get("law"))
	}},
	{"vessel", "The vessel “%s” is kept.", func(r *request, f form) (string, error) {
		v, err := r.cellar.KeepVessel(r.Context(), f.Get("name"), f.Get("size"), f.Get("empty"))
		return v.Name, err
	}},
	{"honey", "The honey “%s” is kept.", func(r *request, f form) (string, error) {
		i, err := r.cellar.KeepHoney(r.Context(), f.Get("name"), f.Get("like"), f.Get("moisture"))
		return i.Name, err
	}},
	{"juice", "The juice “%s” is kept.", func(r *request, f form) (string, error) {
		i, err := r.cellar.KeepJuice(r.Context(), f.Get("name"), f.Get("gravity"), f.Get("ph"))
		return i.Name, err
	}},
	{"hydrometer", "Gravities are read off the hydrometer for %s from now on.", func(r *request, f form) (string, error) {
		h, err := r.cellar.KeepHydrometer(r.Context(), f.Get("calibrated"), f.Get("water"))
		return h.Words, err
	}},
	{"bottles", "Counted: %s. They count down as they are filled.", func(r *request, f form) (string, error) {
		count, err := f.whole("count")
		if err != nil {
			return "", err
		}
		b, err := r.cellar.KeepBottles(r.Context(), f.Get("size"), f.Get("kind"), count)
		return fmt.Sprintf("%d × %.0f mL", b.Have, b.SizeML), err
	}},
	{"price", "The price of %s is kept.", func(r *request, f form) (string, error) {
		return r.cellar.KeepPrice(r.Context(), f.Get("price"))
	}},
	{"score", "Tastings are scored from 1 to %s from now on.", func(r *request, f form) (string, error) {
		best, err := f.whole("score")
		if err != nil {
			return "", err
		}
		return strconv.Itoa(best), r.cellar.KeepBestScore(r.Context(), best)
	}},
	{"forget", "“%s” is kept no longer. Jugs that had it still do.", func(r *request, f form) (string, error) {
		forget, name := r.cellar.ForgetVessel, f.Get("name")
		switch f.Get("what") {
		case "ingredient":
			forget = r.cellar.ForgetIngredient
		case "price":
			forget = r.cellar.ForgetPrice
		}
		return name, forget(r.Context(), name)
	}},
}

// whole is a whole number that was typed.
func (f form) whole(name string) (int, error) {
	n, err := strconv.Atoi(f.Get(name))
	if err != nil {
		return 0, &app.AskError{Field: name, Words: f.Get(name), Err: errors.New("write a whole number"), Tip: "12"}
	}
	return n, nil
}

// unitNames are the systems as the kitchen calls them.
var unitNames = map[measure.System]string{
	measure.Metric:   "grams and litres",
	measure.US:       "US gallons, cups and pounds",
	measure.Imperial: "imperial gallons, pints and pounds",
}

// kitchenRoutes are the addresses of the kitchen: one page, and one for each form in it.
func (s *Server) kitchenRoutes() {
	s.page("GET /kitchen", func(r *request) (answer, error) { return s.kitchen(r, "", form{}) })
	s.page("GET /kitchen/learned", s.learned)
	s.page("POST /kitchen/learned", s.forgetLearned)
	for _, t := range tellers {
		s.page("POST /kitchen/"+t.of, func(r *request) (answer, error) { return s.told(r, t) })
	}
}

// kitchenData is what the kitchen holds, and the form that something is wrong with.
type kitchenData struct {
	app.Kitchen
	Said       string
	Of         string // the form that holds what was typed, and what is wrong with it
	Typed      form
	Hydrometer app.Hydrometer
	Yeasts     any // as app has them
	Kinds      []string
	Honeys     []string
	Systems    []unitChoice
	Laws       []app.Place
}

// forgetting is what a button makes the kitchen forget.
type forgetting struct{ What, Name string }

type unitChoice struct {
	System measure.System
	Name   string
	Is     bool
}

// Form is the form by which one thing is told.
func (d kitchenData) Form(of string) form {
	if of == d.Of {
		return d.Typed
	}
	return form{}
}

// kitchen shows all that the kitchen holds.
func (s *Server) kitchen(r *request, of string, typed form) (answer, error) {
	data := kitchenData{Of: of, Typed: typed, Yeasts: app.YeastKinds(), Kinds: app.BottleKinds()}
	var err error
	if data.Kitchen, err = r.cellar.Kitchen(r.Context()); err != nil {
		return answer{}, err
	}
	if data.Hydrometer, err = r.cellar.Hydrometer(r.Context()); err != nil {
		return answer{}, err
	}
	if data.Honeys, err = r.cellar.IngredientNames(r.Context()); err != nil {
		return answer{}, err
	}
	for _, system := range []measure.System{measure.Metric, measure.US, measure.Imperial} {
		data.Systems = append(data.Systems, unitChoice{system, unitNames[system], system == r.cellar.Units()})
	}
	data.Laws = []app.Place{app.Europe, app.UnitedKingdom, app.UnitedStates}
	for _, t := range tellers {
		if what := r.FormValue("what"); r.Method == http.MethodGet && t.of == r.FormValue("told") {
			data.Said = fmt.Sprintf(t.says, what)
		}
	}
	a := answer{Template: "kitchen", Title: "Kitchen", Place: placeKitchen, Data: data}
	if typed.Wrong != "" {
		a.Status = http.StatusUnprocessableEntity
	}
	return a, nil
}

// told keeps what a form says, and shows the kitchen with it, or what is wrong.
func (s *Server) told(r *request, t teller) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	what, err := t.write(r, f)
	if err == nil {
		return answer{To: withQuery("/kitchen", url.Values{"told": {t.of}, "what": {what}})}, nil
	}
	if f, err = f.reject(err); err != nil {
		return answer{}, err
	}
	return s.kitchen(r, t.of, f)
}
