// Package kinetics computes how a must changes in time while yeast works in it.
//
// Levels are g/L of the must as it stood when it was last changed by hand, times are
// hours from pitching, temperatures °C.
//
//	Parameters      rates, yields and limits of one yeast in one must
//	Fermentation    follows nitrogen, cells, sugar and ethanol in time
//	Products        what sugar and nitrogen became, gram for gram, in a must.Must
//	YeastNamed      what a packet of that kind of yeast promises
//
// The model is the nitrogen-limited one of [coleman2007] and [cramer2002]: cells grow
// while there is nitrogen, all living cells turn sugar into ethanol, and ethanol takes
// cells out of work. Three things are ours, none has a checked source, and each vanishes
// when its parameter is zero: a lag, an end at a limit of ethanol, and a near pause
// below the yeast's coldest temperature.
//
// Not modelled: the heat the jug makes itself (some tenths of a degree in a 4 L jug up
// to a few degrees in a large one), oxygen and sterols, vitamins, acids, bacteria, a
// second pitching. An estimate has to be wide enough for them.
package kinetics
