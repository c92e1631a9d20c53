package calc

import (
	"errors"
	"fmt"

	"skep/internal/measure"
	"skep/internal/property/acidity"
)

var calcAcid = Calculation{
	Name:     "acid",
	Question: "What is an acidity as another acid, and what pH do acids make?",
	Inputs: []Input{
		{Name: "ta", Help: `titratable acidity: "6 g/L"`},
		{Name: "as", Help: "the acid it is given as", Choices: acidNames()},
		{Name: "acid", Many: true, Help: `or what is in it: "4 g/L citric"`},
		{Name: "potassium", Help: `with it, what neutralises some of it: "0.4 g/L" (default none)`},
		{Name: "ethanol", Help: "with it, alcohol (default none)"},
	},
	Examples: []string{`--ta "6 g/L" --as tartaric`, `--acid "4 g/L citric" --acid "1 g/L malic" --potassium "0.4 g/L"`},
	Method: "Acids are exchanged by equivalents, as titrated to pH 8.2. The pH is where charges balance; salts' own effect (0.05 to 0.1) and what yeast " +
		"makes are left out: take ±0.3, and believe a strip or a meter before this.",
	Sources: []string{"aqion", "libretexts-e1", "talanta1998", "prenesti2012", "masses"},
	Valid:   "each acid to 50 g/L; potassium no more than the acids; ethanol to 15 % vol",
	reckon:  (*reckoning).acid,
}

func acidNames() []string {
	var names []string
	for _, a := range acidity.All() {
		names = append(names, a.Name)
	}
	return names
}

// phSpread is how far a must may be from its charge balance: package acidity says ±0.3,
// read as an 80 % range.
const phSpread = 0.3

// potassiumMolar is g in a mole of potassium [masses].
const potassiumMolar = 39.0983

func (r *reckoning) acid() error {
	way, err := r.oneOf("ta", "acid")
	if err != nil {
		return err
	}
	var acids []acidity.Acid
	for _, name := range []string{"tartaric", "citric", "malic"} {
		a, err := acidity.Named(name)
		if err != nil {
			return err
		}
		acids = append(acids, a)
	}
	tartaric := acids[0]
	outputs := []output{
		{"ta", "as tartaric acid", "g/L"}, {"ta_citric", "as citric acid", "g/L"}, {"ta_malic", "as malic acid", "g/L"},
	}
	as := func(ta measure.GramsPerLitre) []float64 {
		var all []float64
		for _, a := range acids {
			all = append(all, float64(acidity.Convert(ta, tartaric, a)))
		}
		return all
	}
	if way == "ta" {
		for _, name := range []string{"potassium", "ethanol"} {
			if r.said(name) != "" {
				return ask(name, r.said(name), "", errors.New("goes with acid, not with ta"))
			}
		}
		name, err := r.choice("as")
		if err != nil {
			return err
		}
		from, err := acidity.Named(name)
		if err != nil {
			return err
		}
		ta, err := r.needed("ta", measure.Concentration)
		if err != nil {
			return err
		}
		r.step("%.3f g/L as %s acid, %.3f g to the mole of base, is %.3f meq/L [masses]", ta.is, from.Name, from.Equivalent(), 1000*ta.is/from.Equivalent())
		return r.give(func() ([]float64, error) {
			return as(acidity.Convert(measure.GramsPerLitre(ta.is), from, tartaric)), nil
		}, outputs...)
	}
	if r.said("as") != "" {
		return ask("as", r.said("as"), "", errors.New("goes with ta, not with acid"))
	}
	potassium, err := r.or("potassium", 0, measure.Concentration)
	if err != nil {
		return err
	}
	ethanol, err := r.or("ethanol", 0, measure.Strength)
	if err != nil {
		return err
	}
	amounts, err := r.acids()
	if err != nil {
		return err
	}
	off := r.between(0, -phSpread, phSpread)
	return r.give(func() ([]float64, error) {
		cation := 1000 * potassium.is / potassiumMolar
		ta, err := acidity.Titratable(amounts(), cation)
		if err != nil {
			return nil, err
		}
		ph, err := acidity.PH(amounts(), cation, measure.PercentVol(ethanol.is))
		if err != nil {
			return nil, err
		}
		return append(as(ta), ph+off.is), nil
	}, append(outputs, output{"ph", "pH", "pH"})...)
}

// acids understands what acids are in it.
func (r *reckoning) acids() (func() []acidity.Amount, error) {
	var kinds []acidity.Acid
	var grams []*known
	for _, words := range r.words["acid"] {
		amount, name, err := measure.ParseIngredient(words, r.sys)
		if err != nil {
			return nil, ask("acid", words, `write "4 g/L citric"`, err)
		}
		if amount.Kind != measure.Concentration {
			return nil, ask("acid", words, `write "4 g/L citric"`, fmt.Errorf("that is a %s, not a %s", amount.Kind, measure.Concentration))
		}
		kind, err := acidity.Named(name)
		if err != nil {
			return nil, ask("acid", words, "", err)
		}
		kinds, grams = append(kinds, kind), append(grams, r.quantity(amount))
		r.step("%.3f g/L of %s acid is %.3f meq/L [%s]", amount.Value, kind.Name, 1000*amount.Value/kind.Equivalent(), kind.Source)
	}
	return func() []acidity.Amount {
		all := make([]acidity.Amount, len(kinds))
		for n := range kinds {
			all[n] = acidity.Amount{Acid: kinds[n], GL: measure.GramsPerLitre(grams[n].is)}
		}
		return all
	}, nil
}
