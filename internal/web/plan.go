package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"skep/internal/app"
	"skep/internal/measure"
)

// planRoutes are the addresses of plans. What a plan is asked for stands in the address of
// /plan itself: it can be reloaded, gone back to and sent to a friend.
func (s *Server) planRoutes() {
	s.page("GET /plan", s.plan)
	s.page("GET /plan/compare", s.comparePlans)
	s.page("POST /plans", s.keepPlan)
	s.page("GET /plans/{plan}", s.keptPlan)
	s.page("POST /plans/{plan}/forget", s.forgetPlan)
}

// planAddress is where a kept plan lies; more are the parts of the address after it.
func planAddress(plan string, more ...string) string { return addressOf("/plans/", plan, more) }

// planData is the form of a plan and what came of it, or a plan that is kept.
type planData struct {
	Form     form
	Vessels  []string
	Honeys   []string
	Yeasts   []string
	Asked    url.Values // what the form holds; none: nothing was asked yet
	Plan     *app.Plan
	Holds    []planHold
	Names    []string // of the plans that are kept
	Replaces bool     // one of this name is kept already
	Said     string   // what was just done
	Changed  string   // address of the form that holds this kept plan
}

// planFields are the fields of the form, each of PlanWords.
var planFields = []string{
	"jug", "with", "honey", "on-hand", "use", "strength", "gravity", "sweet",
	"yeast", "room", "heat", "headroom", "fill", "price", "bottle",
}

// planWords are what the form asks for.
func planWords(f form) app.PlanWords {
	return app.PlanWords{
		Jug: f.Get("jug"), With: f.Lines("with"), Honey: f.Get("honey"), OnHand: f.Get("on-hand"), Use: f.Get("use"),
		Strength: f.Get("strength"), Gravity: f.Get("gravity"), Sweet: f.Get("sweet"), Yeast: f.Get("yeast"),
		Room: f.Get("room"), Heat: f.Get("heat"), Headroom: f.Get("headroom"), Fill: f.Get("fill"),
		Prices: f.Lines("price"), Bottles: f.Lines("bottle"),
	}
}

// planAsked is the form that asks for such words.
func planAsked(w app.PlanWords) url.Values {
	asked := url.Values{}
	for name, words := range map[string][]string{
		"jug": {w.Jug}, "with": w.With, "honey": {w.Honey}, "on-hand": {w.OnHand}, "use": {w.Use},
		"strength": {w.Strength}, "gravity": {w.Gravity}, "sweet": {w.Sweet}, "yeast": {w.Yeast}, "room": {w.Room},
		"heat": {w.Heat}, "headroom": {w.Headroom}, "fill": {w.Fill}, "price": w.Prices, "bottle": w.Bottles,
	} {
		if said := strings.Join(words, "\n"); said != "" {
			asked.Set(name, said)
		}
	}
	return asked
}

// planHold is a link that fixes what was worked out, and frees what it was worked out from.
type planHold struct{ What, To string }

// holds are what can be fixed in the place of what was.
func holds(p app.Plan) []planHold {
	var all []planHold
	hold := func(what, name, value string) {
		asked := planAsked(p.Words)
		if asked.Get(name) != "" {
			return
		}
		for _, goal := range []string{"strength", "gravity", "use"} {
			asked.Del(goal)
		}
		asked.Set(name, value)
		all = append(all, planHold{what, withQuery("/plan", asked)})
	}
	hold("this much "+p.Amounts[0].Ingredient, "use", fmt.Sprintf("%g g", p.Amounts[0].Grams.Value))
	hold("this gravity", "gravity", measure.ShowGravity(measure.Gravity(p.Prospect.Gravity.Value)))
	hold("this strength", "strength", fmt.Sprintf("%.1f", p.Prospect.Strength.Value))
	return all
}

// plan shows the form, and what comes of what it asks for.
func (s *Server) plan(r *request) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	return s.planned(r, f)
}

func (s *Server) planned(r *request, f form) (answer, error) {
	data, err := newPlanData(r, f)
	if err != nil {
		return answer{}, err
	}
	a := answer{Template: "plan", Title: "Plan", Place: placePlan}
	if len(data.Asked) > 0 && f.Wrong == "" {
		p, err := r.cellar.Plan(r.Context(), planWords(f))
		switch {
		case err == nil:
			data.Plan, data.Holds = &p, holds(p)
		default:
			if data.Form, err = f.reject(err); err != nil { // a plan computes and writes nothing: it is the words
				data.Form.Wrong = err.Error()
			}
		}
	}
	if data.Form.Wrong != "" {
		a.Status = http.StatusUnprocessableEntity
	}
	a.Data = data
	return a, nil
}

func newPlanData(r *request, f form) (planData, error) {
	data := planData{Form: f, Asked: planAsked(planWords(f)), Yeasts: app.YeastNames()}
	kitchen, err := r.cellar.Kitchen(r.Context())
	if err != nil {
		return data, err
	}
	for _, v := range kitchen.Vessels {
		data.Vessels = append(data.Vessels, v.Name)
	}
	if data.Honeys, err = r.cellar.IngredientNames(r.Context()); err != nil {
		return data, err
	}
	if data.Names, err = r.cellar.PlanNames(r.Context()); err != nil {
		return data, err
	}
	if f.Get("forgotten") != "" {
		data.Said = "“" + f.Get("forgotten") + "” is kept no longer. Here is what it asked for; keep it again if that was a slip."
	}
	return data, nil
}

// Trouble is what is wrong with no single field.
func (d planData) Trouble() form { return d.Form.Trouble(append(slices.Clone(planFields), "name")...) }

// More says whether something is told among what few tell.
func (d planData) More() bool {
	for _, name := range []string{"use", "gravity", "on-hand", "room", "heat", "headroom", "fill", "price", "bottle"} {
		if d.Asked.Get(name) != "" {
			return true
		}
	}
	return false
}

// keepPlan keeps a plan under a name.
func (s *Server) keepPlan(r *request) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	p, err := r.cellar.Plan(r.Context(), planWords(f))
	if err != nil {
		return s.planned(r, f)
	}
	names, err := r.cellar.PlanNames(r.Context())
	if err != nil {
		return answer{}, err
	}
	name := f.Get("name")
	taken := slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, name) })
	if taken && f.Get("replace") == "" {
		err = &app.AskError{Field: "name", Words: name, Err: errors.New("a plan of that name is kept"), Tip: "tick the box to replace it, or choose another name"}
	} else {
		err = r.cellar.KeepPlan(r.Context(), name, p)
	}
	if err == nil {
		return answer{To: planAddress(name) + "?kept=yes"}, nil
	}
	if f, err = f.reject(err); err != nil {
		return answer{}, err
	}
	a, err := s.planned(r, f)
	if data, ok := a.Data.(planData); ok {
		data.Plan, data.Holds, data.Replaces = &p, holds(p), taken
		a.Data = data
	}
	return a, err
}

// keptPlan shows a plan that is kept, as it was worked out.
func (s *Server) keptPlan(r *request) (answer, error) {
	p, a, err := s.planAsked(r)
	if err != nil || a != nil {
		return deref(a), err
	}
	names, err := r.cellar.PlanNames(r.Context())
	if err != nil {
		return answer{}, err
	}
	data := planData{Plan: &p, Changed: withQuery("/plan", planAsked(p.Words))}
	for _, n := range names {
		if n != p.Name {
			data.Names = append(data.Names, n)
		}
	}
	if r.FormValue("kept") != "" {
		data.Said = "Kept as “" + p.Name + "”."
	}
	return answer{Template: "keptplan", Title: p.Name, Place: placePlan, Data: data}, nil
}

// planAsked is the kept plan that an address is about, or the answer that there is none.
func (s *Server) planAsked(r *request) (app.Plan, *answer, error) {
	p, err := r.cellar.KeptPlan(r.Context(), r.PathValue("plan"))
	if errors.As(err, new(*app.AskError)) {
		a := s.failed(r, err)
		a.Status, a.Title, a.Place = http.StatusNotFound, "No such plan", placePlan
		return p, &a, nil
	}
	return p, nil, err
}

func deref(a *answer) answer {
	if a == nil {
		return answer{}
	}
	return *a
}

// forgetPlan keeps a plan no longer; its words are shown, so that it can be kept again.
func (s *Server) forgetPlan(r *request) (answer, error) {
	p, a, err := s.planAsked(r)
	if err != nil || a != nil {
		return deref(a), err
	}
	if err := r.cellar.ForgetPlan(r.Context(), p.Name); err != nil {
		return answer{}, err
	}
	asked := planAsked(p.Words)
	asked.Set("forgotten", p.Name)
	return answer{To: withQuery("/plan", asked)}, nil
}

// compareData is two kept plans side by side.
type compareData struct {
	Form     form
	Names    []string
	One, Two *app.Plan
	Lines    []app.Difference
}

// comparePlans sets two kept plans side by side.
func (s *Server) comparePlans(r *request) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	a := answer{Template: "compare", Title: "Two plans side by side", Place: placePlan}
	data := compareData{Form: f}
	if data.Names, err = r.cellar.PlanNames(r.Context()); err != nil {
		return answer{}, err
	}
	for _, which := range []struct {
		name string
		into **app.Plan
	}{{"one", &data.One}, {"two", &data.Two}} {
		if f.Get(which.name) == "" {
			continue
		}
		p, err := r.cellar.KeptPlan(r.Context(), f.Get(which.name))
		if err != nil {
			if data.Form, err = f.reject(err); err != nil {
				return answer{}, err
			}
			data.Form.Field, a.Status = which.name, http.StatusUnprocessableEntity
			continue
		}
		*which.into = &p
	}
	if data.One != nil && data.Two != nil {
		data.Lines = app.ComparePlans(*data.One, *data.Two)
	}
	a.Data = data
	return a, nil
}
