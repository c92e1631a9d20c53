package calc

import (
	"skep/internal/app"
)

// stockHelp is said where a dose is too small to weigh.
const stockHelp = "a kitchen scale says little below 2 g: dissolve 10 g of it in water, fill up to 100 mL, and measure that out while it is fresh"

// giveSalt gives what find finds, grams of a salt last; and where those are too few to
// weigh, the millilitres of a stock that hold them too.
func (r *reckoning) giveSalt(find func() ([]float64, error), outputs ...output) error {
	found, err := find()
	if err != nil {
		return err
	}
	if g := found[len(found)-1]; g == 0 || g >= app.LeastWeighed {
		return r.give(find, outputs...)
	}
	r.note(stockHelp)
	return r.give(func() ([]float64, error) {
		found, err := find()
		if err != nil {
			return nil, err
		}
		return append(found, app.StockPerGram*found[len(found)-1]), nil
	}, append(outputs, output{"stock", "as stock of 10 g in 100 mL", "mL"})...)
}

// neverStops is said of sulphite and of sorbate.
const neverStops = "neither sulphite nor sorbate stops a ferment that works, and sulphite alone does not keep a sweet wine from waking: " +
	"let it finish and clear, then give both"
