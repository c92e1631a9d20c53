// Package heat answers what comes of mixing hot and cold, how long a vessel takes to
// cool, how much fermentation warms it, and what glass bears.
//
//	SpecificHeat        [bubnik1995]               kJ/(kg K) of sugar in water
//	Mix                 energy is conserved        °C of parts stirred together
//	Ice, Water          energy is conserved        g that bring it to another temperature
//	Vessel, CoolingTime, After                     hours and °C, as wide ranges
//	Power, Vessel.Rise  [colombie2007]             watts and K of a working must
//	ThermalShock        [gost53921] and policy     how near a step in temperature is to what glass is tested for
//
// Heat lost from a vessel is reckoned with assumed coefficients: no published value
// for jugs and pots was found, hence ±40 %. Two readings of a thermometer in the
// maker's own kitchen beat the table.
package heat
