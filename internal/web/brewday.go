package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"skep/internal/app"
)

// brewRoutes are the addresses of brew day. Where it is and what was typed is kept in the
// record: a locked phone, a reload or another phone lose nothing of it.
func (s *Server) brewRoutes() {
	s.page("GET /plans/{plan}/brew", s.brewDay)
	s.page("POST /plans/{plan}/brew", s.brewOn)
	s.page("POST /plans/{plan}/brew/again", s.brewAgain)
	s.page("GET /jugs/{jug}/started", s.started)
	s.page("POST /jugs/{jug}/started", s.notStarted)
}

// brewData is one step of brew day.
type brewData struct {
	Plan   app.Plan
	Day    app.BrewDay
	Step   *app.Step // nil: the last, the record itself
	Steps  []app.Step
	Later  []app.Step // what is done on other days
	Form   form
	Fields []field
	Waits  []brewWait
	Check  *app.BrewDayResult
	Noted  []brewNote
}

// brewWait is a wait under way.
type brewWait struct {
	Step  int
	Title string
	Until time.Time
	Over  bool
}

// brewNote is what was written down on the way.
type brewNote struct{ Label, Words string }

// Last is the number of the step that records the jug.
func (d brewData) Last() int { return len(d.Steps) + 1 }

// Trouble is what is wrong with no field of this step.
func (d brewData) Trouble() form { return d.Form.Trouble(append(fieldNames(d.Fields), "minutes")...) }

func fieldNames(fields []field) []string {
	var names []string
	for _, f := range fields {
		names = append(names, f.Name)
	}
	return names
}

// Minutes is what the clock of this step is set to when nobody says otherwise.
func (d brewData) Minutes() string {
	if d.Step == nil || !d.Step.Minutes.Known() {
		return ""
	}
	return strconv.Itoa(int(d.Step.Minutes.Low + 0.5))
}

// brewFields are the fields of StartWords that brew day asks for, as a person knows them.
var brewFields = []struct {
	name, label, help string
	of                func(*app.StartWords) *string // nil: the lines of With
}{
	{"with", "What really goes in", "One a line. Change what is different; the water follows from the mark or the weight.", nil},
	{"empty", "The empty jug weighs", "1.35 kg, 3 lb; leave it open if its weight is known or there is no scale", func(w *app.StartWords) *string { return &w.Empty }},
	{"volume", "Filled up to", "4.2 L; the mark of the plan, if you leave it open", func(w *app.StartWords) *string { return &w.Volume }},
	{"gravity", "Gravity, and the sample's temperature", "1.082 at 22 C; leave it open without a hydrometer", func(w *app.StartWords) *string { return &w.Gravity }},
	{"calibrated", "The hydrometer is made for", "as printed on it: 20 C, 60 F; 20 C, if you leave it open", func(w *app.StartWords) *string { return &w.Calibrated }},
	{"full", "The full jug weighs", "5.9 kg, 13 lb 2 oz; leave it open without a scale", func(w *app.StartWords) *string { return &w.Full }},
	{"must", "Temperature of the must", "24 C, 75 F", func(w *app.StartWords) *string { return &w.Must }},
	{"yeast", "Yeast that went in", "as on the packet; empty: none yet", func(w *app.StartWords) *string { return &w.Yeast }},
	{"room", "Temperature where it stands", "19 C, 66 F", func(w *app.StartWords) *string { return &w.Room }},
	{"place", "Where it stands", "under the stairs", func(w *app.StartWords) *string { return &w.Place }},
	{"name", "Name of the jug", "as it is written on it", func(w *app.StartWords) *string { return &w.Name }},
	{"when", "When it was", "today 16:00, yesterday evening; now, if you leave it open", func(w *app.StartWords) *string { return &w.When }},
}

// finalAsks are the fields of the last step.
var finalAsks = []string{"name", "when"}

// planLines are the parts of a plan as they are told.
func planLines(p app.Plan) []string {
	var lines []string
	for _, part := range p.Parts {
		lines = append(lines, part.Words)
	}
	return lines
}

// brewing gathers the step that brew day is at.
func (s *Server) brewing(r *request) (brewData, *answer, error) {
	p, a, err := s.planAsked(r)
	if err != nil || a != nil {
		return brewData{}, a, err
	}
	data := brewData{Plan: p}
	if data.Day, err = r.cellar.BrewDay(r.Context(), p.Name); err != nil {
		return data, nil, err
	}
	sheet, err := r.cellar.Sheet(r.Context(), p)
	if err != nil {
		return data, nil, err
	}
	for _, step := range sheet.Steps {
		if step.When == sheet.Steps[0].When {
			data.Steps = append(data.Steps, step)
		} else {
			data.Later = append(data.Later, step)
		}
	}
	data.Day.Step = min(max(data.Day.Step, 1), data.Last())
	now := r.cellar.Now()
	for number, until := range data.Day.Waits {
		if number >= 1 && number < data.Last() {
			data.Waits = append(data.Waits, brewWait{number, data.Steps[number-1].Title, until.In(now.Location()), !now.Before(until)})
		}
	}
	slices.SortFunc(data.Waits, func(a, b brewWait) int { return a.Until.Compare(b.Until) })
	return data, nil, nil
}

// asks are the fields of the present step.
func (d brewData) asks() []string {
	if d.Day.Step == d.Last() {
		return finalAsks
	}
	return d.Steps[d.Day.Step-1].Asks
}

// shown is the page of the present step, with what is wrong in it.
func (d brewData) shown(r *request, f form) (answer, error) {
	if d.Day.Step < d.Last() {
		d.Step = &d.Steps[d.Day.Step-1]
	}
	if f.Values == nil {
		f.Values = url.Values{}
	}
	d.Form = f
	asks := d.asks()
	for _, b := range brewFields {
		words := strings.Join(d.Day.Words.With, "\n")
		if b.of != nil {
			words = *b.of(&d.Day.Words)
		} else if words == "" {
			words = strings.Join(planLines(d.Plan), "\n")
		}
		if !slices.Contains(asks, b.name) {
			if words != "" && !slices.Contains(finalAsks, b.name) {
				d.Noted = append(d.Noted, brewNote{b.label, words})
			}
			continue
		}
		d.Form.Values.Set(b.name, words)
		field := newField(d.Form, b.name, b.label, b.help)
		if b.of == nil {
			field = field.Area()
		}
		d.Fields = append(d.Fields, field)
	}
	a := answer{Template: "brewday", Title: "Brew day of " + d.Plan.Name, Place: placePlan}
	if f.Wrong != "" {
		a.Status = http.StatusUnprocessableEntity
	}
	if r.FormValue("check") != "" || d.Step == nil {
		d.Check, _ = r.cellar.WouldStart(r.Context(), d.Day.Words) // what is wrong is told when it is sent
	}
	a.Data = d
	return a, nil
}

func (s *Server) brewDay(r *request) (answer, error) {
	data, a, err := s.brewing(r)
	if err != nil || a != nil {
		return deref(a), err
	}
	return data.shown(r, form{})
}

// brewOn keeps what was typed in a step and goes where the pressed button says.
func (s *Server) brewOn(r *request) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	data, a, err := s.brewing(r)
	if err != nil || a != nil {
		return deref(a), err
	}
	stored := data.Day.Step
	if at := f.number("at"); at > 0 { // the step of the page that was sent: another device may be at another
		data.Day.Step = min(at, data.Last())
	}
	data.note(f)
	here := answer{To: planAddress(data.Plan.Name, "brew")}
	do, number, _ := strings.Cut(f.Get("do"), " ")
	step, _ := strconv.Atoi(number) // of the buttons that name one
	switch do {
	case "keep":
		data.Day.Step = stored
	case "back":
		data.Day.Step--
	case "to":
		data.Day.Step = step
	case "wait":
		if minutes, err := strconv.ParseFloat(f.Get("minutes"), 64); err == nil && minutes > 0 && minutes <= 24*60 {
			data.Day.Waits[data.Day.Step] = r.cellar.Now().Add(time.Duration(minutes * float64(time.Minute)))
		} else {
			f.Field, f.Wrong, f.Hint = "minutes", "a clock is set to minutes, up to a day", "write 20"
		}
	case "stop":
		delete(data.Day.Waits, step)
	}
	data.Day.Step = min(max(data.Day.Step, 1), data.Last())
	if err := r.cellar.KeepBrewDay(r.Context(), data.Day); err != nil { // right or wrong: nothing typed is lost
		return answer{}, err
	}
	switch {
	case f.Wrong != "":
		return data.shown(r, f)
	case do == "keep":
		return answer{Template: "brewday", Part: "kept", Data: r.cellar.Now()}, nil
	case do == "start":
		return s.startBrewed(r, data, f)
	case do != "next":
		return here, nil
	}
	check, err := r.cellar.WouldStart(r.Context(), data.Day.Words)
	var asked *app.AskError
	if errors.As(err, &asked) && slices.Contains(data.asks(), asked.Field) {
		if f, err = f.reject(err); err != nil {
			return answer{}, err
		}
		return data.shown(r, f)
	}
	measured := slices.Contains(data.asks(), "gravity")
	if measured && check != nil && !check.Agree && f.Get("sure") != f.Get("gravity") { // told once of each reading
		here.To += "?check=yes"
		return here, nil
	}
	data.Day.Step = min(data.Day.Step+1, data.Last())
	return here, r.cellar.KeepBrewDay(r.Context(), data.Day)
}

// note writes down what was typed in the present step.
func (d *brewData) note(f form) {
	for _, b := range brewFields {
		if !f.Values.Has(b.name) || !slices.Contains(d.asks(), b.name) {
			continue
		}
		if b.of != nil {
			*b.of(&d.Day.Words) = f.Get(b.name)
			continue
		}
		d.Day.Words.With = nil // as planned
		if lines := f.Lines(b.name); !slices.Equal(lines, planLines(d.Plan)) {
			d.Day.Words.With = lines
		}
	}
}

// startBrewed records the jug. What is wrong is shown in the step that asks for it.
func (s *Server) startBrewed(r *request, data brewData, f form) (answer, error) {
	cellar, err := r.said()
	if err != nil {
		return answer{}, err
	}
	started, err := cellar.StartBrewDay(r.Context(), data.Day)
	if err == nil {
		return answer{To: jugAddress(started.Jug, "started") + "?plan=" + url.QueryEscape(data.Plan.Name)}, nil
	}
	if f, err = f.reject(err); err != nil {
		return answer{}, err
	}
	for i, step := range data.Steps {
		if slices.Contains(step.Asks, f.Field) {
			data.Day.Step = i + 1
		}
	}
	if err := r.cellar.KeepBrewDay(r.Context(), data.Day); err != nil {
		return answer{}, err
	}
	return data.shown(r, f)
}

// brewAgain begins another brew day of a plan that became a jug.
func (s *Server) brewAgain(r *request) (answer, error) {
	p, a, err := s.planAsked(r)
	if err != nil || a != nil {
		return deref(a), err
	}
	return answer{To: planAddress(p.Name, "brew")}, r.cellar.AnotherBrewDay(r.Context(), p.Name)
}

// startedData is a jug that was just started.
type startedData struct {
	Jug, Plan string
	Check     *app.BrewDayResult
	Later     []app.Step
}

// started shows what was recorded on brew day, and what is to be done next.
func (s *Server) started(r *request) (answer, error) {
	data := startedData{Jug: r.PathValue("jug"), Plan: r.FormValue("plan")}
	var err error
	if data.Check, err = r.cellar.FirstReading(r.Context(), data.Jug); err != nil {
		return answer{}, err
	}
	if data.Plan != "" {
		r.SetPathValue("plan", data.Plan)
		brewed, a, err := s.brewing(r)
		if err != nil {
			return answer{}, err
		}
		if a == nil {
			data.Later = brewed.Later
		}
	}
	return answer{Template: "started", Title: data.Jug + " is started", Place: placeJugs, Data: data}, nil
}

// notStarted takes the record of brew day back. What was typed is still in brew day.
func (s *Server) notStarted(r *request) (answer, error) {
	cellar, err := r.once()
	if err != nil {
		return answer{}, err
	}
	const brewDay = 1 // the number of its entry
	if _, err := cellar.Withdraw(r.Context(), r.PathValue("jug"), brewDay, ""); err != nil {
		return answer{}, err
	}
	if plan := r.FormValue("plan"); plan != "" {
		return answer{To: planAddress(plan, "brew")}, nil
	}
	return answer{To: "/jugs"}, nil
}
