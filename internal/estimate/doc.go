// Package estimate computes what the evidence says of a jug, as ensembles.
//
// Every look at a jug is a noisy view of one state. Smoother draws 500 jugs that what is
// known beforehand allows, follows each, compares what would have been seen in it with
// what was seen, and moves all of them towards the evidence in eight passes. What is then
// said of the jug is read off the 500: central value, and the range that holds four in
// five of them.
//
//	Situation     what is known: must, yeast, temperature, vessel, changes
//	Observation   one look
//	Smoother      from those to a Posterior: an ensemble smoother with multiple data
//	              assimilation [emerick2013], which narrows less than it might but does
//	              not collapse
//	Posterior     state at any time, finish, misfits, what looks would show (Foresee);
//	              Outlook is its short form to keep
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
