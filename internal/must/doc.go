// Package must answers what is in the jug, in grams of each component, and plans a must.
//
// Mixing, racking, feeding and sampling add and subtract grams. Volume, gravity,
// strength and the rest are computed from the grams at a stated temperature and are
// never added up.
//
//	Must             grams of each component; mixing and the laws that go with it
//	Ingredient       what a honey, fruit, flower or salt is made of, with spread and source
//	Find, Measured   from a name and a kitchen amount to grams of each component
//	Plan             from what is known (jug, honey, wishes) to what is not
//	ByRefractometer  a fermenting must from its Brix, as alcohol bends light too
//	TwoReadings      sugar and strength from two instruments when the first reading was forgotten
//	Blend            how much of each wine meets the goals of a blend
//	Trial            from the glass that tasted best to the jug
//	JugShape         how much room there is above the wine
//	FillBottles      how many bottles of which size; Bottled, what losses leave for them
package must
