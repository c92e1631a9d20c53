package sulphite

import (
	"skep/internal/measure"
	"skep/internal/property"
)

// Shares of a salt by mass, from molar masses [masses].
const (
	SO2Share    = 2 * 64.064 / 222.32 // SO2 in potassium metabisulphite, 0.5763
	SorbicShare = 112.13 / 150.22     // sorbic acid in potassium sorbate, 0.7464
)

// How much of added SO2 stays free, the rest being bound [so2-kept-free].
const (
	LeastFree measure.MassFraction = 0.35 // turbid or sweet wine
	MostFree  measure.MassFraction = 0.75 // clean dry wine
)

// Metabisulphite returns the potassium metabisulphite that raises free SO2 by rise in so
// much wine, when the share stays free. With a share of 1 it is the salt for that much
// total SO2.
//
// The share differs from wine to wine: reckon with LeastFree and with MostFree, add the
// less, measure, and add again.
//
// Valid:  rise 0 to 500 mg/L; share LeastFree to 1; volume 0 to 1000 L. The salt is fresh:
// an old opened packet is weaker.
// Check:  within 0.00006 g of 5 computed rows per US gallon; a printed table asks 2.6 % less,
// which its own stoichiometry does not bear out (TestMetabisulphite).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [masses]; [so2-kept-free] for the share.
func Metabisulphite(rise measure.MgPerLitre, free measure.MassFraction, volume measure.Litres) (measure.Grams, error) {
	const call = "sulphite.Metabisulphite"
	if err := property.Within(call, "rise of SO2", float64(rise), 0, 500, "mg/L"); err != nil {
		return 0, err
	}
	if err := property.Within(call, "share that stays free", 100*float64(free), 100*float64(LeastFree), 100, "%"); err != nil {
		return 0, err
	}
	if err := property.Within(call, "volume", float64(volume), 0, 1000, "L"); err != nil {
		return 0, err
	}
	return measure.Grams(float64(rise) / 1000 * float64(volume) / float64(free) / SO2Share), nil
}

// mostSorbic is the ceiling of [oiv-code-ii-3-4-5] and [codex-gsfa-14-2-3], mg/L sorbic acid.
const mostSorbic = 200

// Potassium sorbate in mg/L [underhill]: a line for each strength, a column for each pH.
var (
	doseStrengths = [5]float64{10, 11, 12, 13, 14}
	dosePHs       = [3]float64{3.1, 3.3, 3.5}
	doses         = [5][3]float64{{165, 210, 270}, {135, 180, 225}, {96, 120, 150}, {78, 96, 120}, {60, 72, 90}}
)

// Sorbate returns the potassium sorbate, mg/L, that keeps a clear wine of few cells, which
// holds SO2, from fermenting again.
//
// Linear between the printed lines, and never above 200 mg/L of sorbic acid, the ceiling
// of the OIV: the highest printed dose is 1 % above. A stronger or sourer wine than the
// table's takes the dose of the table's edge, more than it needs.
//
// Valid:  10 to 20 % vol, pH 2.5 to 3.5. Weaker or less sour, no dose is printed that may
// be used and would hold.
// Check:  meets 15 printed rows, one by the ceiling (TestSorbate).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [underhill]; [oiv-code-ii-3-4-5] ceiling.
func Sorbate(strength measure.PercentVol, pH float64) (measure.MgPerLitre, error) {
	const call = "sulphite.Sorbate"
	if err := property.Within(call, "strength", float64(strength), doseStrengths[0], 20, "% vol"); err != nil {
		return 0, err
	}
	if err := property.Within(call, "pH", pH, 2.5, dosePHs[2], ""); err != nil {
		return 0, err
	}
	s, sour := min(float64(strength), doseStrengths[4]), max(pH, dosePHs[0])
	row := min(int(s-doseStrengths[0]), len(doses)-2)
	column := 0
	if sour > dosePHs[1] {
		column = 1
	}
	across := func(line [3]float64) float64 {
		return between(sour, dosePHs[column], dosePHs[column+1], line[column], line[column+1])
	}
	dose := between(s, doseStrengths[row], doseStrengths[row+1], across(doses[row]), across(doses[row+1]))
	return measure.MgPerLitre(min(dose, mostSorbic/SorbicShare)), nil
}
