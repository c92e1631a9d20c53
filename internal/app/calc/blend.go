package calc

import (
	"errors"
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/must"
)

var calcBlend = Calculation{
	Name:     "blend",
	Question: "What do several wines, musts or waters make together?",
	Inputs: []Input{
		{Name: "part", Many: true, Help: `volume or mass, alcohol and gravity: "5 L 12 %vol 1.010"; water is "1 L"`},
	},
	Examples: []string{`--part "5 L 12 %vol 1.010" --part "1 L 0 %vol 1.098"`},
	Method:   "Each part is grams of water, ethanol and dry extract; grams are added, and the mixture's volume is worked out. Volumes do not add.",
	Sources:  []string{"oiml-r22", "icumsa-sps4", "tanaka2001"},
	Valid:    "volumes at 20 °C; gravity to 1.2; ethanol to 30 % mass, to 100 % vol without extract",
	reckon: func(r *reckoning) error {
		if len(r.words["part"]) < 2 {
			return ask("part", "", `write --part "5 L 12 %vol 1.010" --part "1 L"`, errors.New("is needed twice or more"))
		}
		type part struct {
			amount, strength, gravity *known
			litre                     must.Must
			of                        [2]float64 // strength and gravity of litre: most of what varies leaves it as it is
		}
		var parts []*part
		for _, words := range r.words["part"] {
			said, err := measure.ParseParts(words, r.sys)
			if err != nil {
				return ask("part", words, "", err)
			}
			p := &part{of: [2]float64{math.NaN()}}
			for _, q := range said {
				place, ok := map[measure.Kind]**known{
					measure.Volume: &p.amount, measure.Mass: &p.amount,
					measure.Strength: &p.strength, measure.SG: &p.gravity, measure.Brix: &p.gravity,
				}[q.Kind]
				if !ok || *place != nil {
					return ask("part", words, `write "5 L 12 %vol 1.010"`, fmt.Errorf("%q is one too many", q.Words))
				}
				*place = r.quantity(q)
			}
			if p.amount == nil {
				return ask("part", words, `write "5 L 12 %vol 1.010"`, errors.New("has no volume or mass"))
			}
			if p.strength == nil {
				p.strength = &known{}
			}
			if p.gravity == nil && p.strength.is > 0 {
				return ask("part", words, `write "5 L 12 %vol 1.010"`, errors.New("has no gravity"))
			} else if p.gravity == nil {
				p.gravity = &known{is: 1}
			}
			parts = append(parts, p)
		}
		grams := func(p *part) (must.Must, error) {
			if now := [2]float64{p.strength.is, p.gravity.is}; now != p.of {
				g, err := gravityOf(p.gravity)
				if err != nil {
					return must.Must{}, err
				}
				if p.litre, err = wine(g, p.strength.is); err != nil {
					return must.Must{}, err
				}
				p.of = now
			}
			if p.amount.kind == measure.Mass {
				return p.litre.Scaled(p.amount.is / float64(p.litre.Mass())), nil
			}
			return p.litre.Scaled(p.amount.is), nil
		}
		together := func() (must.Must, error) {
			var all must.Must
			for n, p := range parts {
				m, err := grams(p)
				if err != nil {
					return all, asked("part", r.words["part"][n], err)
				}
				all = all.Plus(m)
			}
			return all, nil
		}
		m, err := together()
		if err != nil {
			return err
		}
		if m.Mass() <= 0 {
			return ask("part", r.said("part"), "", errors.New("there is nothing to blend"))
		}
		for n, p := range parts {
			one, err := grams(p)
			if err != nil {
				return err
			}
			r.step("%s: %.1f g water, %.1f g ethanol, %.1f g extract", r.words["part"][n], one[must.Water], one[must.Ethanol], one[must.OtherSolids])
		}
		r.step("together %.1f g water, %.1f g ethanol, %.1f g extract [oiml-r22, icumsa-sps4]", m[must.Water], m[must.Ethanol], m[must.OtherSolids])
		return r.give(func() ([]float64, error) {
			m, err := together()
			if err != nil {
				return nil, err
			}
			v, err := m.Volume(20)
			if err != nil {
				return nil, err
			}
			strength, err := m.PercentVol()
			if err != nil {
				return nil, err
			}
			g, err := m.Gravity()
			return []float64{float64(v), float64(strength), float64(g)}, err
		}, output{"volume", "volume at 20 °C", "L"}, output{"ethanol", "alcohol", "% vol"}, sg)
	},
}
