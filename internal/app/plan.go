package app

import (
	"skep/internal/batch"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
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
	Words    PlanWords      `json:"words"`
	Name     string         `json:"name,omitempty"`
	Vessel   batch.Vessel   `json:"vessel"`
	Amounts  []Amount       `json:"amounts"`           // what to gather, water last
	Parts    []batch.Part   `json:"parts"`             // the same as the record keeps it, without the water
	Fill     measure.Litres `json:"fill_litres"`       // L from the bottom of the jug to the mark, fruit and all
	Headroom measure.Litres `json:"headroom_litres"`   // L left empty for foam
	Liquid   measure.Litres `json:"liquid_litres"`     // L of must, at 20 °C
	Must     must.Must      `json:"must"`              // g, central values
	Prospect must.Prospect  `json:"prospect"`          // what it becomes
	PH       measure.Range  `json:"ph"`                // of the must; not Known where the acids are not
	Sweeten  *Amount        `json:"sweeten,omitempty"` // to add once the wine is stable
	Yeast    YeastPlan      `json:"yeast"`
	Nutrient NutrientPlan   `json:"nutrient"`
	Heat     Heating        `json:"heat"`
	Timeline []Milestone    `json:"timeline"`
	Bottles  BottlePlan     `json:"bottles"`
	Cost     *Cost          `json:"cost,omitempty"`
	Warnings []string       `json:"warnings,omitempty"`
	Assumed  []string       `json:"assumed,omitempty"` // what nobody told
}

// Amount is so much of one thing, as a kitchen measures it.
type Amount struct {
	Ingredient string        `json:"ingredient"`
	Grams      measure.Range `json:"grams"`             // g, rounded to what a kitchen weighs
	Metric     string        `json:"metric"`            // "1.20 kg"
	Weight     string        `json:"weight"`            // the same in the person's units: "2 lb 10 oz"
	Kitchen    string        `json:"kitchen,omitempty"` // by cup, spoon or piece: "3 1/2 cups"; "" where that is not known
	Caution    string        `json:"caution,omitempty"`
}

// YeastPlan is the yeast to buy and what it bears.
type YeastPlan struct {
	Kind    kinetics.YeastKind `json:"kind"`
	Grams   float64            `json:"grams"`   // g of dry yeast that this must asks for
	Packets int                `json:"packets"` // whole ones, one at least
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
