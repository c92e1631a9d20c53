//go:build !race

package calibration

const jugs = 40
