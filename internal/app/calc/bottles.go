package calc

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"skep/internal/measure"
	"skep/internal/must"
)

var calcBottles = Calculation{
	Name:     "bottles",
	Question: "How much of a wine reaches the bottles, and how many does it fill?",
	Inputs: []Input{
		{Name: "volume", Help: `wine in the jug, with its lees: "4.5 L"`},
		{Name: "rackings", Help: "how often it is moved off its lees, bottling included", Choices: []string{"1", "2", "3", "4", "5", "6"}},
		{Name: "fruit", Many: true, Help: `what was pressed or strained out of it: "1 kg blackberries", "2 L rose petals"`},
		{Name: "size", Many: true, Help: `a size of bottle, and how many there are: "750 mL", "6 x 375 mL" (default as many of 750 mL as needed)`},
	},
	Examples: []string{`--volume "4.5 L" --rackings 2`, `--volume "1 US gal" --fruit "1.2 kg blackberries" --size "3 x 750 mL" --size "375 mL"`},
	Method: "Light lees are 2 to 4 % of a wine. Each racking leaves 0.5 to 2 % in hose and heel, and a gram of what does not dissolve of fruit and petals " +
		"holds 1 to 3 g of wine (both assumed). The bottles are the best of all ways: no part bottle if it can be (a glass of 50 mL needs none), then the fewest, then the least left over.",
	Sources: []string{"bogard2020", "textbook"},
	Valid:   "to 60 L; bottles of 50 mL and more, filled to their usual height",
	reckon:  (*reckoning).bottles,
}

func (r *reckoning) bottles() error {
	volume, err := r.litres("volume")
	if err != nil {
		return err
	}
	rackings, err := r.choice("rackings")
	if err != nil {
		return err
	}
	times, err := strconv.Atoi(rackings)
	if err != nil {
		return err
	}
	var pulp []*known
	for _, words := range r.words["fruit"] {
		k, err := r.pulp(words)
		if err != nil {
			return err
		}
		pulp = append(pulp, k)
	}
	sizes, err := r.bottleSizes()
	if err != nil {
		return err
	}
	even := func(low, high float64) *known { // four fifths of an even spread
		middle, width := (low+high)/2, high-low
		return r.between(middle, middle-0.4*width, middle+0.4*width)
	}
	holds := even(must.PulpHoldsLow, must.PulpHoldsHigh)
	left := []*known{even(must.LeesLow, must.LeesHigh)}
	for range times {
		left = append(left, even(must.RackingLow, must.RackingHigh))
	}
	shares := make([]float64, len(left))
	into := func() ([]float64, error) {
		held := 0.
		for _, k := range pulp {
			held += holds.is * k.is
		}
		for i, k := range left {
			shares[i] = k.is
		}
		b := float64(must.Bottled(measure.Litres(volume.is), measure.Grams(held), shares...))
		return []float64{b, volume.is - b}, nil
	}
	if err := r.give(into, output{"bottled", "into bottles", "L"}, output{"lost", "left behind", "L"}); err != nil {
		return err
	}
	bottled := r.results[0].Value.(measure.Range)
	r.step("lees, rackings and pulp take %.0f mL of %.3f L [bogard2020]", 1000*(volume.is-bottled.Value), volume.is)
	filling, err := must.FillBottles(int(1000*bottled.Value), sizes)
	if err != nil {
		return ask("volume", r.said("volume"), "", err)
	}
	fills, over := filling.Bottles(sizes)
	var words []string
	for _, f := range fills {
		words = append(words, fmt.Sprintf("%d of %d mL", f.Count, f.ML))
	}
	if words == nil {
		words = []string{"none is filled"}
	}
	r.tell("bottles", "full bottles", strings.Join(words, ", "))
	r.tell("left_over", "left over, to drink or top up", measure.Exact(float64(over)/1000, "L"))
	r.note("Have bottles clean for %.2f L: it may be as much.", bottled.High)
	return nil
}

// pulp is the grams that never dissolve of what was pressed or strained out.
func (r *reckoning) pulp(words string) (*known, error) {
	amount, called, err := measure.ParseIngredient(words, r.sys)
	if err != nil {
		return nil, ask("fruit", words, `write "1 kg blackberries"`, err)
	}
	if called == "" {
		return nil, ask("fruit", words, `write "1 kg blackberries"`, errors.New("does not say what fruit"))
	}
	i, err := must.Find(called, nil)
	if err != nil {
		return nil, ask("fruit", words, "", err)
	}
	p, err := must.Measured(i, amount)
	if err != nil {
		return nil, ask("fruit", words, "", err)
	}
	share := i.PerGram[must.Pulp]
	r.step("%s is %.0f g of %s, of which %.1f g never dissolve", words, p.Grams, i.Name, share*float64(p.Grams))
	k := r.constant(share*float64(p.Grams), share*float64(p.SD))
	k.low = max(k.low, 0)
	return k, nil
}

// counted parts "6 x 375 mL" into number and size.
var counted = regexp.MustCompile(`^(\d{1,4})\s*(?:x|×|of)\s*(.+)$`)

func (r *reckoning) bottleSizes() ([]must.BottleSize, error) {
	var sizes []must.BottleSize
	for _, words := range r.words["size"] {
		size, have := words, -1
		if found := counted.FindStringSubmatch(strings.TrimSpace(words)); found != nil {
			size = found[2]
			n, err := strconv.Atoi(found[1])
			if err != nil {
				return nil, err
			}
			have = n
		}
		q, err := measure.Parse(size, r.sys)
		if err != nil {
			return nil, ask("size", words, `write "750 mL" or "6 x 375 mL"`, err)
		}
		if q.Kind != measure.Volume {
			return nil, ask("size", words, `write "750 mL" or "6 x 375 mL"`, fmt.Errorf("that is a %s, not a %s", q.Kind, measure.Volume))
		}
		if !(q.Value >= 0.050) {
			return nil, ask("size", words, "", errors.New("is too small a bottle: 50 mL is the least"))
		}
		sizes = append(sizes, must.BottleSize{ML: int(math.Round(1000 * q.Value)), Have: have})
	}
	if sizes == nil {
		sizes = []must.BottleSize{{ML: 750, Have: -1}}
	}
	return sizes, nil
}
