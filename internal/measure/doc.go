// Package measure holds quantities: how much, in which unit, how surely, and the
// words in which a person said it.
//
// Inside Skep a mass is grams, a volume litres, a temperature °C, a time hours;
// a density in kg/m³ is the same number as one in g/L. The named types below carry
// the unit over package borders; inside a function a bare float64 is allowed.
//
//	Parse            kitchen words to a Quantity      "2 1/2 cups", "1 lb 9 oz", "72 F"
//	ParseIngredient  an amount and what it is of      "2 1/2 cups of honey", "3 lemons"
//	ParseReading     a reading and its temperature    "1.032 at 72 F"
//	ParseParts       several quantities in a row      "5 L 12 %vol 1.010"
//	ParseTime        kitchen words to a time          "yesterday evening", "2026-05-03 18:30"
//	Quantity         what was said and what it means, with the spread of that way of measuring
//	Range            a computed result: central value and 80 % range
//	Show…            the one place where numbers become text
//
// What was not understood is a *ParseError, which marks the part at fault and says how
// to write it. The units are in table.go, with their sources; the spreads, most of them
// assumed, in spread.go.
//
// It knows no ingredient: a cup is a volume here, and becomes grams in package must.
package measure
