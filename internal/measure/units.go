package measure

// Named numbers: the unit is the type.
type (
	Grams         float64 // g
	Litres        float64 // L
	Celsius       float64 // °C, ITS-90
	Density       float64 // kg/m³, which is also g/L
	MassFraction  float64 // g per g of the whole, 0 to 1
	Gravity       float64 // specific gravity 20 °C / 20 °C, in vacuum
	PercentVol    float64 // litres of ethanol at 20 °C in 100 L of the liquid at 20 °C
	GramsPerLitre float64 // g/L
	MgPerLitre    float64 // mg/L
	Bar           float64 // bar; gauge or absolute is said in the name
	Hours         float64 // h
)

// System says whose gallons, pints, cups and ounces are meant, and how results are shown.
type System string

// The three systems. Metric shows grams and litres, and takes a bare "gal" or "pint" as imperial.
const (
	US       System = "us"
	Imperial System = "imperial"
	Metric   System = "metric"
)
