package web

import (
	"fmt"
	"html/template"
	"net/http"
	"strconv"
	"strings"
	"time"

	"skep/internal/app"
	"skep/internal/chart"
	"skep/internal/measure"
)

// jugRoutes are the addresses of jugs.
func (s *Server) jugRoutes() {
	s.page("GET /jugs", s.jugs)
	s.page("GET /start", s.startForm)
	s.page("POST /start", s.start)
	s.page("POST "+takePath, s.takeFile)
	s.page("GET /jugs/{jug}", s.jug)
	s.page("GET /jugs/{jug}/file", s.jugFile)
	s.page("GET /jugs/{jug}/history", s.history)
	s.page("GET /jugs/{jug}/history/{number}/withdraw", s.withdrawForm)
	s.page("POST /jugs/{jug}/history/{number}/withdraw", s.withdraw)
	s.page("GET /jugs/{jug}/history/{number}/correct", s.correctForm)
	s.page("GET /jugs/{jug}/what-if", s.whatIf)
	s.page("GET /jugs/{jug}/rescue", s.rescue)
	s.page("GET /jugs/{jug}/finish", s.finish)
	s.page("POST /jugs/{jug}/finish", s.finished)
	s.page("GET /jugs/{jug}/trial", s.trial)
	s.page("POST /jugs/{jug}/trial", s.tried)
	s.page("GET /blend", s.blend)
	s.page("POST /blend", s.blendDone)
	s.page("GET /jugs/{jug}/bottle", s.bottle)
	s.page("POST /jugs/{jug}/bottle", s.bottled)
	for _, k := range recorders {
		s.page("GET /jugs/{jug}/"+k.path, func(r *request) (answer, error) { return s.recordForm(r, k) })
		s.page("POST /jugs/{jug}/"+k.path, func(r *request) (answer, error) { return s.record(r, k) })
	}
}

type jugData struct {
	app.Jug
	Said    *said
	Taken   string             // what came of its file, when it was just taken in
	Check   *app.BrewDayResult // of the first reading, when the jug was just recorded
	Course  app.Course
	Courses []courseLink
	Wide    template.HTML // the chart; empty where there is nothing to draw
	Narrow  template.HTML
	Letters []string // what the letters in the chart mean
	Days    []app.CourseDay
	Next    []wanted
	Recent  []app.HistoryLine
	Over    *over
	May     []app.Explanation // what may lie behind what is seen, less what hardly can
	Telling []telling         // looks to come that would tell most
}

// telling is a look to come, and where it is recorded.
type telling struct {
	app.NextLook
	From string
}

// lookAddress is where a look to come is recorded.
func lookAddress(jug string, n app.NextLook) string {
	return jugAddress(jug, "look") + "?for=" + looksFor[string(n.Sense)]
}

const (
	hardly  = 0.03 // chance under which an explanation is not told of
	lookOut = 2    // looks that are named at most
)

// explain chooses what is told of the reasons, and of the looks that would tell them apart.
func (d *jugData) explain() {
	for _, e := range d.Stood.Explanations {
		if e.Chance >= hardly {
			d.May = append(d.May, e)
		}
	}
	for _, n := range d.Stood.NextLooks {
		if len(d.Telling) < lookOut {
			d.Telling = append(d.Telling, telling{n, lookAddress(d.Name, n)})
		}
	}
}

// over is when it should be done.
type over struct{ Label, Day, Range string }

func overOf(f *app.Dates, now time.Time) *over {
	switch {
	case f == nil:
		return nil
	case f.Chance < 0.5:
		return &over{"Done", "not in sight", "as it stands, it ends with sugar left, or in months"}
	case f.To.Before(now):
		return &over{"Over since", dayOf(f.Day), dayOf(f.From) + " to " + dayOf(f.To)}
	}
	return &over{"Over by", dayOf(f.Day), dayOf(f.From) + " to " + dayOf(f.To)}
}

// said is an entry that was just written, with the way to take it back.
type said struct {
	Number int
	Words  string
	Undo   string // address that takes it back; empty where it cannot be
}

type courseLink struct {
	Label, To string
	Here      bool
}

func (s *Server) jug(r *request) (answer, error) {
	j, err := r.cellar.Jug(r.Context(), r.PathValue("jug"))
	if err != nil {
		return answer{}, err
	}
	data := jugData{Jug: j, Course: j.Course(r.Form.Get("show")), Said: saidOf(j, r.Form.Get("said")), Taken: takenWords(r.Form.Get("taken"))}
	if r.Form.Has("started") {
		if data.Check, err = r.cellar.FirstReading(r.Context(), j.Name); err != nil {
			return answer{}, err
		}
	}
	for _, c := range app.Courses() {
		to := jugAddress(j.Name)
		if c[0] != "gravity" {
			to += "?show=" + c[0]
		}
		data.Courses = append(data.Courses, courseLink{c[1], to + "#course", c[0] == data.Course.Of})
	}
	if err := data.draw(); err != nil {
		return answer{}, err
	}
	for _, w := range j.Stood.Standing.Next {
		from, deed := recorderOf(j.Name, string(w.Kind), w.What)
		data.Next = append(data.Next, wanted{app.Wanted{Jug: j.Name, Want: w}, from, deed, !w.At.After(r.cellar.Now())})
	}
	data.explain()
	if !j.Blend {
		data.Over = overOf(j.Stood.Finish, r.cellar.Now())
	}
	for i := len(j.History) - 1; i >= 0 && len(data.Recent) < 5; i-- {
		data.Recent = append(data.Recent, j.History[i])
	}
	return answer{Template: "jug", Title: upperFirst(j.Name), Place: placeJugs, Data: data}, nil
}

// saidOf finds the entry that the address says was just written.
func saidOf(j app.Jug, number string) *said {
	for _, l := range j.History {
		if strconv.Itoa(l.Number) != number {
			continue
		}
		s := &said{Number: l.Number, Words: l.Said}
		if l.Withdrawn != 0 {
			s.Words = "taken back: " + l.Said
		} else if l.Kind != "made" {
			s.Undo = jugAddress(j.Name, "history", number, "withdraw")
		}
		return s
	}
	return nil
}

// Sizes of a chart: for a wide page, and for a phone of 320 pixels.
const (
	wideChart, wideHigh     = 900.0, 360.0
	narrowChart, narrowHigh = 360.0, 300.0
)

// draw draws the course, and chooses the days that its table tells of.
func (d *jugData) draw() error {
	p, letters, drawn := chart.Of(d.Course)
	if !drawn {
		return nil
	}
	p.Title, p.Description, d.Letters = p.Title+" of "+d.Name, described(d.Course), letters
	for _, one := range []struct {
		into        *template.HTML
		width, high float64
		id          string
	}{{&d.Wide, wideChart, wideHigh, "course-wide"}, {&d.Narrow, narrowChart, narrowHigh, "course-narrow"}} {
		svg, err := p.SVG(one.width, one.high, one.id)
		if err != nil {
			return err
		}
		*one.into = template.HTML(svg) //nolint:gosec // drawn by us, every word escaped
	}
	days := d.Course.Days
	for i := 0; i < len(days); i += max(1, len(days)/14) {
		d.Days = append(d.Days, days[i])
	}
	return nil
}

// described says in words what the picture of a course shows.
func described(c app.Course) string {
	var b strings.Builder
	if n := len(c.Days); n > 0 {
		first, last := c.Days[0], c.Days[n-1]
		fmt.Fprintf(&b, "From %s on %s to %s on %s. ", showOf(first.Range), dayOf(first.At), showOf(last.Range), dayOf(last.At))
	}
	switch len(c.Seen) {
	case 0:
	case 1:
		b.WriteString("One reading. ")
	default:
		fmt.Fprintf(&b, "%d readings. ", len(c.Seen))
	}
	b.WriteString("A table with the same numbers follows.")
	return b.String()
}

func showOf(r measure.Range) string { return strings.TrimPrefix(measure.ShowRange(r), "about ") }
func dayOf(t time.Time) string      { return t.Local().Format("2 January") }

// jugsData is a list of jugs.
type jugsData struct {
	Jugs       []app.Brief
	All        int
	Prev, Next string // addresses of the pages before and after; empty: none
}

func (s *Server) jugs(r *request) (answer, error) {
	skip, err := strconv.Atoi(r.Form.Get("from"))
	if err != nil || skip < 0 {
		skip = 0
	}
	list, all, err := r.cellar.Briefs(r.Context(), skip, mostCards)
	if err != nil {
		return answer{}, err
	}
	data := jugsData{Jugs: list, All: all}
	if skip > 0 {
		data.Prev = fmt.Sprintf("/jugs?from=%d", max(0, skip-mostCards))
	}
	if skip+len(list) < all {
		data.Next = fmt.Sprintf("/jugs?from=%d", skip+mostCards)
	}
	return answer{Template: "jugs", Title: "Jugs", Place: placeJugs, Data: data}, nil
}

// startData is the form of a first jug.
type startData struct {
	Form   form
	Yeasts []string
}

func startPage(f form, status int) answer {
	return answer{Template: "start", Title: "Record a jug", Place: placeJugs, Status: status, Data: startData{f, app.YeastNames()}}
}

func (s *Server) startForm(r *request) (answer, error) {
	f, err := r.form()
	return startPage(f, 0), err
}

func (s *Server) start(r *request) (answer, error) {
	f, once, err := r.written()
	if err != nil {
		return answer{}, err
	}
	sys := r.cellar.Units()
	started, err := once.Start(r.Context(), app.StartWords{
		Name: f.Get("name"), Jug: f.Get("jug"), With: f.Lines("with"), Yeast: f.Get("yeast"), Gravity: f.Get("gravity"),
		Room: withUnit(f.Get("room"), degrees(sys)), Full: withUnit(f.Get("full"), weight(sys)), Empty: withUnit(f.Get("empty"), weight(sys)),
		Volume: f.Get("volume"), Must: withUnit(f.Get("must"), degrees(sys)), Place: f.Get("place"), When: f.Get("when"),
	})
	if err != nil {
		if f, err = f.refuse(err); err != nil {
			return answer{}, err
		}
		return startPage(f, http.StatusUnprocessableEntity), nil
	}
	return answer{To: jugAddress(started.Jug) + "?started&said=1"}, nil
}
