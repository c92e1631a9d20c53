// Package batch holds the record of a jug: what was done and seen, as events in
// time, and the fold that turns the events into where the jug stands.
//
//	Event, Happening   one entry: when, and what happened (Made, Pitched, Looked, …)
//	Fold               events to State
//	State.Check        would this next entry make sense? asked before it is written
//	History            every entry, and whether it stands, was corrected or withdrawn
//	State.Observations what was seen, as package estimate takes it
//
// Nothing edits an event. A correction and a withdrawal are events themselves, and
// can be withdrawn in turn, so every step can be undone.
//
// The fold counts grams put in and shares taken out. What fermentation makes of
// them (sugar to ethanol and CO2) is not its business: package estimate computes
// that. Masses here are therefore those of the unfermented must, and volumes are
// litres of it at 20 °C; fermenting a must to dryness shrinks it by 0.4 to 1.2 %. Only
// wine that came by a blend is counted as it is.
package batch
