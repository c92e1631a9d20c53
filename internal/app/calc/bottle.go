package calc

import (
	"strings"

	"skep/internal/measure"
	"skep/internal/property/gas"
	"skep/internal/reference"
)

var bottleInput = Input{Name: "bottle", Help: "kind of bottle, to see whether it holds", Choices: bottleNames()}

func bottleNames() []string {
	var names []string
	for _, b := range reference.Bottles() {
		names = append(names, b.Name)
	}
	return names
}

// Of a bottle of which nothing was said.
const usualBottle, usualHeadspace = 0.750, 0.020 // L

// bottleKind is the kind of bottle that was said, or nil.
func (r *reckoning) bottleKind() (*reference.BottleKind, error) {
	name := r.said("bottle")
	if name == "" {
		return nil, nil
	}
	kind, err := reference.BottleKindNamed(name)
	if err != nil {
		return nil, ask("bottle", name, "", err)
	}
	return &kind, nil
}

// judge holds the highest likely pressure against what the bottle bears.
func (r *reckoning) judge(kind reference.BottleKind, pressure measure.Range) {
	r.tell("bottle", "bottle", kind.Name)
	r.tell("limit", "careful working limit", measure.Exact(float64(kind.Limit), "bar"))
	r.tell("holds", "holds", pressure.High <= float64(kind.Limit))
	r.note("Limit of %s: %s (%s) [%s].", kind.Name, kind.Why, kind.Status, strings.Join(kind.Sources, ", "))
}

// carefulPressure is the careful pressure of a bottle, with the other way as low end.
func carefulPressure(b gas.ClosedBottle, at measure.Celsius) (measure.Range, error) {
	b.Yield, b.Law = gas.CarefulYield, gas.Least
	high, err := b.Gauge(at)
	if err != nil {
		return measure.Range{}, err
	}
	b.Yield, b.Law = leastYield, gas.Most
	low, err := b.Gauge(at)
	return measure.Range{Value: float64(high), Unit: "bar", Low: float64(low), High: float64(high)}, err
}
