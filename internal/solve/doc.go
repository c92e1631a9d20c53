// Package solve holds numerical methods; it knows no chemistry.
//
//	DormandPrince   follows three ordinary differential equations in time
//	Root            finds where a function is zero
//	Largest         finds the best corner of a small linear programme
//
// Nothing here reads a clock or draws a random number: the same question gives the
// same bits on the same kind of processor.
package solve
