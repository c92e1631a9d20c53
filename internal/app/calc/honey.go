package calc

import (
	"errors"
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/optics"
)

var calcHoney = Calculation{
	Name:     "honey",
	Question: "How much water and sugar is in a honey, by a refractometer?",
	Inputs: []Input{
		{Name: "index", Help: "its refractive index: 1.4915"},
		{Name: "brix", Help: "or what a honey refractometer shows in degrees Brix: 80.5"},
		{Name: "at", Help: `temperature of the honey, if the instrument does not correct for it: "24 C" (default 20 C)`},
	},
	Examples: []string{"--index 1.4915", `--brix 80.5 --at "24 C"`},
	Method: "The refractive index, moved to 20 °C, tells the water by Wedmore's formula; Brix is turned into it by the table of sucrose. " +
		"The solids are taken in the proportions of the mean of 490 honeys, half of the slow sugar as fermentable (assumed). " +
		"The density against the water is from memory, unverified. The instrument is taken as good to 0.2 % of water (assumed).",
	Sources: []string{"wedmore", "crc102-wolf", "white1962", "eu-2001-110"},
	Valid:   "13 to 25 % of water, 15 to 40 °C, 70 to 84 °Bx; clear honey without crystals; density from 13 to 21 % of water",
	reckon:  (*reckoning).honey,
}

const (
	// indexSD is 0.2 % of water, which is what a hand refractometer for honey tells; assumed.
	indexSD = 0.0005
	// syrupSD is what optics.SyrupIndex may be off.
	syrupSD = 0.0001
	// wetHoney is the most water of honey for sale, g/g [eu-2001-110].
	wetHoney = 0.20
)

func (r *reckoning) honey() error {
	way, err := r.oneOf("index", "brix")
	if err != nil {
		return err
	}
	at, err := r.or("at", 20, measure.Temperature)
	if err != nil {
		return err
	}
	index, err := r.honeyIndex(way)
	if err != nil {
		return err
	}
	usual, err := must.Find("honey", nil)
	if err != nil {
		return err
	}
	water := func() (float64, measure.MassFraction, error) {
		n, err := index()
		if err != nil {
			return 0, 0, err
		}
		w, err := optics.HoneyWater(n, measure.Celsius(at.is))
		return n, w, err
	}
	n, moisture, err := water()
	if err != nil {
		return err
	}
	with := func(moisture measure.MassFraction) (must.Ingredient, error) {
		// At both ends of its table the formula passes 13 and 25 % by 0.02.
		return must.WithMoisture(usual, min(max(moisture, 0.13), 0.25))
	}
	this, err := with(moisture)
	if err != nil {
		return err
	}
	r.step("n %.5f at %.2f °C, moved by 0.00023 for each kelvin to 20 °C, is %.2f %% of water [wedmore]", n, at.is, 100*moisture)
	r.step("the rest as in %s, whose water is %.1f %% [white1962]", usual.Name, 100*usual.PerGram[must.Water])
	if moisture > wetHoney {
		r.note("More than 20 %% of water: no honey may be sold so in the European Union but of heather [eu-2001-110], and wild yeast can wake in its jar (common practice). Use it soon.")
	}
	factor := r.constant(1, this.SugarSD)
	outputs := []output{{"moisture", "water", "% mass"}, {"sugar", "sugar that ferments, as hexose", "% mass"}}
	dense := this.Litre > 0
	if dense {
		outputs = append(outputs, output{"density", "density at 20 °C", "kg/m3"})
	}
	return r.give(func() ([]float64, error) {
		_, w, err := water()
		if err != nil {
			return nil, err
		}
		i, err := with(w)
		if err != nil {
			return nil, err
		}
		figures := []float64{100 * float64(w), 100 * i.PerGram.Hexose(must.SlowShare) * factor.is}
		if dense {
			if i.Litre == 0 {
				return nil, errors.New("no density is known for so much water")
			}
			figures = append(figures, i.Litre)
		}
		return figures, nil
	}, outputs...)
}

// honeyIndex is the refractive index as the instrument shows it.
func (r *reckoning) honeyIndex(way string) (func() (float64, error), error) {
	if way == "index" {
		words := r.said("index")
		n, err := number(words)
		if err != nil || math.Abs(n) > 10 {
			return nil, ask("index", words, "write --index 1.4915", errors.New("is no refractive index"))
		}
		index := r.constant(n, indexSD)
		return func() (float64, error) { return index.is, nil }, nil
	}
	brix, err := r.needed("brix", measure.Brix)
	if err != nil {
		return nil, err
	}
	off := r.constant(0, syrupSD)
	index := func() (float64, error) {
		n, err := optics.SyrupIndex(measure.MassFraction(brix.is / 100))
		return n + off.is, err
	}
	n, err := index()
	r.step("%.2f °Bx is n %.5f [crc102-wolf]", brix.is, n)
	return index, err
}
