// Package estimate computes what the evidence says of a jug, as ensembles.
//
// Every look at a jug is a noisy view of one state. Sampler climbs to the jug that fits
// what was known beforehand and what was seen best, draws jugs about it, follows each, and
// weighs it by what would have been seen in it. What is then said of the jug is read off
// 500 of them, chosen by weight: central value, and the range that holds four in five.
//
//	Situation     what is known: must, yeast, temperature, vessel, changes
//	Observation   one look
//	Sampler       from those to a Posterior, by weighted draws [veach1995]; where the
//	              weights are too uneven, by steps [delmoral2006]
//	Posterior     state at any time, finish, misfits, what looks would show (Foresee),
//	              LogEvidence; Outlook is its short form to keep
//
// Faults that looks share (an offset of the hydrometer, the unknown size of a bubble, the
// weight of the empty jug) are unknowns like the rates of the yeast, so that many readings
// with one bad hydrometer do not count as many hydrometers. A reading that neither the
// others nor the must explain is set aside and named. Evidence that would need an
// impossible jug is set aside as a whole, and the answer then is as wide as without it.
//
// The same situation and looks give the same answer. The widths of what is assumed are in
// prior.go and senses.go with their status; most have no checked source.
package estimate
