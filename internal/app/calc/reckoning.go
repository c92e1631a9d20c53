package calc

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"skep/internal/measure"
)

// reckoning is one calculation at work: the words it was given, the numbers they were
// understood as, and what came out.
type reckoning struct {
	of      Calculation
	words   map[string][]string
	sys     measure.System
	knowns  []*known
	results []Result
	notes   []string
	steps   []string
}

// known is a number with its 80 % range. While ranges are worked out, is moves.
type known struct {
	is        float64
	low, high float64
	kind      measure.Kind // "" for a constant
}

// sd is one standard deviation, of a normal distribution with that range.
func (k *known) sd() float64 { return (k.high - k.low) / (2 * eighty) }

// eighty is the half-width of the 80 % range of a normal distribution, in standard deviations.
const eighty = 1.2815515655446004

// constant brings in a number that differs from jug to jug.
func (r *reckoning) constant(value, sd float64) *known {
	return r.between(value, value-eighty*sd, value+eighty*sd)
}

func (r *reckoning) between(value, low, high float64) *known {
	k := &known{is: value, low: low, high: high}
	r.knowns = append(r.knowns, k)
	return k
}

// quantity brings in what a person said. What has a true zero does not fall below it.
func (r *reckoning) quantity(q measure.Quantity) *known {
	k := r.constant(q.Value, q.SD)
	k.kind = q.Kind
	switch q.Kind {
	case measure.Temperature, measure.SG, measure.Brix:
	default:
		k.low = max(k.low, 0)
	}
	return k
}

func (r *reckoning) said(name string) string {
	if all := r.words[name]; len(all) > 0 {
		return strings.TrimSpace(all[0])
	}
	return ""
}

// missing is the error for an input that was needed.
func (r *reckoning) missing(name string) error {
	for _, i := range r.of.Inputs {
		if i.Name == name {
			return ask(name, "", "", fmt.Errorf("is needed: %s", i.Help))
		}
	}
	panic("calc: " + r.of.Name + " has no input " + name)
}

// impliedUnits are those of inputs for which the number alone will do: Brix and pH are
// asked for by that name.
var impliedUnits = map[measure.Kind]string{measure.Brix: " Bx", measure.Acidity: " pH"}

// optional understands an input as one of the kinds; nil if it was not said.
func (r *reckoning) optional(name string, kinds ...measure.Kind) (*known, error) {
	words := r.said(name)
	if words == "" {
		return nil, nil
	}
	if unit := impliedUnits[kinds[0]]; unit != "" {
		if _, err := number(words); err == nil {
			words += unit
		}
	}
	q, err := measure.Parse(words, r.sys)
	if err != nil {
		return nil, ask(name, r.said(name), "", err)
	}
	if !slices.Contains(kinds, q.Kind) {
		return nil, ask(name, words, "", fmt.Errorf("that is a %s, not a %s", q.Kind, kinds[0]))
	}
	return r.quantity(q), nil
}

// needed is optional, but an error if it was not said.
func (r *reckoning) needed(name string, kinds ...measure.Kind) (*known, error) {
	k, err := r.optional(name, kinds...)
	if err == nil && k == nil {
		err = r.missing(name)
	}
	return k, err
}

// or is optional with a value that holds when nothing was said; that value is exact.
func (r *reckoning) or(name string, value float64, kinds ...measure.Kind) (*known, error) {
	k, err := r.optional(name, kinds...)
	if err == nil && k == nil {
		k = &known{is: value, kind: kinds[0]}
	}
	return k, err
}

// choice is one of the choices of an input, the first if nothing was said.
func (r *reckoning) choice(name string) (string, error) {
	i := slices.IndexFunc(r.of.Inputs, func(i Input) bool { return i.Name == name })
	choices := r.of.Inputs[i].Choices
	words := strings.ToLower(r.said(name))
	switch {
	case words == "":
		return choices[0], nil
	case slices.Contains(choices, words):
		return words, nil
	}
	return "", ask(name, words, "write "+strings.Join(choices, ", "), errors.New("is none of the choices"))
}

// oneOf is which of several inputs was said; it must be one.
func (r *reckoning) oneOf(names ...string) (string, error) {
	found := ""
	for _, name := range names {
		if r.said(name) == "" {
			continue
		}
		if found != "" {
			return "", ask(name, r.said(name), "leave one of them out", fmt.Errorf("%s was given too, and they may contradict each other", found))
		}
		found = name
	}
	if found == "" {
		return "", ask(names[0], "", "", fmt.Errorf("is needed, or %s", strings.Join(names[1:], " or ")))
	}
	return found, nil
}

// number reads a bare number, with a decimal dot or comma.
func number(words string) (float64, error) {
	x, err := strconv.ParseFloat(strings.Replace(words, ",", ".", 1), 64)
	if err == nil && (math.IsNaN(x) || math.IsInf(x, 0)) {
		err = strconv.ErrRange
	}
	return x, err
}

// output names a number that a calculation gives.
type output struct{ key, name, unit string }

// sg is the output most calculations have.
var sg = output{"sg_20_20", "gravity", gravityUnit}

const gravityUnit = "SG 20/20"

// amounts are the units of what cannot be less than nothing.
var amounts = map[string]bool{"g": true, "mL": true, "L": true, "g/L": true, "mg/L": true, "% vol": true, "% mass": true}

// give works out the outputs, with their ranges. what returns one number for each.
//
// An end of a range at which what fails lies outside a method: its other end is taken to
// be as far away.
func (r *reckoning) give(what func() ([]float64, error), outputs ...output) error {
	central, err := what()
	if err != nil {
		return err
	}
	if len(central) != len(outputs) {
		panic("calc: " + r.of.Name + " gives as many numbers as it names")
	}
	down, up := make([]float64, len(central)), make([]float64, len(central))
	for _, k := range r.knowns {
		at := k.is
		ends := [2][]float64{central, central}
		for e, end := range [2]float64{k.low, k.high} {
			if k.is = end; end != at {
				var err error
				if ends[e], err = what(); err != nil {
					ends[e] = nil
				}
			}
		}
		k.is = at
		for i, c := range central {
			var off [2]float64
			for e := range ends {
				if ends[e] != nil {
					off[e] = ends[e][i] - c
				}
			}
			switch {
			case ends[0] == nil:
				off[0] = -off[1]
			case ends[1] == nil:
				off[1] = -off[0]
			}
			low, high := min(off[0], off[1], 0), max(off[0], off[1], 0)
			down[i] += low * low
			up[i] += high * high
		}
	}
	for i, o := range outputs {
		c := central[i]
		if math.IsNaN(c) || math.IsInf(c, 0) {
			return fmt.Errorf("%s came to no number", o.name)
		}
		low := c - math.Sqrt(down[i])
		if amounts[o.unit] {
			low = max(low, min(c, 0))
		}
		r.results = append(r.results, Result{o.key, o.name, measure.Range{
			Value: c, Unit: o.unit, Low: low, High: c + math.Sqrt(up[i]),
		}})
	}
	return nil
}

// tell adds a result that is no range.
func (r *reckoning) tell(key, name string, value any) {
	r.results = append(r.results, Result{key, name, value})
}

func (r *reckoning) note(format string, args ...any) {
	r.notes = append(r.notes, fmt.Sprintf(format, args...))
}

func (r *reckoning) step(format string, args ...any) {
	r.steps = append(r.steps, fmt.Sprintf(format, args...))
}

// litres is a volume that is divided by.
func (r *reckoning) litres(name string) (*known, error) {
	v, err := r.needed(name, measure.Volume)
	if err != nil {
		return nil, err
	}
	if !(v.low > 0) {
		return nil, ask(name, r.said(name), "", errors.New("is nothing"))
	}
	return v, nil
}
