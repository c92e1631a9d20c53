package heat

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"skep/internal/measure"
	"skep/internal/property"
)

// Vessel is a kind of vessel, and what takes its heat away.
type Vessel struct {
	Name   string
	Litres measure.Litres // contents that Area belongs to
	Area   float64        // m², through which heat goes
	U      float64        // W/(m² K), [heat-transfer-assumed]
}

// All assumed: areas of ordinary shapes, U of still air 8 to 10 and of a sink of still
// cold water through glass 100, through metal 200 W/(m² K).
var vessels = []Vessel{
	{"glass jug in still air", 4.5, 0.15, 9},
	{"glass jug in cold water", 4.5, 0.13, 100},
	{"demijohn in still air", 23, 0.45, 9},
	{"metal pot, lid on, in still air", 5, 0.17, 9},
	{"metal pot, lid off, in still air", 5, 0.17, 15}, // hot; evaporation helps
	{"metal pot in cold water", 5, 0.13, 200},
}

const (
	mustHeat = 3.99 // kJ/(L K): must of 0 to 25 % sugar is 3.97 to 4.17
	spreadUA = 0.40 // relative, of area times U
)

// Vessels returns the kinds of vessel there are.
func Vessels() []Vessel { return slices.Clone(vessels) }

// VesselNamed returns the kind of that name; capitals and commas do not matter.
//
// Errors: no such kind; the message lists those there are.
func VesselNamed(name string) (Vessel, error) {
	plain := func(s string) string { return strings.ReplaceAll(strings.ToLower(strings.TrimSpace(s)), ",", "") }
	var names []string
	for _, v := range vessels {
		if plain(v.Name) == plain(name) {
			return v, nil
		}
		names = append(names, `"`+v.Name+`"`)
	}
	return Vessel{}, fmt.Errorf("no kind of vessel is called %q; there are %s", name, strings.Join(names, ", "))
}

// loss returns the watts lost per K when it holds so many litres. A larger vessel is taken
// to have the same shape: its area goes with the power ⅔ of its contents.
func (v Vessel) loss(contents measure.Litres) float64 {
	return v.U * v.Area * math.Pow(float64(contents/v.Litres), 2.0/3)
}

// TimeConstant returns the hours in which the distance to the surroundings falls to 37 %.
// Low and High are the ends of ±40 % in the loss of heat.
//
// Valid:  contents 0.1 to 1000 L.
// Check:  within 0.01 h of 6 computed rows (TestTimeConstants).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [heat-transfer-assumed].
func (v Vessel) TimeConstant(contents measure.Litres) (measure.Range, error) {
	if err := litres("heat.Vessel.TimeConstant", contents); err != nil {
		return measure.Range{}, err
	}
	tau := mustHeat * 1000 * float64(contents) / v.loss(contents) / 3600
	return measure.Range{Value: tau, Unit: "h", Low: tau / (1 + spreadUA), High: tau / (1 - spreadUA)}, nil
}

// CoolingTime returns the hours from start to target among surroundings of constant
// temperature; it serves for warming up as well.
//
//	t = τ ln[(start − around)/(target − around)]
//
// Valid:  0 to 100 °C; target between start and around, and not at around.
// Check:  half the distance takes ln 2 of the time constant (TestCoolingTime).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [textbook] Newton's law of cooling.
func CoolingTime(constant measure.Range, start, target, around measure.Celsius) (measure.Range, error) {
	const call = "heat.CoolingTime"
	for _, t := range []measure.Celsius{start, target, around} {
		if err := temperature(call, t); err != nil {
			return measure.Range{}, err
		}
	}
	if target == start {
		return measure.Range{Unit: "h"}, nil
	}
	ratio := float64((start - around) / (target - around))
	if !(ratio > 1) || math.IsInf(ratio, 0) {
		return measure.Range{}, &property.RangeError{
			Call: call, What: "target", Value: float64(target),
			Low: float64(min(start, around)), High: float64(max(start, around)), Unit: "°C, and not at the end",
		}
	}
	return scaled(constant, math.Log(ratio)), nil
}

// After returns the temperature some hours later among surroundings of constant temperature.
//
// Valid:  0 to 100 °C, hours 0 or more.
// Check:  CoolingTime leads back (TestCoolingTime).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [textbook] Newton's law of cooling.
func After(constant measure.Range, start, around measure.Celsius, hours measure.Hours) (measure.Range, error) {
	const call = "heat.After"
	for _, t := range []measure.Celsius{start, around} {
		if err := temperature(call, t); err != nil {
			return measure.Range{}, err
		}
	}
	if err := property.Within(call, "time", float64(hours), 0, 1e5, "h"); err != nil {
		return measure.Range{}, err
	}
	at := func(tau float64) float64 {
		return float64(around) + float64(start-around)*math.Exp(-float64(hours)/tau)
	}
	fast, slow := at(constant.Low), at(constant.High)
	return measure.Range{Value: at(constant.Value), Unit: "°C", Low: min(fast, slow), High: max(fast, slow)}, nil
}

func scaled(r measure.Range, f float64) measure.Range {
	return measure.Range{Value: r.Value * f, Unit: r.Unit, Low: r.Low * f, High: r.High * f}
}

func litres(call string, contents measure.Litres) error {
	return property.Within(call, "contents", float64(contents), 0.1, 1000, "L")
}
