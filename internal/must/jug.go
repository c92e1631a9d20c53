package must

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"skep/internal/measure"
	"skep/internal/property"
)

// JugShape is the inside of a vessel from its top down, in cm: a neck that is a cylinder,
// a shoulder that widens to the body, and a body that is a cylinder.
type JugShape struct {
	Name       string
	Neck       float64 // inner diameter at the top
	NeckHeight float64
	Shoulder   float64 // height of it; 0: none
	Body       float64 // inner diameter
}

// All assumed, after common ware; makers differ by ShapeSD.
var jugShapes = []JugShape{
	{"gallon jug", 3.0, 4, 8, 15.5}, // 4 to 5 L
	{"carboy", 4.0, 5, 11, 27},      // 20 to 25 L
	{"wide jar", 11, 2, 2.5, 15.5},  // 4 L
	{"bucket", 29, 0, 0, 29},        // 20 to 25 L
	{"bottle", 1.85, 8, 4.5, 6.9},   // 750 mL
}

// ShapeSD is one standard deviation of each size of a kind, relative; assumed.
const ShapeSD = 0.08

// JugShapes returns the kinds of shape there are.
func JugShapes() []JugShape { return append([]JugShape(nil), jugShapes...) }

// Above returns the litres between the top and what stands so many cm below it.
//
// round says how the shoulder widens: 0 as a cone, 1 as a dome that is upright where it
// meets the body. With r, R the radii of neck and body and u the part of the shoulder's
// height, from the neck:
//
//	ρ(u) = r + (R − r) [(1 − round) u + round √(1 − (1 − u)²)]
//
// Valid:  sizes 0 to 200 cm, below 0 to 200 cm, round 0 to 1. The bottom is not known.
// Check:  cylinders, a cone and a half ball by their closed forms (TestAbove).
// Errors: *property.RangeError outside the valid range.
// Source: [textbook] volumes of revolution; sizes of the kinds assumed.
func (s JugShape) Above(below, round float64) (measure.Litres, error) {
	const call = "must.JugShape.Above"
	for _, size := range []struct {
		what string
		is   float64
	}{{"neck", s.Neck}, {"height of the neck", s.NeckHeight}, {"shoulder", s.Shoulder}, {"body", s.Body}, {"distance below the top", below}} {
		if err := property.Within(call, size.what, size.is, 0, 200, "cm"); err != nil {
			return 0, err
		}
	}
	if err := property.Within(call, "roundness", round, 0, 1, ""); err != nil {
		return 0, err
	}
	cylinder := func(diameter, height float64) float64 { return math.Pi / 4 * diameter * diameter * height }
	volume := cylinder(s.Neck, min(below, s.NeckHeight))
	if down := min(below-s.NeckHeight, s.Shoulder); down > 0 {
		// By an angle, in which even the foot of a dome is smooth: 1 − u = cos.
		volume += s.Shoulder * quad.Fixed(func(angle float64) float64 {
			u := 1 - math.Cos(angle)
			diameter := s.Neck + (s.Body-s.Neck)*((1-round)*u+round*math.Sin(angle))
			return math.Pi / 4 * diameter * diameter * math.Sin(angle)
		}, 0, math.Acos(1-down/s.Shoulder), 24, nil, 0)
	}
	volume += cylinder(s.Body, max(0, below-s.NeckHeight-s.Shoulder))
	return measure.Litres(volume / 1000), nil
}
