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
		"holds 1 to 3 g of wine (both assumed). The bottles are those that leave the least over, then the fewest, by trying all.",
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
	losses := must.Losses{}
	if losses.Rackings, err = strconv.Atoi(rackings); err != nil {
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
	filled := func() measure.Range {
		held := 0.
		for _, k := range pulp {
			held += k.is
		}
		return losses.Bottled(measure.Litres(volume.is), measure.Grams(held))
	}
	usual := filled()
	fills, left, err := must.FillBottles(int(1000*usual.Value), sizes)
	if err != nil {
		return ask("volume", r.said("volume"), "", err)
	}
	off := r.between(0, usual.Low-usual.Value, usual.High-usual.Value)
	r.step("lees, rackings and pulp take %.0f to %.0f mL of %.3f L [bogard2020]", 1000*(volume.is-usual.High), 1000*(volume.is-usual.Low), volume.is)
	if err := r.give(func() ([]float64, error) {
		into := max(0, filled().Value+off.is)
		return []float64{into, volume.is - into}, nil
	}, output{"bottled", "into bottles", "L"}, output{"lost", "left behind", "L"}); err != nil {
		return err
	}
	most := r.results[0].Value.(measure.Range).High
	var words []string
	for _, f := range fills {
		words = append(words, fmt.Sprintf("%d of %d mL", f.Count, f.ML))
	}
	if words == nil {
		words = []string{"none is filled"}
	}
	r.tell("bottles", "full bottles", strings.Join(words, ", "))
	r.tell("left_over", "left over, to drink or top up", measure.Exact(float64(left)/1000, "L"))
	r.note("Have bottles clean for %.2f L: it may be as much.", most)
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
