package calc

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"skep/internal/app"
	"skep/internal/measure"
	"skep/internal/reference"
)

// Calculation is one question that stands alone: it needs words and no cellar.
type Calculation struct {
	Name     string   `json:"name"` // "bottle-pressure"
	Question string   `json:"question"`
	Inputs   []Input  `json:"inputs"`
	Examples []string `json:"examples"` // the inputs as flags
	Method   string   `json:"method"`   // how it is answered, in a few sentences
	Sources  []string `json:"sources"`  // keys of the register
	Valid    string   `json:"valid"`    // what it is good for

	reckon func(*reckoning) error
}

// Input is one thing that a Calculation asks for.
type Input struct {
	Name    string   `json:"name"`              // "residual-sugar"
	Help    string   `json:"help"`              // what it is, with an example or the default
	Many    bool     `json:"many,omitempty"`    // may be said several times
	Choices []string `json:"choices,omitempty"` // the words it knows
}

// Answer is what came out.
type Answer struct {
	Results []Result
	Notes   []string // what to be careful of
	Steps   []string // the way there, in numbers
	Method  string
	Valid   string
	Sources []reference.Entry
}

// Result is one result under the key that scripts know it by.
type Result struct {
	Key   string // "sg_20_20"
	Name  string // "gravity"
	Value any    // measure.Range, string, bool, or what has String and is data in JSON
}

var calculations = []Calculation{
	calcDensity, calcConvertGravity, calcHydrometer, calcRefractometer,
	calcABV, calcPotential, calcLoss,
	calcHoney, calcMust, calcSweeten, calcDilute, calcBlend, calcTrial,
	calcCO2, calcBottlePressure, calcPrime,
	calcSO2, calcSorbate, calcNutrient, calcAcid, calcHeat, calcHeadspace, calcBottles,
}

// All returns what can be asked, in the order of a list.
func All() []Calculation { return slices.Clone(calculations) }

// ask is the error for an input that is missing, not understood or at odds with another.
// If the words themselves were not understood, measure knows best how to say it.
func ask(name, words, tip string, err error) error {
	if parse := new(measure.ParseError); errors.As(err, &parse) && parse.Hint != "" {
		tip = parse.Hint
	}
	return &app.AskError{Field: name, Words: words, Err: err, Tip: tip}
}

// Answer works it out from words by the name of their input, "og": {"1.098"}.
// sys says whose gallons and cups they are.
//
// Every number that was said has a spread, and so have the constants that differ from
// jug to jug. A result's range is where these lead, each put to the ends of its own 80 %
// range alone: the ways up are added as squares, and so are the ways down. For what is
// near a straight line that is the 80 % range of the result.
//
// Repeats: the same words give the same numbers.
// Errors: *app.AskError for words that are missing, not understood or at odds with each
// other; *property.RangeError beyond what a method covers; *gas.LiquidFullError.
func (c Calculation) Answer(words map[string][]string, sys measure.System) (Answer, error) {
	for name, said := range words {
		i := slices.IndexFunc(c.Inputs, func(i Input) bool { return i.Name == name })
		switch {
		case i < 0:
			return Answer{}, ask(name, "", "", fmt.Errorf("%s does not ask for it", c.Name))
		case len(said) > 1 && !c.Inputs[i].Many:
			return Answer{}, ask(name, said[1], "", errors.New("was said twice"))
		}
	}
	r := &reckoning{of: c, words: words, sys: sys}
	if err := c.reckon(r); err != nil {
		return Answer{}, err
	}
	answer := Answer{Results: r.results, Notes: r.notes, Steps: r.steps, Method: c.Method, Valid: c.Valid}
	for _, key := range c.Sources {
		entry, ok := reference.Source(key)
		if !ok {
			panic("calc: no source is called " + key)
		}
		answer.Sources = append(answer.Sources, entry)
	}
	return answer, nil
}

// MarshalJSON writes one object: the results under their keys, in order, then "method",
// "valid", "source" (keys of the register), "steps" and "notes".
func (a Answer) MarshalJSON() ([]byte, error) {
	var keys []string
	for _, s := range a.Sources {
		keys = append(keys, s.Key)
	}
	results := append(slices.Clone(a.Results),
		Result{Key: "method", Value: a.Method},
		Result{Key: "valid", Value: a.Valid},
		Result{Key: "source", Value: strings.Join(keys, ", ")},
		Result{Key: "steps", Value: a.Steps})
	if len(a.Notes) > 0 {
		results = append(results, Result{Key: "notes", Value: a.Notes})
	}
	var text bytes.Buffer
	encoder := json.NewEncoder(&text)
	encoder.SetEscapeHTML(false)
	for i, r := range results {
		text.WriteByte("{,"[min(i, 1)])
		fmt.Fprintf(&text, "%q:", r.Key)
		if err := encoder.Encode(r.Value); err != nil {
			return nil, err
		}
	}
	text.WriteByte('}')
	return text.Bytes(), nil
}
