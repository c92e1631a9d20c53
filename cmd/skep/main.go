// Command skep follows jugs of mead and country wine from the kitchen to the bottle.
package main

import (
	"os"

	"skep/internal/cli"
)

func main() {
	os.Exit(cli.Run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
