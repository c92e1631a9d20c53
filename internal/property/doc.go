// Package property is the physics and chemistry of the liquid, one published method
// per function.
package property
