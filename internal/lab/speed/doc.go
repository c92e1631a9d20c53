// Package speed times the forecast, and beside it a general-purpose solver where one is
// installed.
//
//	Measure   one estimate, its cost against the number of looks, and many trajectories
//	Peer      the same trajectories by R's deSolve with the model compiled from C
//
// What is timed is made up and always the same; the clock is an argument. Times are those
// of the machine and of what else it does: compare what one run prints with itself.
package speed
