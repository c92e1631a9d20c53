package web

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"time"

	"skep/internal/app"
	"skep/internal/measure"
)

// recorder is a form that writes one kind of entry into a jug's record. Its fields are
// those of the app's words, by the names that *app.AskError has for them.
type recorder struct {
	path   string // the last part of its address
	title  string
	page   string // template; empty: "record", the fields one below the other
	fields func(f form, sys measure.System) []field
	write  func(ctx context.Context, c *app.Cellar, jug string, f form, sys measure.System) (app.Recorded, error)
}

// recorders are all of them.
var recorders = []recorder{
	{
		path: "look", title: "Look", page: "look", fields: lookFields,
		write: func(ctx context.Context, c *app.Cellar, jug string, f form, sys measure.System) (app.Recorded, error) {
			return c.Look(ctx, lookWords(jug, f, sys))
		},
	},
	{
		path: "add", title: "Add something",
		fields: func(f form, _ measure.System) []field {
			return []field{
				newField(f, "part", "What went in", `one a line: “300 g honey”, “1 g diammonium phosphate”`).Area(),
				newField(f, "why", "Why", ""),
				whenField(f),
			}
		},
		write: func(ctx context.Context, c *app.Cellar, jug string, f form, _ measure.System) (app.Recorded, error) {
			return c.Add(ctx, app.AddWords{Jug: jug, Parts: f.Lines("part"), Why: f.Get("why"), Keeps: f.Get("keeps") != "", When: f.Get("when"), Instead: f.number("instead")})
		},
	},
	{
		path: "rack", title: "Rack off the lees",
		fields: func(f form, sys measure.System) []field {
			return []field{
				newField(f, "to", "Into which vessel", `its size, “4.5 L”, or its name in your kitchen; empty: one like before`),
				newField(f, "left", "What stayed behind", `“200 mL”; empty: what lees usually take`),
				weightField(f, sys, "full", "Weight of the new jug, full", "with this and the next, nothing is guessed"),
				weightField(f, sys, "empty", "Weight of the new jug, empty", ""),
				whenField(f),
			}
		},
		write: func(ctx context.Context, c *app.Cellar, jug string, f form, sys measure.System) (app.Recorded, error) {
			return c.Rack(ctx, app.RackWords{
				Jug: jug, To: f.Get("to"), Left: f.Get("left"), Full: withUnit(f.Get("full"), weight(sys)), Empty: withUnit(f.Get("empty"), weight(sys)),
				When: f.Get("when"), Instead: f.number("instead"),
			})
		},
	},
	{
		path: "move", title: "Move",
		fields: func(f form, sys measure.System) []field {
			return []field{
				newField(f, "place", "Where it stands now", `“under the stairs”`),
				newField(f, "room", "Temperature there, in °"+degrees(sys), "").Number(),
				whenField(f),
			}
		},
		write: func(ctx context.Context, c *app.Cellar, jug string, f form, sys measure.System) (app.Recorded, error) {
			return c.Move(ctx, app.MoveWords{Jug: jug, Place: f.Get("place"), Room: withUnit(f.Get("room"), degrees(sys)), When: f.Get("when"), Instead: f.number("instead")})
		},
	},
	{
		path: "pitch", title: "Pitch yeast",
		fields: func(f form, sys measure.System) []field {
			return []field{
				newField(f, "yeast", "Which yeast, and how much", `“a packet of white wine yeast”, “5 g champagne yeast”`),
				newField(f, "must", "Temperature of the must, in °"+degrees(sys), "").Number(),
				whenField(f),
			}
		},
		write: func(ctx context.Context, c *app.Cellar, jug string, f form, sys measure.System) (app.Recorded, error) {
			return c.Pitch(ctx, app.PitchWords{Jug: jug, Yeast: f.Get("yeast"), Must: withUnit(f.Get("must"), degrees(sys)), When: f.Get("when"), Instead: f.number("instead")})
		},
	},
	{
		path: "taste", title: "Taste",
		fields: func(f form, _ measure.System) []field {
			return []field{
				newField(f, "words", "What it tastes like", ""),
				newField(f, "look", "Look", `“pale gold, bright”`),
				newField(f, "smell", "Smell", `“elderflower, a little bread”`),
				newField(f, "taste", "Taste", `“dry, lemon”`),
				newField(f, "balance", "Balance", `“sharp”, “hot”, “round”`),
				newField(f, "score", "Score", "by your own scale; empty: none").Number(),
				whenField(f),
			}
		},
		write: func(ctx context.Context, c *app.Cellar, jug string, f form, _ measure.System) (app.Recorded, error) {
			w := app.TasteWords{
				Jug: jug, Words: f.Get("words"), Look: f.Get("look"), Smell: f.Get("smell"), Taste: f.Get("taste"), Balance: f.Get("balance"),
				When: f.Get("when"), Instead: f.number("instead"),
			}
			if score := f.Get("score"); score != "" {
				var err error
				if w.Score, err = strconv.Atoi(score); err != nil {
					return app.Recorded{}, &app.AskError{Field: "score", Words: score, Err: errors.New("a score is a whole number"), Tip: "leave it out to give none"}
				}
			}
			return c.Taste(ctx, w)
		},
	},
}

func whenField(f form) field {
	return newField(f, "when", "When", `empty: now; or “yesterday evening”, “2 hours ago”, “3 May 18:30”`)
}

// number is a whole number in a field; 0 where there is none.
func (f form) number(name string) int {
	n, err := strconv.Atoi(f.Get(name))
	if err != nil {
		return 0
	}
	return n
}

// recordData is a form that writes an entry.
type recordData struct {
	Jug     string
	Path    string // where it is sent
	Form    form
	Fields  map[string]field
	Order   []string
	Instead int      // number of the entry that it puts right; 0: none
	Hidden  []string // fields that are kept and not shown
	Focus   string   // field that the cursor stands in
}

// Trouble is what is wrong with none of the fields.
func (d recordData) Trouble() form { return d.Form.Trouble(d.Order...) }

// Rest says that a field after the first seven is filled or at fault.
func (d recordData) Rest() bool {
	for i, name := range d.Order {
		if f := d.Fields[name]; i >= 7 && (f.Value != "" || f.Wrong != "" || f.Focus) {
			return true
		}
	}
	return false
}

// List are the fields in their order.
func (d recordData) List() []field {
	var all []field
	for _, name := range d.Order {
		all = append(all, d.Fields[name])
	}
	return all
}

func (s *Server) recordPage(r *request, k recorder, jug string, f form, status int) answer {
	data := recordData{Jug: jug, Path: jugAddress(jug, k.path), Form: f, Fields: map[string]field{}, Instead: f.number("instead"), Focus: f.Get("for")}
	for _, one := range k.fields(f, r.cellar.Units()) {
		one.Focus = one.Name == data.Focus && status == 0
		data.Fields[one.Name] = one
		data.Order = append(data.Order, one.Name)
	}
	if f.Get("keeps") != "" {
		data.Hidden = append(data.Hidden, "keeps")
	}
	title := k.title
	if data.Instead != 0 {
		title = "Put right"
	}
	page := k.page
	if page == "" {
		page = "record"
	}
	return answer{Template: page, Title: title, Place: placeJugs, Status: status, Data: data}
}

// recordForm shows the form, with what the address has for its fields.
func (s *Server) recordForm(r *request, k recorder) (answer, error) {
	stood, _, err := r.cellar.Kept(r.Context(), r.PathValue("jug"))
	if err != nil {
		return answer{}, err
	}
	f, err := r.form()
	return s.recordPage(r, k, stood.Jug, f, 0), err
}

// record writes the entry down and shows the jug with it.
func (s *Server) record(r *request, k recorder) (answer, error) {
	f, once, err := r.written()
	if err != nil {
		return answer{}, err
	}
	jug := r.PathValue("jug")
	recorded, err := k.write(r.Context(), once, jug, f, r.cellar.Units())
	if err != nil {
		if f, err = f.refuse(err); err != nil {
			return answer{}, err
		}
		return s.recordPage(r, k, jug, f, http.StatusUnprocessableEntity), nil
	}
	return answer{To: saidAddress(recorded)}, nil
}

// saidAddress is the page of a jug that shows what was just written.
func saidAddress(recorded app.Recorded) string {
	return jugAddress(recorded.Jug) + "?said=" + strconv.Itoa(recorded.Number)
}

// written is the form of a request that writes, and the cellar that it writes into.
func (r *request) written() (form, *app.Cellar, error) {
	f, err := r.form()
	if err != nil {
		return f, nil, err
	}
	once, err := r.said()
	return f, once, err
}

// said is the cellar for what a form writes: under the form's key, and as of the time when
// it was typed, if a phone kept it since (assets/outbox.js).
func (r *request) said() (*app.Cellar, error) {
	once, err := r.once()
	if err != nil {
		return nil, err
	}
	if typed, err := time.Parse(time.RFC3339, r.PostForm.Get("typed")); err == nil {
		once = once.SaidAt(typed)
	}
	return once, nil
}

// refuse puts any error of writing an entry with the form, so that what was typed stays
// before the person who typed it. An unknown jug has no form.
func (f form) refuse(err error) (form, error) {
	f, err = f.reject(err)
	if err == nil || errors.As(err, new(*app.NoJugError)) || errors.Is(err, context.Canceled) {
		return f, err
	}
	f.Field, f.Wrong, f.Hint = "", plainly(err.Error()), hintOf(err)
	return f, nil
}

// unanswered is the form of a question that could not be answered, why, if that is no fault
// of a field, and the status of its page. What an error told before stays told.
func (f form) unanswered(err error, status int) (form, string, int, error) {
	if f.Wrong != "" {
		return f, "", status, nil
	}
	f, err = f.refuse(err)
	if err != nil || f.Field != "" {
		return f, "", http.StatusUnprocessableEntity, err
	}
	why := f.Wrong
	f.Wrong = ""
	return f, why, status, nil
}

var onlyNumber = regexp.MustCompile(`^[0-9]+([.,][0-9]+)?$`)

// withUnit adds the unit that stands beside a field to a number that was typed without any.
func withUnit(words, unit string) string {
	if onlyNumber.MatchString(words) {
		return words + " " + unit
	}
	return words
}

// weightField takes a weight: kilograms by the keys of numbers, pounds and ounces in words.
func weightField(f form, sys measure.System, name, label, help string) field {
	v := newField(f, name, label+", in "+weight(sys), help)
	v.Decimal = sys == measure.Metric
	return v
}

// weight and degrees are the units that fields are labelled with.
func weight(sys measure.System) string {
	if sys == measure.Metric {
		return "kg"
	}
	return "lb"
}

func degrees(sys measure.System) string {
	if sys == measure.US {
		return "F"
	}
	return "C"
}

// recorderOf is where what a jug wants is recorded, and the words of the link.
func recorderOf(jug, kind, what string) (address, deed string) {
	at := func(path string, fill ...string) string {
		v := url.Values{}
		for i := 0; i+1 < len(fill); i += 2 {
			v.Set(fill[i], fill[i+1])
		}
		if len(v) == 0 {
			return jugAddress(jug, path)
		}
		return jugAddress(jug, path) + "?" + v.Encode()
	}
	switch kind {
	case "feed":
		return at("add", "part", strings.TrimPrefix(what, "Give "), "why", "nutrient by the plan"), "Record it"
	case "measure":
		if lower := strings.ToLower(what); strings.Contains(lower, "weigh") {
			return at("look", "for", "mass"), "Weigh it"
		}
		return at("look", "for", "gravity"), "Record a reading"
	case "rack":
		return at("rack"), "Record the racking"
	case "warm":
		return at("move", "for", "room"), "Record the move"
	case "top up":
		return at("add", "why", "topped up"), "Record it"
	case "airlock":
		return at("look", "note", "water in the airlock seen to"), "Record it"
	case "bottle":
		return at("bottle"), "Bottle it"
	case "taste":
		return at("taste"), "Record a taste"
	case "rescue":
		return at("rescue"), "See what to do"
	case "release":
		return jugAddress(jug), "See the jug"
	}
	return at("look"), "Look"
}
