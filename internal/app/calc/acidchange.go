package calc

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"skep/internal/measure"
	"skep/internal/property/acidity"
)

// addable are the acids that are sold to add.
var addable = []string{"citric", "malic", "tartaric"}

var carbonates = []acidity.Carbonate{acidity.PotassiumBicarbonate, acidity.CalciumCarbonate, acidity.PotassiumCarbonate}

func carbonateName(c acidity.Carbonate) string { return strings.ReplaceAll(c.Name, " ", "-") }

// changers are what moves an acidity.
func changers() []string {
	names := slices.Clone(addable)
	for _, c := range carbonates {
		names = append(names, carbonateName(c))
	}
	return names
}

// change understands a goal, and returns what works out the grams to add, the acidity and,
// where it can be known, the pH that they lead to; nil where nothing is wanted.
func (r *reckoning) change(s sour) (func() ([]float64, error), []output, error) {
	if r.said("to-ta") == "" && r.said("to-ph") == "" {
		for _, name := range []string{"with", "volume"} {
			if r.said(name) != "" {
				return nil, nil, ask(name, r.said(name), "", errors.New("goes with to-ta or to-ph"))
			}
		}
		return nil, nil, nil
	}
	way, err := r.oneOf("to-ta", "to-ph")
	if err != nil {
		return nil, nil, err
	}
	goal, err := r.needed(way, map[string]measure.Kind{"to-ta": measure.Concentration, "to-ph": measure.Acidity}[way])
	if err != nil {
		return nil, nil, err
	}
	goal.low, goal.high = goal.is, goal.is // a wish has no spread
	volume, err := r.litres("volume")
	if err != nil {
		return nil, nil, err
	}
	tartaric := acidCalled("tartaric")
	// lacking is meq/L of acid that are to come, less than nothing if they are to go.
	lacking := func(a acidity.Acid) (float64, error) {
		if way == "to-ta" {
			ta, err := s.titratable()
			return 1000 / tartaric.Equivalent() * float64(acidity.Convert(measure.GramsPerLitre(goal.is), s.unit, tartaric)-ta), err
		}
		l, err := s.composed()
		if err != nil {
			return 0, err
		}
		gl, err := acidity.AcidForPH(a, goal.is-s.off.is, l.acids, l.cation, l.ethanol)
		if gl < 0 {
			cation, err := acidity.CationForPH(goal.is-s.off.is, l.acids, l.cation, l.ethanol)
			return -cation * s.buffer.is, err
		}
		return 1000 * float64(gl) / a.Equivalent() * s.buffer.is, err
	}
	agent, err := r.agent(way, lacking)
	if err != nil {
		return nil, nil, err
	}
	outputs := []output{{"add", agent.name + " to add", "g"}, {"ta_after", "acidity then, as tartaric acid", "g/L"}}
	if s.composed != nil {
		outputs = append(outputs, output{"ph_after", "pH then", "pH"})
	}
	return func() ([]float64, error) {
		meq, err := lacking(agent.acid)
		if err != nil {
			return nil, err
		}
		meq = max(0, agent.sign*meq)
		ta, err := s.titratable()
		if err != nil {
			return nil, err
		}
		all := []float64{meq / 1000 * agent.equivalent * volume.is, float64(ta) + agent.sign*meq/1000*tartaric.Equivalent()}
		if s.composed == nil {
			return all, nil
		}
		l, err := s.composed()
		if err != nil {
			return nil, err
		}
		// A stiffer liquid than that of the charge balance moves as if it had been given less.
		if agent.sign > 0 {
			l.acids = append(l.acids, acidity.Amount{Acid: agent.acid, GL: measure.GramsPerLitre(meq / s.buffer.is / 1000 * agent.equivalent)})
		} else {
			l.cation += meq / s.buffer.is
		}
		after, err := l.ph()
		return append(all, after+s.off.is), err
	}, outputs, nil
}

// agent is what is added.
type agent struct {
	name       string
	acid       acidity.Acid // it, or for a carbonate the usual one
	equivalent float64      // g that bring or take a mole of acid
	sign       float64      // 1 brings acid, -1 takes it
}

// agent is what was said, or usual, to add; it must move the acidity the way that is wanted.
func (r *reckoning) agent(way string, lacking func(acidity.Acid) (float64, error)) (agent, error) {
	name, err := r.choice("with")
	if err != nil {
		return agent{}, err
	}
	usual := acidCalled(addable[0])
	if slices.Contains(addable, name) {
		usual = acidCalled(name)
	}
	meq, err := lacking(usual)
	if err != nil {
		return agent{}, err
	}
	if r.said("with") == "" && meq < 0 {
		name = carbonateName(carbonates[0])
	}
	found := agent{name: usual.Name + " acid", acid: usual, equivalent: usual.Equivalent(), sign: 1}
	if i := slices.IndexFunc(carbonates, func(c acidity.Carbonate) bool { return carbonateName(c) == name }); i >= 0 {
		c := carbonates[i]
		found = agent{name: c.Name, acid: usual, equivalent: c.Equivalent(), sign: -1}
		if c == acidity.CalciumCarbonate {
			r.note("calcium salts may fall out for weeks: give them time before bottling")
		} else {
			r.note("mead is not grape wine: it takes %.2f g/L of %s for each g/L as tartaric; the doses printed for grape wine, where tartrate falls out besides, are half of it",
				c.Equivalent()/acidCalled("tartaric").Equivalent(), c.Name)
		}
		r.note("each gram gives off %.2f g of CO2: it foams, counts as weight lost, and some stays dissolved for a day", c.Gas())
	}
	if meq*found.sign < 0 {
		return found, ask(way, r.said(way), "leave out --with, or write another", fmt.Errorf("is not where %s leads", found.name))
	}
	r.step("%.2f meq/L of acid are to %s; %.3f g of %s are worth 1000 [masses]", found.sign*meq, map[float64]string{1: "come", -1: "go"}[found.sign], found.equivalent, found.name)
	r.note("add half of it, stir, and measure again before the rest (common practice)")
	return found, nil
}
