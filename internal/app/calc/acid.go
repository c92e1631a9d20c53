package calc

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/acidity"
)

var calcAcid = Calculation{
	Name:     "acid",
	Question: "How acid is it, what pH does that make, and what takes it elsewhere?",
	Inputs: []Input{
		{Name: "ta", Help: `titratable acidity: "6 g/L"`},
		{Name: "as", Help: "the acid it is given as", Choices: acidNames()},
		{Name: "naoh", Help: `or the lye that a sample took to pH 8.2: "12.5 mL"`},
		{Name: "molarity", Help: "with it, the strength of the lye in mol/L: 0.1"},
		{Name: "sample", Help: `with it, the sample: "10 mL"`},
		{Name: "acid", Many: true, Help: `or what is in it: "4 g/L citric"`},
		{Name: "honey", Help: `with acid or alone, honey that is in it: "300 g/L"`},
		{Name: "potassium", Help: `with acid or honey, what neutralises some of it, besides that of the honey: "0.4 g/L"`},
		{Name: "ph", Help: "with ta or naoh, the pH as measured, which says how it will move: 3.2"},
		{Name: "mostly", Help: "with it, the acid that most of it is", Choices: mainAcids()},
		{Name: "ethanol", Help: "alcohol (default none)"},
		{Name: "to-ta", Help: `acidity wanted, as the acid of as: "5 g/L"`},
		{Name: "to-ph", Help: "or the pH wanted: 3.4"},
		{Name: "with", Help: "what to add (default citric or potassium-bicarbonate)", Choices: changers()},
		{Name: "volume", Help: `with to-ta or to-ph, the must or wine: "4.5 L"`},
	},
	Examples: []string{
		`--ta "6 g/L" --as tartaric`, `--acid "4 g/L citric" --acid "1 g/L malic" --potassium "0.4 g/L"`,
		`--naoh "3.5 mL" --molarity 0.1 --sample "10 mL"`, `--honey "300 g/L" --acid "0.5 g/L citric"`,
		`--ta "2.6 g/L" --ph 3.1 --to-ph 3.4 --with potassium-bicarbonate --volume "4.5 L"`,
		`--ta "3 g/L" --to-ta "5 g/L" --with malic --volume "4.5 L"`,
	},
	Method: "Acids are exchanged by equivalents, as titrated to pH 8.2. The pH is where charges balance; salts' own effect (0.05 to 0.1) and what yeast " +
		"makes are left out: take ±0.3, and believe a strip or a meter before this. A liquid of measured pH is taken as one acid with potassium that has both; how far it then moves is " +
		"known to a fifth (assumed). A carbonate takes acid away by equivalents; no tartrate falls out of mead, so it takes twice what is printed for grape wine.",
	Sources: []string{"aqion", "libretexts-e1", "talanta1998", "prenesti2012", "masses", "white1962", "textbook", "charoenchai1998", "liu2015"},
	Valid:   "each acid to 50 g/L; potassium no more than the acids; ethanol to 15 % vol; a pH that is measured or wanted 2.5 to 5",
	reckon:  (*reckoning).acid,
}

func acidNames() []string {
	var names []string
	for _, a := range acidity.All() {
		names = append(names, a.Name)
	}
	return names
}

// mainAcids are the acids, that of mead first.
func mainAcids() []string {
	names := []string{"gluconic"}
	for _, a := range acidNames() {
		if a != names[0] {
			names = append(names, a)
		}
	}
	return names
}

const (
	// phSpread is how far a must may be from its charge balance: package acidity says ±0.3,
	// read as an 80 % range.
	phSpread = 0.3
	// bufferSpread is how far the change of a measured pH may be from that of one acid with
	// its salts, as a share of it: assumed.
	bufferSpread = 0.2
	// molaritySpread is how true a lye is to its label: assumed.
	molaritySpread = 0.01
	// potassiumMolar is g in a mole of potassium [masses].
	potassiumMolar = 39.0983
)

// sour is a liquid whose acidity is known, and its pH if there is more than that.
type sour struct {
	titratable func() (measure.GramsPerLitre, error) // as tartaric
	composed   func() (liquid, error)                // nil where nothing tells the pH
	ph         func() (float64, error)               // with composed
	off        *known                                // of the pH from the charge balance
	buffer     *known                                // real buffer over that of the charge balance
	unit       acidity.Acid                          // in which a wish is said
}

// liquid is what the charge balance is made of.
type liquid struct {
	acids   []acidity.Amount
	cation  float64 // meq/L
	ethanol measure.PercentVol
}

func (l liquid) ph() (float64, error) { return acidity.PH(l.acids, l.cation, l.ethanol) }

func (r *reckoning) acid() error {
	s, err := r.sour()
	if err != nil {
		return err
	}
	outputs := []output{{"ta", "as tartaric acid", "g/L"}}
	units := []acidity.Acid{acidCalled("tartaric"), acidCalled("citric"), acidCalled("malic")}
	for _, a := range units[1:] {
		outputs = append(outputs, output{"ta_" + a.Name, "as " + a.Name + " acid", "g/L"})
	}
	if s.composed != nil {
		outputs = append(outputs, output{"ph", "pH", "pH"})
	}
	change, more, err := r.change(s)
	if err != nil {
		return err
	}
	figures := func() ([]float64, error) {
		ta, err := s.titratable()
		if err != nil {
			return nil, err
		}
		var all []float64
		for _, a := range units {
			all = append(all, float64(acidity.Convert(ta, units[0], a)))
		}
		if s.composed != nil {
			ph, err := s.ph()
			if err != nil {
				return nil, err
			}
			all = append(all, ph)
		}
		if change == nil {
			return all, nil
		}
		changed, err := change()
		return append(all, changed...), err
	}
	if change == nil {
		err = r.give(figures, outputs...)
	} else {
		err = r.give(figures, append(outputs, more...)...)
	}
	if err != nil {
		return err
	}
	r.struggles()
	return nil
}

// acidCalled is an acid that there is.
func acidCalled(name string) acidity.Acid {
	a, err := acidity.Named(name)
	if err != nil {
		panic("calc: " + err.Error())
	}
	return a
}

// Yeast grows alike from pH 3.0 to 4.0 [charoenchai1998]; at 2.75 it starts later and
// works slower [liu2015].
const easyPH, slowPH = 3.0, 2.75

// struggles notes that yeast has a hard time at the pH it comes to, the last of the results.
func (r *reckoning) struggles() {
	ph := easyPH
	for _, result := range r.results {
		if v, ok := result.Value.(measure.Range); ok && v.Unit == "pH" {
			ph = math.Round(100*v.Value) / 100
		}
	}
	if ph < easyPH {
		r.note("at pH %.2f yeast struggles: no difference is printed from 3.0 to 4.0, a late start and a slow ferment at %.2f and below. In a must, go no lower than 3.0", ph, slowPH)
	}
}

// sour understands what is said of the acids.
func (r *reckoning) sour() (sour, error) {
	composition := "acid"
	if r.said("acid") == "" && r.said("honey") != "" {
		composition = "honey"
	}
	way, err := r.oneOf("ta", "naoh", composition)
	if err != nil {
		return sour{}, err
	}
	goesWith := map[string]string{
		"as": "ta", "molarity": "naoh", "sample": "naoh", "honey": composition, "potassium": composition,
	}
	for _, i := range r.of.Inputs { // in their order, so that the first to be told is always the same
		if with := goesWith[i.Name]; with != "" && with != way && r.said(i.Name) != "" {
			return sour{}, ask(i.Name, r.said(i.Name), "", fmt.Errorf("goes with %s, not with %s", with, way))
		}
	}
	ethanol, err := r.or("ethanol", 0, measure.Strength)
	if err != nil {
		return sour{}, err
	}
	if way == composition {
		return r.composition(ethanol)
	}
	s := sour{unit: acidCalled("tartaric")}
	if way == "ta" {
		err = r.acidityAs(&s)
	} else {
		err = r.titrated(&s)
	}
	if err != nil {
		return s, err
	}
	return s, r.measuredPH(&s, ethanol)
}

// acidityAs understands an acidity that was said.
func (r *reckoning) acidityAs(s *sour) error {
	name, err := r.choice("as")
	if err != nil {
		return err
	}
	ta, err := r.needed("ta", measure.Concentration)
	if err != nil {
		return err
	}
	tartaric := s.unit
	s.unit = acidCalled(name)
	from := s.unit
	s.titratable = func() (measure.GramsPerLitre, error) {
		return acidity.Convert(measure.GramsPerLitre(ta.is), from, tartaric), nil
	}
	r.step("%.3f g/L as %s acid, %.3f g to the mole of base, is %.3f meq/L [masses]", ta.is, name, from.Equivalent(), 1000*ta.is/from.Equivalent())
	return nil
}

// titrated understands a titration.
func (r *reckoning) titrated(s *sour) error {
	lye, err := r.needed("naoh", measure.Volume)
	if err != nil {
		return err
	}
	words := r.said("molarity")
	if words == "" {
		return r.missing("molarity")
	}
	m, err := number(strings.TrimSpace(strings.TrimSuffix(words, "mol/L")))
	if err != nil {
		return ask("molarity", words, "write 0.1", errors.New("is no strength in mol/L"))
	}
	molarity := r.constant(m, m*molaritySpread)
	sample, err := r.litres("sample")
	if err != nil {
		return err
	}
	s.titratable = func() (measure.GramsPerLitre, error) {
		return acidity.Titration(measure.Litres(lye.is), molarity.is, measure.Litres(sample.is))
	}
	r.step("%.2f mL of %g mol/L in %.2f mL is %.2f meq/L [masses]", 1000*lye.is, m, 1000*sample.is, 1000*lye.is*m/sample.is)
	r.note("CO2 counts as acid: stir or warm it out of the sample first. The lactone of honey opens as lye goes in, and the end point creeps: stop at the first that stays half a minute")
	return nil
}

// measuredPH makes a liquid of an acidity and the pH that was measured with it.
func (r *reckoning) measuredPH(s *sour, ethanol *known) error {
	ph, err := r.optional("ph", measure.Acidity)
	if err != nil {
		return err
	}
	if ph == nil {
		for _, name := range []string{"mostly", "ethanol", "to-ph"} {
			if r.said(name) != "" {
				return ask(name, r.said(name), "", errors.New("needs the pH as measured too, --ph"))
			}
		}
		return nil
	}
	name, err := r.choice("mostly")
	if err != nil {
		return err
	}
	main, titratable := acidCalled(name), s.titratable
	s.off, s.buffer = &known{}, r.between(1, 1-bufferSpread, 1/(1-bufferSpread))
	s.composed = func() (liquid, error) {
		ta, err := titratable()
		if err != nil {
			return liquid{}, err
		}
		amount, cation, err := acidity.Composed(main, ta, ph.is, measure.PercentVol(ethanol.is))
		return liquid{[]acidity.Amount{amount}, cation, measure.PercentVol(ethanol.is)}, err
	}
	s.ph = func() (float64, error) { return ph.is, nil }
	l, err := s.composed()
	if err != nil {
		return err
	}
	r.step("%.2f g/L of %s acid with %.1f meq/L of potassium has that acidity and pH [%s]", l.acids[0].GL, main.Name, l.cation, main.Source)
	return nil
}

// composition makes a liquid of acids, honey and potassium.
func (r *reckoning) composition(ethanol *known) (sour, error) {
	for _, name := range []string{"ph", "mostly"} {
		if r.said(name) != "" {
			return sour{}, ask(name, r.said(name), "", errors.New("goes with ta or naoh, not with what is in it"))
		}
	}
	amounts, err := r.acids()
	if err != nil {
		return sour{}, err
	}
	honey, err := r.optional("honey", measure.Concentration)
	if err != nil {
		return sour{}, err
	}
	potassium, err := r.or("potassium", 0, measure.Concentration)
	if err != nil {
		return sour{}, err
	}
	ofHoney, salts := 0.0, 0.0 // meq in a gram
	if honey != nil {
		usual, err := must.Find("honey", nil)
		if err != nil {
			return sour{}, err
		}
		perKilogram := 1e6 * usual.PerGram[must.Acid] / acidCalled("tartaric").Equivalent()
		acid, cation, err := acidity.Honey(acidity.UsualHoneyPH, perKilogram)
		if err != nil {
			return sour{}, err
		}
		ofHoney, salts = acid/1000, cation/1000
		r.step("a honey of pH %.2f and %.1f meq/kg holds %.1f meq/kg of gluconic acid and %.1f of potassium and the like [white1962]; its lactone is counted as acid",
			acidity.UsualHoneyPH, perKilogram, acid, cation)
	}
	gluconic := acidCalled("gluconic")
	s := sour{unit: acidCalled("tartaric"), off: r.between(0, -phSpread, phSpread), buffer: &known{is: 1}}
	s.composed = func() (liquid, error) {
		l := liquid{amounts(), 1000 * potassium.is / potassiumMolar, measure.PercentVol(ethanol.is)}
		if honey != nil {
			l.acids = append(l.acids, acidity.Amount{Acid: gluconic, GL: measure.GramsPerLitre(honey.is * ofHoney / 1000 * gluconic.Equivalent())})
			l.cation += honey.is * salts
		}
		return l, nil
	}
	s.ph = func() (float64, error) {
		l, err := s.composed()
		if err != nil {
			return 0, err
		}
		ph, err := l.ph()
		return ph + s.off.is, err
	}
	s.titratable = func() (measure.GramsPerLitre, error) {
		l, err := s.composed()
		if err != nil {
			return 0, err
		}
		return acidity.Titratable(l.acids, l.cation)
	}
	return s, nil
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
		all := make([]acidity.Amount, len(kinds), len(kinds)+2)
		for n := range kinds {
			all[n] = acidity.Amount{Acid: kinds[n], GL: measure.GramsPerLitre(grams[n].is)}
		}
		return all
	}, nil
}
