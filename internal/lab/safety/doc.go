// Package safety plays jugs of which the truth is known, and counts how often Skep says
// what is dangerous.
//
// A maker pitches a must, looks, reads with faulty instruments, forgets, mistypes, and asks
// what may be bottled; she does what Skep answers. What it answers is held against the jug
// as it truly is, which is followed by rules of its own: the pace wanders, the laws of
// temperature are others than the model's, and some jugs stop for a cause that it lacks.
//
//	brew      the jug as it truly is
//	maker     the person: what she has, does, forgets and writes down
//	Outcome   what came of one jug
//	Simulate  any number of jugs, by a seed
//	Report    counts, with 95 % bounds, by kind of trouble
//
// Where a spread or a chance is drawn, it is assumed; docs/safety.md lists them.
package safety
