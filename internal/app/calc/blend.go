package calc

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"skep/internal/measure"
	"skep/internal/must"
)

var calcBlend = Calculation{
	Name:     "blend",
	Question: "What do several wines, musts or waters make together, and how much of each is wanted?",
	Inputs: []Input{
		{Name: "part", Many: true, Help: `volume or mass, alcohol, gravity and, if it matters, acidity as tartaric: "5 L 12 %vol 1.010 6 g/L"; water is "1 L"`},
		{Name: "to-ethanol", Help: `alcohol wanted: "11 %vol"; the parts are then what is on hand`},
		{Name: "to-sg", Help: "gravity wanted: 1.005"},
		{Name: "to-ta", Help: `acidity wanted, as tartaric: "6 g/L"`},
		{Name: "volume", Help: `how much is wanted: "4.5 L" (default as much as there is)`},
	},
	Examples: []string{
		`--part "5 L 12 %vol 1.010" --part "1 L 0 %vol 1.098"`,
		`--part "5 L 14 %vol 1.000 7.5 g/L" --part "5 L 10 %vol 0.996 5 g/L" --part "5 L" --to-ethanol "11 %vol" --to-ta "5.8 g/L" --volume "4.5 L"`,
	},
	Method: "Each part is grams of water, ethanol, acid and dry extract; grams are added, and the mixture's volume is worked out. Volumes do not add. " +
		"How much of each meets several goals is found as the best corner of a linear programme in grams, of the volumes on hand.",
	Sources: []string{"oiml-r22", "icumsa-sps4", "tanaka2001", "bland1977"},
	Valid:   "volumes at 20 °C; gravity to 1.2; ethanol to 30 % mass, to 100 % vol without extract; acidity as titrated",
	reckon:  (*reckoning).blend,
}

// blendPart is one thing on hand, and how much of it is taken.
type blendPart struct {
	words                               string
	amount, strength, gravity, titrated *known
	share                               float64

	litre must.Must  // of the part, without its acid
	of    [2]float64 // at this gravity and strength
}

func (r *reckoning) blend() error {
	if len(r.words["part"]) < 2 {
		return ask("part", "", `write --part "5 L 12 %vol 1.010" --part "1 L"`, errors.New("is needed twice or more"))
	}
	var parts []blendPart
	acids := 0
	for _, words := range r.words["part"] {
		p, err := r.blendPart(words)
		if err != nil {
			return err
		}
		if p.titrated != nil {
			acids++
		}
		parts = append(parts, p)
	}
	var onHand []must.Must
	for i := range parts {
		p := &parts[i]
		if p.titrated == nil {
			if acids > 0 && !p.water() {
				return ask("part", p.words, `write "5 L 12 %vol 1.010 6 g/L"`, errors.New("has no acidity, as others have"))
			}
			p.titrated = &known{}
		}
		m, err := p.now()
		if err != nil {
			return asked("part", p.words, err)
		}
		onHand = append(onHand, m)
	}
	wish, err := r.blendWish(acids > 0)
	if err != nil {
		return err
	}
	if wish != (must.BlendWish{}) {
		if err := r.takeFrom(parts, onHand, wish); err != nil {
			return err
		}
	}
	together := func() (must.Must, error) {
		var all must.Must
		for i := range parts {
			m, err := parts[i].now()
			if err != nil {
				return all, err
			}
			all = all.Plus(m.Scaled(parts[i].share))
		}
		return all, nil
	}
	all, err := together()
	if err != nil {
		return err
	}
	if all.Mass() <= 0 {
		return ask("part", r.said("part"), "", errors.New("there is nothing to blend"))
	}
	grams := func(m must.Must) string {
		return fmt.Sprintf("%.1f g water, %.1f g ethanol, %.1f g extract", m[must.Water], m[must.Ethanol], m[must.OtherSolids]+m[must.Acid])
	}
	for i, p := range parts {
		r.step("%s: %s", p.words, grams(onHand[i].Scaled(p.share)))
	}
	r.step("together %s [oiml-r22, icumsa-sps4]", grams(all))
	outputs := []output{{"volume", "volume at 20 °C", "L"}, {"ethanol", "alcohol", "% vol"}, sg}
	if acids > 0 {
		outputs = append(outputs, output{"ta", "acidity, as tartaric", "g/L"})
	}
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
		return []float64{float64(v), float64(strength), float64(g), m[must.Acid] / float64(v)}[:len(outputs)], err
	}, outputs...)
}

func (r *reckoning) blendPart(words string) (blendPart, error) {
	const tip = `write "5 L 12 %vol 1.010"`
	said, err := measure.ParseParts(words, r.sys)
	if err != nil {
		return blendPart{}, ask("part", words, "", err)
	}
	p := blendPart{words: words, share: 1}
	for _, q := range said {
		place, ok := map[measure.Kind]**known{
			measure.Volume: &p.amount, measure.Mass: &p.amount, measure.Strength: &p.strength,
			measure.SG: &p.gravity, measure.Brix: &p.gravity, measure.Concentration: &p.titrated,
		}[q.Kind]
		if !ok || *place != nil {
			return p, ask("part", words, tip, fmt.Errorf("%q is one too many", q.Words))
		}
		*place = r.quantity(q)
	}
	if p.amount == nil {
		return p, ask("part", words, tip, errors.New("has no volume or mass"))
	}
	if p.strength == nil {
		p.strength = &known{}
	}
	switch {
	case p.gravity != nil:
	case p.strength.is > 0:
		return p, ask("part", words, tip, errors.New("has no gravity"))
	case p.titrated != nil:
		return p, ask("part", words, tip, errors.New("has acid, and no gravity"))
	default:
		p.gravity = &known{is: 1}
	}
	return p, nil
}

// water says that nothing was said of it but how much.
func (p *blendPart) water() bool { return p.strength.is == 0 && p.gravity.is == 1 }

// now is all of the part that is on hand, as its variables stand.
func (p *blendPart) now() (must.Must, error) {
	if as := [2]float64{p.gravity.is, p.strength.is}; as != p.of { // else only another part or the amount moved
		g, err := gravityOf(p.gravity)
		if err != nil {
			return must.Must{}, err
		}
		if p.litre, err = wine(g, p.strength.is); err != nil {
			return must.Must{}, err
		}
		p.of = as
	}
	litre := p.litre
	if extract := litre[must.OtherSolids]; p.titrated.is > extract {
		return must.Must{}, &contradictionError{fmt.Sprintf("%.1f g/L of acid is more than the %.1f g/L of extract that its gravity leaves room for", p.titrated.is, extract)}
	}
	litre[must.OtherSolids] -= p.titrated.is
	litre[must.Acid] = p.titrated.is
	if p.amount.kind == measure.Mass {
		return litre.Scaled(p.amount.is / float64(litre.Mass())), nil
	}
	return litre.Scaled(p.amount.is), nil
}

// blendWish is what is wanted of the blend. A wish has no spread.
func (r *reckoning) blendWish(acids bool) (must.BlendWish, error) {
	var wish must.BlendWish
	wanted := map[string]*known{}
	for _, name := range []string{"to-ethanol", "to-sg", "to-ta", "volume"} {
		k, err := r.optional(name, blendKinds[name]...)
		switch {
		case err != nil:
			return wish, err
		case k == nil:
			continue
		case !(k.is > 0):
			return wish, ask(name, r.said(name), "", errors.New("is nothing"))
		case name == "volume" && len(wanted) == 0:
			return wish, ask(name, r.said(name), `write --to-ethanol "11 %vol" too`, errors.New("goes with to-ethanol, to-sg or to-ta"))
		case name == "to-ta" && !acids:
			return wish, ask(name, r.said(name), `write --part "5 L 12 %vol 1.010 6 g/L"`, errors.New("is asked for, and no part has an acidity"))
		}
		k.low, k.high = k.is, k.is
		wanted[name] = k
	}
	if k := wanted["to-ethanol"]; k != nil {
		wish.Strength = measure.PercentVol(k.is)
	}
	if k := wanted["to-ta"]; k != nil {
		wish.Acidity = measure.GramsPerLitre(k.is)
	}
	if k := wanted["volume"]; k != nil {
		wish.Volume = measure.Litres(k.is)
	}
	if k := wanted["to-sg"]; k != nil {
		var err error
		if wish.Gravity, err = gravityOf(k); err != nil {
			return wish, err
		}
	}
	return wish, nil
}

var blendKinds = map[string][]measure.Kind{
	"to-ethanol": {measure.Strength}, "to-sg": {measure.SG, measure.Brix}, "to-ta": {measure.Concentration}, "volume": {measure.Volume},
}

// takeFrom finds how much of each part goes in.
func (r *reckoning) takeFrom(parts []blendPart, onHand []must.Must, wish must.BlendWish) error {
	found, err := must.Blend(onHand, wish)
	switch {
	case errors.Is(err, must.ErrEmpty):
		return ask("part", r.said("part"), "", errors.New("there is nothing to blend"))
	case err != nil:
		return err
	}
	for i := range parts {
		parts[i].share = found.Shares[i]
		name := fmt.Sprintf("of %q", parts[i].words)
		litres, err := onHand[i].Volume(20)
		if errors.Is(err, must.ErrEmpty) {
			litres = 0
		} else if err != nil {
			return err
		}
		r.tell(fmt.Sprintf("take_%d", i+1), name, measure.Exact(float64(litres)*found.Shares[i], "L"))
	}
	r.tell("met", "all goals are met", len(found.Missed) == 0 && !found.Short)
	var missed []string
	for _, m := range found.Missed {
		show := func(x float64) string { return shown(x, m.Unit) }
		missed = append(missed, m.What)
		switch {
		case m.Wanted > math.Max(m.High, m.Got):
			r.note("No %s of %s can be had: the highest of the parts is %s.", m.What, show(m.Wanted), show(m.High))
		case m.Wanted < math.Min(m.Low, m.Got):
			r.note("No %s of %s can be had: the lowest of the parts is %s.", m.What, show(m.Wanted), show(m.Low))
		default:
			r.note("The %s of %s does not go with the rest: the nearest is %s.", m.What, show(m.Wanted), show(m.Got))
		}
	}
	if found.Short {
		missed = append(missed, "volume")
		r.note("There is not more of it than %.3f L.", found.Volume)
	}
	if missed != nil {
		r.tell("missed", "missed", strings.Join(missed, ", "))
	}
	return nil
}

// shown is a number with its unit, to what kitchen instruments see and a digit more.
func shown(x float64, unit string) string {
	if unit == gravityUnit {
		return fmt.Sprintf("%.4f", x)
	}
	return fmt.Sprintf("%.2f %s", x, unit)
}
