package estimate

import "skep/internal/must"

// Rise of the refractive index at 20 °C, 589 nm, by mass fraction w: w (c₁ + c₂ w + c₃ w²),
// fitted to the printed tables of single solutes of [crc102-wolf] to 6e-5.
var (
	sucroseBends  = [3]float64{0.142975, 0.053339, 0.018201}
	glucoseBends  = [3]float64{0.141990, 0.051712, 0.008893}
	fructoseBends = [3]float64{0.141208, 0.050687, 0.014751}
	glycerolBends = [3]float64{0.116057, 0.010372, 0.074509}
	ethanolBends  = [3]float64{0.055339, 0.128621, -0.282668}
)

// mixtureBrix is the spread of what follows for a must with alcohol in it, °Bx. Assumed:
// no table of mixtures was at hand.
const mixtureBrix = 0.5

// brix returns what a refractometer shows in a must: the sucrose solution of the same
// refractive index, % mass. Rises are added: each sugar's as if all sugar were of its
// kind, ethanol's and glycerol's as if alone. The instrument is taken to correct for the
// temperature of its prism itself.
func brix(m must.Must) float64 {
	liquid := float64(m.LiquidMass()) - m[must.CarbonDioxide]
	part := func(c must.Component) float64 { return m[c] / liquid }
	other := part(must.Sucrose) + part(must.SlowSugar) + part(must.OtherSolids) + part(must.Acid)
	sugars := other + part(must.Glucose) + part(must.Fructose)
	slope := func(c *[3]float64, w float64) float64 { return c[0] + w*(c[1]+w*c[2]) }
	ethanol, glycerol := part(must.Ethanol), part(must.Glycerol)
	rise := other*slope(&sucroseBends, sugars) +
		part(must.Glucose)*slope(&glucoseBends, sugars) +
		part(must.Fructose)*slope(&fructoseBends, sugars) +
		glycerol*slope(&glycerolBends, glycerol) + ethanol*slope(&ethanolBends, ethanol)
	w := rise / sucroseBends[0]
	for range 8 { // the curve is nearly straight: each turn gains a digit or more
		w = rise / slope(&sucroseBends, w)
	}
	return 100 * w
}
