package calc

import (
	"errors"
	"fmt"

	"skep/internal/measure"
	"skep/internal/must"
)

var calcABV = Calculation{
	Name:     "abv",
	Question: "How strong is it, from two gravities or from the weight it has lost?",
	Inputs: []Input{
		{Name: "og", Help: `gravity before fermentation: 1.098, "23 Bx", "1.098 at 24 C"`},
		{Name: "fg", Help: `gravity now: 1.004, "1.004 at 17 C"`},
		{Name: "original-sugar", Help: `instead of gravities, sugar at the start: "240 g/L"`},
		{Name: "mass-loss", Help: `with it, the weight that has gone: "430 g"`},
		{Name: "volume", Help: `with it, the must at the start: "4.5 L"`},
		{Name: "sugar-kind", Help: "the sugar when the first gravity was taken: invert, as in honey and fruit, or sucrose, as in white sugar", Choices: []string{invertSugar, sucrose}},
	},
	Examples: []string{"--og 1.098 --fg 1.004", `--original-sugar "240 g/L" --mass-loss "430 g" --volume "4.5 L"`},
	Method: "The first gravity gives the sugar. It is fermented on paper, gram by gram, until the gravity is the second, or until " +
		"so much CO2 has left; the alcohol is in the volume of then. " + fermentMethod + " " + lossMethod +
		" The comparison is 131.25 times the fall in gravity: common practice, no source.",
	Sources: []string{"crc102-wolf", "icumsa-sps4", "oiml-r22", "masses", "oiv-as314-01"},
	Valid:   "gravity to 1.2; nothing added or taken away on the way",
	reckon: func(r *reckoning) error {
		way, err := r.oneOf("og", "original-sugar")
		if err != nil {
			return err
		}
		if way == "og" {
			return r.strengthFromGravity()
		}
		return r.strengthFromLoss()
	},
}

func (r *reckoning) strengthFromGravity() error {
	for _, name := range []string{"mass-loss", "volume"} {
		if r.said(name) != "" {
			return ask(name, r.said(name), "", errors.New("goes with original-sugar, not with og"))
		}
	}
	kind, err := r.choice("sugar-kind")
	if err != nil {
		return err
	}
	og, ogAt, err := r.reading("og")
	if err != nil {
		return err
	}
	fg, fgAt, err := r.reading("fg")
	if err != nil {
		return err
	}
	yield := r.constant(must.EthanolYield, must.EthanolYieldSD)

	first := func() (measure.Gravity, error) { return corrected(og, ogAt, 0) }
	// The second reading, too, is corrected, which needs the alcohol that is looked for:
	// a first answer without correction is near enough.
	strength := func() (fermented, error) {
		g0, err := first()
		if err != nil {
			return fermented{}, err
		}
		start, err := sugarMust(g0, kind)
		if err != nil {
			return fermented{}, err
		}
		g1, err := corrected(fg, fgAt, 0)
		if err != nil {
			return fermented{}, err
		}
		f, err := fermentedToGravity(start, g1, yield.is)
		if err != nil || fgAt == nil {
			return f, err
		}
		if g1, err = corrected(fg, fgAt, f.ethanol/float64(f.must.LiquidMass())); err != nil {
			return f, err
		}
		return fermentedToGravity(start, g1, yield.is)
	}
	central, err := strength()
	if err != nil {
		return err
	}
	if err := r.believable(central); err != nil {
		return err
	}
	r.step("SG %.4f is %.1f g/L of sugar as %s, %.1f as hexose [crc102-wolf, icumsa-sps4]", central.from, central.said, kind, central.hexose)
	r.step("from it, %.1f g of hexose ferment until SG is %.4f: %.1f g of ethanol and %.1f g of CO2 a litre of must",
		central.taken, central.to, central.ethanol, central.gas)
	r.step("1 L has become %.4f L [oiml-r22]; %.2f %% vol", central.litres, central.strength)
	err = r.give(func() ([]float64, error) {
		f, err := strength()
		return []float64{f.strength, tradeRule * float64(f.from-f.to)}, err
	}, output{"ethanol", "alcohol", "% vol"}, output{"comparison", "trade formula", "% vol"})
	return err
}

func (r *reckoning) strengthFromLoss() error {
	if r.said("fg") != "" {
		return ask("fg", r.said("fg"), "", errors.New("goes with og, not with original-sugar"))
	}
	kind, err := r.choice("sugar-kind")
	if err != nil {
		return err
	}
	sugar, err := r.needed("original-sugar", measure.Concentration)
	if err != nil {
		return err
	}
	w, err := r.weighing()
	if err != nil {
		return err
	}
	start, err := sugarLitre(sugar, kind)
	if err != nil {
		return err
	}
	if err := r.first(w, start); err != nil {
		return err
	}
	return r.give(func() ([]float64, error) {
		start, err := sugarLitre(sugar, kind)
		if err != nil {
			return nil, err
		}
		f, err := w.ferment(start)
		return []float64{f.strength, tradeRule * float64(f.from-f.to)}, err
	}, output{"ethanol", "alcohol", "% vol"}, output{"comparison", "trade formula on the gravities this means", "% vol"})
}

// tradeRule times the fall in gravity is % vol. Common practice, no source.
const tradeRule = 131.25

// readingSlack is how far a hydrometer may be off before its reading is not believed.
const readingSlack = 0.003

// believable refuses gravities that contradict each other.
func (r *reckoning) believable(f fermented) error {
	switch {
	case f.to > f.from:
		return ask("fg", r.said("fg"), "was something added, or were the two swapped?",
			fmt.Errorf("%.4f is above the gravity before fermentation, %.4f", f.to, f.from))
	case f.to < f.dry-readingSlack:
		return ask("fg", r.said("fg"), "check both readings",
			fmt.Errorf("%.4f is below %.4f, where a must of %.4f is when all its sugar has gone", f.to, f.dry, f.from))
	}
	return nil
}
