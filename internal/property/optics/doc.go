// Package optics computes what a refractometer shows, and what is in the liquid from it.
//
// The refractive index n is that of the yellow sodium line (589 nm) against air, a number
// without a unit; compositions are mass fractions of the whole solution.
//
//	Index              [crc102-wolf]      n at 20 °C of a must or wine of known composition
//	SucroseFromIndex   [crc102-wolf]      the sugar scale, °Brix, from n
//	CorrectBrix        [oiv-as2-02]       a reading on that scale in a warm or cold sample
//	HoneyWater         [wedmore]          water of a honey from its n
//	SyrupIndex         [crc102-wolf]      n from the degrees Brix of a honey refractometer
//
// A refractometer shows the sucrose that bends light as much. In must that is the sugar;
// once there is alcohol, which bends light too, it is more than the sugar, and package
// must reckons back (must.ByRefractometer, must.TwoReadings).
//
// Keys in brackets are rows of internal/reference/sources.csv. Suspended solids and gas
// are not counted: strain and degas a sample before comparing.
package optics
