package app

import (
	"context"
	"fmt"
	"math"
	"slices"

	"skep/internal/advice"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/heat"
)

// Sheet is brew day step by step.
type Sheet struct {
	Name     string        `json:"name"`
	Steps    []Step        `json:"steps"`
	FullKg   measure.Range `json:"full_weight"` // kg of must in the full jug, without the jug
	Warnings []string      `json:"warnings,omitempty"`
}

// Step is one thing to do on brew day or soon after.
type Step struct {
	Title      string        `json:"title"`
	Do         []string      `json:"do"` // in order, one sentence each
	Quantities []Amount      `json:"quantities,omitempty"`
	Minutes    measure.Range `json:"minutes"` // of the maker's time, or of waiting; not Known where none is needed
	Caution    []string      `json:"caution,omitempty"`
	When       string        `json:"when"`           // "brew day", "days 2 to 4"
	Asks       []string      `json:"asks,omitempty"` // fields of StartWords that are known once it is done
}

// Where brew day's figures come from.
const (
	brewDay = "brew day"
	// hotWater is boiling water once it stands in a cold pot (assumed).
	hotWater measure.Celsius = 95
	// handWarm is water that loosens honey and harms nothing (common practice, no source).
	handWarm measure.Celsius = 40

	// infusedShare is the part of the water that is poured hot over flowers (assumed).
	infusedShare = 0.25
	// warmShare is the part of the water that is warmed to loosen honey (assumed).
	warmShare = 0.25
	// rehydrate is the grams of water for a gram of yeast (supplier practice, secondary).
	rehydrate = 10
	// yeastGap is the K between yeast and must that yeast bears (from memory, unverified).
	yeastGap = 10
)

// Sheet turns a plan into brew day, step by step, each caution where it matters.
//
// Errors: out-of-range physics, of a plan that was changed by hand.
func (c *Cellar) Sheet(_ context.Context, p Plan) (Sheet, error) {
	m := p.must()
	kg := float64(m.Mass()) / 1000
	s := Sheet{Name: p.Name, FullKg: measure.Normal(kg, fillSpread*kg, "kg"), Warnings: p.Warnings}
	warm, err := c.warming(p)
	if err != nil {
		return s, err
	}
	s.Steps = []Step{c.gather(p), clean()}
	s.Steps = append(s.Steps, warm...)
	s.Steps = append(s.Steps, c.fillUp(p), c.read(p, kg), c.pitching(p), c.lock(p))
	if len(p.Nutrient.Feedings) > 0 {
		s.Steps = append(s.Steps, feedingStep(p))
	}
	s.Steps = append(s.Steps, nextLook(p))
	return s, nil
}

func minutes(low, high float64) measure.Range { return between(low, high, "min") }

func (c *Cellar) gather(p Plan) Step {
	step := Step{
		Title: "Read this through, and gather", When: brewDay, Minutes: minutes(10, 20), Quantities: p.Amounts,
		Asks: []string{"with", "empty"},
		Do: []string{
			"Put on the table what is listed, a pot, a long spoon, a funnel, an airlock with its bung, a thermometer, and a hydrometer and a scale if you have them.",
			fmt.Sprintf("Yeast: %s, whole; a part of a packet saves nothing.", p.Yeast),
			"Weigh the empty jug and write it on the jug: asked once, it tells volumes and strength ever after.",
		},
	}
	var plants, honey bool
	for _, a := range p.Amounts {
		if i, err := must.Find(a.Ingredient, nil); err == nil {
			plants = plants || i.Class == must.Flower || i.Class == must.Fruit || i.Class == must.Spice
			honey = honey || i.Class == must.Honey
		}
		if a.Caution != "" && a.Caution != advice.Caution(advice.Infants) {
			step.Caution = append(step.Caution, a.Ingredient+": "+a.Caution)
		}
	}
	if plants {
		step.Caution = append(step.Caution, advice.Caution(advice.Plants))
	}
	if honey {
		step.Caution = append(step.Caution, advice.Caution(advice.Infants))
	}
	return step
}

func clean() Step {
	return Step{
		Title: "Clean, then sanitise", When: brewDay, Minutes: minutes(15, 25),
		Do: []string{
			"Wash jug, pot, spoon, funnel, bung and airlock, and rinse them: dirt shields what a sanitiser should kill.",
			"Sanitise as the label says, one product only, for its full time; rinse if the label says so.",
		},
		Caution: []string{advice.Caution(advice.Cleaners)},
	}
}

// warming is the steps by which the must is mixed and, if hot, cools again.
func (c *Cellar) warming(p Plan) ([]Step, error) {
	room := measure.Celsius(p.Room.Value)
	if p.Heat == NoHeat {
		return []Step{{
			Title: "Mix cold", When: brewDay, Minutes: minutes(10, 20),
			Do: []string{
				fmt.Sprintf("Put %s of the water into the pot, stir in the honey or sugar until nothing lies on the bottom, then everything else.", c.both(waterShare(p, 0.5))),
				"Honey needs no boiling; that drives its scent away.",
			},
		}}, nil
	}
	share, at, how := infusedShare, hotWater, "boiling"
	if p.Heat == Warmed {
		share, at, how = warmShare, handWarm, "hand-warm"
	}
	hot := waterShare(p, share)
	mixed, err := c.mixture(p, hot, at, room)
	if err != nil {
		return nil, err
	}
	step := Step{Title: "Loosen the honey in warm water", When: brewDay, Minutes: minutes(10, 20)}
	if p.Heat == Infuse {
		step.Title, step.Minutes = "Infuse", minutes(20, 40)
		step.Do = append(step.Do,
			fmt.Sprintf("In the pot, pour %s of boiling water over flowers and spices; lid on, and let it stand 15 to 30 minutes.", c.both(hot)))
		step.Caution = append(step.Caution, advice.Caution(advice.HotGlass))
	} else {
		step.Do = append(step.Do, fmt.Sprintf("Warm %s of the water to %s in the pot.", c.both(hot), measure.ShowTemperature(at, c.system)))
	}
	step.Do = append(step.Do,
		"Stir in the honey or sugar until nothing lies on the bottom; it needs no boiling.",
		fmt.Sprintf("Stir in the rest of the water, cold, but for the last %s. Straight away that comes to about %s; the %s water cools while it stands, so expect less.",
			c.both(heldBack(p)), measure.ShowTemperature(mixed, c.system), how))
	steps := []Step{step}
	if cool, err := c.cooling(p, mixed, room); err != nil || cool == nil {
		return steps, err
	} else {
		return append(steps, *cool), nil
	}
}

// waterShare is so much of the plan's water.
func waterShare(p Plan, share float64) measure.Litres {
	litres := p.Amounts[len(p.Amounts)-1].Grams.Value / waterGL
	return measure.Litres(math.Round(20*share*litres) / 20) // to 50 mL
}

// heldBack is what waits for the mark: a tenth of the water.
func heldBack(p Plan) measure.Litres { return waterShare(p, 0.1) }

// both shows a volume in litres and in the other system.
func (c *Cellar) both(l measure.Litres) string {
	l = measure.Litres(math.Round(1000*float64(l)) / 1000)
	other := measure.ShowVolume(l, c.gallons())
	if l < 1 {
		other = measure.ShowCups(l, c.gallons())
	}
	return fmt.Sprintf("%s (%s)", measure.ShowVolume(l, measure.Metric), other)
}

// mixture is the temperature of hot water, and all else as cold as the room, stirred together.
func (c *Cellar) mixture(p Plan, hot measure.Litres, at, room measure.Celsius) (measure.Celsius, error) {
	parts := []heat.Part{
		{Mass: measure.Grams(float64(hot) * waterGL), Temperature: at, SpecificHeat: heat.WaterHeat},
		{Mass: measure.Grams(float64(waterShare(p, 1)-hot-heldBack(p)) * waterGL), Temperature: room, SpecificHeat: heat.WaterHeat},
	}
	for _, part := range p.Parts {
		solids := 1 - part.Adds[must.Water]/max(1e-9, float64(part.Adds.Mass()))
		specific, err := heat.SpecificHeat(measure.MassFraction(min(solids, 0.85)), room)
		if err != nil {
			return 0, err
		}
		parts = append(parts, heat.Part{Mass: measure.Grams(part.Grams), Temperature: room, SpecificHeat: specific})
	}
	return heat.Mix(parts)
}

// cooling is the wait until the must may meet glass and yeast; nil if it may at once.
func (c *Cellar) cooling(p Plan, mixed, room measure.Celsius) (*Step, error) {
	target := measure.Celsius(min(p.Yeast.Temperature.High, float64(room)+heat.SafeStep))
	if mixed <= target {
		return nil, nil
	}
	step := &Step{
		Title: "Let it cool in the pot", When: brewDay,
		Do: []string{fmt.Sprintf("Wait until a thermometer shows %s or less: yeast bears no more, and glass as cold as the room none above %s.",
			measure.ShowTemperature(target, c.system), measure.ShowTemperature(room+heat.SafeStep, c.system))},
		Caution: []string{fmt.Sprintf("Glass: a step of %.0f K is %s; new bottles are tested to %d K or a little more, a scratch takes most of that away. Keep it within %d K.",
			float64(mixed-room), heat.ThermalShock(room, mixed), heat.LowestTest, heat.SafeStep)},
	}
	wait := func(vessel string, around measure.Celsius) (measure.Range, error) {
		v, err := heat.VesselNamed(vessel)
		if err != nil {
			return measure.Range{}, err
		}
		constant, err := v.TimeConstant(measure.Litres(p.Liquid.Value))
		if err != nil {
			return measure.Range{}, err
		}
		hours, err := heat.CoolingTime(constant, mixed, target, around)
		return measure.Range{Value: 60 * hours.Value, Unit: "min", Low: 60 * hours.Low, High: 60 * hours.High}, err
	}
	if target <= room+1 {
		step.Do = append(step.Do, "Your room is hardly cooler than that: stand the pot in cold water.")
		step.Minutes = measure.Normal(math.NaN(), 0, "min")
		return step, nil
	}
	var err error
	if step.Minutes, err = wait("metal pot, lid on, in still air", room); err != nil {
		return nil, err
	}
	if cold := min(room, tapWater); cold < target-1 {
		bath, err := wait("metal pot in cold water", cold)
		if err != nil {
			return nil, err
		}
		step.Do = append(step.Do, fmt.Sprintf("In a sink of cold water the pot needs %s instead.", measure.ShowRange(bath)))
	}
	return step, nil
}

// tapWater is cold water from the tap, °C (assumed).
const tapWater measure.Celsius = 15

func (c *Cellar) fillUp(p Plan) Step {
	solid := ""
	if p.must()[must.Pulp] > 0 {
		solid = ", with all that is in it"
	}
	step := Step{
		Title: "Into the jug, and up to the mark", When: brewDay, Minutes: minutes(5, 10), Asks: []string{"volume"},
		Do: []string{
			fmt.Sprintf("Pour it into the jug%s, and fill up with water to %s; that leaves %s empty for foam.", solid, c.both(measure.Litres(p.Fill.Value)), c.both(measure.Litres(p.Headroom.Value))),
			"Put a strip of tape at that height: it is the mark to come back to. Stir or swirl until it is all one, top and bottom.",
		},
	}
	if p.PH.Known() {
		step.Do = append(step.Do, fmt.Sprintf("If you have a strip, measure the pH: expect %.1f to %.1f, and have it below %.1f before the yeast goes in.", p.PH.Low, p.PH.High, mildest))
	}
	return step
}

func (c *Cellar) read(p Plan, kg float64) Step {
	g := p.Prospect.Gravity
	fruit := ""
	if slices.ContainsFunc(p.Parts, withFruit) {
		fruit = ", or somewhat off: fruit gives its juice over days"
	}
	do := []string{
		fmt.Sprintf("Read gravity and temperature of the same sample; expect %s to %s%s.",
			measure.ShowGravity(measure.Gravity(g.Low)), measure.ShowGravity(measure.Gravity(g.High)), fruit),
		fmt.Sprintf("Weigh the full jug: the must should weigh about %s (%s), the jug comes on top.",
			measure.ShowMass(measure.Grams(1000*kg), measure.Metric), measure.ShowMass(measure.Grams(1000*kg), c.gallons())),
		"Write both down: with them Skep checks the recipe now, and a scale tells strength later without opening the jug.",
	}
	return Step{Title: "Measure", When: brewDay, Minutes: minutes(5, 10), Do: do, Asks: []string{"gravity", "calibrated", "full"}}
}

func (c *Cellar) pitching(p Plan) Step {
	grams := float64(p.Yeast.Packets) * packetGrams
	return Step{
		Title: "Pitch the yeast", When: brewDay, Minutes: minutes(20, 35), Asks: []string{"must", "yeast"},
		Do: []string{
			fmt.Sprintf("If the packet does not say otherwise, stir %s, about %.0f g, into %.0f mL of tap water at 35 to 40 °C (95 to 104 °F), without nutrient, and leave it 15 to 30 minutes. That is suppliers' practice; the packet governs.",
				p.Yeast, grams, rehydrate*grams),
			fmt.Sprintf("The must should be at %s to %s, and no more than %d K away from the yeast: thin the yeast with must, spoon by spoon, if it is.",
				measure.ShowTemperature(measure.Celsius(p.Yeast.Temperature.Low), c.system),
				measure.ShowTemperature(measure.Celsius(min(p.Yeast.Temperature.High, hottestPitch)), c.system), yeastGap),
			"Pour it in and stir well, once: it is the only time that air does good.",
		},
	}
}

func (c *Cellar) lock(p Plan) Step {
	return Step{
		Title: "Lock, and put it in its place", When: brewDay, Minutes: minutes(5, 10), Asks: []string{"room", "place"},
		Do: []string{
			"Fit bung and airlock, water to its line.",
			fmt.Sprintf("Stand it on a tray, dark, where it has %s to %s and stays so; %s suits %s.",
				measure.ShowTemperature(measure.Celsius(p.Yeast.Temperature.Low), c.system),
				measure.ShowTemperature(measure.Celsius(p.Yeast.Temperature.High), c.system), "the lower half of that", p.Yeast.Kind),
			"Write name and date on it.",
		},
		Caution: []string{advice.Caution(advice.NeverSeal), advice.Caution(advice.RoomAir)},
	}
}

func feedingStep(p Plan) Step {
	f := p.Nutrient.Feedings
	step := Step{Title: "Feed the yeast", Minutes: minutes(5, 10), When: fmt.Sprintf("day %g", f[0].Day)}
	if last := f[len(f)-1].Day; last != f[0].Day {
		step.When = fmt.Sprintf("days %g to %g", f[0].Day, last)
	}
	for _, portion := range f {
		step.Do = append(step.Do, fmt.Sprintf("Day %g: %s.", portion.Day, portion.Words))
	}
	step.Do = append(step.Do,
		"Degas first by swirling gently, and stir the salt into a little water: dry powder makes a working must foam over.",
		fmt.Sprintf("Not after day %.1f: by then a third of the sugar may be gone, and yeast takes up no more of it.", f[0].Last),
		"Or, "+p.Nutrient.Otherwise+".")
	return step
}

func nextLook(p Plan) Step {
	bubbles := p.Timeline[0].Days
	return Step{
		Title: "Next look", When: fmt.Sprintf("day %.0f", max(1, math.Ceil(bubbles.Value))), Minutes: minutes(2, 5),
		Do: []string{
			fmt.Sprintf("First bubbles are expected after %s. No bubbles before day %.0f mean nothing yet; then see first whether bung and lid are tight.",
				measure.ShowRange(bubbles), max(2, math.Ceil(bubbles.High))),
			"Weigh the jug, or count bubbles for a minute, and write it down.",
		},
	}
}
