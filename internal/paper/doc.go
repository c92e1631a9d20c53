// Package paper draws what is printed: labels for bottles, the tag of a jug, brew day, the
// shelf, a jug's whole story, and a sheet for a class, as PDF.
//
//	Labels     any number of labels, on a sheet of any grid
//	Tag        what hangs on a jug: name, date, next look, to be read without a screen
//	BrewDay    a plan, step by step, to tick off
//	Shelf      what is bottled and left
//	Story      where a jug stands, what it becomes, and all that was written of it
//	Class      a jug's story with five numbers to be measured, and the answers behind
//
// All lengths are mm, sizes of type are points. Text that does not fit is set smaller down
// to a stated size; what does not fit then is a *FitError and is never cut. A letter that
// the fonts do not have is a *LetterError: they have those of the European languages,
// Greek and Cyrillic among them, and run from left to right. The same record and time give
// the same bytes.
package paper
