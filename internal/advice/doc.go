// Package advice turns what is known of a jug into words: where it stands, whether it
// may be bottled, and what it wants next. This is where makers are kept from harm, so
// one rule stands above the others: when in doubt, not yet.
//
//	Stand       where a jug stands, in one sentence and the two facts it rests on
//	MayBottle   not yet or ready, with the pressure in the closed bottle and its arithmetic
//	Filled      the same for bottles that are closed already: a warning, if they want one
//	Finish      how a finished wine is brought to the bottle, step by step
//	Wants       what the jug wants, dated, each with its reason
//	Rescue      what to do about a stalled jug, least harmful first, and when to stop
//	Caution     the usual cautions, one sentence each; they live here once
//	SealedJug   how long a sealed jug of working must holds
//
// Every threshold is a named constant that says where it comes from: a source,
// "common practice, no source", or "our policy". Nothing here reads a clock: Now is
// part of the evidence. Bottle limits and dates of feeding come in from outside.
package advice
