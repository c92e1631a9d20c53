// Package solve holds numerical methods; it knows no chemistry.
//
//	DormandPrince   follows a small system of ordinary differential equations in time
//	Root            finds where a function is zero
//
// Nothing here reads a clock or draws a random number: the same question gives the
// same bits on the same kind of processor.
package solve
