package calc

import (
	"skep/internal/measure"
	"skep/internal/property/gas"
)

var calcBottlePressure = Calculation{
	Name:     "bottle-pressure",
	Question: "What pressure can a closed bottle come to, and does it hold?",
	Inputs: []Input{
		{Name: "residual-sugar", Help: `what may still ferment: "8 g/L" (counted as hexose)`},
		{Name: "ethanol", Help: `alcohol (default 12 %vol)`},
		{Name: "dissolved-co2", Help: `when it is closed: "0.8 g/L", "0.5 vol" (default as much as still wine can hold at 20 °C)`},
		{Name: "headspace", Help: `above the wine (default 20 mL)`},
		{Name: "volume", Help: `wine in the bottle (default 750 mL)`},
		bottleInput,
		{Name: "at", Help: `warmest temperature it will have (default 30 C)`},
	},
	Examples: []string{`--residual-sugar "8 g/L" --ethanol "12 %vol" --bottle "sparkling-wine glass" --at "30 C"`},
	Method: "All the sugar ferments in the closed bottle; CO2 shares itself out between wine and headspace, whose air is squeezed as the wine " +
		"expands. The value is the careful one: all CO2 that chemistry allows, and of two laws of temperature the one that holds less gas " +
		"in the wine. The low end has 0.46 g of CO2 from a gram of sugar and the other law.",
	Sources: []string{"oiv-as314-01", "dissolution-heat", "carroll1991", "wagner2002", "boulton-expansion", "masses", "cetie-guide1", "policy"},
	Valid:   "0 to 40 °C; sugar to 300 g/L; filled at 20 °C. It says nothing of a scratched or chipped bottle: none is safe",
	reckon:  (*reckoning).bottlePressure,
}

func (r *reckoning) bottlePressure() error {
	sugar, err := r.needed("residual-sugar", measure.Concentration)
	if err != nil {
		return err
	}
	volume, headspace := &known{is: usualBottle}, &known{is: usualHeadspace}
	if r.said("volume") != "" {
		if volume, err = r.litres("volume"); err != nil {
			return err
		}
	}
	if r.said("headspace") != "" {
		if headspace, err = r.needed("headspace", measure.Volume); err != nil {
			return err
		}
	}
	ethanol, err := r.or("ethanol", 12, measure.Strength)
	if err != nil {
		return err
	}
	at, err := r.or("at", 30, measure.Temperature)
	if err != nil {
		return err
	}
	liquid := func() gas.Liquid { return gas.Liquid{Ethanol: measure.PercentVol(ethanol.is)} }
	dissolved, err := r.optional("dissolved-co2", measure.Concentration, measure.Volumes)
	if err != nil {
		return err
	}
	if dissolved == nil {
		saturated, err := gas.Saturated(liquid(), 20, gas.Most)
		if err != nil {
			return err
		}
		dissolved = &known{is: float64(saturated)}
		r.note("Dissolved CO2 was not given: %.2f g/L, as much as the wine holds open at 20 °C. One that has just fermented can hold more.", saturated)
	}
	kind, err := r.bottleKind()
	if err != nil {
		return err
	}
	careful := r.between(1, 0, 1) // 1 careful, 0 the other way
	bottle := func() gas.ClosedBottle {
		b := gas.ClosedBottle{
			Volume: measure.Litres(volume.is), Headspace: measure.Litres(headspace.is), Liquid: liquid(),
			CO2: measure.GramsPerLitre(dissolvedGL(dissolved)), Hexose: measure.GramsPerLitre(sugar.is),
			Yield: gas.CarefulYield, Law: gas.Least,
		}
		if careful.is == 0 {
			b.Yield, b.Law = leastYield, gas.Most
		}
		return b
	}
	b := bottle()
	parts, err := b.Partial(measure.Celsius(at.is))
	if err != nil {
		return err
	}
	r.step("%.3f g/L of CO2 is in the wine, and %.1f g/L of sugar can make %.3f g/L more [masses]", b.CO2, sugar.is, b.Yield*sugar.is)
	r.step("at %.2f °C: CO2 %.3f bar [oiv-as314-01], air %.3f [boulton-expansion], water %.3f [wagner2002], all absolute", at.is, parts.CO2, parts.Air, parts.Water)
	r.step("less the atmosphere, %.5f bar", gas.Atmosphere)
	if err := r.give(func() ([]float64, error) {
		b := bottle()
		p, err := b.Gauge(measure.Celsius(at.is))
		all := b.CO2 + measure.GramsPerLitre(b.Yield)*b.Hexose
		return []float64{float64(p), float64(all), gas.Volumes(all)}, err
	}, output{"gauge_pressure", "pressure over the atmosphere", "bar"}, output{"co2", "CO2 in all, for each litre of wine", "g/L"},
		output{"co2_volumes", "the same", "vol"}); err != nil {
		return err
	}
	if kind == nil {
		return nil
	}
	r.judge(*kind, r.results[0].Value.(measure.Range))
	if kind.Limit == 0 {
		return nil
	}
	most, err := b.HexoseFor(kind.Limit, measure.Celsius(at.is))
	if err != nil {
		return err
	}
	r.tell("sugar_at_limit", "sugar that would reach the limit", measure.Exact(float64(most), "g/L"))
	return nil
}

// leastYield is the low end of what is found in practice, g CO2 a gram of hexose: 0.46
// to 0.48, from memory, unverified. It only ever makes the low end of a range.
const leastYield = 0.46
