package web

import (
	"errors"
	"net/url"
	"slices"
	"strings"

	"skep/internal/app"
)

// form is a form with what was typed and what is wrong with it.
type form struct {
	Values url.Values
	Field  string // that Wrong is about; empty: the form as a whole
	Words  string // that it is about, of a field that stands several times
	Wrong  string // a sentence; empty: nothing is wrong
	Hint   string
}

// reject puts an error at the field it is about. Errors that are no fault of what was
// typed are returned.
func (f form) reject(err error) (form, error) {
	var asked *app.AskError
	var unmet *app.UnmetError
	switch {
	case errors.As(err, &asked):
		f.Field, f.Words, f.Wrong = asked.Field, asked.Words, plainly(asked.Err.Error())
	case errors.As(err, &unmet):
		f.Field, f.Wrong = unmet.Field, plainly(unmet.Error())
	default:
		return f, err
	}
	f.Hint = hintOf(err)
	return f, nil
}

// once is the cellar for what a form writes, under the key that was made with the form.
func (r *request) once() (*app.Cellar, error) { return r.cellar.Once(r.FormValue("key")) }

// Get is what was typed in a field.
func (f form) Get(name string) string { return strings.TrimSpace(f.Values.Get(name)) }

// Lines are the lines typed in a field, less empty ones.
func (f form) Lines(name string) []string {
	var all []string
	for _, words := range f.Values[name] {
		for line := range strings.Lines(words) {
			if line = strings.TrimSpace(line); line != "" {
				all = append(all, line)
			}
		}
	}
	return all
}

// General is what is wrong with the form but with no field of those shown.
func (f form) General(shown ...string) string {
	for _, s := range shown {
		if s == f.Field {
			return ""
		}
	}
	return f.Wrong
}

// Trouble is the form with what is wrong with it, unless a field that is shown says so.
func (f form) Trouble(shown ...string) form {
	f.Wrong = f.General(shown...)
	return f
}

// field is one field as the template "field" shows it.
type field struct {
	Name, Label, Help string
	ID                string // of its element; its name, if no other field of the page has it
	Value             string
	Wrong, Hint       string
	Kind              string // "text", "area", "choice", "file"
	Choices           []string
	List              string // id of a list of words to choose from, or another
	Decimal           bool   // a phone shows the keys of numbers
	Focus             bool   // the cursor stands in it
}

// newField is a field of a form: {{template "field" (field .Form "gravity" "Gravity" "1.032 at 72 F")}}.
func newField(f form, name, label, help string, choices ...string) field {
	v := field{Name: name, ID: name, Label: label, Help: help, Value: f.Values.Get(name), Kind: "text", Choices: choices}
	if len(choices) > 0 {
		v.Kind = "choice"
	}
	if f.Field == name && f.Wrong != "" {
		v.Wrong, v.Hint = f.Wrong, f.Hint
	}
	return v
}

// In tells it from fields of the same name in other forms of the page.
func (f field) In(form string) field {
	f.ID = form + "-" + f.Name
	return f
}

// Of makes a choice of it.
func (f field) Of(choices []string) field {
	f.Kind, f.Choices = "choice", choices
	return f
}

// Or shows other words where nothing was typed.
func (f field) Or(words string) field {
	if f.Value == "" {
		f.Value = words
	}
	return f
}

// Number is a field for a number, or words with a unit of their own.
func (f field) Number() field {
	f.Decimal = true
	return f
}

// From offers the words of a datalist.
func (f field) From(list string) field {
	f.List = list
	return f
}

// Area makes a field of several lines of it.
func (f field) Area() field {
	f.Kind = "area"
	return f
}

// File makes a choice of a file of it.
func (f field) File() field {
	f.Kind = "file"
	return f
}

// Filled are those of the fields named in which something was typed: they go along when
// what was asked is told to be done.
func (f form) Filled(names ...string) []string {
	return slices.DeleteFunc(slices.Clone(names), func(name string) bool { return f.Get(name) == "" })
}
