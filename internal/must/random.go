package must

import (
	"math"
	"math/rand/v2"
)

// lognormal draws a factor with median one; sd is that of its logarithm.
func lognormal(random *rand.Rand, sd float64) float64 { return math.Exp(sd * random.NormFloat64()) }

func between(x, low, high float64) float64 { return min(max(x, low), high) }
