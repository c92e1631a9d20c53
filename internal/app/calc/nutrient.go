package calc

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"skep/internal/app"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/nutrient"
)

var calcNutrient = Calculation{
	Name:     "nutrient",
	Question: "How much nitrogen does the yeast lack, and how and when is it given?",
	Inputs: []Input{
		{Name: "sg", Help: `gravity of the must: 1.098, "23 Bx"`},
		{Name: "sugar", Help: `or its sugar: "240 g/L"`},
		{Name: "volume", Help: `must: "4.5 L"`},
		{Name: "demand", Help: "what the kind of yeast asks for; the packet says, else medium", Choices: []string{
			string(nutrient.Medium), string(nutrient.Low), string(nutrient.High),
		}},
		{Name: "made-with", Help: "what the must was made with; decides what nitrogen it brings", Choices: madeWith.Choices},
		{Name: "honey-yan", Help: `nitrogen that the honey brings, if it is known: "20 mg/L" of must, or "80 mg/kg" of honey (default what is usual, twofold either way)`},
	},
	Examples: []string{`--sg 1.098 --volume "4.5 L" --demand medium`, `--sugar "240 g/L" --volume "1 gal" --demand high --honey-yan "15 mg/L"`},
	Method: "Yeast asks for so much assimilable nitrogen for each gram of sugar: 0.75 to 0.80 mg if its demand is low, 0.80 to 1.05 if medium, 0.95 to 1.20 if high " +
		"(from memory, unverified). What the must brings is taken off, and diammonium phosphate, 21.2 % nitrogen, gives the rest, but never above 0.96 g/L. " +
		"It is parted in three: as the must comes to life, when a sixth of the sugar is gone, and when a third is. After that yeast takes up little (common teaching).",
	Sources: []string{"bisson2000", "masses", "cfr27-24-246", "eu-643-2006", "white1962", "crc102-wolf", "policy"},
	Valid:   "to 47 % mass of what is dissolved; a need known to a fifth, and a honey that differs twofold",
	reckon:  (*reckoning).nutrient,
}

// portions is into how many a nutrient is parted.
const portions = 3

func (r *reckoning) nutrient() error {
	litre, nitrogen, err := r.fed()
	if err != nil {
		return err
	}
	volume, err := r.litres("volume")
	if err != nil {
		return err
	}
	said, err := r.choice("demand")
	if err != nil {
		return err
	}
	demand := nutrient.Demand(said)
	place := r.between(0.5, 0, 1) // from the least that is asked for to the most
	figures := func() ([]float64, error) {
		m, err := litre()
		if err != nil {
			return nil, err
		}
		low, high, err := nutrient.Need(demand, measure.GramsPerLitre(m.Hexose(1)))
		if err != nil {
			return nil, err
		}
		target, present := float64(low)+place.is*float64(high-low), nitrogen(m)
		gap := max(0, target-present)
		dose, _, err := nutrient.Phosphate.Dose(measure.MgPerLitre(gap))
		return []float64{target, present, gap, float64(dose) * volume.is}, err
	}
	central, err := figures()
	if err != nil {
		return err
	}
	m, err := litre()
	if err != nil {
		return err
	}
	target, present, gap, grams := central[0], central[1], central[2], central[3]
	r.step("%.1f g/L of sugar asks for %.0f mg/L of nitrogen at a %s demand [bisson2000]; the must brings %.0f", m.Hexose(1), target, demand, present)
	r.step("1 g/L of diammonium phosphate is %.0f mg/L of nitrogen [masses]", 1000*float64(nutrient.Phosphate.Nitrogen))
	if err := r.give(figures, output{"yan_target", "nitrogen that yeast asks for", "mg/L"}, output{"yan_present", "that the must brings", "mg/L"},
		output{"yan_gap", "that is lacking", "mg/L"}, output{"dap", nutrient.Phosphate.Name, "g"}); err != nil {
		return err
	}
	if grams == 0 {
		r.tell("schedule", "when", schedule{})
		r.note("nothing is lacking: give none")
		return nil
	}
	when, err := feedings(m, grams)
	if err != nil {
		return err
	}
	r.tell("schedule", "when", when)
	if grams/portions < app.LeastWeighed {
		r.note(stockHelp)
	}
	_, remains, err := nutrient.Phosphate.Dose(measure.MgPerLitre(gap))
	if err != nil {
		return err
	}
	if remains > 0 {
		r.note("the ceiling of %.2f g/L leaves %.0f of the %.0f mg/L lacking: give yeast for the rest, or make a weaker must", nutrient.MostSalt, remains, gap)
	}
	r.note("give none once a third of the sugar is gone: yeast takes up little then, and what it leaves feeds what one does not want")
	// One proton for each ammonium; a must of 300 g/L honey bears 5 meq/L a pH, computed from
	// its acid. That yeast gives off one for one is from memory, unverified.
	r.note("yeast that takes up this ammonium makes the must sourer, by up to %.1f meq/L (from memory, unverified), and a plain honey must bears about 5 for each pH: keep an eye on the pH", (gap-float64(remains))/14.007)
	without, err := app.WithoutSalts(measure.MgPerLitre(gap), measure.Litres(volume.is))
	if err != nil {
		return err
	}
	r.note("%s", without)
	r.note("%s", lawful("ammonium salts"))
	return nil
}

// fed brings in the must, a litre of it, and the nitrogen that it brings, mg/L.
func (r *reckoning) fed() (litre func() (must.Must, error), nitrogen func(must.Must) float64, err error) {
	with, err := r.choice("made-with")
	if err != nil {
		return nil, nil, err
	}
	made, err := recipeOf(with)
	if err != nil {
		return nil, nil, err
	}
	way, err := r.oneOf("sg", "sugar")
	if err != nil {
		return nil, nil, err
	}
	if way == "sg" {
		gravity, err := r.needed("sg", measure.SG, measure.Brix)
		if err != nil {
			return nil, nil, err
		}
		if litre, err = r.mustVariables(gravity); err != nil {
			return nil, nil, err
		}
	} else {
		sugar, err := r.needed("sugar", measure.Concentration)
		if err != nil {
			return nil, nil, err
		}
		litre = func() (must.Must, error) {
			return made.litre("sugar", sugar.is, "g/L", func(m must.Must) (float64, error) {
				v, err := m.Volume(20)
				return m.Hexose(1) / float64(v), err
			})
		}
	}
	nitrogen, err = r.nitrogen(with, made)
	return litre, nitrogen, err
}

// nitrogen brings in what nitrogen a litre of must has: as said of the honey, or as usual.
func (r *reckoning) nitrogen(with string, made recipe) (func(must.Must) float64, error) {
	words := r.said("honey-yan")
	if words == "" {
		factor := r.between(1, math.Exp(-eighty*made.nitrogenSD), math.Exp(eighty*made.nitrogenSD))
		return func(m must.Must) float64 { return 1000 * m[must.Nitrogen] * factor.is }, nil
	}
	if with != madeWithHoney {
		return nil, ask("honey-yan", words, "", errors.New("is that of a honey, and there is none"))
	}
	said, err := r.needed("honey-yan", measure.Concentration, measure.Fraction)
	if err != nil {
		return nil, err
	}
	if said.kind == measure.Concentration {
		return func(must.Must) float64 { return 1000 * said.is }, nil
	}
	honey, err := must.Find(madeWithHoney, nil)
	return func(m must.Must) float64 { // its usual nitrogen tells how much honey there is
		return 1000 * m[must.Nitrogen] * said.is / honey.PerGram[must.Nitrogen]
	}, err
}

// feeding is a portion of nutrient and when it is given.
type feeding struct {
	When      string        `json:"when"`
	SugarGone measure.Range `json:"sugar_gone"`
	Gravity   measure.Range `json:"sg_20_20"`
	Grams     measure.Range `json:"dap"`
}

// schedule is the portions, in order.
type schedule []feeding

// feedings parts so many grams over the first third of a must's sugar.
func feedings(start must.Must, grams float64) (schedule, error) {
	parts, err := nutrient.Portions(portions)
	if err != nil {
		return nil, err
	}
	var all schedule
	for _, p := range parts {
		m, err := start.FermentedTo((1-p.SugarGone)*start.Hexose(must.SlowShare), must.SlowShare, must.EthanolYield)
		if err != nil {
			return nil, err
		}
		g, err := m.Gravity()
		if err != nil {
			return nil, err
		}
		f := feeding{
			SugarGone: measure.Exact(100*p.SugarGone, "%"), Gravity: measure.Exact(float64(g), gravityUnit),
			Grams: measure.Exact(p.Share*grams, "g"), When: "at " + measure.ShowGravity(g),
		}
		if p.SugarGone == 0 {
			f.When = "as it comes to life"
		}
		all = append(all, f)
	}
	return all, nil
}

// String reads "1.2 g as it comes to life, 1.2 g at 1.082, 1.2 g at 1.066, none later".
func (s schedule) String() string {
	if len(s) == 0 {
		return "none"
	}
	var said []string
	for _, f := range s {
		amount := measure.ShowMass(measure.Grams(f.Grams.Value), measure.Metric)
		if f.Grams.Value < app.LeastWeighed {
			amount += fmt.Sprintf(" (%.0f mL of stock)", app.StockPerGram*f.Grams.Value)
		}
		said = append(said, amount+" "+f.When)
	}
	return strings.Join(said, ", ") + ", none later"
}
