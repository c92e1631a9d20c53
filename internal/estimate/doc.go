// Package estimate computes what the evidence says of a jug, as ensembles.
package estimate
