package measure

import "strings"

// unit is one unit of kitchen talk.
type unit struct {
	kind  Kind
	tool  Tool
	size  [3]float64 // one of it in the unit of kind: US, imperial, metric
	names string     // every way to write it, the usual one first
}

// Exact sizes in litres and grams: NIST Handbook 44, Appendix C (US gallon of 231 cubic
// inches, pound); UK Weights and Measures Act 1985, Schedule 1 (imperial gallon).
// The rows are in testdata/units.csv, and a test walks them.
const (
	usGallon       = 3.785411784
	imperialGallon = 4.54609
	pound          = 453.59237

	// From memory, unverified: the metric cup of 250 mL, the metric spoons of 5, 10 and 15 mL
	// (used for imperial too), and half an imperial pint for an imperial cup.
	metricCup, metricSpoon = 0.250, 0.005

	usFluidOunce       = usGallon / 128
	imperialFluidOunce = imperialGallon / 160
)

func same(size float64) [3]float64 { return [3]float64{size, size, size} }

// Metric takes gallons, quarts, pints and fluid ounces as imperial.
func gallons(us, imperial float64) [3]float64 {
	return [3]float64{us * usGallon, imperial * imperialGallon, imperial * imperialGallon}
}

var units = []unit{
	{Mass, Scale, same(1), "g, gram, grams, gramme, grammes, gm"},
	{Mass, Scale, same(1000), "kg, kilogram, kilograms, kilogramme, kilogrammes, kilo, kilos, kgs"},
	{Mass, Scale, same(0.001), "mg, milligram, milligrams"},
	{Mass, Scale, same(pound), "lb, pound, pounds, lbs"},
	{Mass, Scale, same(pound / 16), "oz, ounce, ounces, ozs"},

	{Volume, Jug, same(1), "l, litre, litres, liter, liters"},
	{Volume, Jug, same(0.1), "dl, decilitre, decilitres, deciliter, deciliters"},
	{Volume, Jug, same(0.01), "cl, centilitre, centilitres, centiliter, centiliters"},
	{Volume, Jug, same(0.001), "ml, millilitre, millilitres, milliliter, milliliters, cc"},
	{Volume, Jug, same(100), "hl, hectolitre, hectolitres, hectoliter, hectoliters"},
	{Volume, Jug, gallons(1, 1), "gal, gallon, gallons, gals"},
	{Volume, Jug, gallons(1./4, 1./4), "qt, quart, quarts, qts"},
	{Volume, Jug, gallons(1./8, 1./8), "pt, pint, pints, pts"},
	{Volume, Jug, gallons(1./128, 1./160), "fl oz, floz, fl ounce, fl ounces, fluid oz, fluid ounce, fluid ounces"},
	{Volume, Cup, [3]float64{usGallon / 16, imperialGallon / 16, metricCup}, "cup, cups"},
	{
		Volume, Spoon,
		[3]float64{usFluidOunce / 2, 3 * metricSpoon, 3 * metricSpoon},
		"tbsp, tablespoon, tablespoons, tbsps, tbs, tbl, table spoon, table spoons",
	},
	{
		Volume, Spoon,
		[3]float64{usFluidOunce / 6, metricSpoon, metricSpoon},
		"tsp, teaspoon, teaspoons, tsps, tea spoon, tea spoons",
	},
	{Volume, Spoon, same(2 * metricSpoon), "dessertspoon, dessertspoons"},

	{SG, Instrument, same(1), "sg, gravity, specific gravity"},
	{Brix, Instrument, same(1), "bx, brix, plato"},
	{Acidity, Instrument, same(1), "ph"},
	{Strength, Instrument, same(1), "abv"},
	{Volumes, Instrument, same(1), "vol, vols, volume, volumes, vol co2, vols co2, volumes co2"},

	// A part per million is taken as a milligram in a litre, as makers do.
	{Concentration, Instrument, same(0.001), "ppm"},

	{Pressure, Instrument, same(1), "bar, bars"},
	{Pressure, Instrument, same(0.001), "mbar, hpa, millibar, millibars"},
	{Pressure, Instrument, same(0.01), "kpa"},
	{Pressure, Instrument, same(1e-5), "pa"},
	{Pressure, Instrument, same(0.06894757293), "psi"}, // NIST SP 811, Appendix B
	{Pressure, Instrument, same(1.01325), "atm"},

	{Duration, Instrument, same(1. / 3600), "s, second, seconds, sec, secs"},
	{Duration, Instrument, same(1. / 60), "min, minute, minutes, mins"},
	{Duration, Instrument, same(1), "h, hour, hours, hr, hrs"},
	{Duration, Instrument, same(24), "d, day, days"},
	{Duration, Instrument, same(7 * 24), "week, weeks, wk, wks"},
	{Duration, Instrument, same(365.2425 / 12 * 24), "month, months"}, // of the mean calendar year
	{Duration, Instrument, same(365.2425 * 24), "year, years, yr, yrs"},

	{Length, Instrument, same(1), "cm, centimetre, centimetres, centimeter, centimeters"},
	{Length, Instrument, same(0.1), "mm, millimetre, millimetres, millimeter, millimeters"},
	{Length, Instrument, same(2.54), "inch, inches"},

	{Packets, Count, same(1), "packet, packets, pack, packs, sachet, sachets, pkt, pkts"},
	{Pieces, Count, same(1), "piece, pieces"},
}

// byName finds a unit by each of its names. Temperatures are not here: their zero differs.
var byName = func() map[string]unit {
	names := map[string]unit{}
	for _, u := range units {
		for name := range strings.SplitSeq(u.names, ", ") {
			names[name] = u
		}
	}
	return names
}()

// systemNames are the words that say whose unit is meant.
var systemNames = map[string]System{
	"us": US, "usa": US, "american": US, "imperial": Imperial, "imp": Imperial, "uk": Imperial,
	"british": Imperial, "metric": Metric,
}

// in returns the size of the unit in a system; what is neither US nor imperial is metric.
func (u unit) in(sys System) float64 {
	switch sys {
	case US:
		return u.size[0]
	case Imperial:
		return u.size[1]
	}
	return u.size[2]
}

// bounds of each kind, in its unit: beyond them the words are a slip, not a jug.
// Ours, chosen wide: a farm's cellar still fits.
var bounds = map[Kind]struct {
	low, high float64
	unit      string
}{
	Mass:          {0, 1e7, "g"},
	Volume:        {0, 1e4, "L"},
	Temperature:   {-30, 130, "°C"},
	SG:            {0.9, 1.2, ""},
	Brix:          {-5, 90, "°Bx"},
	Strength:      {0, 100, "% vol"},
	BubbleRate:    {0, 1000, "a minute"},
	Concentration: {0, 2000, "g/L"},
	Fraction:      {0, 1, "g/g"},
	Pressure:      {0, 100, "bar"},
	Duration:      {0, 1e6, "h"},
	Packets:       {0, 1000, ""},
	Pieces:        {0, 1e5, ""},
	Volumes:       {0, 50, ""},
	Acidity:       {0, 14, ""},
	Length:        {0, 1000, "cm"},
}
