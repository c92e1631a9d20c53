// Command skep-lab runs the evaluations behind Skep's figures.
package main

import (
	"os"
	"runtime/debug"

	"skep/internal/lab"
)

func main() {
	// An estimate makes some 5 MB in 30 ms. At the usual setting the collector runs several times
	// meanwhile and takes a fifth of it; so it may wait, as long as memory is not short.
	debug.SetGCPercent(800)
	debug.SetMemoryLimit(256 << 20)
	os.Exit(lab.Run(os.Args[1:], os.Stdout, os.Stderr))
}
