// Package gas answers how much CO2 a wine holds, and what pressure a closed bottle comes to.
//
// Pressures are bar, absolute unless called gauge (above the atmosphere of 1.01325
// bar); CO2 and sugar are g/L, strength is % vol, temperatures are °C.
//
//	InWater                  [carroll1991]               CO2 in water
//	Solubility, Dissolved    [oiv-as314-01]              CO2 in wine
//	Pressure                 the same, turned round
//	Saturated                                            what a wine keeps under 1 atm of CO2
//	WaterVapour              [wagner2002]
//	ClosedBottle.Gauge       ours, from all of these     and the sugar that a pressure allows
//	Volumes, FromVolumes     [srd106]                    litres of gas per litre
//
// No formula for wine at other temperatures than 20 °C could be read in print. Two laws
// hold the truth between them, steep and flat, up to 17 % apart at 40 °C; where safety
// is asked for, take Least for pressure and Most for gas kept. A wine that has just
// fermented can hold more than Saturated says. Air in the headspace is reckoned as a
// gas that does not dissolve, which errs to the safe side.
package gas
