// Package acidity answers the pH and the titratable acidity of a must, from its acids.
//
//	All, Named       the acids, their constants and equivalents
//	PH               charge balance over weak acids and strong cations
//	Titratable       g/L as tartaric, and Convert between acids
//	Titration        the same, from the lye that a sample takes
//	Honey            the acid and cations in a honey, from its pH and free acidity
//	Composed         the acid and cations in any liquid, from its pH and titratable acidity
//	AcidForPH        acid, and CationForPH cations, that bring it to another pH
//	Carbonate        what takes acid away
//
// Constants are those at 25 °C in water without salts, moved for alcohol. Not modelled:
// ionic strength (some 0.05 to 0.1 in pH), temperature, proteins, phosphate, dissolved
// CO2, the lactone of gluconic acid, tartrate that falls out, acids and ammonium that
// yeast makes and takes. A honey must is nearly unbuffered, so that small amounts move its pH
// far: take ±0.3 for a must and believe a strip before this.
package acidity
