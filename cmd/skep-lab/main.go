// Command skep-lab runs the evaluations behind Skep's figures.
package main

import (
	"os"

	"skep/internal/lab"
)

func main() {
	os.Exit(lab.Run(os.Args[1:], os.Stdout, os.Stderr))
}
