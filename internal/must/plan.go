package must

import (
	"fmt"
	"math"
	"strings"

	"skep/internal/measure"
	"skep/internal/solve"
)

// SlowShare is the central share of honey's slow sugar that yeast ferments, and
// SlowShareSD its spread. The group holds maltose, which ferments, and turanose,
// kojibiose and others, which hardly do: half is a modelling assumption, no
// published share was found.
const (
	SlowShare   = 0.5
	SlowShareSD = 0.2
)

// Wish is what is known and wanted of a must before it is made. Zero means "not asked".
type Wish struct {
	Jug      measure.Litres // what the jug holds, to the brim or as named
	Headroom measure.Litres // left empty for foam
	Fill     measure.Litres // wanted must, with its fruit; zero: jug less headroom

	Fixed []Portion  // goes in whatever happens: fruit, flowers, juice, lemon, a second honey
	Base  Ingredient // the honey or sugar whose amount is to be found
	Use   *Portion   // exactly this much of the base; nil: find it
	Most  measure.Grams

	Strength     measure.PercentVol // when fermentation is over
	Gravity      measure.Gravity    // original gravity
	FinalGravity measure.Gravity    // sweetness at the end; below 1 is dry

	YeastLow, YeastHigh measure.PercentVol // where this yeast stops
}

// Recipe is a must that fulfils a Wish, in central values.
type Recipe struct {
	Base    Portion
	Water   measure.Grams
	Fixed   []Portion
	Must    Must           // all of it, in grams
	Liquid  measure.Litres // of the must at 20 °C
	Takes   measure.Litres // room in the jug: liquid and pulp
	Sweeten measure.Grams  // of the base, added once the wine is stable; zero: none
}

// ImpossibleError says that a wish cannot be met, why, and what can be.
type ImpossibleError struct {
	Wish    string   // "18 % vol"
	Because string   // "this yeast stops at 12 to 14 % vol"
	Can     []string // what would work, one sentence each
}

// Error is the whole of it in one line.
func (e *ImpossibleError) Error() string {
	return fmt.Sprintf("%s cannot be had: %s", e.Wish, e.Because)
}

// Hint lists what can be done instead.
func (e *ImpossibleError) Hint() string { return strings.Join(e.Can, "; or ") }

// pulpDensity is what fruit tissue displaces, g/mL: near that of must, since fruit
// hangs in it (assumed).
const pulpDensity = 1.05

// Room returns the litres that a must takes in the jug: its liquid at 20 °C and its pulp.
//
// Errors: as Volume.
func (m Must) Room() (measure.Litres, error) {
	v, err := m.Volume(20)
	return v + measure.Litres(m[Pulp]/pulpDensity/1000), err
}

// Solve returns the recipe that meets w.
//
// What is unknown is the grams of the base and the grams of water. What is given is
// how full the jug is, and one of: the grams of base, the strength when dry, the
// original gravity, or the final gravity at the middle of the yeast's limit. Water is
// found first for a trial amount of base, by bracketing, since the room taken rises
// with water; then the base, by bracketing, since strength and gravity rise with it
// while the room stays the same. The trial base runs from none to the most that is on
// hand or that fills the jug without water. When strength and base are both given,
// the base is used and the jug is filled as far as that strength allows.
//
// A final gravity together with a strength means: ferment dry to that strength, make
// it stable, then sweeten; Recipe.Sweeten is what to add.
//
// There is no answer when the fixed parts overfill the jug, when the strength is above
// what the yeast bears, when the base on hand is too little, or when even a jug
// without water is too weak; each is an *ImpossibleError with what can be done.
//
// Errors: *ImpossibleError; wrong or contradictory wishes; out-of-range physics.
func Solve(w Wish) (Recipe, error) {
	if err := w.check(); err != nil {
		return Recipe{}, err
	}
	fixed := Must{}
	for _, p := range w.Fixed {
		fixed = fixed.Plus(p.Adds())
	}
	fill := w.Fill
	if fill == 0 {
		fill = w.Jug - w.Headroom
	}
	if w.Use != nil && w.goals() > 0 {
		return w.fillTo(fixed, fill)
	}
	base, err := w.base(fixed, fill)
	if err != nil {
		return Recipe{}, err
	}
	water, err := fixed.Plus(base.Adds()).WaterTo(fill)
	if err != nil {
		return Recipe{}, err
	}
	return w.recipe(fixed, base, water)
}

// goals counts the goals that fix the amount of base.
func (w Wish) goals() int {
	n := 0
	for _, asked := range []bool{w.Strength != 0, w.Gravity != 0, w.FinalGravity != 0 && w.Strength == 0} {
		if asked {
			n++
		}
	}
	return n
}

// check refuses a wish that contradicts itself or the jug or the yeast.
func (w Wish) check() error {
	switch {
	case !(w.Jug > 0):
		return fmt.Errorf("must.Solve: the jug holds %g L; say how large it is", w.Jug)
	case !(w.Headroom >= 0 && w.Headroom < w.Jug):
		return fmt.Errorf("must.Solve: head room %.2f L does not fit a jug of %.2f L", w.Headroom, w.Jug)
	case w.Fill > w.Jug-w.Headroom+1e-9:
		return &ImpossibleError{
			Wish:    fmt.Sprintf("%.3g L of must in a jug of %.3g L", w.Fill, w.Jug),
			Because: fmt.Sprintf("%.2g L must stay empty for foam", w.Headroom),
			Can: []string{
				fmt.Sprintf("make at most %.3g L", w.Jug-w.Headroom),
				fmt.Sprintf("take a jug of %.3g L or more", w.Fill+w.Headroom),
			},
		}
	case w.goals() > 1:
		return fmt.Errorf("must.Solve: ask for a strength or an original gravity, not both")
	case w.goals() == 0 && w.Use == nil:
		return fmt.Errorf("must.Solve: say how much %s to use, or which strength or gravity is wanted", w.Base.Name)
	case w.YeastHigh > 0 && w.Strength > w.YeastHigh:
		return &ImpossibleError{
			Wish:    fmt.Sprintf("%.3g %% vol", w.Strength),
			Because: fmt.Sprintf("this yeast stops at %.3g to %.3g %% vol", w.YeastLow, w.YeastHigh),
			Can: []string{
				fmt.Sprintf("ask for %.3g %% vol or less", w.YeastLow),
				"take a yeast that bears more",
			},
		}
	case w.FinalGravity != 0 && w.Strength == 0 && !(w.YeastHigh > 0):
		return fmt.Errorf("must.Solve: a final gravity needs a strength, or a yeast whose limit is known")
	case w.FinalGravity != 0 && !(w.FinalGravity > 0.98 && w.FinalGravity < 1.12):
		return fmt.Errorf("must.Solve: final gravity %.3f is outside 0.980 to 1.120", w.FinalGravity)
	case w.Gravity != 0 && !(w.Gravity > 1 && w.Gravity < 1.2):
		return fmt.Errorf("must.Solve: original gravity %.3f is outside 1.000 to 1.200", w.Gravity)
	}
	return nil
}

// WaterTo returns the grams of water that bring m to so many litres, pulp and all, at 20 °C.
//
// Errors: *ImpossibleError when m alone is more; ErrEmpty.
func (m Must) WaterTo(fill measure.Litres) (measure.Grams, error) {
	if m.Mass() == 0 {
		return 0, ErrEmpty
	}
	over := func(water float64) float64 {
		thinned := m
		thinned[Water] += water
		v, err := thinned.Room()
		if err != nil {
			return math.NaN()
		}
		return float64(v - fill)
	}
	least := thinEnough(m)
	if !(over(least) <= 1e-9) {
		return 0, tooFull(m, fill)
	}
	water, err := solve.Root(over, least, least+float64(fill)*1100, 1e-6)
	return measure.Grams(water), err
}

// thickest is the share of dissolved solids in the thickest must that is weighed up
// here, just inside what density.Must takes.
const thickest = 0.479

// thinEnough is the water that brings m down to thickest.
func thinEnough(m Must) float64 {
	liquid := float64(m.LiquidMass()) - m[CarbonDioxide]
	solids := liquid - m[Water] - m[Ethanol]
	return max(0, solids/thickest-liquid)
}

func tooFull(m Must, fill measure.Litres) error {
	return &ImpossibleError{
		Wish:    fmt.Sprintf("%.1f kg of honey, fruit and the rest in %.3g L", float64(m.Mass())/1000, fill),
		Because: "it fills the jug before any water is in",
		Can:     []string{"use less of it", "take a larger jug"},
	}
}

// base finds the portion of the base that reaches the goal in a jug filled to fill.
func (w Wish) base(fixed Must, fill measure.Litres) (Portion, error) {
	if w.Use != nil {
		return *w.Use, nil
	}
	most, err := w.mostBase(fixed, fill)
	if err != nil {
		return Portion{}, err
	}
	short := func(grams float64) float64 {
		m := fixed.Plus(w.Base.PerGram.Scaled(grams))
		water, err := m.WaterTo(fill)
		if err != nil {
			return math.NaN()
		}
		m[Water] += float64(water)
		v, err := w.miss(m)
		if err != nil {
			return math.NaN()
		}
		return v
	}
	const none = 1e-6 // g: a must of nothing has no gravity
	if short(none) > 0 {
		return Portion{}, &ImpossibleError{
			Wish:    w.goal(),
			Because: "the fruit and juice alone give more",
			Can:     []string{"use less of them, or a larger jug"},
		}
	}
	if best := short(most); best < 0 {
		return Portion{}, w.tooWeak(fixed, fill, most)
	}
	grams, err := solve.Root(short, none, most, 1e-4)
	if err != nil {
		return Portion{}, err
	}
	return Portion{Ingredient: w.Base, Grams: measure.Grams(grams)}, nil
}

// miss is how far a must lies above (positive) or below the goal.
func (w Wish) miss(m Must) (float64, error) {
	switch {
	case w.Strength != 0:
		dry, err := m.StrengthWhenDry(SlowShare, EthanolYield)
		return float64(dry - w.Strength), err
	case w.Gravity != 0:
		g, err := m.Gravity()
		return float64(g - w.Gravity), err
	default:
		end, err := m.AtLimit((w.YeastLow+w.YeastHigh)/2, SlowShare, EthanolYield)
		if err != nil {
			return 0, err
		}
		g, err := end.Gravity()
		return float64(g - w.FinalGravity), err
	}
}

// AtLimit returns the degassed must when yeast stopped at limit, or dry if it never got there.
//
// Errors: as Fermented.
func (m Must) AtLimit(limit measure.PercentVol, slowShare, yield float64) (Must, error) {
	dry, err := m.Dry(slowShare, yield)
	if err != nil {
		return m, err
	}
	if strength, err := dry.PercentVol(); err != nil || strength <= limit {
		return dry, err
	}
	above := func(left float64) float64 {
		end, err := m.FermentedTo(left, slowShare, yield)
		if err != nil {
			return math.NaN()
		}
		strength, err := end.PercentVol()
		if err != nil {
			return math.NaN()
		}
		return float64(strength - limit)
	}
	left, err := solve.Root(above, 0, m.Hexose(slowShare), 1e-6)
	if err != nil {
		return m, err
	}
	return m.FermentedTo(left, slowShare, yield)
}

// mostBase is the largest trial amount: what is on hand, or what fills the jug with no
// more water than the density tables need.
func (w Wish) mostBase(fixed Must, fill measure.Litres) (float64, error) {
	fits := func(grams float64) float64 {
		m := fixed.Plus(w.Base.PerGram.Scaled(grams))
		m[Water] += thinEnough(m)
		v, err := m.Room()
		if err != nil {
			return math.NaN()
		}
		return float64(v - fill)
	}
	if fixed.Mass() > 0 && fits(0) > 0 {
		return 0, tooFull(fixed, fill)
	}
	most, err := solve.Root(fits, 1e-6, float64(fill)*2000, 1e-6)
	if err != nil {
		return 0, fmt.Errorf("must.Solve: %w", err)
	}
	most *= 1 - 1e-9
	if w.Most > 0 {
		most = min(most, float64(w.Most))
	}
	return most, nil
}

func (w Wish) goal() string {
	switch {
	case w.Strength != 0:
		return fmt.Sprintf("%.3g %% vol", w.Strength)
	case w.Gravity != 0:
		return fmt.Sprintf("an original gravity of %.3f", w.Gravity)
	default:
		return fmt.Sprintf("a final gravity of %.3f", w.FinalGravity)
	}
}

// tooWeak says what the base on hand can do instead.
func (w Wish) tooWeak(fixed Must, fill measure.Litres, most float64) error {
	e := &ImpossibleError{Wish: w.goal(), Because: fmt.Sprintf("%.0f g of %s is not enough for %.3g L", most, w.Base.Name, fill)}
	m := fixed.Plus(w.Base.PerGram.Scaled(most))
	if water, err := m.WaterTo(fill); err == nil {
		m[Water] += float64(water)
		if dry, err := m.StrengthWhenDry(SlowShare, EthanolYield); err == nil {
			e.Can = append(e.Can, fmt.Sprintf("fill the jug and have about %.1f %% vol", dry))
		}
	}
	less := w
	less.Use = &Portion{Ingredient: w.Base, Grams: measure.Grams(most)}
	if r, err := less.fillTo(fixed, fill); err == nil {
		e.Can = append(e.Can, fmt.Sprintf("make %.2f L at what was asked", r.Liquid))
	}
	return e
}

// fillTo uses a given amount of base and finds the water that meets the goal; the jug
// may stay emptier than fill, never fuller.
func (w Wish) fillTo(fixed Must, fill measure.Litres) (Recipe, error) {
	base := *w.Use
	m := fixed.Plus(base.Adds())
	full, err := m.WaterTo(fill)
	if err != nil {
		return Recipe{}, err
	}
	over := func(water float64) float64 {
		t := m
		t[Water] += water
		v, err := w.miss(t)
		if err != nil {
			return math.NaN()
		}
		return v
	}
	if over(float64(full)) > 0 {
		return Recipe{}, &ImpossibleError{
			Wish:    w.goal(),
			Because: fmt.Sprintf("%.0f g of %s in %.3g L is stronger than that", base.Grams, w.Base.Name, fill),
			Can:     []string{"use less of it: leave the amount open and it is worked out", "take a larger jug"},
		}
	}
	low := thinEnough(m)
	if over(low) < 0 {
		return Recipe{}, &ImpossibleError{Wish: w.goal(), Because: "there is too little sugar even without water", Can: []string{"use more " + w.Base.Name}}
	}
	water, err := solve.Root(over, low, float64(full), 1e-6)
	if err != nil {
		return Recipe{}, err
	}
	return w.recipe(fixed, base, measure.Grams(water))
}

// recipe puts the parts together, and works out the sweetening if one is wanted.
func (w Wish) recipe(fixed Must, base Portion, water measure.Grams) (Recipe, error) {
	m := fixed.Plus(base.Adds())
	m[Water] += float64(water)
	liquid, err := m.Volume(20)
	if err != nil {
		return Recipe{}, err
	}
	takes, err := m.Room()
	if err != nil {
		return Recipe{}, err
	}
	r := Recipe{Base: base, Water: water, Fixed: w.Fixed, Must: m, Liquid: liquid, Takes: takes}
	if w.FinalGravity != 0 && w.Strength != 0 {
		dry, err := m.Dry(SlowShare, EthanolYield)
		if err != nil {
			return Recipe{}, err
		}
		r.Sweeten, err = SweetenTo(dry, w.Base, w.FinalGravity)
		if err != nil {
			return Recipe{}, err
		}
	}
	return r, nil
}

// SweetenTo returns the grams of an ingredient that bring m to a gravity; zero if m is
// already there or above.
//
// Errors: the gravity cannot be reached with it; as Must.Density.
func SweetenTo(m Must, with Ingredient, to measure.Gravity) (measure.Grams, error) {
	below := func(grams float64) float64 {
		g, err := m.Plus(with.PerGram.Scaled(grams)).Gravity()
		if err != nil {
			return math.NaN()
		}
		return float64(g - to)
	}
	if below(0) >= 0 {
		return 0, nil
	}
	grams, err := solve.Root(below, 0, float64(m.Mass()), 1e-6)
	if err != nil {
		return 0, fmt.Errorf("must.SweetenTo: %s does not bring this to %.3f", with.Name, to)
	}
	return measure.Grams(grams), nil
}
