package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"skep/internal/batch"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
)

// goal is what the words of a plan mean.
type goal struct {
	wish     must.Wish
	sweeten  measure.Gravity // sweeten to this once it is dry and stable; 0: not
	vessel   batch.Vessel
	yeast    kinetics.YeastKind
	room     measure.Quantity
	heat     Heating
	sizes    []must.BottleSize
	prices   []price
	headroom measure.Litres // what is usual for this must
	assumed  []string
}

// finals are the final gravities meant by the words for sweetness (assumed: tongues
// differ, and acid hides sugar). Dry is what dry comes to.
var finals = map[string]measure.Gravity{"dry": 0, "off-dry": 1.006, "medium": 1.014, "sweet": 1.024}

// goal understands the words of a plan.
func (c *Cellar) goal(ctx context.Context, w PlanWords) (goal, error) {
	var g goal
	var err error
	if g.vessel, err = c.vessel(ctx, "jug", w.Jug); err != nil {
		return g, err
	}
	g.wish.Jug = measure.Litres(g.vessel.Litres)
	var fixed must.Must
	for _, words := range w.With {
		p, err := c.portion(ctx, "with", words)
		if err != nil {
			return g, err
		}
		if p.Ingredient.Class == must.Liquid {
			return g, ask("with", words, "leave it out, or say how much must to make", errors.New("the water is what a plan works out"))
		}
		g.wish.Fixed = append(g.wish.Fixed, p)
		fixed = fixed.Plus(p.Adds())
	}
	if err := c.base(ctx, w, &g.wish); err != nil {
		return g, err
	}
	if err := c.foamRoom(w, fixed, &g); err != nil {
		return g, err
	}
	if err := c.wanted(w, &g); err != nil {
		return g, err
	}
	if err := c.surroundings(w, &g); err != nil {
		return g, err
	}
	if w.Bottles == nil {
		w.Bottles = []string{"750 mL"}
	}
	for _, words := range w.Bottles {
		size, _, err := c.bottleSize(words)
		if err != nil {
			return g, err
		}
		g.sizes = append(g.sizes, size)
	}
	for _, words := range w.Prices {
		p, err := c.price(ctx, words)
		if err != nil {
			return g, err
		}
		g.prices = append(g.prices, p)
	}
	kept, err := c.keptPrices(ctx)
	g.prices = append(g.prices, kept...) // what is told now comes first
	return g, err
}

// base understands which honey or sugar, and how much of it is given or to be had.
func (c *Cellar) base(ctx context.Context, w PlanWords, wish *must.Wish) error {
	name := w.Honey
	amountOf := func(field, words string) (*measure.Quantity, error) {
		if strings.TrimSpace(words) == "" {
			return nil, nil
		}
		q, rest, err := measure.ParseIngredient(words, c.system)
		if err != nil {
			return nil, ask(field, words, `write "1.2 kg" or "3 cups"`, err)
		}
		if rest != "" && w.Honey == "" {
			name = rest
		}
		return &q, nil
	}
	use, err := amountOf("use", w.Use)
	if err != nil {
		return err
	}
	most, err := amountOf("on-hand", w.OnHand)
	if err != nil {
		return err
	}
	if name == "" {
		name = "honey"
	}
	if wish.Base, err = c.ingredient(ctx, "honey", name); err != nil {
		return err
	}
	if wish.Base.PerGram.Hexose(must.SlowShare) < leastSweet {
		return ask("honey", name, "put it among what goes in with the honey", errors.New("it holds too little sugar to make a must of"))
	}
	if use != nil {
		p, err := must.Measured(wish.Base, *use)
		if err != nil {
			return ask("use", w.Use, "", err)
		}
		wish.Use = &p
	}
	if most != nil {
		p, err := must.Measured(wish.Base, *most)
		if err != nil {
			return ask("on-hand", w.OnHand, "", err)
		}
		wish.Most = p.Grams
	}
	return nil
}

// leastSweet is the share of sugar below which a thing is no honey, sugar or syrup; the
// sweetest fruit, the raisin, has some two thirds, but makes pulp of the must.
const leastSweet = 0.4

// usualHeadroom is the share of a vessel left empty for foam when nobody said: 0.06 for
// a plain or a flowery must, as the working volumes of small jugs have it (from memory,
// unverified), and 0.20 where fruit floats up (assumed).
func usualHeadroom(in must.Must, v batch.Vessel) float64 {
	if in[must.Pulp] > muchPulp*v.Litres {
		return 0.20
	}
	return 0.06
}

// muchPulp is the grams of pulp in a litre of vessel from which fruit makes a cap that
// floats up: those of some 200 g of berries (assumed). Petals, two oranges and a lemon in a
// gallon stay below it.
const muchPulp = 10

// foamRoom settles how full the jug is to be.
func (c *Cellar) foamRoom(w PlanWords, fixed must.Must, g *goal) error {
	g.headroom = measure.Litres(g.vessel.Litres * usualHeadroom(fixed, g.vessel))
	left, err := c.quantity("headroom", w.Headroom, `write "300 mL" or "1 cup"`, measure.Volume)
	if err != nil {
		return err
	}
	fill, err := c.quantity("fill", w.Fill, `write "4.2 L"`, measure.Volume)
	if err != nil {
		return err
	}
	g.wish.Headroom = g.headroom
	if fill != nil {
		g.wish.Fill = measure.Litres(fill.Value)
		if g.wish.Fill <= g.wish.Jug { // as told, even if little is left for foam
			g.wish.Headroom = min(g.headroom, g.wish.Jug-g.wish.Fill)
		}
	}
	if left != nil {
		g.wish.Headroom = measure.Litres(left.Value)
	}
	if left == nil && fill == nil {
		g.assumed = append(g.assumed, fmt.Sprintf("%s of the jug stay empty for foam", c.both(g.headroom)))
	}
	if !(g.wish.Headroom < g.wish.Jug) {
		return ask("headroom", w.Headroom, "", fmt.Errorf("the whole jug holds %.3g L", g.wish.Jug))
	}
	return nil
}

// wanted understands strength, gravity, sweetness and yeast.
func (c *Cellar) wanted(w PlanWords, g *goal) error {
	var err error
	if g.wish.Strength, err = c.strength(w.Strength); err != nil {
		return err
	}
	og, err := c.quantity("gravity", w.Gravity, `write "1.098"`, measure.SG)
	if err != nil {
		return err
	}
	if og != nil {
		g.wish.Gravity = measure.Gravity(og.Value)
	}
	if g.wish.Gravity != 0 && g.wish.Strength != 0 {
		return ask("gravity", w.Gravity, "leave one of them out", errors.New("ask for a strength or an original gravity, not both"))
	}
	final, dry, err := c.final("sweet", w.Sweet)
	if err != nil {
		return err
	}
	if g.yeast, err = c.yeastKind(w.Yeast); err != nil {
		return err
	}
	if w.Yeast == "" {
		g.assumed = append(g.assumed, "the yeast is not told: name its kind and strength, speed and feeding are known better")
	}
	g.wish.YeastLow, g.wish.YeastHigh = g.yeast.ToleranceLow, g.yeast.ToleranceHigh
	hasGoal := g.wish.Strength != 0 || g.wish.Gravity != 0 || g.wish.Use != nil
	switch {
	case final != 0 && !hasGoal && w.Yeast == "":
		return ask("sweet", w.Sweet, "name the kind of yeast, or a strength", errors.New("how much honey leaves it sweet depends on where the yeast stops"))
	case final != 0 && g.wish.Strength == 0 && hasGoal:
		g.sweeten = final
	case final != 0:
		g.wish.FinalGravity = final
	case !hasGoal && dry:
		return ask("strength", "", `say how strong as well: "12 %vol"`, errors.New("dry can be strong or light"))
	case !hasGoal:
		return ask("strength", "", `say a strength, "12 %vol", an original gravity, "1.090", a sweetness, or how much honey to use`, errors.New("what is it to become"))
	}
	return nil
}

// strength understands "12 %vol", and "12" or "12 %", which here can mean nothing else.
func (c *Cellar) strength(words string) (measure.PercentVol, error) {
	said := strings.TrimSpace(words)
	if said != "" && strings.Trim(said, "0123456789., %") == "" {
		said = strings.TrimSpace(strings.TrimSuffix(said, "%")) + " %vol"
	}
	q, err := c.quantity("strength", said, `write "12 %vol"`, measure.Strength)
	if err != nil || q == nil {
		return 0, err
	}
	if !(q.Value >= 1 && q.Value <= 20) {
		return 0, ask("strength", words, "", errors.New("wine and mead have 1 to 20 % vol"))
	}
	return measure.PercentVol(q.Value), nil
}

// final understands a sweetness as a final gravity; dry asks for none.
func (c *Cellar) final(field, words string) (to measure.Gravity, dry bool, err error) {
	said := strings.ToLower(strings.TrimSpace(words))
	if said == "" {
		return 0, false, nil
	}
	if to, known := finals[said]; known {
		return to, to == 0, nil
	}
	tip := `write "dry", "off-dry", "medium", "sweet" or a final gravity, "1.012"`
	q, err := c.quantity(field, words, tip, measure.SG)
	if err != nil {
		return 0, false, err
	}
	if !(q.Value >= 0.985 && q.Value <= 1.06) {
		return 0, false, ask(field, words, tip, errors.New("a drink ends between 0.985 and 1.060"))
	}
	return measure.Gravity(q.Value), false, nil
}

// yeastKind understands a kind of yeast, with or without an amount: a plan says itself
// how much.
func (c *Cellar) yeastKind(words string) (kinetics.YeastKind, error) {
	if strings.TrimSpace(words) == "" {
		words = "unknown yeast"
	}
	kind, _, _, err := c.yeast("yeast", words)
	return kind, err
}

// surroundings understands the room and how the must is warmed.
func (c *Cellar) surroundings(w PlanWords, g *goal) error {
	room, err := c.quantity("room", w.Room, `write "19 C" or "66 F"`, measure.Temperature)
	if err != nil {
		return err
	}
	g.room = measure.Quantity{Kind: measure.Temperature, Value: usualRoom, SD: usualRoomSD}
	if room != nil {
		if !(room.Value >= 4 && room.Value <= 38) {
			return ask("room", w.Room, "", errors.New("a must works between 4 and 38 °C"))
		}
		g.room.Value, g.room.SD = room.Value, toldRoomSD
	} else {
		g.assumed = append(g.assumed, fmt.Sprintf("the jug stands at %s", measure.ShowTemperature(usualRoom, c.system)))
	}
	switch g.heat = Heating(strings.ToLower(strings.TrimSpace(w.Heat))); g.heat {
	case NoHeat, Warmed, Infuse:
	case "":
		g.heat = NoHeat
		if slices.ContainsFunc(g.wish.Fixed, wantsInfusing) {
			g.heat = Infuse
		}
	default:
		return ask("heat", w.Heat, `write "none", "warm" or "infuse"`, errors.New("there is no such way"))
	}
	return nil
}

// wantsInfusing says whether hot water draws more out of a thing than cold.
func wantsInfusing(p must.Portion) bool {
	return p.Ingredient.Class == must.Flower || p.Ingredient.Class == must.Spice
}

// solve finds the recipe, rounds its base to what a kitchen weighs, and works it out
// again from the rounded amount, with the jug filled to the same mark.
func (g goal) solve() (must.Recipe, error) {
	found, err := must.Solve(g.wish)
	if err != nil {
		return found, err
	}
	base := found.Base
	if g.wish.Use == nil {
		grams := kitchenGrams(float64(base.Grams))
		if g.wish.Most > 0 {
			grams = min(grams, float64(g.wish.Most))
		}
		words := fmt.Sprintf("%g g", grams)
		said, err := measure.Parse(words, measure.Metric)
		if err != nil {
			return found, err
		}
		if base, err = must.Measured(g.wish.Base, said); err != nil {
			return found, err
		}
	}
	rounded := g.wish
	rounded.Use, rounded.Fill, rounded.Headroom = &base, found.Takes, g.wish.Jug-found.Takes
	rounded.Strength, rounded.Gravity, rounded.FinalGravity, rounded.Most = 0, 0, 0, 0
	recipe, err := must.Solve(rounded)
	if err != nil {
		return recipe, err
	}
	recipe.Sweeten = found.Sweeten
	if g.sweeten != 0 {
		dry, err := recipe.Must.Dry(must.SlowShare, must.EthanolYield)
		if err != nil {
			return recipe, err
		}
		recipe.Sweeten, err = must.SweetenTo(dry, g.wish.Base, g.sweeten)
		if err != nil {
			return recipe, err
		}
	}
	return recipe, nil
}

// UnmetError says which wish of a plan cannot be met, why, and what can be.
type UnmetError struct {
	Field string // as of AskError
	Words string
	Err   *must.ImpossibleError
}

// Error is the refusal in one line.
func (e *UnmetError) Error() string { return e.Err.Error() }

// Hint says what can be had instead.
func (e *UnmetError) Hint() string { return e.Err.Hint() }

// Unwrap returns the refusal.
func (e *UnmetError) Unwrap() error { return e.Err }

// unmet puts a refusal at the wish that it is about, with the kinds of yeast that would
// bear what was asked. Other errors stay as they are.
func (g goal) unmet(w PlanWords, err error) error {
	var impossible *must.ImpossibleError
	if !errors.As(err, &impossible) {
		return err
	}
	e := &UnmetError{Field: "use", Words: w.Use, Err: impossible}
	switch wish := g.wish; {
	case wish.Fill > wish.Jug-wish.Headroom:
		e.Field, e.Words = "fill", w.Fill
	case wish.Strength != 0:
		e.Field, e.Words = "strength", w.Strength
	case wish.Gravity != 0:
		e.Field, e.Words = "gravity", w.Gravity
	case wish.FinalGravity != 0:
		e.Field, e.Words = "sweet", w.Sweet
	}
	if g.wish.Strength > g.wish.YeastHigh {
		if bear := g.bearing(); bear != nil {
			more := *impossible
			more.Can = append(slices.Clone(impossible.Can), "of the kinds known here, "+strings.Join(bear, " or "))
			e.Err = &more
		}
	}
	return e
}

// bearing are the kinds of yeast that bear the strength that is wished for.
func (g goal) bearing() []string {
	if all := bearing(func(y kinetics.YeastKind) bool { return y.ToleranceLow >= g.wish.Strength }); all != nil {
		return all
	}
	return bearing(func(y kinetics.YeastKind) bool {
		return y.ToleranceHigh >= g.wish.Strength && y.ToleranceHigh-y.ToleranceLow <= narrow
	})
}

// narrow is the spread of tolerance, % vol, of kinds of which a limit is known at all.
const narrow = 5

// bearing names the kinds of yeast that will do.
func bearing(does func(kinetics.YeastKind) bool) []string {
	var names []string
	for _, y := range kinetics.Yeasts() {
		if does(y) {
			names = append(names, fmt.Sprintf("%s (%g to %g %% vol)", y.Name, y.ToleranceLow, y.ToleranceHigh))
		}
	}
	return names
}

// warnings are what a maker should know before beginning.
func (g goal) warnings(p Plan) []string {
	var all []string
	warn := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	dry := p.Prospect.IfDry
	switch low, high := float64(g.yeast.ToleranceLow), float64(g.yeast.ToleranceHigh); {
	case g.wish.FinalGravity != 0 && g.wish.Strength == 0:
		warn("it stays sweet only if the yeast stops at %g to %g %% vol, and well fed yeast often passes its mark: never bottle it on that hope, stabilise it", low, high)
	case p.Prospect.Sweet >= 0.05:
		warn("the yeast's limit is near: %s stops at %g to %g %% vol, this must asks up to %.1f; chance that it stays sweet: %.0f in 100", g.yeast.Name, low, high, dry.High, 100*p.Prospect.Sweet)
	}
	if p.Prospect.Gravity.Value > heavyMust {
		warn("an original gravity of %.3f is hard on yeast: feed it, take two packets, or add a third of the honey after a week", p.Prospect.Gravity.Value)
	}
	for _, portion := range g.wish.Fixed {
		if portion.Ingredient.SugarUnknown {
			warn("the sugar of %s is a guess: read the gravity of its juice and keep it as your own ingredient", portion.Ingredient.Name)
		}
	}
	if g.wish.Most > 0 && g.wish.Use == nil && float64(p.Amounts[0].Grams.Value) > 0.97*float64(g.wish.Most) {
		warn("that takes all the %s there is: weigh it before you begin", g.wish.Base.Name)
	}
	if left := measure.Litres(p.Headroom.Value); left < 0.9*g.headroom {
		warn("only %s stay empty for foam, %s would be usual: stand it on a tray, or hold some back for a week", measure.ShowVolume(left, measure.Metric), measure.ShowVolume(g.headroom, measure.Metric))
	}
	if room := measure.Celsius(g.room.Value); room < g.yeast.TemperatureLow || room > g.yeast.TemperatureTop {
		warn("%s works at %g to %g °C; your room has %g °C", g.yeast.Name, g.yeast.TemperatureLow, g.yeast.TemperatureTop, g.room.Value)
	}
	switch {
	case p.PH.Known() && p.PH.Value < acidest:
		warn("the must is sour, pH about %.1f: yeast starts slowly below %.1f; measure it with a strip", p.PH.Value, acidest)
	case p.PH.Known() && p.PH.Value > mildest:
		warn("the must is hardly sour, pH about %.1f: bring it below %.1f before the yeast goes in, with lemon or an acid, strip by strip", p.PH.Value, mildest)
	}
	if p.Sweeten != nil {
		warn("sweetened wine ferments again unless it is stabilised first; that is a later day's work")
	}
	return all
}

const (
	heavyMust = 1.120 // above it musts often stop sweet (common practice, no source)
	acidest   = 3.2   // pH below which yeast is slow: slower at 3.0 than at 3.5, Ough 1966, Am. J. Enol. Vitic. 17:74 (abstract)
	mildest   = 4.2   // pH: a safe habit before pitching; 4.6 is the bound of 21 CFR 114.3, 4.2 is our policy
)
