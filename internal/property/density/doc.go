// Package density computes the density of must and wine from what is in it, and
// turns density into the scales of the trade and back.
//
// Densities are true densities (in vacuum) in kg/m³ at 1 atm, temperatures are
// °C on ITS-90, compositions are mass fractions of the whole solution.
//
//	Water                [tanaka2001]    0 to 40 °C
//	EthanolWater         [oiml-r22]      0 to 40 °C, 0 to 100 % mass
//	Sucrose              [icumsa-sps4]   0 to 40 °C, 0 to 70 % mass
//	Glucose, Fructose    [crc102-wolf]   0 to 48 % mass; away from 20 °C an approximation
//	Invert               half of each
//	Glycerol             [crc102-wolf]   0 to 20 % mass; away from 20 °C an approximation
//	Must                 ours, from all of the above; docs/decisions/0004-density-of-must.md
//
//	Gravity, FromGravity                       density at 20 °C and SG 20/20
//	SucroseFromGravity, GravityFromSucrose     Brix and Plato, as mass fraction
//	Extract, Oechsle, Baume, Apparent, Gravity60F
//	PercentVol, MassFromPercentVol             strength of ethanol in water
//	HydrometerReading, CorrectHydrometer       [iso1768] glass in a warm or cold sample
//	StrengthByResidue                          strength from a wine and what boiling leaves of it
//
// There is one water: [oiml-r22] and [icumsa-sps4] are used for what ethanol and
// sucrose add to water, and the water itself is always that of [tanaka2001]. The
// published formulas differ from it by at most 0.008 kg/m³; pure ethanol stays as
// [oiml-r22] has it.
//
// Keys in brackets are rows of internal/reference/sources.csv. Suspended solids
// and dissolved CO2 are not counted: degas a sample before comparing.
package density
