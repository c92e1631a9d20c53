// Package lab evaluates Skep: it makes the figures that the README and docs show.
//
//	Accuracy      every published quantity that Skep computes against its tables, row by row
//	calibration/  forecasts against fermentations that others measured
//	Run           all of skep-lab but os.Exit
//
// The tables are those of internal/reference/tables; the rooms below have tests against
// the same, and laws besides. Rows from memory, and of other methods than ours, are walked and
// shown, and decide nothing.
package lab
