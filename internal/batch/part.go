package batch

import (
	"skep/internal/measure"
	"skep/internal/must"
)

// Part is one thing that went in: what was said, and what it came to.
type Part struct {
	Ingredient string           // its name among the ingredients
	Words      string           // the whole line as typed: "2 1/2 cups wildflower honey"
	Amount     measure.Quantity // how much, as typed and understood
	Grams      float64          // g of it
	GramsSD    float64          // g
	Adds       must.Must        // g of each component
	SugarSD    float64          // relative sd of its sugar, beyond that of Grams
	NitrogenSD float64          // relative sd of its assimilable nitrogen
}

// Vessel is what a jug stands in.
type Vessel struct {
	Name   string            `json:"name"`
	Litres float64           `json:"litres"`         // L, to the brim
	Tare   *measure.Quantity `json:"tare,omitempty"` // mass when empty
}
