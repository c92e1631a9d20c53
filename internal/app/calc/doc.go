// Package calc answers single questions: how strong, how dense, how much, at what
// pressure. It needs words and no cellar.
//
//	All                  every Calculation: its name, what it asks for, how it answers
//	Calculation.Answer   works one out, from words by the name of their input
//
// A Calculation is a row of a table, so that a door can make a command or a form of each
// without knowing what it is about. Names, inputs and the keys of results are relied on
// by scripts: add to them, do not change them.
//
// The physics is that of packages property and must. What is ours here is how words
// become their arguments, and how spreads become ranges (Calculation.Answer).
package calc
