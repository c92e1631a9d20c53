//go:build race

package safety

// jugs is how many TestSmallRun plays: the race detector makes each ten times as slow, and
// looks for races, which a few jugs show as well.
const jugs = 6
