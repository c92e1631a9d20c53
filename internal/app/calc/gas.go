package calc

import (
	"fmt"
	"strings"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/gas"
	"skep/internal/reference"
)

var calcCO2 = Calculation{
	Name:     "co2",
	Question: "How much CO2 does a pressure keep in a wine, or which pressure keeps so much?",
	Inputs: []Input{
		{Name: "pressure", Help: `of CO2, absolute (what a gauge shows and 1.013 bar more): "2.5 bar", "36 psi"`},
		{Name: "co2", Help: `or the CO2 in it: "5 g/L", "2.5 vol"`},
		{Name: "at", Help: `temperature (default 20 C)`},
		{Name: "ethanol", Help: `alcohol: "12 %vol" (default none)`},
		{Name: "sugar", Help: `sugar: "20 g/L" (default none)`},
	},
	Examples: []string{`--pressure "2.5 bar" --at "10 C" --ethanol "12 %vol"`, `--co2 "5 g/L" --ethanol "12 %vol"`},
	Method: "CO2 is proportional to its pressure; alcohol and sugar lower it. The formula is for 20 °C: away from it two laws of " +
		"temperature hold the truth between them, the value is their mean, and the range reaches to both.",
	Sources: []string{"oiv-as314-01", "dissolution-heat", "carroll1991", "srd106"},
	Valid:   "0 to 40 °C; printed to 15 % vol and 100 g/L of sugar, to 20 and 250 only as bounds",
	reckon: func(r *reckoning) error {
		way, err := r.oneOf("pressure", "co2")
		if err != nil {
			return err
		}
		given, err := r.needed(way, map[string][]measure.Kind{
			"pressure": {measure.Pressure}, "co2": {measure.Concentration, measure.Volumes},
		}[way]...)
		if err != nil {
			return err
		}
		liquid, at, err := r.liquid(0)
		if err != nil {
			return err
		}
		law := r.between(0.5, 0, 1) // from Least to Most
		solubility := func() (float64, error) {
			least, err := gas.Solubility(liquid(), measure.Celsius(at.is), gas.Least)
			if err != nil {
				return 0, err
			}
			most, err := gas.Solubility(liquid(), measure.Celsius(at.is), gas.Most)
			return least + law.is*(most-least), err
		}
		k, err := solubility()
		if err != nil {
			return err
		}
		r.step("at %.2f °C the wine holds %.4f g/L for each bar of CO2 [oiv-as314-01]", at.is, k)
		r.step("one volume is %.4f g/L [srd106]", gas.FromVolumes(1))
		return r.give(func() ([]float64, error) {
			k, err := solubility()
			if err != nil {
				return nil, err
			}
			c, p := given.is, given.is
			switch {
			case way == "pressure":
				c = k * p
				if _, err := gas.Dissolved(measure.Bar(p), liquid(), measure.Celsius(at.is), gas.Least); err != nil {
					return nil, err
				}
			default:
				c = dissolvedGL(given)
				p = c / k
				if _, err := gas.Pressure(measure.GramsPerLitre(c), liquid(), measure.Celsius(at.is), gas.Least); err != nil {
					return nil, err
				}
			}
			return []float64{c, gas.Volumes(measure.GramsPerLitre(c)), p}, nil
		}, output{"co2", "CO2", "g/L"}, output{"co2_volumes", "CO2", "vol"}, output{"pressure", "pressure of CO2, absolute", "bar"})
	},
}

// dissolvedGL is CO2 in g/L, said so or in volumes.
func dissolvedGL(k *known) float64 {
	if k.kind == measure.Volumes {
		return float64(gas.FromVolumes(k.is))
	}
	return k.is
}

// liquid understands ethanol, sugar and temperature of a calculation about gas.
func (r *reckoning) liquid(ethanolIs float64) (func() gas.Liquid, *known, error) {
	ethanol, err := r.or("ethanol", ethanolIs, measure.Strength)
	if err != nil {
		return nil, nil, err
	}
	sugar := &known{}
	for _, i := range r.of.Inputs {
		if i.Name == "sugar" {
			if sugar, err = r.or("sugar", 0, measure.Concentration); err != nil {
				return nil, nil, err
			}
		}
	}
	at, err := r.or("at", 20, measure.Temperature)
	return func() gas.Liquid {
		return gas.Liquid{Ethanol: measure.PercentVol(ethanol.is), Sugar: measure.GramsPerLitre(sugar.is)}
	}, at, err
}

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
