package sulphite

import (
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/property"
)

// Law is a choice between dissociation constants that disagree.
type Law int

const (
	// Careful is the lowest constant in use, which asks for the most free SO2: the 1.81 of
	// common charts, or that of [oiv-as323-04c] at 20 °C where it is lower, below 5 % vol.
	Careful Law = iota
	// Printed is the constant of [oiv-as323-04c] by strength and temperature. Take it at
	// 20 °C: that the constant rises as steeply with warmth is disputed.
	Printed
)

// String is the law's name.
func (l Law) String() string {
	switch l {
	case Careful:
		return "careful"
	case Printed:
		return "printed"
	}
	return fmt.Sprintf("Law(%d)", int(l))
}

// fixedPK is the constant of common charts [so2-fixed-pk].
const fixedPK = 1.81

// constants of [oiv-as323-04c] by strength, % vol, and temperature, °C: thermodynamic,
// read but for the last line, and at the ionic strength of wine (0.038), from memory,
// unverified. They part by 0.075 to 0.090; a Debye-Hückel term of that strength is about 0.08.
var constants = []struct {
	strength float64
	at       []constant
}{
	{0, []constant{{20, 1.798, 1.723}, {25, 2.000, 1.925}, {30, 2.219, 2.143}}},
	{10, []constant{{20, 1.997, 1.916}, {25, 2.198, 2.116}, {30, 2.394, 2.311}}},
	{15, []constant{{20, 2.099, 2.014}, {30, 2.503, 2.417}}},
	{20, []constant{{20, 2.203, 2.114}, {25, 2.406, 2.317}, {30, 2.628, 2.538}}},
}

type constant struct{ celsius, thermodynamic, mixed float64 }

// Wine is what decides how much of the free SO2 is molecular.
type Wine struct {
	PH      float64
	Ethanol measure.PercentVol
	At      measure.Celsius // which Careful does not look at
}

// MolecularShare returns the part of the free SO2 that is molecular.
//
//	1 / (1 + 10^(pH − pk))
//
// Valid:  pH 2.5 to 4.5; strength 0 to 20 % vol, of which above 15 from memory; by Printed,
// 20 to 30 °C. Colder, no constant was found, and if it goes on falling even Careful says
// too much.
// Check:  within 0.005 and 0.12 % of 40 computed rows (TestMolecular). The table's
// constants at the ionic strength of wine are from memory, unverified.
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [oiv-as323-04c]; [so2-fixed-pk].
func (w Wine) MolecularShare(law Law) (measure.MassFraction, error) {
	pk, err := w.pk("sulphite.Wine.MolecularShare", law)
	if err != nil {
		return 0, err
	}
	return measure.MassFraction(1 / (1 + math.Pow(10, w.PH-pk))), nil
}

// Molecular returns the molecular SO2 of so much free.
//
// Valid:  as MolecularShare; free 0 to 500 mg/L.
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [oiv-as323-04c]; [so2-fixed-pk].
func (w Wine) Molecular(free measure.MgPerLitre, law Law) (measure.MgPerLitre, error) {
	if err := property.Within("sulphite.Wine.Molecular", "free SO2", float64(free), 0, 500, "mg/L"); err != nil {
		return 0, err
	}
	share, err := w.MolecularShare(law)
	return free * measure.MgPerLitre(share), err
}

// FreeFor returns the free SO2 that holds so much of it molecular. In practice the goal is
// 0.5 mg/L for a dry or red wine, 0.8 for a white or sweet one (common practice, no source).
//
// Valid:  as MolecularShare; a goal of 0 to 2 mg/L.
// Check:  Molecular takes it back within 1e-9 (TestFreeRoundTrip).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [oiv-as323-04c]; [so2-fixed-pk].
func (w Wine) FreeFor(molecular measure.MgPerLitre, law Law) (measure.MgPerLitre, error) {
	if err := property.Within("sulphite.Wine.FreeFor", "molecular SO2", float64(molecular), 0, 2, "mg/L"); err != nil {
		return 0, err
	}
	share, err := w.MolecularShare(law)
	if err != nil {
		return 0, err
	}
	return molecular / measure.MgPerLitre(share), nil
}

// pk returns the constant after checking the wine.
func (w Wine) pk(call string, law Law) (float64, error) {
	if err := property.Within(call, "pH", w.PH, 2.5, 4.5, ""); err != nil {
		return 0, err
	}
	if err := property.Within(call, "strength", float64(w.Ethanol), 0, 20, "% vol"); err != nil {
		return 0, err
	}
	switch law {
	case Careful:
		return min(fixedPK, printedPK(float64(w.Ethanol), 20)), nil
	case Printed:
		if err := property.Within(call, "temperature", float64(w.At), 20, 30, "°C"); err != nil {
			return 0, err
		}
		return printedPK(float64(w.Ethanol), float64(w.At)), nil
	}
	panic("sulphite: unknown " + law.String())
}

// printedPK is linear between the lines of the table.
func printedPK(strength, celsius float64) float64 {
	row := 0
	for row < len(constants)-2 && strength > constants[row+1].strength {
		row++
	}
	along := func(at []constant) float64 {
		i := 0
		for i < len(at)-2 && celsius > at[i+1].celsius {
			i++
		}
		return between(celsius, at[i].celsius, at[i+1].celsius, at[i].mixed, at[i+1].mixed)
	}
	low, high := constants[row], constants[row+1]
	return between(strength, low.strength, high.strength, along(low.at), along(high.at))
}

// between is y at x on the line from low to high.
func between(x, low, high, atLow, atHigh float64) float64 {
	share := (x - low) / (high - low)
	return (1-share)*atLow + share*atHigh
}
