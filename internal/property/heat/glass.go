package heat

import (
	"math"

	"skep/internal/measure"
)

// What glass bears, K between it and what touches it.
const (
	SafeStep   = 20 // policy: a little over half of the lowest published test value
	LowestTest = 35 // new bottles of some groups must bear this once [gost53921]
)

// Shock says how near a step in temperature comes to breaking glass.
type Shock string

// The three answers. Test values are for new, whole bottles; a scratch takes most of it away.
const (
	ShockSafe     Shock = "safe"      // up to SafeStep
	ShockDoubtful Shock = "doubtful"  // up to LowestTest: cool the liquid first
	ShockBreaks   Shock = "may break" // above what even new glass is tested for
)

// ThermalShock judges pouring a liquid into glass of another temperature, or standing
// warm glass in cold water: only the difference counts.
//
// Valid:  any temperatures; what is not a number may break.
// Check:  one row per printed value (TestThermalShock).
// Source: [gost53921] for the test values; [policy] for SafeStep.
func ThermalShock(glass, liquid measure.Celsius) Shock {
	switch step := math.Abs(float64(glass - liquid)); {
	case step <= SafeStep:
		return ShockSafe
	case step <= LowestTest:
		return ShockDoubtful
	default:
		return ShockBreaks
	}
}
