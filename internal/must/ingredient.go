package must

import (
	"errors"
	"fmt"
	"math"

	"skep/internal/measure"
)

// Class is what sort of thing an ingredient is.
type Class string

// The classes. A class decides the density of a spoonful, how surely a cup of it is
// known, when it gives up its sugar, and which cautions go with it.
const (
	Honey    Class = "honey"
	Sugar    Class = "sugar"
	Juice    Class = "juice"
	Fruit    Class = "fruit"
	Flower   Class = "flower" // leaves too: scent, next to no sugar
	Liquid   Class = "water"
	AcidSalt Class = "acid"
	Nutrient Class = "nutrient"
	Tannin   Class = "tannin"
	Spice    Class = "spice"    // ginger and peel too
	Additive Class = "additive" // sulphite, sorbate, enzyme, carbonate
)

// Ingredient is what one thing is made of.
//
// PerGram sums to 1, but for pure acids: Acid counts tartaric acid by equivalents, so a
// gram of citric acid is 1.172 g. What that adds to the mass of a jug is less than a
// kitchen scale shows.
type Ingredient struct {
	Name         string   `json:"name"`
	Aliases      []string `json:"aliases,omitempty"`
	Class        Class    `json:"class"`
	PerGram      Must     `json:"per_gram"`                // grams of each component in one gram as used (edible part)
	SugarUnknown bool     `json:"sugar_unknown,omitempty"` // the sugar is a guess: measure the juice
	SugarSD      float64  `json:"sugar_sd"`                // relative sd of its fermentable sugar
	YANSD        float64  `json:"yan_sd"`                  // sd of ln(assimilable nitrogen)
	Measured     bool     `json:"measured,omitempty"`      // by this person: moisture of a honey, gravity of a juice
	Litre        float64  `json:"litre"`                   // g in a litre as measured by cup, jug or handful; 0: unknown
	CupSD        float64  `json:"cup_sd"`                  // relative sd of a measured volume of it
	Piece        float64  `json:"piece"`                   // g of one piece; 0: not counted in pieces
	PieceSD      float64  `json:"piece_sd"`                // relative
	Packet       float64  `json:"packet"`                  // g of one packet as sold; 0: not sold in packets
	PHLow        float64  `json:"ph_low"`                  // 0: not known
	PHHigh       float64  `json:"ph_high"`
	MainAcid     string   `json:"main_acid"` // "gluconic", "citric", "malic", "tartaric"…
	Status       string   `json:"status"`    // of water and sugar: V, S, D, M or A, as ingredients.csv says
	Source       string   `json:"source"`
	Caution      string   `json:"caution,omitempty"` // what to know before using it
}

// Portion is an amount of an ingredient in grams, with one standard deviation.
type Portion struct {
	Ingredient Ingredient
	Said       measure.Quantity
	Grams      measure.Grams
	SD         measure.Grams
}

// Adds returns what the portion brings into the jug, grams of each component.
func (p Portion) Adds() Must { return p.Ingredient.PerGram.Scaled(float64(p.Grams)) }

// ErrWeighIt says that an amount cannot be turned into grams: a scale can.
var ErrWeighIt = errors.New("weigh it")

// packetSD is the relative sd of what a packet holds: 0.173 of 7.2 g of three packets
// of dry yeast (USDA SR26 NDB 18375).
const packetSD = 0.173 / 7.2

// Measured returns what a quantity of an ingredient weighs, and how surely.
//
// A mass is kept as said. A volume, a count or packets are turned into grams by what a
// litre, a piece or a packet of it weighs; to the spread of the cup, jug or count itself
// comes that of heaping, packing and size. The size of pieces is taken as shared: three
// lemons of one tree are all small or all big.
//
// Honey is taken as scraped out. What an unscraped cup keeps back only ever makes less;
// no measurement of it was found, so it widens CupSD and does not move the grams.
//
// Errors: ErrWeighIt where the grams of a litre, piece or packet are not known; an
// amount that is not above nothing, or is of another kind.
func Measured(i Ingredient, q measure.Quantity) (Portion, error) {
	if !(q.Value > 0) || math.IsInf(q.Value, 0) {
		return Portion{}, fmt.Errorf("an amount of %s must be above nothing, not %g", i.Name, q.Value)
	}
	var each, sd float64 // g in one unit of q, and its relative sd
	switch q.Kind {
	case measure.Mass:
		each = 1
	case measure.Volume:
		each, sd = i.Litre, i.CupSD
	case measure.Pieces:
		each, sd = i.Piece, i.PieceSD
	case measure.Packets:
		each, sd = i.Packet, packetSD
	default:
		return Portion{}, fmt.Errorf("%s is measured by mass, volume, pieces or packets, not by %s", i.Name, q.Kind)
	}
	if each == 0 {
		return Portion{}, fmt.Errorf("how much %s of %s weighs is not known: %w", amounts[q.Kind], i.Name, ErrWeighIt)
	}
	grams := q.Value * each
	return Portion{
		Ingredient: i, Said: q, Grams: measure.Grams(grams),
		SD: measure.Grams(grams * math.Hypot(q.SD/q.Value, sd)),
	}, nil
}

var amounts = map[measure.Kind]string{
	measure.Volume: "a cup or spoon", measure.Pieces: "a piece", measure.Packets: "a packet",
}
