// Package nutrient computes what nitrogen a must lacks and how much of a salt gives it.
//
// Nitrogen is what yeast can assimilate (YAN), mg N/L; salts are g/L.
//
//	Need          from memory    what yeast asks for by its demand and the sugar
//	Salt.Dose     [masses]       grams a litre for what is lacking, to the legal ceiling
//	Portions      from memory    when to give it, by the sugar that is gone
//
// What a honey or fruit brings is in package must; it differs twofold and more from jar to
// jar, so a need known to a fifth is no worse. What laws allow is in reference.Limits.
//
// Keys in brackets are rows of internal/reference/sources.csv.
package nutrient
