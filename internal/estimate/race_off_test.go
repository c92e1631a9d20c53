//go:build !race

package estimate

const jugs = 200
