package calc

import (
	"errors"
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property"
	"skep/internal/property/optics"
)

var calcRefractometer = Calculation{
	Name:     "refractometer",
	Question: "What do the degrees of a refractometer mean, in must and once there is alcohol?",
	Inputs: []Input{
		{Name: "brix", Help: "what it shows: 9.5"},
		{Name: "at", Help: `temperature of the sample, if the instrument does not correct for it: "15 C"`},
		{Name: "original-brix", Help: "if it ferments, what it showed before, at 20 C: 23"},
		{Name: "original-sg", Help: "or the gravity before: 1.098"},
		{Name: "made-with", Help: madeWith.Help + "; sugar is what the scale is made for", Choices: []string{madeWithSugar, madeWithHoney, madeWithJuice}},
	},
	Examples: []string{"--brix 11 --original-brix 23 --made-with honey", `--brix 22.4 --at "15 C"`},
	Method: "The instrument shows the sucrose that bends light as much. The first reading gives the must; it is fermented on paper until it " +
		"bends light as it does now, sugar, alcohol and glycerol each adding what they add in water alone. " + fermentMethod,
	Sources: []string{"crc102-wolf", "oiv-as2-02", "icumsa-sps4", "oiml-r22", "white1962", "masses"},
	Valid: "a must to 47 % mass; with a temperature, readings to 40 °Bx at 5 to 30 °C; nothing added or taken away since the first reading; a clear sample without gas. " +
		"For sugar and alcohol together unverified: no printed table could be read",
	reckon: (*reckoning).refractometer,
}

func (r *reckoning) refractometer() error {
	at20, err := r.refractometerAt20()
	if err != nil {
		return err
	}
	with, err := r.choice("made-with")
	if err != nil {
		return err
	}
	made, err := recipeOf(with)
	if err != nil {
		return err
	}
	factor := r.constant(1, made.sd)
	if r.said("original-brix") == "" && r.said("original-sg") == "" {
		return r.fresh(made, factor, at20)
	}
	start, err := r.before(made, factor)
	if err != nil {
		return err
	}
	return r.refracted(start, at20)
}

// refractometerAt20 is what it shows, or would show at 20 °C if the temperature was said.
func (r *reckoning) refractometerAt20() (func() (measure.MassFraction, error), error) {
	brix, err := r.needed("brix", measure.Brix)
	if err != nil {
		return nil, err
	}
	brix.low = max(brix.low, 0)
	at, err := r.optional("at", measure.Temperature)
	if err != nil || at == nil {
		return func() (measure.MassFraction, error) { return measure.MassFraction(brix.is / 100), nil }, err
	}
	give := r.between(0, -1, 1) // how much of what the correction may be off it is off
	at20 := func() (measure.MassFraction, error) {
		w, off, err := optics.CorrectBrix(measure.MassFraction(brix.is/100), measure.Celsius(at.is))
		return max(0, w+measure.MassFraction(give.is)*off), err
	}
	w, err := at20()
	if err != nil {
		return nil, err
	}
	r.step("%.2f °Bx at %.2f °C is %.2f °Bx at 20 °C [oiv-as2-02]", brix.is, at.is, 100*w)
	if at.is > 20 {
		r.note("The correction of a warm sample is from memory, unverified: let it cool to 20 °C.")
	}
	return at20, nil
}

// fresh answers for a must without alcohol.
func (r *reckoning) fresh(made recipe, factor *known, at20 func() (measure.MassFraction, error)) error {
	r.step("the must that bends light as much [crc102-wolf]: its gravity, and the sugar in a litre")
	r.note("This is of a must that has not begun to ferment. If it has, say what it was before: --original-brix or --original-sg.")
	shown := func() (float64, error) {
		w, err := at20()
		return 100 * float64(w), err
	}
	litre := made.like("refractometer", shown, "°Bx", brixIn, factor)
	return r.give(func() ([]float64, error) {
		m, err := litre()
		if err != nil {
			return nil, err
		}
		g, err := m.Gravity()
		return []float64{float64(g), sugars(m)}, err
	}, sg, output{"sugar", "sugar", "g/L"})
}

// before returns what makes a litre of the must from the reading before fermentation.
func (r *reckoning) before(made recipe, factor *known) (func() (must.Must, error), error) {
	way, err := r.oneOf("original-brix", "original-sg")
	if err != nil {
		return nil, err
	}
	kind, unit, reads, water := measure.Brix, "°Bx", brixIn, 0.
	if way == "original-sg" {
		kind, unit, reads, water = measure.SG, "SG", gravityIn, 1
	}
	first, err := r.needed(way, kind)
	if err != nil {
		return nil, err
	}
	first.low = max(first.low, water)
	return made.like(way, func() (float64, error) { return first.is, nil }, unit, reads, factor), nil
}

// brixIn is what a refractometer shows of m, °Bx.
func brixIn(m must.Must) (float64, error) {
	w, err := m.Refractometer()
	return 100 * float64(w), err
}

// refracted answers for a must that ferments.
func (r *reckoning) refracted(start func() (must.Must, error), at20 func() (measure.MassFraction, error)) error {
	yield := r.constant(must.EthanolYield, must.EthanolYieldSD)
	mixture := r.constant(0, 0) // its spread is known once there is a first answer
	state := func() (fermented, error) {
		m, err := start()
		if err != nil {
			return fermented{}, err
		}
		w, err := at20()
		if err != nil {
			return fermented{}, err
		}
		return fermentedToBrix(m, w+measure.MassFraction(mixture.is), yield.is)
	}
	central, err := state()
	if err != nil {
		return err
	}
	spread, err := central.must.RefractometerSpread()
	if err != nil {
		return err
	}
	mixture.low, mixture.high = -eighty*float64(spread), eighty*float64(spread)
	if err := r.credible(central, at20, float64(spread)); err != nil {
		return err
	}
	r.step("before, SG %.4f: %.1f g/L of sugar, %.1f as hexose [crc102-wolf]", central.from, central.said, central.hexose)
	r.step("from it, %.1f g of hexose ferment until it bends light as now: %.1f g of ethanol a litre of must", central.taken, central.ethanol)
	r.step("1 L has become %.4f L of SG %.4f [oiml-r22]; %.2f %% vol", central.litres, central.to, central.strength)
	r.note("How alcohol and sugar bend light together is unverified: %.1f °Bx is allowed for it. A hydrometer is surer of the gravity, "+
		"and nothing that a refractometer shows proves that the last sugar has gone.", 100*spread)
	if r.said("at") != "" {
		r.note("The correction for temperature is that of sugar in water; a wine moves more. Bring the sample to 20 °C.")
	}
	return r.give(func() ([]float64, error) {
		f, err := state()
		return []float64{float64(f.to), (f.hexose - f.taken) / f.litres, f.strength}, err
	}, sg, output{"sugar", "sugar left, as hexose", "g/L"}, output{"ethanol", "alcohol", "% vol"})
}

// fermentedToBrix ferments start until a refractometer shows w. A reading beyond what it
// shows when no sugar, or all of it, has gone means that it is so; credible says whether
// that can be.
func fermentedToBrix(start must.Must, w measure.MassFraction, yield float64) (fermented, error) {
	now, err := must.ByRefractometer(start, w, must.SlowShare, yield)
	if outside := new(property.RangeError); errors.As(err, &outside) && outside.Call == "must.ByRefractometer" {
		left := 0.0
		if outside.Value > outside.High {
			left = start.Hexose(must.SlowShare)
		}
		return fermentedTo(start, left, yield)
	}
	if err != nil {
		return fermented{}, err
	}
	taken := now[must.Ethanol] / yield // what is left of slow sugar does not tell: half of it stays
	return fermentedTo(start, start.Hexose(must.SlowShare)-taken, yield)
}

// credible refuses a reading that no part of the sugar gone would give.
func (r *reckoning) credible(f fermented, at20 func() (measure.MassFraction, error), spread float64) error {
	w, err := at20()
	if err != nil {
		return err
	}
	nearest, err := brixIn(f.must)
	if err != nil {
		return err
	}
	brix := 100 * float64(w)
	const contradiction = 3 // standard deviations
	slack := contradiction * math.Hypot(refractometerSD, 100*spread)
	switch {
	case brix > nearest+slack:
		return ask("brix", r.said("brix"), "was something added, or were the two swapped?",
			fmt.Errorf("%.2f °Bx is above what it was before fermentation, %.2f", brix, nearest))
	case brix < nearest-slack:
		return ask("brix", r.said("brix"), "check both readings",
			fmt.Errorf("%.2f °Bx is below %.2f, what such a must shows when all its sugar has gone", brix, nearest))
	}
	return nil
}

// refractometerSD is how well a kitchen refractometer tells, °Bx; assumed, as in package measure.
const refractometerSD = 0.2
