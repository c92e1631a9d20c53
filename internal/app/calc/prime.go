package calc

import (
	"fmt"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/gas"
)

var calcPrime = Calculation{
	Name:     "prime",
	Question: "How much sugar makes a still wine fizzy, and what pressure does that give?",
	Inputs: []Input{
		{Name: "volume", Help: `wine: "4.5 L"`},
		{Name: "target", Help: `CO2 wanted: "5 g/L", "2.5 vol"`},
		{Name: "warmest-since-ferment", Help: `warmest the wine has been since it stopped: "20 C"`},
		{Name: "with", Help: "what to prime with", Choices: []string{"sucrose", "glucose", "honey"}},
		{Name: "ethanol", Help: "alcohol (default 12 %vol)"},
		{Name: "headspace", Help: "above the wine in each bottle (default 20 mL)"},
		{Name: "bottle-volume", Help: "wine in each bottle (default 750 mL)"},
		{Name: "bottle", Help: bottleInput.Help, Choices: bottleInput.Choices},
		{Name: "at", Help: "warmest temperature the bottles will have, for the bottle's limit (default 30 C)"},
	},
	Examples: []string{`--volume "4.5 L" --target "5 g/L" --warmest-since-ferment "20 C" --bottle "sparkling-wine glass"`},
	Method: "The wine still holds CO2, as saturated at the warmest it has been since fermentation: what is lacking to the target is made from sugar, " +
		"0.47 g of CO2 from a gram of hexose (0.457 to 0.483, from memory, unverified). The pressures are careful ones, as in bottle-pressure, and count " +
		"only the sugar added.",
	Sources: []string{"oiv-as314-01", "dissolution-heat", "carroll1991", "wagner2002", "boulton-expansion", "masses", "policy"},
	Valid:   "0 to 40 °C; a wine that is dry: sugar left in it comes on top",
	reckon:  (*reckoning).prime,
}

// primers are what a bottle is primed with, as must finds them.
var primers = map[string]string{"sucrose": "white sugar", "glucose": "glucose", "honey": "honey"}

func (r *reckoning) prime() error {
	volume, err := r.litres("volume")
	if err != nil {
		return err
	}
	target, err := r.needed("target", measure.Concentration, measure.Volumes)
	if err != nil {
		return err
	}
	target.low, target.high = target.is, target.is // a wish has no spread
	warmest, err := r.needed("warmest-since-ferment", measure.Temperature)
	if err != nil {
		return err
	}
	with, err := r.choice("with")
	if err != nil {
		return err
	}
	i, err := must.Find(primers[with], nil)
	if err != nil {
		return err
	}
	ethanol, err := r.or("ethanol", 12, measure.Strength)
	if err != nil {
		return err
	}
	at, err := r.or("at", 30, measure.Temperature)
	if err != nil {
		return err
	}
	headspace, err := r.or("headspace", usualHeadspace, measure.Volume)
	if err != nil {
		return err
	}
	bottleVolume, err := r.or("bottle-volume", usualBottle, measure.Volume)
	if err != nil {
		return err
	}
	kind, err := r.bottleKind()
	if err != nil {
		return err
	}
	law := r.between(0.5, 0, 1) // from Least to Most
	yield := r.constant(gas.UsualYield, usualYieldSD)
	factor := r.constant(1, i.SugarSD)
	liquid := gas.Liquid{Ethanol: measure.PercentVol(ethanol.is)}
	held := func() (float64, error) {
		least, err := gas.Saturated(liquid, measure.Celsius(warmest.is), gas.Least)
		if err != nil {
			return 0, err
		}
		most, err := gas.Saturated(liquid, measure.Celsius(warmest.is), gas.Most)
		return float64(least) + law.is*float64(most-least), err
	}
	now, err := held()
	if err != nil {
		return err
	}
	if dissolvedGL(target) < now {
		return ask("target", r.said("target"), "ask for more, or leave the wine still",
			fmt.Errorf("is less than the %s that the wine holds already", measure.ShowConcentration(measure.GramsPerLitre(now))))
	}
	grams := func() (float64, error) {
		held, err := held()
		return max(0, dissolvedGL(target)-held) / yield.is / (i.PerGram.Hexose(must.SlowShare) * factor.is) * volume.is, err
	}
	add, err := grams()
	if err != nil {
		return err
	}
	r.step("the wine holds %.2f g/L of CO2 [oiv-as314-01]; %.2f g/L are wanted", now, dissolvedGL(target))
	r.step("the rest takes %.1f g of %s in %.3f L, at %.2f g of CO2 from a gram of hexose", add, i.Name, volume.is, yield.is)
	if err := r.give(func() ([]float64, error) {
		g, err := grams()
		if err != nil {
			return nil, err
		}
		h, err := held()
		return []float64{g, h}, err
	}, output{"add", i.Name + " to add", "g"}, output{"dissolved", "CO2 that the wine holds", "g/L"}); err != nil {
		return err
	}
	most, err := gas.Saturated(liquid, measure.Celsius(warmest.is), gas.Most)
	if err != nil {
		return err
	}
	b := gas.ClosedBottle{
		Volume: measure.Litres(bottleVolume.is), Headspace: measure.Litres(headspace.is), Liquid: liquid, CO2: most,
		Hexose: measure.GramsPerLitre(i.PerGram.Hexose(1) * (1 + eighty*i.SugarSD) * add / volume.is),
	}
	at20, err := carefulPressure(b, 20)
	if err != nil {
		return err
	}
	hot, err := carefulPressure(b, measure.Celsius(at.is))
	if err != nil {
		return err
	}
	r.tell("pressure_at_20C", "pressure over the atmosphere at 20 °C", at20)
	r.tell("pressure_at_warmest", "at the warmest", hot)
	if kind != nil {
		r.judge(*kind, hot)
	}
	return nil
}

// usualYieldSD is the ±0.01 of gas.UsualYield, from memory, unverified.
const usualYieldSD = 0.01
