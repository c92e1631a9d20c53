// Package kinetics computes how a must changes in time while yeast works in it.
package kinetics
