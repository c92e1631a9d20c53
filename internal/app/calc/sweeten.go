package calc

import (
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/solve"
)

var calcSweeten = Calculation{
	Name:     "sweeten",
	Question: "How much honey or sugar brings a wine to a gravity?",
	Inputs: []Input{
		{Name: "volume", Help: `wine: "4.5 L"`},
		{Name: "from-sg", Help: "its gravity: 0.998"},
		{Name: "to-sg", Help: "the gravity wanted: 1.010"},
		{Name: "ethanol", Help: `its alcohol: "12 %vol"`},
		{Name: "with", Help: "what to sweeten with", Choices: []string{"honey", "sucrose"}},
	},
	Examples: []string{`--volume "4.5 L" --from-sg 0.998 --to-sg 1.010 --ethanol "12 %vol" --with honey`},
	Method:   "Grams are added until the mixture has the gravity wanted; what the wine holds already counts as dry extract.",
	Sources:  []string{"oiml-r22", "icumsa-sps4", "crc102-wolf", "white1962"},
	Valid:    "0.95 to 1.2 SG; ethanol to 30 % mass",
	reckon: func(r *reckoning) error {
		with, err := r.choice("with")
		if err != nil {
			return err
		}
		volume, err := r.litres("volume")
		if err != nil {
			return err
		}
		from, err := r.needed("from-sg", measure.SG, measure.Brix)
		if err != nil {
			return err
		}
		to, err := r.needed("to-sg", measure.SG, measure.Brix)
		if err != nil {
			return err
		}
		ethanol, err := r.needed("ethanol", measure.Strength)
		if err != nil {
			return err
		}
		// A wish has no spread.
		to.low, to.high = to.is, to.is
		i, err := must.Find(map[string]string{"honey": "honey", "sucrose": "white sugar"}[with], nil)
		if err != nil {
			return err
		}
		factor := r.constant(1, i.SugarSD)
		sweetened := func() ([]float64, error) {
			g0, err := gravityOf(from)
			if err != nil {
				return nil, err
			}
			g1, err := gravityOf(to)
			if err != nil {
				return nil, err
			}
			if g1 < g0 {
				return nil, &contradictionError{fmt.Sprintf("%.4f is not sweeter than %.4f", g1, g0)}
			}
			m, err := wine(g0, ethanol.is)
			if err != nil {
				return nil, err
			}
			m = m.Scaled(volume.is)
			per := sweeter(i.PerGram, factor.is, must.Water)
			grams, err := gramsTo(m, per, g1)
			if err != nil {
				return nil, err
			}
			m = m.Plus(per.Scaled(grams))
			v, err := m.Volume(20)
			if err != nil {
				return nil, err
			}
			after, err := m.PercentVol()
			return []float64{grams, float64(v), float64(after), per.Hexose(must.SlowShare) * grams / float64(v)}, err
		}
		central, err := sweetened()
		if err != nil {
			return asked("from-sg", r.said("from-sg"), err)
		}
		r.step("the wine: %.3f L with %.2f %% vol and dry extract that bring it to its gravity [oiml-r22, icumsa-sps4]", volume.is, ethanol.is)
		r.step("%.1f g of %s bring the mixture to the gravity wanted, in %.3f L [crc102-wolf, white1962]", central[0], i.Name, central[1])
		r.note("Yeast will ferment it unless the wine has been stabilised: sweeten after that, and not before.")
		return r.give(sweetened, output{"add", i.Name + " to add", "g"}, output{"volume", "volume after", "L"},
			output{"ethanol", "alcohol after", "% vol"}, output{"sugar_added", "sugar added, as hexose", "g/L"})
	},
}

// gramsTo is how many grams of what brings m to a gravity above its own.
//
// Errors: *property.RangeError when what is not dense enough, or out of the tables.
func gramsTo(m, what must.Must, to measure.Gravity) (float64, error) {
	var beyond error
	off := func(grams float64) float64 {
		g, err := m.Plus(what.Scaled(grams)).Gravity()
		if err != nil {
			beyond = err
			return math.NaN()
		}
		return float64(g - to)
	}
	if off(0) >= 0 && beyond == nil {
		return 0, nil
	}
	high := 0.01 * float64(m.Mass())
	for off(high) < 0 && beyond == nil {
		high *= 1.5
	}
	if beyond != nil {
		return 0, beyond
	}
	return solve.Root(off, 0, high, 1e-9*float64(m.Mass()))
}
