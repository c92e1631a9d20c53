package app

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"skep/internal/batch"
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
// Errors: *AskError for words that make no sense; *UnmetError for what cannot be had, with
// what can.
func (c *Cellar) Plan(ctx context.Context, w PlanWords) (Plan, error) {
	g, err := c.goal(ctx, w)
	if err != nil {
		return Plan{}, err
	}
	recipe, err := g.solve()
	if err != nil {
		return Plan{}, g.unmet(w, err)
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

// Tastes says how sweet it will be: "dry", or "medium, once it is sweetened".
func (p Plan) Tastes() string {
	if p.Sweeten != nil {
		return strings.ToLower(strings.TrimSpace(p.Words.Sweet)) + ", once it is sweetened"
	}
	return sweetness(measure.Gravity(p.Prospect.Final.Value))
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
