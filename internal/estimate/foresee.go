package estimate

import (
	"cmp"
	"fmt"
	"slices"
)

// Foresee returns what each jug of the ensemble would show at looks still to come, or past.
//
// Shapes: n looks, m members; row i is look i, in the unit of its sense, column m the
// member that Members shows at m. Of a look, its value and spread are not used: faults
// that looks share are in the answer, its own error is not.
// Errors: a look as Estimate refuses it, or in a sample too cold or hot to be understood; a
// weighing, when the empty vessel's weight is not known and none was among the evidence.
func (p *Posterior) Foresee(looks []Observation) ([][]float64, error) {
	order := make([]int, len(looks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(looks[a].At, looks[b].At) })

	var ready []look
	var times []Observation
	for _, i := range order {
		o := looks[i]
		o.At, o.Value, o.SD = max(0, o.At), 1, 1
		l, unreadable, err := scaled(o, 1)
		switch {
		case err != nil:
			return nil, err
		case unreadable != nil:
			return nil, fmt.Errorf("look %s: %s", o.ID, unreadable.Words)
		case o.Sense == SawMass && p.world.Tare == 0 && p.firstMass == nil:
			return nil, fmt.Errorf("look %s: no earlier weighing, and no empty weight, to hold a weight against", o.ID)
		}
		ready, times = append(ready, l), append(times, o)
	}
	if p.firstMass != nil {
		times = append(times, *p.firstMass)
		slices.SortStableFunc(times, func(a, b Observation) int { return cmp.Compare(a.At, b.At) })
	}
	shown := make([][]float64, len(looks))
	err := p.alike(func(w *world, members []drawn) error {
		r := newRun(w, ready, p.firstMass, times)
		columns, err := r.foresee(members)
		if err != nil {
			return err
		}
		for at, i := range order {
			for _, v := range columns[at] {
				shown[i] = append(shown[i], r.looks[at].asSeen(v))
			}
		}
		return nil
	})
	return shown, err
}
