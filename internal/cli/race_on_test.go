//go:build race

package cli_test

// raced is whether the race detector watches. It makes the estimates of a jug's whole
// life ten times as slow, and races are looked for where several write at once.
const raced = true
