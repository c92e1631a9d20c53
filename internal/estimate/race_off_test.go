//go:build !race

package estimate

const jugs = 200

// manyJugs is how many for TestRanksAreEven.
const manyJugs = 1000
