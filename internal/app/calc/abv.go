package calc

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"skep/internal/measure"
	"skep/internal/must"
)

var calcABV = Calculation{
	Name:     "abv",
	Question: "How strong is it: from two gravities, from lost weight, by boiling off, or when nothing was noted?",
	Inputs: []Input{
		{Name: "og", Help: `gravity before fermentation: 1.098, "23 Bx", "1.098 at 24 C"`},
		{Name: "fg", Help: `gravity now: 1.004, "1.004 at 17 C"`},
		{Name: "original-sugar", Help: `instead of gravities, sugar at the start: "240 g/L"`},
		{Name: "mass-loss", Help: `with it, the weight that has gone: "430 g"`},
		{Name: "volume", Help: `with it, the must at the start: "4.5 L"`},
		{Name: "before", Help: "instead, gravity of a sample before half of it is boiled away: 0.996"},
		{Name: "after", Help: "with it, gravity of the sample when water has brought it back to its volume, at the same temperature: 1.012"},
		{Name: "refractometer-brix", Help: "if og was forgotten, what a refractometer shows now at 20 C, beside fg: 9.5"},
		{Name: "sugar-kind", Help: "the sugar when the first gravity was taken: invert, as in honey and fruit, or sucrose, as in white sugar", Choices: []string{invertSugar, sucrose}},
		{Name: "label", Help: "round the strength for a label, to so many % vol", Choices: []string{"0.1", "0.5"}},
	},
	Examples: []string{
		"--og 1.098 --fg 1.004", `--original-sugar "240 g/L" --mass-loss "430 g" --volume "4.5 L"`,
		"--before 0.996 --after 1.012", "--fg 1.012 --refractometer-brix 10.5 --label 0.5",
	},
	Method: "The first gravity gives the sugar. It is fermented on paper, gram by gram, until the gravity is the second, or until " +
		"so much CO2 has left; the alcohol is in the volume of then. " + fermentMethod + " " + lossMethod +
		" A boiled sample holds the extract alone, and what alcohol makes the wine so much lighter is found; its volume is taken as restored to 0.5 % " +
		"(assumed). Gravity and refractometer together are true of one must only, if all that was dissolved was sugar. " +
		"The comparison is 131.25 times the fall in gravity: common practice, no source.",
	Sources: []string{"crc102-wolf", "icumsa-sps4", "oiml-r22", "masses", "oiv-as314-01", "oiv-as2-03b"},
	Valid: "gravity to 1.2, refractometer 1 to 40 °Bx; nothing added or taken away on the way. " +
		"For a refractometer in sugar and alcohol together unverified: no printed table could be read",
	reckon: func(r *reckoning) error {
		way, err := r.oneOf("og", "original-sugar", "before", "refractometer-brix")
		if err != nil {
			return err
		}
		if err := r.goTogether(way); err != nil {
			return err
		}
		switch way {
		case "og":
			err = r.strengthFromGravity()
		case "original-sugar":
			err = r.strengthFromLoss()
		case "before":
			err = r.strengthFromResidue()
		case "refractometer-brix":
			err = r.strengthFromTwoInstruments()
		}
		if err != nil {
			return err
		}
		return r.label()
	},
}

// goesWith is which ways to a strength an input belongs to.
var goesWith = map[string][]string{
	"fg":         {"og", "refractometer-brix"},
	"mass-loss":  {"original-sugar"},
	"volume":     {"original-sugar"},
	"after":      {"before"},
	"sugar-kind": {"og", "original-sugar", "refractometer-brix"},
}

// goTogether refuses what belongs to another way.
func (r *reckoning) goTogether(way string) error {
	for _, input := range r.of.Inputs {
		ways := goesWith[input.Name]
		if said := r.said(input.Name); said != "" && ways != nil && !slices.Contains(ways, way) {
			return ask(input.Name, said, "", fmt.Errorf("goes with %s, not with %s", strings.Join(ways, " or "), way))
		}
	}
	return nil
}

// label rounds the strength to the step asked for, if one was.
func (r *reckoning) label() error {
	if r.said("label") == "" {
		return nil
	}
	words, err := r.choice("label")
	if err != nil {
		return err
	}
	step, err := number(words)
	if err != nil {
		return err
	}
	strength := r.results[0].Value.(measure.Range)
	r.tell("label", "on a label", strconv.FormatFloat(step*math.Round(strength.Value/step), 'f', 1, 64)+" % vol")
	wide := ""
	if strength.High-strength.Low > step {
		wide = "; what is not known of it is more than the step"
	}
	r.note("Rounded to the nearest %s %% vol%s. How a label is rounded, and how far from the truth it may be, is law and differs: check local rules.", words, wide)
	return nil
}

func (r *reckoning) strengthFromGravity() error {
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

	strength := func() (f fermented, err error) {
		g0, err := corrected(og, ogAt, 0)
		if err != nil {
			return f, err
		}
		start, err := sugarMust(g0, kind)
		if err != nil {
			return f, err
		}
		err = settle(fgAt, func(ethanol float64) (float64, error) {
			g1, err := corrected(fg, fgAt, ethanol)
			if err != nil {
				return 0, err
			}
			f, err = fermentedToGravity(start, g1, yield.is)
			return f.ethanol / float64(f.must.LiquidMass()), err
		})
		return f, err
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
