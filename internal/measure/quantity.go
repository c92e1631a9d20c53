package measure

// Kind is what a quantity measures.
type Kind string

// The kinds, and the unit of Quantity.Value and Quantity.SD for each.
const (
	Mass          Kind = "mass"           // g
	Volume        Kind = "volume"         // L
	Temperature   Kind = "temperature"    // °C
	SG            Kind = "gravity"        // as read, 1.032; at the temperature and scale of the instrument
	Brix          Kind = "brix"           // as read, % mass sucrose; Plato too
	Strength      Kind = "strength"       // % vol
	BubbleRate    Kind = "bubble rate"    // per minute
	Concentration Kind = "concentration"  // g/L
	Fraction      Kind = "mass fraction"  // g/g, from "20 %mass"
	Pressure      Kind = "pressure"       // bar
	Duration      Kind = "duration"       // h
	Packets       Kind = "packets"        // whole or broken packets
	Pieces        Kind = "pieces"         // "3 lemons": a bare count
	Volumes       Kind = "volumes of CO2" // L of gas at 0 °C, 1 atm per L
	Acidity       Kind = "pH"
	Length        Kind = "length" // cm
)

// Tool is how a quantity was taken; it decides the spread.
type Tool string

// The tools that words can tell of.
const (
	Scale      Tool = "scale"      // grams, ounces, pounds
	Jug        Tool = "jug"        // litres, gallons, pints: marks on a vessel
	Cup        Tool = "cup"        // measuring cup
	Spoon      Tool = "spoon"      // measuring spoon
	Instrument Tool = "instrument" // hydrometer, refractometer, thermometer, gauge
	Count      Tool = "count"      // counted: packets, pieces, bubbles
)

// Quantity is what a person said, and what Skep understood.
//
// Words is kept for ever; Value is in the unit of Kind; SD is one standard
// deviation of that way of measuring, in the same unit.
type Quantity struct {
	Words string  `json:"words"`
	Kind  Kind    `json:"kind"`
	Tool  Tool    `json:"tool"`
	Value float64 `json:"value"`
	SD    float64 `json:"sd"`
}

// Range is a computed result: a central value, and the range that holds the truth
// in four cases of five. Its JSON form is the contract of every --json answer.
type Range struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}
