package must

import "skep/internal/measure"

// Class is what sort of thing an ingredient is.
type Class string

// The classes. A class decides the density of a spoonful, how surely a cup of it is
// known, when it gives up its sugar, and which cautions go with it.
const (
	Honey    Class = "honey"
	Sugar    Class = "sugar"
	Juice    Class = "juice"
	Fruit    Class = "fruit"
	Flower   Class = "flower" // leaves and roots too: scent, next to no sugar
	Liquid   Class = "water"
	AcidSalt Class = "acid"
	Nutrient Class = "nutrient"
	Tannin   Class = "tannin"
	Spice    Class = "spice"
	Additive Class = "additive" // sulphite, sorbate, enzyme, carbonate
)

// Ingredient is what one thing is made of.
type Ingredient struct {
	Name     string   `json:"name"`
	Aliases  []string `json:"aliases,omitempty"`
	Class    Class    `json:"class"`
	PerGram  Must     `json:"per_gram"` // grams of each component in one gram as weighed (edible part); sums to 1
	SugarSD  float64  `json:"sugar_sd"` // relative sd of its fermentable sugar
	YANSD    float64  `json:"yan_sd"`   // sd of ln(assimilable nitrogen)
	Litre    float64  `json:"litre"`    // g in a litre as measured by cup, jug or handful; 0: unknown
	CupSD    float64  `json:"cup_sd"`   // relative sd of a measured volume of it
	Piece    float64  `json:"piece"`    // g of one piece; 0: not counted in pieces
	PieceSD  float64  `json:"piece_sd"` // relative
	Packet   float64  `json:"packet"`   // g of one packet as sold; 0: not sold in packets
	PHLow    float64  `json:"ph_low"`   // 0: not known
	PHHigh   float64  `json:"ph_high"`
	MainAcid string   `json:"main_acid"` // "gluconic", "citric", "malic", "tartaric"…
	Status   string   `json:"status"`    // V, S, D, M or A as in docs/sources.md
	Source   string   `json:"source"`
	Caution  string   `json:"caution,omitempty"` // what to know before using it
}

// Portion is an amount of an ingredient in grams, with one standard deviation.
type Portion struct {
	Ingredient Ingredient
	Said       measure.Quantity
	Grams      measure.Grams
	SD         measure.Grams
}
