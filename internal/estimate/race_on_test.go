//go:build race

package estimate

// jugs is how many are made up for TestRangesHoldTheTruth: the race detector makes each
// ten times as slow, and looks for races, which a few jugs show as well.
const jugs = 20

// manyJugs is how many for TestRanksAreEven.
const manyJugs = 24
