// Package handbook is what Skep has to say about the craft: a short topic for each
// calculation and for each question that makers ask most.
//
// Topics are Markdown in this folder, in our own words. They hold headings, lists, quoted
// cautions and console blocks, nothing else. What is known elsewhere is not written twice:
// a topic is a template that takes cautions from advice, limits, bottles and sources from
// reference, and what a calculation is good for from calc. A key in brackets, [oiml-r22],
// is a row of internal/reference/sources.csv; a link, [headspace](headspace.md), leads to
// another topic.
//
// The output in a console block is printed by the command above it, and a test of package
// cli runs them all: go test ./internal/cli -update renews them.
package handbook
