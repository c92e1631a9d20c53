package must

import (
	"fmt"

	"skep/internal/measure"
)

// Yields of fermentation, grams per gram of hexose that yeast takes up.
const (
	// EthanolYield is the central ethanol yield. 16 to 18 g/L of sugar per % vol is
	// printed in Ribéreau-Gayon et al., Handbook of Enology vol. 2 ch. 2; 0.47 is 16.8 g/L.
	EthanolYield = 0.47
	// EthanolYieldSD is one standard deviation of the yield from jug to jug: the
	// printed 16 to 18 g/L is 0.438 to 0.493, read as ±2 sd.
	EthanolYieldSD = 0.0125
	// MostEthanol is the stoichiometric bound, 2 × 46.068 / 180.156.
	MostEthanol = 2 * 46.068 / 180.156
	// carbonDioxidePerEthanol is 44.0095 / 46.068: one molecule of each at a time.
	carbonDioxidePerEthanol = 44.0095 / 46.068
)

// Fermented returns the must after yeast took hexose grams of its sugar, with the
// carbon dioxide still counted in it; the mass is unchanged.
//
// Every gram of hexose becomes yield grams of ethanol, 44.0095/46.068 times that of
// carbon dioxide, cells grams of dry yeast, and for the rest glycerol, which stands for
// all minor products. Disaccharides take up water as they split.
// Glucose, fructose, sucrose and the fermentable share of the slow sugar shrink in
// proportion: which goes first changes nothing in density to 0.1 kg/m³.
//
// Valid:  hexose 0 to m.Hexose(slowShare); yield 0 to 0.5114; cells 0 to what is left.
// Errors: more hexose than there is, or yields that sum to more than one.
func (m Must) Fermented(hexose, slowShare, yield, cells float64) (Must, error) {
	all := m.Hexose(slowShare)
	gas := carbonDioxidePerEthanol * yield
	rest := 1 - yield - gas - cells
	switch {
	case !(hexose >= 0 && hexose <= all*(1+1e-12)+1e-12):
		return m, fmt.Errorf("must.Fermented: %.6g g of sugar taken is outside 0 to %.6g g", hexose, all)
	case !(yield >= 0 && yield <= MostEthanol+1e-12):
		return m, fmt.Errorf("must.Fermented: yield %.4g is outside 0 to %.4f g/g", yield, MostEthanol)
	case !(cells >= 0 && rest >= -1e-12):
		return m, fmt.Errorf("must.Fermented: %.4g g/g of yeast and %.4g g/g of ethanol leave less than nothing", cells, yield)
	}
	if hexose == 0 {
		return m, nil
	}
	share := min(hexose/all, 1)
	split := share * (m[Sucrose] + slowShare*m[SlowSugar])
	m[Water] -= (HexosePerSucrose - 1) * split
	m[Glucose] *= 1 - share
	m[Fructose] *= 1 - share
	m[Sucrose] *= 1 - share
	m[SlowSugar] *= 1 - share*slowShare
	m[Ethanol] += yield * hexose
	m[CarbonDioxide] += gas * hexose
	m[Yeast] += cells * hexose
	m[Glycerol] += rest * hexose
	return m, nil
}

// Dry returns the must when all the sugar that yeast can take is gone and the gas has left.
//
// Errors: as Fermented.
func (m Must) Dry(slowShare, yield float64) (Must, error) {
	return m.FermentedTo(0, slowShare, yield)
}

// FermentedTo returns the degassed must when left grams of fermentable hexose remain.
//
// Errors: as Fermented.
func (m Must) FermentedTo(left, slowShare, yield float64) (Must, error) {
	done, err := m.Fermented(m.Hexose(slowShare)-left, slowShare, yield, yeastPerHexose)
	done[CarbonDioxide] = 0
	return done, err
}

// yeastPerHexose is dry yeast grown per gram of hexose in a must with enough nitrogen:
// 0.11/2.0665 of Balling's extract balance is beer yeast; a must low in nitrogen grows
// about a third of it (assumed). It moves the final gravity by less than 0.0005.
const yeastPerHexose = 0.02

// mostYield is the ethanol yield that leaves nothing for minor products.
const mostYield = (1 - yeastPerHexose) / (1 + carbonDioxidePerEthanol)

// StrengthWhenDry returns the strength if every fermentable gram went.
//
// Errors: as Fermented and PercentVol.
func (m Must) StrengthWhenDry(slowShare, yield float64) (measure.PercentVol, error) {
	dry, err := m.Dry(slowShare, yield)
	if err != nil {
		return 0, err
	}
	return dry.PercentVol()
}
