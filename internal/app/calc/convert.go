package calc

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"skep/internal/measure"
	"skep/internal/property/density"
)

var calcConvertGravity = Calculation{
	Name:     "convert-gravity",
	Question: "What is a gravity on the other scales, and how much sugar is that?",
	Inputs: []Input{
		{Name: "sg", Help: "specific gravity 20/20: 1.098"},
		{Name: "brix", Help: "g sucrose in 100 g: 23.3"},
		{Name: "plato", Help: "the same: 23.3"},
		{Name: "oechsle", Help: "thousandths above water: 98"},
		{Name: "baume", Help: "degrees Baumé, modulus 145: 13"},
	},
	Examples: []string{"--sg 1.098", "--oechsle 85"},
	Method:   "The scale gives the density at 20 °C; Brix, Plato and g/L are of sucrose in water as dense as that.",
	Sources:  []string{"icumsa-sps4", "tanaka2001", "baume-145", "definition"},
	Valid:    "1 to 1.3499 SG (70 % mass); in what has alcohol in it, Brix and sugar are only apparent",
	reckon: func(r *reckoning) error {
		scale, err := r.oneOf("sg", "brix", "plato", "oechsle", "baume")
		if err != nil {
			return err
		}
		reading, err := r.onScale(scale)
		if err != nil {
			return err
		}
		gravity := func() (measure.Gravity, error) {
			switch scale {
			case "oechsle":
				return density.FromOechsle(reading.is), nil
			case "baume":
				return density.FromBaume(reading.is)
			}
			return gravityOf(reading)
		}
		central, err := gravity()
		if err != nil {
			return err
		}
		r.step("%s %g is SG %.5f, %.2f kg/m3 at 20 °C", scale, reading.is, central, density.FromGravity(central))
		r.step("sucrose in water as dense as that, found from its density [icumsa-sps4]: Brix, Plato, g/L")
		r.step("Oechsle 1000 (SG - 1); Baumé 145 - 145/SG, SG as weighed in air [baume-145]")
		return r.give(func() ([]float64, error) {
			g, err := gravity()
			if err != nil {
				return nil, err
			}
			w, err := density.SucroseFromGravity(g)
			if err != nil {
				return nil, err
			}
			rho := float64(density.FromGravity(g))
			brix := 100 * float64(w)
			return []float64{float64(g), brix, brix, density.Oechsle(g), density.Baume(g), float64(w) * rho, rho}, nil
		}, sg, output{"brix", "Brix", "°Bx"}, output{"plato", "Plato", "°P"}, output{"oechsle", "Oechsle", "°Oe"},
			output{"baume", "Baumé", "°Bé"}, output{"sugar", "sugar", "g/L"}, output{"density", "density at 20 °C", "kg/m3"})
	},
}

// scaleUnits are ways to write a unit that measure does not know, and how well an
// instrument with that scale tells: a thousandth of gravity, assumed.
var scaleUnits = map[string]struct {
	names []string
	sd    float64
}{
	"oechsle": {[]string{"oechsle", "oe"}, 1},
	"baume":   {[]string{"baume", "baumé", "be", "bé"}, 0.15},
}

// onScale understands a reading on the scale that the input is named for, which is a
// unit in itself.
func (r *reckoning) onScale(name string) (*known, error) {
	switch name {
	case "sg":
		return r.needed(name, measure.SG)
	case "brix", "plato":
		return r.needed(name, measure.Brix)
	}
	unit := scaleUnits[name]
	words := strings.TrimSpace(strings.ReplaceAll(strings.ToLower(r.said(name)), "°", ""))
	for _, u := range unit.names {
		if rest, ok := strings.CutSuffix(words, u); ok {
			words = strings.TrimSpace(rest)
			break
		}
	}
	x, err := number(words)
	if err != nil || math.Abs(x) > 1000 {
		return nil, ask(name, r.said(name), fmt.Sprintf("write --%s %g", name, 12.), errors.New("is no reading on that scale"))
	}
	return r.constant(x, unit.sd), nil
}

// gravityOf turns a reading, SG or Brix, into SG.
func gravityOf(k *known) (measure.Gravity, error) {
	if k.kind == measure.Brix {
		return density.GravityFromSucrose(measure.MassFraction(k.is / 100))
	}
	return measure.Gravity(k.is), nil
}
