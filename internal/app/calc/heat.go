package calc

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"skep/internal/measure"
	"skep/internal/property/density"
	"skep/internal/property/heat"
)

var calcHeat = Calculation{
	Name:     "heat",
	Question: "How warm is a mixture, how fast does it cool, what do ice, hot water and fermentation do to it?",
	Inputs: []Input{
		{Name: "part", Many: true, Help: `amount and temperature, and if it is sweet its sugar: "2 L 95 C", "1.2 kg 20 C 82 %mass"; the water around a jug is a part too`},
		{Name: "jug", Help: `weight and temperature of glass that warms or cools with it: "1.8 kg 20 C"`},
		{Name: "to", Help: `temperature wanted of all of it: "20 C"`},
		{Name: "with", Help: `what brings it there: "ice", or water of a temperature, "60 C"`},
		{Name: "vessel", Help: "what it cools in, or works in", Choices: vesselNames()},
		{Name: "room", Help: `temperature of the air or water around it: "15 C"`},
		{Name: "for", Help: `how long it stands: "2 h"`},
		{Name: "until", Help: `or the temperature that it cools to: "25 C"`},
		{Name: "sugar-per-day", Help: `or how much it ferments in a day: "40 g/L"; 0.010 of gravity is about 23 g/L`},
	},
	Examples: []string{
		`--part "2 L 95 C" --part "2.5 L 15 C"`,
		`--part "4.5 L 60 C" --vessel "glass jug in cold water" --room "12 C" --until "25 C"`,
		`--part "4.5 L 31 C 22 %mass" --jug "1.8 kg 31 C" --part "6 L 15 C" --to "18 C" --with ice`,
		`--part "4.5 L 20 C" --vessel "glass jug in still air" --room "20 C" --sugar-per-day "48 g/L"`,
	},
	Method: "Heat is conserved: temperatures are averaged by mass and specific heat, and no heat is lost in mixing, nor to the room while ice melts. " +
		"A vessel cools by Newton's law; its loss is assumed, ±40 %: two readings of a thermometer beat it. Above 40 °C a litre counts as 0.98 kg, since it " +
		"may have been measured cold or hot. Ice is between 0 °C, melting, and -18 °C. Fermentation gives 0.56 kJ for each gram of sugar, as hexose; a jug " +
		"at rest loses as much.",
	Sources: []string{"textbook", "bubnik1995", "heat-transfer-assumed", "gost53921", "ice", "colombie2007"},
	Valid:   "0 to 100 °C; sugar to 85 % mass; 0.1 to 1000 L; up to 240 g/L of sugar a day",
	reckon:  (*reckoning).heat,
}

func vesselNames() []string {
	var names []string
	for _, v := range heat.Vessels() {
		names = append(names, v.Name)
	}
	return names
}

// hotLitre is kg in a litre that is above the range of density: 0.998 if it was measured
// cold and then heated, 0.96 if at the boil (from memory, unverified).
const hotLitre, hotLitreSD = 0.98, 0.012

// heatPart is one thing that is mixed.
type heatPart struct {
	amount, temperature, sugar *known
	hot                        *known // kg/L, where density does not reach
}

// heated is what is mixed, as its variables stand: its temperature and litres follow.
type heated func() (parts []heat.Part, t, litres float64, err error)

func (r *reckoning) heat() error {
	if len(r.words["part"]) == 0 {
		return r.missing("part")
	}
	var parts []heatPart
	for _, words := range r.words["part"] {
		p, err := r.heatPart(words)
		if err != nil {
			return err
		}
		parts = append(parts, p)
	}
	jug, err := r.glassJug()
	if err != nil {
		return err
	}
	mixed := func() ([]heat.Part, float64, float64, error) {
		var all []heat.Part
		litres := 0.
		for _, p := range parts {
			one, v, err := p.now()
			if err != nil {
				return nil, 0, 0, err
			}
			all = append(all, one)
			litres += v
		}
		if jug != nil {
			all = append(all, jug())
		}
		c, err := heat.Mix(all)
		return all, float64(c), litres, err
	}
	all, t, litres, err := mixed()
	switch {
	case errors.Is(err, heat.ErrNothing):
		return ask("part", r.said("part"), "", errors.New("has no mass"))
	case err != nil:
		return err
	}
	r.step("the parts together are at %.2f °C, %.2f L [textbook, bubnik1995]", t, litres)
	if r.said("vessel") == "" {
		for _, name := range []string{"room", "for", "until", "sugar-per-day"} {
			if r.said(name) != "" {
				return ask(name, r.said(name), "", errors.New("goes with vessel"))
			}
		}
		if r.said("to") != "" || r.said("with") != "" {
			return r.bring(mixed, all)
		}
		return r.give(func() ([]float64, error) {
			_, t, _, err := mixed()
			return []float64{t}, err
		}, output{"temperature", "temperature", "°C"})
	}
	for _, name := range []string{"to", "with"} {
		if r.said(name) != "" {
			return ask(name, r.said(name), "write --until for the temperature it cools to", errors.New("does not go with vessel"))
		}
	}
	if r.said("sugar-per-day") != "" {
		return r.warmItself(litres)
	}
	return r.cool(mixed, t, litres)
}

// glassJug understands glass that takes part; nil if there is none.
func (r *reckoning) glassJug() (func() heat.Part, error) {
	const tip = `write "1.8 kg 20 C"`
	words := r.said("jug")
	if words == "" {
		return nil, nil
	}
	said, err := measure.ParseParts(words, r.sys)
	if err != nil {
		return nil, ask("jug", words, tip, err)
	}
	if len(said) != 2 || said[0].Kind != measure.Mass || said[1].Kind != measure.Temperature {
		return nil, ask("jug", words, tip, errors.New("is not a weight and a temperature"))
	}
	mass, t := r.quantity(said[0]), r.quantity(said[1])
	return func() heat.Part {
		return heat.Part{Mass: measure.Grams(mass.is), Temperature: measure.Celsius(t.is), SpecificHeat: heat.GlassHeat}
	}, nil
}

// coldestIce is that of a freezer, °C.
const coldestIce = -18

// bring answers how much ice or water brings everything to a temperature.
func (r *reckoning) bring(mixed heated, parts []heat.Part) error {
	to, err := r.needed("to", measure.Temperature)
	if err != nil {
		return err
	}
	to.low, to.high = to.is, to.is
	if r.said("with") == "" {
		return r.missing("with")
	}
	ice := strings.EqualFold(r.said("with"), "ice")
	adds, name := r.between(coldestIce/2, coldestIce, 0), "ice to add"
	need := heat.Ice
	if !ice {
		if _, err := measure.Parse(r.said("with"), r.sys); err != nil {
			return ask("with", r.said("with"), "", errors.New("is neither ice nor the temperature of water, as 60 C"))
		}
		if adds, err = r.needed("with", measure.Temperature); err != nil {
			return err
		}
		need, name = heat.Water, "water to add"
	}
	meets := adds.is
	if ice {
		meets = 0
	}
	worst := meets
	for _, p := range parts {
		if t := float64(p.Temperature); math.Abs(t-meets) > math.Abs(worst-meets) {
			worst = t
		}
	}
	if shock := heat.ThermalShock(measure.Celsius(meets), measure.Celsius(worst)); shock != heat.ShockSafe {
		r.note("Glass that meets a step of %.0f K: %s. Add it little by little, away from the glass [gost53921].", math.Abs(worst-meets), shock)
	}
	r.note("If it goes into the must, it thins it: reckon with it in the recipe, or put it around the jug.")
	figures := func() ([]float64, error) {
		parts, _, _, err := mixed()
		if err != nil {
			return nil, err
		}
		grams, err := need(parts, measure.Celsius(adds.is), measure.Celsius(to.is))
		return []float64{float64(grams), to.is}, err
	}
	central, err := figures()
	if err != nil {
		return err
	}
	r.step("%.0f g of %s bring all of it to %.1f °C [textbook, ice]", central[0], strings.TrimSuffix(name, " to add"), to.is)
	return r.give(figures, output{"add", name, "g"}, output{"temperature", "temperature then", "°C"})
}

// warmItself answers how much a working must stays above the room.
func (r *reckoning) warmItself(litres float64) error {
	for _, name := range []string{"for", "until"} {
		if r.said(name) != "" {
			return ask(name, r.said(name), "", errors.New("does not go with sugar-per-day: it says what a jug at rest comes to"))
		}
	}
	vessel, err := heat.VesselNamed(r.said("vessel"))
	if err != nil {
		return ask("vessel", r.said("vessel"), "", err)
	}
	room, err := r.needed("room", measure.Temperature)
	if err != nil {
		return err
	}
	sugar, err := r.needed("sugar-per-day", measure.Concentration)
	if err != nil {
		return err
	}
	rise := func() (measure.Range, error) { return vessel.Rise(measure.Litres(litres), sugar.is/24) }
	one, err := vessel.Rise(measure.Litres(litres), 1)
	if err != nil {
		return err
	}
	loss := r.between(1, one.Low/one.Value, one.High/one.Value)
	r.step("%.2f g of sugar an hour give %.2f W [colombie2007]", sugar.is/24*litres, heat.Power(sugar.is/24*litres))
	r.step("%s of %.2f L loses as much when it is %.2f to %.2f K above the room for each g/L an hour [heat-transfer-assumed]", vessel.Name, litres, one.Low, one.High)
	return r.give(func() ([]float64, error) {
		k, err := rise()
		up := k.Value * loss.is
		return []float64{up, room.is + up, heat.Power(sugar.is / 24 * litres)}, err
	}, output{"rise", "stays above the room by", "K"}, output{"temperature", "comes to", "°C"}, output{"power", "heat of fermentation", "W"})
}

func (r *reckoning) heatPart(words string) (heatPart, error) {
	said, err := measure.ParseParts(words, r.sys)
	if err != nil {
		return heatPart{}, ask("part", words, `write "2 L 95 C"`, err)
	}
	var p heatPart
	for _, q := range said {
		place, ok := map[measure.Kind]**known{
			measure.Volume: &p.amount, measure.Mass: &p.amount, measure.Temperature: &p.temperature, measure.Fraction: &p.sugar,
		}[q.Kind]
		if !ok || *place != nil {
			return p, ask("part", words, `write "2 L 95 C"`, fmt.Errorf("%q is one too many", q.Words))
		}
		*place = r.quantity(q)
	}
	switch {
	case p.amount == nil:
		return p, ask("part", words, `write "2 L 95 C"`, errors.New("has no volume or mass"))
	case p.temperature == nil:
		return p, ask("part", words, `write "2 L 95 C"`, errors.New("has no temperature"))
	}
	if p.sugar == nil {
		p.sugar = &known{}
	}
	if p.temperature.is > warmestDensity {
		p.hot = r.constant(hotLitre, hotLitreSD)
	}
	return p, nil
}

// warmestDensity is where the methods of package density end, °C.
const warmestDensity = 40

// now is the part as its variables stand, and its volume in litres.
func (p heatPart) now() (heat.Part, float64, error) {
	c, err := heat.SpecificHeat(measure.MassFraction(p.sugar.is), measure.Celsius(p.temperature.is))
	if err != nil {
		return heat.Part{}, 0, err
	}
	// Sweet things are heavier: by sucrose, as far as that is known.
	sugar := measure.MassFraction(min(p.sugar.is, 0.70))
	perLitre := 0.0
	if p.hot != nil {
		sweet, err := density.Sucrose(sugar, 20)
		if err != nil {
			return heat.Part{}, 0, err
		}
		perLitre = 1000 * p.hot.is * float64(sweet/density.FromGravity(1))
	} else {
		rho, err := density.Sucrose(sugar, measure.Celsius(min(p.temperature.is, warmestDensity)))
		if err != nil {
			return heat.Part{}, 0, err
		}
		perLitre = float64(rho)
	}
	grams, litres := p.amount.is, p.amount.is/perLitre
	if p.amount.kind == measure.Volume {
		grams, litres = p.amount.is*perLitre, p.amount.is
	}
	return heat.Part{Mass: measure.Grams(grams), Temperature: measure.Celsius(p.temperature.is), SpecificHeat: c}, litres, nil
}

// cool answers what a vessel makes of the mixture.
func (r *reckoning) cool(mixed heated, t, litres float64) error {
	vessel, err := heat.VesselNamed(r.said("vessel"))
	if err != nil {
		return ask("vessel", r.said("vessel"), "", err)
	}
	room, err := r.needed("room", measure.Temperature)
	if err != nil {
		return err
	}
	way, err := r.oneOf("for", "until")
	if err != nil {
		return err
	}
	constant, err := vessel.TimeConstant(measure.Litres(litres))
	if err != nil {
		return err
	}
	tau := r.between(constant.Value, constant.Low, constant.High)
	exactly := func() measure.Range { return measure.Range{Value: tau.is, Low: tau.is, High: tau.is, Unit: "h"} }
	r.step("%s of %.2f L comes within 37 %% of the distance in %.2f h, %.2f to %.2f [heat-transfer-assumed]", vessel.Name, litres, constant.Value, constant.Low, constant.High)
	shock := heat.ThermalShock(measure.Celsius(room.is), measure.Celsius(t))
	if shock != heat.ShockSafe && !strings.Contains(vessel.Name, "metal") {
		r.note("Glass that meets a step of %.0f K: %s. New glass is tested for %d K, once; %d is our limit [gost53921].",
			max(t-room.is, room.is-t), shock, heat.LowestTest, heat.SafeStep)
	}
	if way == "for" {
		hours, err := r.needed("for", measure.Duration)
		if err != nil {
			return err
		}
		hours.low, hours.high = hours.is, hours.is // a question, not a measurement
		return r.give(func() ([]float64, error) {
			_, t, _, err := mixed()
			if err != nil {
				return nil, err
			}
			after, err := heat.After(exactly(), measure.Celsius(t), measure.Celsius(room.is), measure.Hours(hours.is))
			return []float64{after.Value, t}, err
		}, output{"temperature", "temperature then", "°C"}, output{"start", "at the start", "°C"})
	}
	target, err := r.needed("until", measure.Temperature)
	if err != nil {
		return err
	}
	target.low, target.high = target.is, target.is
	if (target.is-t)*(target.is-room.is) >= 0 {
		return ask("until", r.said("until"), "", fmt.Errorf("does not lie between %.1f °C, where it starts, and %.1f °C around it", t, room.is))
	}
	return r.give(func() ([]float64, error) {
		_, t, _, err := mixed()
		if err != nil {
			return nil, err
		}
		hours, err := heat.CoolingTime(exactly(), measure.Celsius(t), measure.Celsius(target.is), measure.Celsius(room.is))
		return []float64{hours.Value, t}, err
	}, output{"time_to", "time until then", "h"}, output{"temperature", "at the start", "°C"})
}
