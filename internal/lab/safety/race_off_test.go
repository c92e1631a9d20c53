//go:build !race

package safety

// jugs is how many TestSmallRun plays.
const jugs = 40
