package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"skep/internal/batch"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/store"
)

// PlanWords is what a person knows and wants of a jug before brew day. Only Jug and one
// of Use, Strength, Gravity and Sweet are needed.
type PlanWords struct {
	Name     string   `json:"name,omitempty"`
	Jug      string   `json:"jug"`                // "1 gal", "4.5 L", or a vessel of the kitchen
	Headroom string   `json:"headroom,omitempty"` // left empty for foam; default by what goes in
	Fill     string   `json:"fill,omitempty"`     // wanted must, with its fruit; default all but the headroom
	With     []string `json:"with,omitempty"`     // "2 cups elderflower", "1 lemon", "500 g blackberries"
	Honey    string   `json:"honey,omitempty"`    // which honey or sugar; default honey
	Use      string   `json:"use,omitempty"`      // exactly this much of it: "1.2 kg", "3 cups"
	OnHand   string   `json:"on_hand,omitempty"`  // at most this much of it
	Strength string   `json:"strength,omitempty"` // "12 %vol" or "12"
	Gravity  string   `json:"gravity,omitempty"`  // original gravity
	Sweet    string   `json:"sweet,omitempty"`    // "dry", "off-dry", "medium", "sweet" or a final gravity
	Yeast    string   `json:"yeast,omitempty"`    // a kind of yeast
	Room     string   `json:"room,omitempty"`     // where the jug will stand; default 20 °C
	Heat     string   `json:"heat,omitempty"`     // "none", "warm", "infuse"; default by what goes in
	Prices   []string `json:"prices,omitempty"`   // "honey 12 per kg", "yeast 2 each"
	Bottles  []string `json:"bottles,omitempty"`  // "750 mL", "6 x 500 mL"; default 750 mL
}

// Plan is what a jug will be made of and what it becomes. It holds all that brew day
// needs, so that a kept plan starts a jug without typing it again.
type Plan struct {
	Words    PlanWords     `json:"words"`
	Name     string        `json:"name,omitempty"`
	Vessel   batch.Vessel  `json:"vessel"`
	Amounts  []Amount      `json:"amounts"`           // what to gather, water last
	Parts    []batch.Part  `json:"parts"`             // the same as the record keeps it, without the water
	Fill     measure.Range `json:"fill"`              // L from the bottom of the jug to the mark, fruit and all
	Headroom measure.Range `json:"headroom"`          // L left empty for foam
	Liquid   measure.Range `json:"liquid"`            // L of must at 20 °C, fruit left out
	Prospect must.Prospect `json:"prospect"`          // what it becomes
	PH       measure.Range `json:"ph"`                // of the must; not Known where the acids are not
	Sweeten  *Amount       `json:"sweeten,omitempty"` // to add once the wine is stable
	Yeast    YeastPlan     `json:"yeast"`
	Nutrient NutrientPlan  `json:"nutrient"`
	Heat     Heating       `json:"heat"`
	Room     measure.Range `json:"room"` // °C where the jug will stand
	Timeline []Milestone   `json:"timeline"`
	Bottles  BottlePlan    `json:"bottles"`
	Cost     *Cost         `json:"cost,omitempty"`
	Warnings []string      `json:"warnings,omitempty"`
	Assumed  []string      `json:"assumed,omitempty"` // what nobody told
}

// Amount is so much of one thing, as a kitchen measures it.
type Amount struct {
	Ingredient string        `json:"ingredient"`
	Grams      measure.Range `json:"grams"`             // g, rounded to what a kitchen weighs; water as computed
	Metric     string        `json:"metric"`            // "1.20 kg"
	Weight     string        `json:"weight"`            // the same in the person's units: "2 lb 10 oz"
	Kitchen    string        `json:"kitchen,omitempty"` // by cup, spoon or piece: "3 1/2 cups"; "" where that is not known
	Caution    string        `json:"caution,omitempty"`
}

// YeastPlan is the yeast to buy and what it bears.
type YeastPlan struct {
	Kind        string        `json:"kind"`
	Stops       measure.Range `json:"stops"`       // % vol where this kind stops
	Temperature measure.Range `json:"temperature"` // °C where it works
	Grams       float64       `json:"grams"`       // g of dry yeast that this must asks for
	Packets     int           `json:"packets"`     // whole ones, one at least
	Note        string        `json:"note"`
}

// String reads "2 packets of champagne yeast".
func (y YeastPlan) String() string {
	if y.Packets == 1 {
		return "1 packet of " + y.Kind
	}
	return fmt.Sprintf("%d packets of %s", y.Packets, y.Kind)
}

// NutrientPlan is the nitrogen that a must lacks, and when to give it.
type NutrientPlan struct {
	Need      measure.Range `json:"need"`      // mg N/L by the sugar and the yeast's demand
	Gap       float64       `json:"gap"`       // mg N/L to be added
	Salt      string        `json:"salt"`      // "diammonium phosphate"
	Grams     float64       `json:"grams"`     // g of it in all; 0: none needed
	Feedings  []Feeding     `json:"feedings"`  // in time order
	Otherwise string        `json:"otherwise"` // without ammonium salts
	Note      string        `json:"note"`      // how far to trust it
}

// Feeding is one portion of nutrient.
type Feeding struct {
	Day     float64 `json:"day"`      // after pitching
	Last    float64 `json:"last_day"` // not later than this, when a third of the sugar may be gone
	Grams   float64 `json:"grams"`
	StockML float64 `json:"stock_ml,omitempty"` // mL of a stock of 10 g in 100 mL; 0: weigh it
	Words   string  `json:"words"`              // "1.2 g diammonium phosphate: 12 mL of a stock of 10 g in 100 mL"
}

// Heating is how the must is warmed, if at all.
type Heating string

// The ways of heating.
const (
	NoHeat Heating = "none"   // stirred cold
	Warmed Heating = "warm"   // honey loosened in hand-warm water
	Infuse Heating = "infuse" // a part of the water poured hot over flowers, leaves or spices
)

// Milestone is something that will happen, and when.
type Milestone struct {
	What  string        `json:"what"`
	Days  measure.Range `json:"days"`  // after pitching
	Dates Dates         `json:"dates"` // if it is pitched on the day of planning
}

// BottlePlan is what the wine fills.
type BottlePlan struct {
	Central  []must.BottleFill `json:"central"`   // of what will most likely reach the bottles
	Low      []must.BottleFill `json:"low"`       // of the least that is likely
	LeftOver measure.Range     `json:"left_over"` // L after Central
}

// Cost is what it costs, in whatever money the prices were told in.
type Cost struct {
	Lines     []CostLine `json:"lines"`
	Total     float64    `json:"total"`
	PerBottle float64    `json:"per_bottle"`
	Unpriced  []string   `json:"unpriced,omitempty"` // what no price was told for
}

// CostLine is what one thing costs.
type CostLine struct {
	What  string  `json:"what"`
	Price float64 `json:"price"`
}

// Plan works out what a jug is made of to become what is wanted, and what it becomes.
//
// The amount of honey is solved by mass and rounded to what a kitchen weighs; all else
// is computed from the rounded amount. The draws behind its ranges are the same for
// every plan, so that two plans differ by what was asked and by nothing else.
//
// Errors: *AskError for words that make no sense; *must.ImpossibleError for what cannot
// be had, with what can.
func (c *Cellar) Plan(ctx context.Context, w PlanWords) (Plan, error) {
	g, err := c.goal(ctx, w)
	if err != nil {
		return Plan{}, err
	}
	recipe, err := g.solve()
	if err != nil {
		return Plan{}, g.withYeasts(err)
	}
	p := Plan{
		Words: w, Name: strings.TrimSpace(w.Name), Vessel: g.vessel,
		Fill: filled(recipe.Takes), Liquid: filled(recipe.Liquid),
		Headroom: measure.Normal(float64(g.wish.Jug-recipe.Takes), fillSpread*float64(recipe.Takes), "L"),
		Yeast:    yeastPlan(g.yeast, recipe.Liquid), Heat: g.heat, Assumed: g.assumed,
		Room: measure.Normal(g.room.Value, g.room.SD, "°C"),
	}
	portions := append([]must.Portion{recipe.Base}, recipe.Fixed...)
	for i, portion := range portions {
		words := portion.Said.Words + " " + portion.Ingredient.Name
		if i > 0 {
			words = w.With[i-1]
		}
		p.Amounts = append(p.Amounts, c.amount(portion))
		p.Parts = append(p.Parts, record(portion, words))
	}
	p.Amounts = append(p.Amounts, c.waterAmount(recipe.Water))
	if recipe.Sweeten > 0 {
		sweeten := c.amount(must.Portion{Ingredient: recipe.Base.Ingredient, Grams: recipe.Sweeten})
		p.Sweeten = &sweeten
	}
	p.Prospect, err = recipe.Prospect(planSeed, g.yeast.ToleranceLow, g.yeast.ToleranceHigh, must.Losses{Rackings: planRackings})
	if err != nil {
		return p, err
	}
	p.PH = mustPH(portions, float64(recipe.Liquid))
	if err := c.foresee(&p, g); err != nil {
		return p, err
	}
	if p.Bottles, err = fillBottles(p.Prospect.Bottled, g.sizes); err != nil {
		return p, err
	}
	p.Cost = cost(g.prices, p)
	p.Warnings = g.warnings(p)
	return p, nil
}

// The draws behind the ranges of every plan, and how often it is taken to be racked:
// off its lees, and once more before bottling (common practice, no source).
const (
	planSeed     = 1
	planRackings = 2
)

// KeepPlan keeps a plan under a name, in the place of an earlier one of that name.
//
// Errors: *AskError without a name.
func (c *Cellar) KeepPlan(ctx context.Context, name string, p Plan) error {
	name = strings.TrimSpace(name)
	if name == "" {
		return ask("name", "", `give it a name: skep plan "elderflower 2026" … --keep`, errors.New("the plan has no name"))
	}
	p.Name = name
	return c.store.Put(ctx, store.Plans, name, p)
}

// KeptPlan returns the plan kept under a name.
//
// Errors: *AskError when there is none.
func (c *Cellar) KeptPlan(ctx context.Context, name string) (Plan, error) {
	var p Plan
	err := c.store.Get(ctx, store.Plans, strings.TrimSpace(name), &p)
	if !errors.Is(err, store.ErrNotFound) {
		return p, err
	}
	names, err := c.PlanNames(ctx)
	if err != nil {
		return p, err
	}
	tip := `keep one first: skep plan "elderflower 2026" … --keep`
	if len(names) > 0 {
		tip = "there are: " + strings.Join(names, ", ")
	}
	return p, ask("plan", name, tip, errors.New("no plan of that name is kept"))
}

// PlanNames are the names of the plans that are kept.
func (c *Cellar) PlanNames(ctx context.Context) ([]string, error) {
	plans, err := c.store.All(ctx, store.Plans)
	var names []string
	for _, p := range plans {
		names = append(names, p.Name)
	}
	return names, err
}

// must is all that goes into the jug, water and all.
func (p Plan) must() must.Must {
	var m must.Must
	for _, part := range p.Parts {
		m = m.Plus(part.Adds)
	}
	m[must.Water] += p.Amounts[len(p.Amounts)-1].Grams.Value
	return m
}

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
		size, err := c.bottleSize(words)
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
	return g, nil
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

// muchPulp is the grams of pulp in a litre of vessel from which it is a fruit must:
// those of a handful of berries (assumed). Petals and a lemon stay below it.
const muchPulp = 5

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
	final, dry, err := c.final(w.Sweet)
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
func (c *Cellar) final(words string) (to measure.Gravity, dry bool, err error) {
	said := strings.ToLower(strings.TrimSpace(words))
	if said == "" {
		return 0, false, nil
	}
	if to, known := finals[said]; known {
		return to, to == 0, nil
	}
	tip := `write "dry", "off-dry", "medium", "sweet" or a final gravity, "1.012"`
	q, err := c.quantity("sweet", words, tip, measure.SG)
	if err != nil {
		return 0, false, err
	}
	if !(q.Value >= 0.985 && q.Value <= 1.06) {
		return 0, false, ask("sweet", words, tip, errors.New("a drink ends between 0.985 and 1.060"))
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

// kitchenGrams rounds to what a kitchen scale shows: 5 g from 500 g, 1 g from 20 g,
// 0.1 g below (assumed; common divisions).
func kitchenGrams(g float64) float64 {
	switch {
	case g >= 500:
		return 5 * math.Round(g/5)
	case g >= 20:
		return math.Round(g)
	}
	return math.Round(10*g) / 10
}

// withYeasts adds to a refusal which kinds of yeast bear what was asked.
func (g goal) withYeasts(err error) error {
	var impossible *must.ImpossibleError
	if !errors.As(err, &impossible) || g.wish.Strength <= g.wish.YeastHigh {
		return err
	}
	bear := bearing(func(y kinetics.YeastKind) bool { return y.ToleranceLow >= g.wish.Strength })
	if bear == nil {
		bear = bearing(func(y kinetics.YeastKind) bool {
			return y.ToleranceHigh >= g.wish.Strength && y.ToleranceHigh-y.ToleranceLow <= narrow
		})
	}
	if bear == nil {
		return err
	}
	more := *impossible
	more.Can = append(slices.Clone(impossible.Can), "of the kinds known here, "+strings.Join(bear, " or "))
	return &more
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

// yeastPlan is the usual dose in whole packets: half a packet saves nothing and starts
// slower.
func yeastPlan(kind kinetics.YeastKind, liquid measure.Litres) YeastPlan {
	grams := yeastDose * float64(liquid)
	return YeastPlan{
		Kind: kind.Name, Note: kind.Note,
		Stops:       between(float64(kind.ToleranceLow), float64(kind.ToleranceHigh), "% vol"),
		Temperature: between(float64(kind.TemperatureLow), float64(kind.TemperatureTop), "°C"),
		Grams:       grams, Packets: max(1, int(math.Ceil(grams/packetGrams-1e-9))),
	}
}

// between is a range known by its ends.
func between(low, high float64, unit string) measure.Range {
	return measure.Range{Value: (low + high) / 2, Unit: unit, Low: low, High: high}
}

// yeastDose is 0.25 g/L of dry wine yeast: the rehydration procedure of the Australian
// Wine Research Institute, 25 g/hL.
const yeastDose = 0.25

// amount is a portion as a kitchen measures it.
func (c *Cellar) amount(p must.Portion) Amount {
	grams := kitchenGrams(float64(p.Grams))
	a := Amount{
		Ingredient: p.Ingredient.Name, Grams: measure.Normal(grams, float64(p.SD), "g"),
		Metric: measure.ShowMass(measure.Grams(grams), measure.Metric),
		Weight: measure.ShowMass(measure.Grams(grams), measure.US), Caution: p.Ingredient.Caution,
	}
	switch {
	case p.Said.Kind == measure.Volume, p.Said.Kind == measure.Pieces, p.Said.Kind == measure.Packets:
		a.Kitchen = p.Said.Words
	case p.Ingredient.Litre > 0:
		a.Kitchen = measure.ShowCups(measure.Litres(grams/p.Ingredient.Litre), c.system)
	case p.Ingredient.Piece > 0:
		a.Kitchen = fmt.Sprintf("about %.0f", math.Ceil(grams/p.Ingredient.Piece))
	}
	return a
}

// waterAmount is the water up to the mark.
func (c *Cellar) waterAmount(grams measure.Grams) Amount {
	litres := measure.Litres(float64(grams) / waterGL)
	return Amount{
		Ingredient: "water", Grams: measure.Exact(float64(grams), "g"),
		Metric: measure.ShowVolume(litres, measure.Metric), Weight: measure.ShowVolume(litres, c.gallons()),
	}
}

const waterGL = 998.2 // g in a litre of water at 20 °C [tanaka2001]

// gallons is the other system that amounts are shown in beside the metric one.
func (c *Cellar) gallons() measure.System {
	if c.system == measure.Imperial {
		return measure.Imperial
	}
	return measure.US
}

// filled is a volume up to a mark, with the spread of an eye.
func filled(l measure.Litres) measure.Range {
	return measure.Normal(float64(l), fillSpread*float64(l), "L")
}

// fillBottles chooses bottles for the central and the low end of what there is.
func fillBottles(wine measure.Range, sizes []must.BottleSize) (BottlePlan, error) {
	central, left, err := must.FillBottles(int(1000*wine.Value), sizes)
	if err != nil {
		return BottlePlan{}, err
	}
	low, _, err := must.FillBottles(int(1000*max(0, wine.Low)), sizes)
	l := float64(left) / 1000
	return BottlePlan{Central: central, Low: low, LeftOver: measure.Range{
		Value: l, Unit: "L", Low: max(0, l-wine.Value+wine.Low), High: l + wine.High - wine.Value,
	}}, err
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
