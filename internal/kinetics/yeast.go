package kinetics

import "skep/internal/measure"

// YeastKind is a kind of yeast as a packet describes it, and no brand.
type YeastKind struct {
	Name           string             // "champagne"
	Aliases        []string           // other words for it, lower case
	ToleranceLow   measure.PercentVol // most jugs get this far
	ToleranceHigh  measure.PercentVol // few get further
	TemperatureLow measure.Celsius    // below, it slows more than warmth alone explains
	TemperatureTop measure.Celsius    // above, it suffers
	Demand         Demand             // of nitrogen
	Note           string
}

// Demand is how much nitrogen a kind of yeast asks for.
type Demand string

// The demands.
const (
	LowDemand    Demand = "low"
	MediumDemand Demand = "medium"
	HighDemand   Demand = "high"
)
