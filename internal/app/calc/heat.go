package calc

import (
	"errors"
	"fmt"
	"strings"

	"skep/internal/measure"
	"skep/internal/property/density"
	"skep/internal/property/heat"
)

var calcHeat = Calculation{
	Name:     "heat",
	Question: "How warm is a mixture, and how long does it take to cool?",
	Inputs: []Input{
		{Name: "part", Many: true, Help: `amount and temperature, and if it is sweet its sugar: "2 L 95 C", "1.2 kg 20 C 82 %mass"`},
		{Name: "vessel", Help: "what it cools in", Choices: vesselNames()},
		{Name: "room", Help: `temperature of the air or water around it: "15 C"`},
		{Name: "for", Help: `how long it stands: "2 h"`},
		{Name: "until", Help: `or the temperature wanted: "25 C"`},
	},
	Examples: []string{`--part "2 L 95 C" --part "2.5 L 15 C"`, `--part "4.5 L 60 C" --vessel "glass jug in cold water" --room "12 C" --until "25 C"`},
	Method: "Heat is conserved: temperatures are averaged by mass and specific heat, and no heat is lost in mixing. A vessel cools by Newton's law; " +
		"its loss is assumed, ±40 %: two readings of a thermometer beat it. Above 40 °C a litre counts as 0.98 kg, since it may have been measured cold or hot.",
	Sources: []string{"textbook", "bubnik1995", "heat-transfer-assumed", "gost53921"},
	Valid:   "0 to 100 °C; sugar to 85 % mass; 0.1 to 1000 L",
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
	// mixed gives °C and litres.
	mixed := func() (t, litres float64, err error) {
		var all []heat.Part
		for _, p := range parts {
			one, v, err := p.now()
			if err != nil {
				return 0, 0, err
			}
			all = append(all, one)
			litres += v
		}
		c, err := heat.Mix(all)
		return float64(c), litres, err
	}
	t, litres, err := mixed()
	switch {
	case errors.Is(err, heat.ErrNothing):
		return ask("part", r.said("part"), "", errors.New("has no mass"))
	case err != nil:
		return err
	}
	r.step("the parts together are at %.2f °C, %.2f L [textbook, bubnik1995]", t, litres)
	if r.said("vessel") == "" {
		for _, name := range []string{"room", "for", "until"} {
			if r.said(name) != "" {
				return ask(name, r.said(name), "", errors.New("goes with vessel"))
			}
		}
		return r.give(func() ([]float64, error) {
			t, _, err := mixed()
			return []float64{t}, err
		}, output{"temperature", "temperature", "°C"})
	}
	return r.cool(mixed, t, litres)
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
func (r *reckoning) cool(mixed func() (float64, float64, error), t, litres float64) error {
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
			t, _, err := mixed()
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
		t, _, err := mixed()
		if err != nil {
			return nil, err
		}
		hours, err := heat.CoolingTime(exactly(), measure.Celsius(t), measure.Celsius(target.is), measure.Celsius(room.is))
		return []float64{hours.Value, t}, err
	}, output{"time_to", "time until then", "h"}, output{"temperature", "at the start", "°C"})
}
