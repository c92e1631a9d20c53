package kinetics

import (
	"math"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property"
)

// Turnover is what yeast has done in a whole jug since some must stood in it.
type Turnover struct {
	Hexose          measure.Grams // sugar used, as hexose
	Nitrogen        measure.Grams // taken up
	Cells           measure.Grams // grown
	EthanolPerSugar float64       // g/g hexose
	SlowClosed      measure.Grams // slow sugar that this yeast cannot take
}

// glycerolPerSugar is glycerol made per g of hexose: 7.8 g/L beside 10.2 % vol in the
// best mead of Gomes et al. 2013 (abstract), which took about 170 g/L of sugar.
const glycerolPerSugar = 0.045

// fructosePower says that fructose falls as this power of glucose: four Cabernet
// fermentations of the redlab set gave 0.43 to 0.46.
const fructosePower = 0.45

// Products returns what a must has become.
//
// Ethanol and CO2 are made in the proportion that chemistry fixes; what sugar is left
// over becomes cells, then glycerol, then other solids (acids and the rest); cells
// that the left-over sugar cannot pay for are not counted. All CO2 made is in the
// answer: take out what went through the airlock. The mass of the answer is that of m.
// Sucrose and slow sugar take up water as they are split. Glucose goes before fructose;
// slow sugar keeps pace with fructose; sucrose still whole is the sixth power of the
// share of sugar left, since yeast splits it well before it uses it (assumed, no source).
//
// Valid:  hexose 0 to what m holds, nitrogen likewise; cells zero or more.
// Check:  mass kept to 1e-9 over the whole range (TestProductsKeepMass).
// Errors: *property.RangeError.
// Source: molar masses; the shares of by-products as said beside their constants.
func Products(m must.Must, t Turnover) (must.Must, error) {
	const call = "kinetics.Products"
	open := m[must.SlowSugar] - float64(t.SlowClosed)
	total := m.Hexose(0) + must.HexosePerSucrose*open
	used := float64(t.Hexose)
	rounding := 1e-9*total + 1e-15*m[must.SlowSugar] // open is a difference
	for _, v := range []struct {
		what        string
		value, high float64
		unit        string
	}{
		{"closed slow sugar", float64(t.SlowClosed), m[must.SlowSugar], "g"},
		{"hexose used", used, total + rounding, "g"},
		{"nitrogen used", float64(t.Nitrogen), m[must.Nitrogen] * (1 + 1e-9), "g"},
		{"ethanol per sugar", t.EthanolPerSugar, MostEthanol, "g/g"},
		{"cells grown", float64(t.Cells), math.MaxFloat64, "g"},
	} {
		if err := property.Within(call, v.what, v.value, 0, v.high, v.unit); err != nil {
			return must.Must{}, err
		}
	}
	used = min(used, total)
	nitrogen := min(float64(t.Nitrogen), m[must.Nitrogen])

	takeSugar(&m, total, used, open)
	ethanol := t.EthanolPerSugar * used
	gas := CO2PerEthanol * ethanol
	rest := max(0, used+nitrogen-ethanol-gas)
	cells := min(float64(t.Cells), rest)
	glycerol := min(glycerolPerSugar*used, rest-cells)
	m[must.Nitrogen] -= nitrogen
	m[must.Ethanol] += ethanol
	m[must.CarbonDioxide] += gas
	m[must.Yeast] += cells
	m[must.Glycerol] += glycerol
	m[must.OtherSolids] += rest - cells - glycerol
	return m, nil
}

// takeSugar takes used of the total hexose out of m, and the water that splitting binds;
// slow is the slow sugar that can be taken.
func takeSugar(m *must.Must, total, used, slow float64) {
	if used == 0 {
		return
	}
	left := total - used
	share := left / total
	whole := share * share * share
	whole *= whole
	split := m[must.Sucrose] * (1 - whole)
	glucose := m[must.Glucose] + must.HexosePerSucrose*split/2
	fructose := m[must.Fructose] + must.HexosePerSucrose*split/2
	slowHexose := must.HexosePerSucrose * slow

	// Glucose has fallen to x of itself, fructose and slow sugar to x^0.45, together
	// to what is left beside the sucrose still whole.
	free := max(0, left-must.HexosePerSucrose*(m[must.Sucrose]-split))
	rest := fallen(glucose, fructose+slowHexose, free)
	slowLeft := slow * rest

	m[must.Sucrose] -= split
	m[must.SlowSugar] -= slow - slowLeft
	m[must.Fructose] = fructose * rest
	m[must.Glucose] = max(0, free-m[must.Fructose]-must.HexosePerSucrose*slowLeft)
	m[must.Water] -= (must.HexosePerSucrose - 1) * (split + slow - slowLeft)
}

// fallen solves first·x + second·x^0.45 = left for x and returns x^0.45.
func fallen(first, second, left float64) float64 {
	if left <= 0 {
		return 0
	}
	if first+second <= left {
		return 1
	}
	// In u = x^0.45 the sum is convex and rising: Halley's steps, which mind the bend, come to
	// the answer in one or two. They start where √x in place of x^0.45 would be.
	u := 1.0
	if b := second / 2; b > 0 {
		u = min(1, left/(b+math.Sqrt(b*b+first*left)))
	}
	for range 60 {
		high := first * math.Exp(math.Log(u)/fructosePower) // a power, but quicker
		over := high + second*u - left
		slope := high/(fructosePower*u) + second
		bend := high * (1/fructosePower - 1) / (fructosePower * u * u)
		step := over * slope / (slope*slope - over*bend/2)
		u -= step
		if math.Abs(step) <= 5e-3*u { // the next one would be a ten millionth of it or less
			break
		}
	}
	return min(1, max(0, u))
}
