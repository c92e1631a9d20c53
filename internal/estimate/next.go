package estimate

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"skep/internal/measure"
)

// SawTemperature is a thermometer beside the jug, °C. Only Worth takes it: what it shows
// reaches an estimate as the situation's Course.
const SawTemperature Sense = "temperature"

// Worth is what a look to come is expected to tell.
type Worth struct {
	Sense    Sense         `json:"sense"`
	At       measure.Hours `json:"-"`
	Finish   float64       `json:"finish"`   // share by which the spread of the finish date should shrink, 0 to 1
	Bottling float64       `json:"bottling"` // share by which the doubt should shrink whether it may be bottled then
	Settles  bool          `json:"settles"`  // it should leave hardly any doubt of either
}

// How the worth of a look is reckoned.
const (
	trials   = 60   // jugs of the ensemble that are taken for the real one in turn
	enough   = 0.8  // of the most that a sense can tell: the earliest date that gives it is named
	surely   = 0.02 // p(1−p) of a question that counts as settled
	certain  = 24.0 // h, a spread of the finish date that counts as known
	kernel   = 0.15 // of the spread of what members would show: their error at least, for members are few
	outside  = 6.0  // standard deviations off, at which a jug cannot be the real one
	leastSay = 0.02 // a look that tells less is not named
)

// Worths reckons what each of the looks, none of them taken yet, would be worth to a person
// who asks when it is over and whether it may be bottled: the one of each sense at the
// earliest date at which it tells nearly as much as ever, the most telling first.
//
// Each of some jugs of the ensemble is taken for the real one; what it would show, with its
// error, weighs all others as Bayes' rule does, and the spread that is left is averaged. The
// looks' SD is their error, their Value is not used. sound says whether a jug might be bottled.
//
// Check:  a look that is taken narrows the finish by what was expected of it, on average
// over jugs (TestWorthIsWhatComes); an infinitely poor one is worth nothing.
// Errors: as Foresee.
func (p *Posterior) Worths(now measure.Hours, looks []Observation, sound func(Member) bool) ([]Worth, error) {
	var seen []Observation
	for _, o := range looks {
		if o.Sense != SawTemperature {
			seen = append(seen, o)
		}
	}
	shown, err := p.Foresee(seen)
	if err != nil {
		return nil, err
	}
	finish := make([]float64, len(p.ends))
	for m, e := range p.ends {
		finish[m] = float64(max(now, e.at)) // when it was over in the past is not asked
	}
	ready := map[measure.Hours][]float64{}
	best := map[Sense]Worth{}
	var of []Worth
	for _, o := range looks {
		var would []float64
		if o.Sense == SawTemperature {
			would = make([]float64, len(p.drawn))
			for m := range p.drawn {
				would[m] = p.world.TemperatureSD * p.drawn[m][warmth]
			}
		} else {
			would, shown = shown[0], shown[1:]
		}
		if ready[o.At] == nil {
			ready[o.At] = make([]float64, len(p.drawn))
			for m, member := range p.Members(o.At) {
				if sound(member) {
					ready[o.At][m] = 1
				}
			}
		}
		w, err := worth(o, would, finish, ready[o.At])
		if err != nil {
			return nil, err
		}
		of = append(of, w)
		if w.says() > best[w.Sense].says() {
			best[w.Sense] = w
		}
	}
	slices.SortStableFunc(of, func(a, b Worth) int { return cmp.Compare(a.At, b.At) })
	var all []Worth
	for _, w := range of {
		most := best[w.Sense].says()
		if w.says() < leastSay || w.says() < enough*most || slices.ContainsFunc(all, func(o Worth) bool { return o.Sense == w.Sense }) {
			continue
		}
		all = append(all, w)
	}
	slices.SortStableFunc(all, func(a, b Worth) int { return cmp.Compare(b.says(), a.says()) })
	return all, nil
}

// says is how much a look tells of both questions.
func (w Worth) says() float64 { return (w.Finish + w.Bottling) / 2 }

// worth reckons one look, given what each member would show, when it is over and whether it
// may be bottled then.
func worth(o Observation, would, finish, ready []float64) (Worth, error) {
	const golden = 0.6180339887498949
	n := len(would)
	expected := make([]float64, n)
	for m, v := range would {
		expected[m] = onScale(o.Sense, v)
	}
	least := kernel * math.Sqrt(spreadOver(expected, nil))
	before, doubt := spreadOver(finish, nil), spreadOver(ready, nil)
	spread, left := 0.0, 0.0
	weight := make([]float64, n)
	for k := range trials {
		real := k * n / trials
		// The error of the look runs over its distribution in golden steps: like chance, and
		// the same each time.
		_, u := math.Modf(float64(k+1) * golden)
		o.Value = would[real] + o.SD*math.Sqrt2*math.Erfinv(2*u-1)
		if o.Sense != SawTemperature {
			o.Value = max(0, o.Value)
		}
		value, sd := onScale(o.Sense, o.Value), o.SD
		if o.Sense != SawTemperature {
			l, unreadable, err := scaled(o, 1)
			if err != nil {
				return Worth{}, err
			}
			if unreadable != nil {
				return Worth{}, fmt.Errorf("look %s: %s", o.ID, unreadable.Words)
			}
			value, sd = l.value, l.sd
		}
		sd = math.Hypot(sd, least)
		for m := range weight {
			weight[m] = 0
			if d := (value - expected[m]) / sd; math.Abs(d) < outside {
				weight[m] = math.Exp(-d * d / 2)
			}
		}
		weight[real] = 0 // it would vouch for itself
		spread += math.Sqrt(spreadOver(finish, weight)) / trials
		left += spreadOver(ready, weight) / trials
	}
	w := Worth{Sense: o.Sense, At: o.At, Settles: spread <= certain && left <= surely}
	if before > certain*certain {
		w.Finish = max(0, 1-spread/math.Sqrt(before))
	}
	if doubt > surely {
		w.Bottling = max(0, 1-left/doubt)
	}
	return w, nil
}

// onScale is a reading on the scale where its error is about normal.
func onScale(s Sense, v float64) float64 {
	if s == SawBubbles {
		return math.Log(v + stillest)
	}
	return v
}

// spreadOver is the variance of values with weights, of all that they are drawn from; nil
// weighs all alike. Where the weights leave hardly two, it is that of all.
func spreadOver(values, weight []float64) float64 {
	if weight == nil {
		weight = make([]float64, len(values))
		for m := range weight {
			weight[m] = 1
		}
	}
	sum, squares, mean := 0.0, 0.0, 0.0
	for m, v := range values {
		sum += weight[m]
		squares += weight[m] * weight[m]
		mean += weight[m] * v
	}
	even := sum * sum / squares
	if !(even > 2) {
		return spreadOver(values, nil)
	}
	mean /= sum
	square := 0.0
	for m, v := range values {
		square += weight[m] * (v - mean) * (v - mean)
	}
	return square / sum * even / (even - 1)
}
