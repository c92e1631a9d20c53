// Package chart draws a quantity of a jug in time: what was read, what is reckoned with
// the range it lies in, what was done, and when it should be over.
//
//	Of             the picture of a jug's course
//	Picture        what to draw
//	Picture.SVG    for pages: colours are classes that the page's style gives a meaning
//	Picture.PNG    for paper
//
// The picture says nothing that only colour tells: what is past is drawn through and what
// is forecast is dashed, readings are dots with the range of their instrument, and things
// done are letters. Who shows one puts a table of the same numbers beside it.
//
// But for Of it knows no jug: times and measure.Range in, a picture out. Drawn by
// gonum.org/v1/plot.
package chart
