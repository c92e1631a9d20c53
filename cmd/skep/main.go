// Command skep follows jugs of mead and country wine from the kitchen to the bottle.
package main

import (
	"os"
	"runtime/debug"

	"skep/internal/cli"
)

func main() {
	// An estimate makes some 5 MB in 30 ms. At the usual setting the collector runs several times
	// meanwhile and takes a fifth of it; so it may wait, as long as memory is
	// not short and the program soon ends.
	debug.SetGCPercent(800)
	debug.SetMemoryLimit(256 << 20)
	os.Exit(cli.Run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
