package web

import (
	"bytes"
	"crypto/rand"
	"embed"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"path"
	"slices"
	"strings"
	"time"

	"skep/internal/app"
	"skep/internal/measure"
)

//go:embed pages/*.html
var pageFiles embed.FS

// templates has one set for each page: layout, shared parts, and the page's own. Those of
// the sample cellar differ in the keys of their forms.
var (
	templates       = parseTemplates(rand.Text)
	sampleTemplates = parseTemplates(sampleKey)
)

// parseTemplates makes the pages; key makes one for each form that writes (request.once).
func parseTemplates(key func() string) map[string]*template.Template {
	shared := []string{"layout.html", "parts.html", "planned.html"}
	base := template.New("layout.html").Funcs(functions).Funcs(template.FuncMap{"key": key})
	for _, name := range shared {
		template.Must(base.ParseFS(pageFiles, path.Join("pages", name)))
	}
	names, err := pageFiles.ReadDir("pages")
	if err != nil {
		panic("web: " + err.Error())
	}
	all := map[string]*template.Template{}
	for _, n := range names {
		if slices.Contains(shared, n.Name()) {
			continue
		}
		t := template.Must(template.Must(base.Clone()).ParseFS(pageFiles, path.Join("pages", n.Name())))
		all[strings.TrimSuffix(n.Name(), ".html")] = t
	}
	return all
}

// view is what a template sees.
type view struct {
	answer
	Path   string
	Units  measure.System
	Now    time.Time
	Sample bool // of the made-up cellar
}

// Places are the links of the navigation.
func (view) Places() []link {
	return []link{
		{placeToday, "/"},
		{placeJugs, "/jugs"},
		{placePlan, "/plan"},
		{placeShelf, "/shelf"},
		{placeKitchen, "/kitchen"},
		{placeHandbook, "/handbook"},
	}
}

type link struct {
	Name place
	To   string
}

// render writes the page of an answer, or nothing when its template fails.
func render(w http.ResponseWriter, r *request, a answer) error {
	all := templates
	if r.sample {
		all = sampleTemplates
	}
	t, ok := all[a.Template]
	if !ok {
		return fmt.Errorf("there is no page %q", a.Template)
	}
	var body bytes.Buffer
	name := a.Part
	if name == "" {
		name = "layout.html"
	}
	v := view{answer: a, Path: r.URL.Path, Units: r.cellar.Units(), Now: r.cellar.Now(), Sample: r.sample}
	if err := t.ExecuteTemplate(&body, name, v); err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Cache-Control", "no-store") // two phones see each other's changes, and Back asks again
	if a.Status != 0 {
		w.WriteHeader(a.Status)
	}
	_, err := body.WriteTo(w)
	return err
}

// functions are what templates may call. Numbers go through measure alone.
var functions = template.FuncMap{
	"asset":       assetAddress,
	"jug":         jugAddress,
	"plan":        planAddress,
	"about":       measure.ShowRange,
	"printed":     func(what string, of ...string) string { return addressOf("/print/", what, of) },
	"lot":         lotAddress,
	"forget":      func(what, name string) forgetting { return forgetting{what, name} },
	"gravityOf":   measure.ShowGravity,
	"temperature": measure.ShowTemperature,
	"is":          figureOf,
	"likely":      likelyOf,
	"lacking":     func(chance float64) string { return fmt.Sprintf("%.0f", 100*(1-chance)) },
	"clock":       func(t time.Time) string { return t.Format("15:04") },
	"next":        func(i int) int { return i + 1 },
	"money":       func(x float64) string { return fmt.Sprintf("%.2f", x) },
	"join":        func(words []string) string { return strings.Join(words, ", ") },
	"gravity":     func(sg float64) string { return measure.ShowGravity(measure.Gravity(sg)) },
	"volume":      func(l float64, sys measure.System) string { return measure.ShowVolume(measure.Litres(l), sys) },
	"mass":        func(g float64, sys measure.System) string { return measure.ShowMass(measure.Grams(g), sys) },
	"dose":        app.DoseWords,
	"told":        told,
	"day":         func(t time.Time) string { return t.Local().Format("2 January") },
	"date":        func(t time.Time) string { return t.Local().Format("2 January 2006") },
	"hour":        func(t time.Time) string { return t.Local().Format("15:04") },
	"hours":       func(h float64) string { return measure.ShowHours(measure.Hours(h)) },
	"hundred":     func(chance float64) string { return fmt.Sprintf("%.0f", 100*chance) },
	"stamp":       func(t time.Time) string { return t.Format(time.RFC3339) },
	"upper":       upperFirst,
	"plainly":     plainly,
	"field":       newField,
	"mark":        termMark,
	"ends":        strings.HasSuffix,
}

// figureOf and likelyOf part what measure.ShowRange says, for a large figure with its range
// beneath.
func figureOf(r measure.Range) string {
	is, _, _ := strings.Cut(measure.ShowRange(r), ", most likely ")
	return strings.TrimPrefix(is, "about ")
}

func likelyOf(r measure.Range) string {
	_, likely, _ := strings.Cut(measure.ShowRange(r), ", most likely ")
	return likely
}

// withQuery is an address with what is asked of it.
func withQuery(path string, asked url.Values) string {
	if len(asked) == 0 {
		return path
	}
	return path + "?" + asked.Encode()
}

// upperFirst begins a sentence with a capital.
func upperFirst(s string) string {
	if s == "" {
		return s
	}
	first := []rune(s)[0]
	return strings.ToUpper(string(first)) + s[len(string(first)):]
}
