package calc

import (
	"errors"
	"fmt"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
)

var calcHeadspace = Calculation{
	Name:     "headspace",
	Question: "How much room is there above the wine, and does it suffice when the wine warms?",
	Inputs: []Input{
		{Name: "jug", Help: "its shape, of 4 to 5 L, 20 to 25 L, 4 L, 20 to 25 L and 750 mL; sizes assumed", Choices: jugNames()},
		{Name: "below", Help: `how far the wine stands below the top: "6 cm"`},
		{Name: "neck", Help: `inner diameter at the top, if measured: "3 cm"`},
		{Name: "neck-height", Help: `how far down it is as narrow: "4 cm"`},
		{Name: "shoulder", Help: `height of the shoulder under it: "8 cm"`},
		{Name: "body", Help: `inner diameter of the body: "15 cm"`},
		{Name: "wine", Help: `instead, how much wine is in it: "4.4 L", or its weight "4.42 kg" with sg`},
		{Name: "brim", Help: `what the jug holds to the brim: "4.8 L", or the weight of water it takes at 20 C, "4.79 kg"`},
		{Name: "sg", Help: "gravity of the wine (default 1.000)"},
		{Name: "ethanol", Help: "its alcohol (default 12 %vol)"},
		{Name: "at", Help: "its temperature now (default 20 C)"},
		{Name: "warmest", Help: `the warmest it will be, to see whether it still has room: "30 C"`},
	},
	Examples: []string{
		`--jug "gallon jug" --below "6 cm"`,
		`--wine "4.62 kg" --sg 0.998 --brim "4.79 kg" --at "15 C" --warmest "30 C"`,
	},
	Method: "By shape: a neck and a body that are cylinders and a shoulder between, midway from cone to dome; sizes that were not measured are assumed, 8 % " +
		"one standard deviation. By weight: what the jug holds to the brim less the wine, by its density; weighing in air takes 0.1 % off, and is left out. " +
		"Wine expands by its density at both temperatures, the glass by 25e-6 of itself for each K.",
	Sources: []string{"textbook", "tanaka2001", "oiml-r22", "icumsa-sps4", "iso1768"},
	Valid:   "0 to 40 °C; sizes to 200 cm; a jug that is upright, its bottom further down than the wine",
	reckon:  (*reckoning).headspace,
}

func jugNames() []string {
	var names []string
	for _, s := range must.JugShapes() {
		names = append(names, s.Name)
	}
	return names
}

func (r *reckoning) headspace() error {
	way, err := r.oneOf("below", "wine")
	if err != nil {
		return err
	}
	w, err := r.wineOf()
	if err != nil {
		return err
	}
	brim, err := r.optional("brim", measure.Volume, measure.Mass)
	if err != nil {
		return err
	}
	holds := func() float64 {
		if brim.kind == measure.Mass {
			return brim.is / float64(density.FromGravity(1))
		}
		return brim.is
	}
	var room func() (float64, error)
	if way == "below" {
		if room, err = r.roomByShape(); err != nil {
			return err
		}
	} else {
		if brim == nil {
			return r.missing("brim")
		}
		amount, err := r.needed("wine", measure.Volume, measure.Mass)
		if err != nil {
			return err
		}
		room = func() (float64, error) {
			if amount.kind == measure.Volume {
				return holds() - amount.is, nil
			}
			rho, err := w.density(w.at.is)
			return holds() - amount.is/rho, err
		}
	}
	free, err := room()
	switch {
	case err != nil:
		return asked("sg", r.said("sg"), err)
	case free < 0:
		return ask("wine", r.said("wine"), "weigh both again", fmt.Errorf("is %.3f L more than the jug holds", -free))
	case brim != nil && free > holds():
		return ask("below", r.said("below"), "measure the body too", fmt.Errorf("is %.2f L from the top, and the jug holds %.2f L", free, holds()))
	}
	outputs := []output{{"headspace", "room above the wine", "L"}}
	if brim != nil {
		outputs = append(outputs, output{"wine", "wine in it", "L"})
		r.step("it holds %.3f L to the brim", holds())
	}
	r.step("%.3f L of it are empty [textbook]", free)
	figures := func() ([]float64, error) {
		free, err := room()
		if err != nil || brim == nil {
			return []float64{free}, err
		}
		return []float64{max(0, free), holds() - max(0, free)}, nil
	}
	if err := r.give(figures, outputs...); err != nil {
		return err
	}
	if r.said("warmest") == "" {
		return nil
	}
	if brim == nil {
		return ask("brim", "", "", errors.New("is needed with warmest: how much wine expands"))
	}
	return r.expand(w, room, holds)
}

// roomByShape is the room above the wine, by the shape of the jug.
func (r *reckoning) roomByShape() (func() (float64, error), error) {
	name, err := r.choice("jug")
	if err != nil {
		return nil, err
	}
	var shape must.JugShape
	for _, s := range must.JugShapes() {
		if s.Name == name {
			shape = s
		}
	}
	below, err := r.needed("below", measure.Length)
	if err != nil {
		return nil, err
	}
	sizes := make([]*known, 4)
	for i, size := range []struct {
		name  string
		usual float64
	}{{"neck", shape.Neck}, {"neck-height", shape.NeckHeight}, {"shoulder", shape.Shoulder}, {"body", shape.Body}} {
		if sizes[i], err = r.optional(size.name, measure.Length); err != nil {
			return nil, err
		}
		if sizes[i] == nil {
			sizes[i] = r.constant(size.usual, must.ShapeSD*size.usual)
		}
	}
	round := r.between(0.5, 0.1, 0.9) // evenly from cone to dome
	r.step("%s, in cm: neck %.1f wide and %.1f high, shoulder %.1f high, body %.1f wide", name, sizes[0].is, sizes[1].is, sizes[2].is, sizes[3].is)
	return func() (float64, error) {
		v, err := must.JugShape{Neck: sizes[0].is, NeckHeight: sizes[1].is, Shoulder: sizes[2].is, Body: sizes[3].is}.Above(below.is, round.is)
		return float64(v), err
	}, nil
}

// kept is the wine in a jug.
type kept struct {
	gravity, ethanol, at *known

	litre must.Must  // of it
	of    [2]float64 // at this gravity and strength
}

func (r *reckoning) wineOf() (*kept, error) {
	w := &kept{}
	var err error
	if w.gravity, err = r.or("sg", 1, measure.SG, measure.Brix); err != nil {
		return w, err
	}
	if w.ethanol, err = r.or("ethanol", 12, measure.Strength); err != nil {
		return w, err
	}
	w.at, err = r.or("at", 20, measure.Temperature)
	return w, err
}

// density is g/L at a temperature.
func (w *kept) density(t float64) (float64, error) {
	if as := [2]float64{w.gravity.is, w.ethanol.is}; as != w.of {
		g, err := gravityOf(w.gravity)
		if err != nil {
			return 0, err
		}
		if w.litre, err = wine(g, w.ethanol.is); err != nil {
			return 0, err
		}
		w.of = as
	}
	rho, err := w.litre.Density(measure.Celsius(t))
	return float64(rho), err
}

// expand answers what is left of the room when the wine is at its warmest.
func (r *reckoning) expand(w *kept, room func() (float64, error), holds func() float64) error {
	warmest, err := r.needed("warmest", measure.Temperature)
	if err != nil {
		return err
	}
	warmest.low, warmest.high = warmest.is, warmest.is // what if
	if warmest.is < w.at.is {
		return ask("warmest", r.said("warmest"), "", fmt.Errorf("is colder than the wine is now, %.1f °C", w.at.is))
	}
	figures := func() ([]float64, error) {
		free, err := room()
		if err != nil {
			return nil, err
		}
		now, err := w.density(w.at.is)
		if err != nil {
			return nil, err
		}
		then, err := w.density(warmest.is)
		if err != nil {
			return nil, err
		}
		grows := (holds() - free) * (now/then - 1)
		glass := holds() * density.GlassExpansion * (warmest.is - w.at.is)
		return []float64{max(0, grows), free - grows + glass}, nil
	}
	central, err := figures()
	if err != nil {
		return asked("warmest", r.said("warmest"), err)
	}
	r.step("from %.1f to %.1f °C it grows by %.1f mL and the glass by %.1f mL [oiml-r22, icumsa-sps4, iso1768]", w.at.is, warmest.is, 1000*central[0],
		1000*holds()*density.GlassExpansion*(warmest.is-w.at.is))
	if err := r.give(func() ([]float64, error) {
		all, err := figures()
		if err == nil {
			all[1] = max(0, all[1])
		}
		return all, err
	}, output{"expansion", "it grows by", "L"}, output{"room_then", "room then", "L"}); err != nil {
		return err
	}
	left := r.results[len(r.results)-1].Value.(measure.Range)
	r.tell("fits", "has room, surely enough", left.Low > 0)
	switch {
	case central[1] <= 0:
		r.note("%.0f mL find no room. Wine that fills its jug presses out the stopper or breaks the glass: take some out, or keep it cooler.", -1000*central[1])
	case left.Low <= 0:
		r.note("It may fill the jug, press out the stopper or break the glass: take some out, or keep it cooler.")
	}
	return nil
}
