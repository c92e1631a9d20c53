package web

import (
	"net/http"
	"strings"

	"skep/internal/app/calc"
	"skep/internal/measure"
)

// calcRoutes are the addresses of the single questions.
func (s *Server) calcRoutes() {
	s.page("GET /calc", s.calculations)
	s.page("GET /calc/{name}", s.calculation)
}

func (s *Server) calculations(*request) (answer, error) {
	return answer{Template: "calc", Title: "Calculations", Data: calc.All()}, nil
}

// calcData is one question, and its answer once it was asked.
type calcData struct {
	calc.Calculation
	Fields   []field
	Form     form
	Results  []calcResult
	Answer   *calc.Answer
	Examples []calcExample
}

// Trouble is what is wrong with no single field.
func (d calcData) Trouble() form { return d.Form.Trouble(fieldNames(d.Fields)...) }

// calcResult is a result in words.
type calcResult struct{ Name, Is, Likely, Other string }

// Long says that it is more than a figure.
func (r calcResult) Long() bool { return len(r.Is) > 24 }

// calcExample is an example as a link that fills the form.
type calcExample struct{ Words, To string }

// calculation asks one question. What was asked is in the address, so that an answer can
// be kept and sent.
func (s *Server) calculation(r *request) (answer, error) {
	c, ok := calculationNamed(r.PathValue("name"))
	if !ok {
		return s.notFound(r)
	}
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	data := calcData{Calculation: c, Form: f}
	status := 0
	if words := calcWords(c, f); len(words) > 0 {
		a, err := c.Answer(words, r.cellar.Units())
		switch {
		case err == nil:
			data.Answer, data.Results = &a, shownResults(a, r.cellar.Units())
		default:
			status = http.StatusUnprocessableEntity
			if data.Form, err = f.reject(err); err != nil { // beyond what the method covers
				data.Form.Wrong = err.Error()
			}
		}
	}
	for _, i := range c.Inputs {
		data.Fields = append(data.Fields, calcField(data.Form, i))
	}
	for _, e := range c.Examples {
		data.Examples = append(data.Examples, calcExample{strings.ReplaceAll(e, "--", ""), calcAddress(c.Name, calc.Said(e))})
	}
	return answer{Template: "calculation", Title: c.Question, Status: status, Data: data}, nil
}

func calculationNamed(name string) (calc.Calculation, bool) {
	for _, c := range calc.All() {
		if c.Name == name {
			return c, true
		}
	}
	return calc.Calculation{}, false
}

// calcWords are the words typed, by the name of their input.
func calcWords(c calc.Calculation, f form) map[string][]string {
	words := map[string][]string{}
	for _, i := range c.Inputs {
		said := f.Lines(i.Name)
		if !i.Many && len(said) > 1 {
			said = []string{strings.Join(said, " ")}
		}
		if len(said) > 0 {
			words[i.Name] = said
		}
	}
	return words
}

// calcField is the field of an input. Help that begins with what is asked for, "gravity
// now: 1.004", is its label.
func calcField(f form, i calc.Input) field {
	label, help := strings.ReplaceAll(i.Name, "-", " "), i.Help
	if !strings.HasPrefix(help, `"`) {
		end := len(help)
		for _, mark := range []string{": ", " (default"} {
			if at := strings.Index(help, mark); at >= 0 {
				end = min(end, at)
			}
		}
		label, help = help[:end]+" ("+label+")", strings.TrimPrefix(help[end:], ": ")
	}
	v := newField(f, i.Name, upperFirst(label), help, i.Choices...)
	if i.Many {
		v = v.Area()
		v.Value = strings.Join(f.Lines(i.Name), "\n")
		v.Help = "One a line. " + v.Help
	}
	return v
}

// calcAddress is where a question is answered.
func calcAddress(name string, words map[string][]string) string {
	return withQuery("/calc/"+name, words)
}

func shownResults(a calc.Answer, sys measure.System) []calcResult {
	var all []calcResult
	for _, r := range a.Results {
		is, likely, other := r.Show(sys)
		all = append(all, calcResult{r.Name, is, likely, other})
	}
	return all
}
