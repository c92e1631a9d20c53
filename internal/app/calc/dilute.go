package calc

import (
	"errors"
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/solve"
)

var calcDilute = Calculation{
	Name:     "dilute",
	Question: "How much water brings a must or wine down to a strength or gravity?",
	Inputs: []Input{
		{Name: "volume", Help: `what there is: "4.5 L"`},
		{Name: "sg", Help: "its gravity: 1.120"},
		{Name: "ethanol", Help: `its alcohol: "14 %vol" (default none)`},
		{Name: "ta", Help: `its acidity, to know what becomes of it: "6 g/L"`},
		{Name: "to-sg", Help: "the gravity wanted: 1.090"},
		{Name: "to-ethanol", Help: `or the alcohol wanted: "12 %vol"`},
	},
	Examples: []string{`--volume "4 L" --sg 1.120 --to-sg 1.090`, `--volume "4.5 L" --sg 0.998 --ethanol "14.5 %vol" --ta "6 g/L" --to-ethanol "12.5 %vol"`},
	Method: "Grams of water are added to grams of water, ethanol and dry extract until the mixture is what is wanted; its volume is worked out, " +
		"since volumes do not add.",
	Sources: []string{"oiml-r22", "icumsa-sps4", "tanaka2001"},
	Valid:   "volumes at 20 °C; gravity to 1.2; ethanol to 30 % mass",
	reckon:  (*reckoning).dilute,
}

func (r *reckoning) dilute() error {
	volume, err := r.litres("volume")
	if err != nil {
		return err
	}
	gravity, err := r.needed("sg", measure.SG, measure.Brix)
	if err != nil {
		return err
	}
	ethanol, err := r.or("ethanol", 0, measure.Strength)
	if err != nil {
		return err
	}
	ta, err := r.optional("ta", measure.Concentration)
	if err != nil {
		return err
	}
	way, err := r.oneOf("to-sg", "to-ethanol")
	if err != nil {
		return err
	}
	wish, err := r.needed(way, map[string][]measure.Kind{"to-sg": {measure.SG, measure.Brix}, "to-ethanol": {measure.Strength}}[way]...)
	if err != nil {
		return err
	}
	wish.low, wish.high = wish.is, wish.is // a wish has no spread
	// thinned is what there is, and the grams of water that make it what is wanted.
	thinned := func() (must.Must, float64, error) {
		g, err := gravityOf(gravity)
		if err != nil {
			return must.Must{}, 0, err
		}
		litre, err := wine(g, ethanol.is)
		if err != nil {
			return must.Must{}, 0, err
		}
		m := litre.Scaled(volume.is)
		if way == "to-ethanol" {
			water, err := waterFor(m, wish.is, "% vol", func(m must.Must) (float64, error) { p, err := m.PercentVol(); return float64(p), err })
			return m, water, err
		}
		to, err := gravityOf(wish)
		if err != nil {
			return must.Must{}, 0, err
		}
		water, err := waterFor(m, float64(to), gravityUnit, func(m must.Must) (float64, error) { g, err := m.Gravity(); return float64(g), err })
		return m, water, err
	}
	m, water, err := thinned()
	if err != nil {
		return asked(way, r.said(way), err)
	}
	r.step("%.3f L of it are %.1f g: %.1f g water, %.1f g ethanol, %.1f g extract [oiml-r22, icumsa-sps4]", volume.is, m.Mass(), m[must.Water], m[must.Ethanol], m[must.OtherSolids])
	r.step("%.1f g of water bring it to %s", water, r.said(way))
	r.note("Water thins all that is in it: flavour, acid and sulphite too. Try a glass first.")
	outputs := []output{
		{"add", "water to add", "g"},
		{"volume", "volume after, at 20 °C", "L"},
		{"ethanol", "alcohol after", "% vol"},
		{"sg_20_20", "gravity after", gravityUnit},
	}
	if ta != nil {
		outputs = append(outputs, output{"ta", "acidity after", "g/L"})
	}
	return r.give(func() ([]float64, error) {
		m, water, err := thinned()
		if err != nil {
			return nil, err
		}
		m[must.Water] += water
		v, err := m.Volume(20)
		if err != nil {
			return nil, err
		}
		p, err := m.PercentVol()
		if err != nil {
			return nil, err
		}
		g, err := m.Gravity()
		all := []float64{water, float64(v), float64(p), float64(g)}
		if ta != nil {
			all = append(all, ta.is*volume.is/float64(v))
		}
		return all, err
	}, outputs...)
}

// mostDilution is how many times its own mass of water may be added: beyond it is water.
const mostDilution = 100

// waterFor is the grams of water that make of m something whose quality is wanted.
//
// Errors: *contradictionError when no water does; as of asks.
func waterFor(m must.Must, wanted float64, unit string, of func(must.Must) (float64, error)) (float64, error) {
	is, err := of(m)
	if err != nil {
		return 0, err
	}
	off := func(water float64) float64 {
		thin := m
		thin[must.Water] += water
		x, err := of(thin)
		if err != nil {
			return math.NaN()
		}
		return x - wanted
	}
	water, err := solve.Root(off, 0, mostDilution*float64(m.Mass()), 1e-9*float64(m.Mass()))
	if errors.Is(err, solve.ErrNoRoot) {
		return 0, &contradictionError{fmt.Sprintf("water does not bring %s to %s", shown(is, unit), shown(wanted, unit))}
	}
	return water, err
}
