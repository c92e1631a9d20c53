//go:build race

package calibration

// jugs is how many are made up for TestSimulated: the race detector makes each ten times
// as slow, and looks for races, which a few jugs show as well.
const jugs = 4
