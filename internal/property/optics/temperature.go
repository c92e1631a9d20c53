package optics

import (
	"skep/internal/measure"
	"skep/internal/property"
)

// Corrections to add to a reading in % mass, [oiv-as2-02] table I: a row for each
// temperature, a column for each reading from 10 by 5. The first two rows end at 30. At
// 20 °C there is nothing to correct.
var (
	correctedAt = [7]float64{5, 7, 10, 12, 15, 17, 20}
	corrections = [7][]float64{
		{-0.82, -0.87, -0.92, -0.95, -0.99},
		{-0.74, -0.78, -0.82, -0.84, -0.88},
		{-0.59, -0.62, -0.65, -0.67, -0.69, -0.71, -0.72},
		{-0.49, -0.51, -0.53, -0.55, -0.56, -0.57, -0.58},
		{-0.32, -0.33, -0.34, -0.35, -0.36, -0.37, -0.37},
		{-0.20, -0.20, -0.21, -0.21, -0.22, -0.22, -0.23},
		{0, 0, 0, 0, 0, 0, 0},
	}
)

const (
	firstReading, readingStep, lastReading = 10., 5., 40.
	coldLastReading                        = 30. // below 10 °C

	// tableGive is rounding and reading between the lines, % mass (TestCorrectBrix).
	tableGive = 0.02
	// weakGive is the share of the correction that it may be less for a reading below 10,
	// where none is printed: water itself moves four fifths as much (from memory, unverified).
	weakGive = 0.25
	// Above 20 °C no table could be read: % mass per K, and how much it may be off, from
	// memory, unverified.
	warmPerK, warmGivePerK = 0.07, 0.02
)

// CorrectBrix returns what a refractometer without compensation of its own would have
// shown of the sample at 20 °C, and how far that may be off, ± give.
//
// From 5 to 20 °C and from a reading of 10 % it is the printed table, linear between its
// lines. Weaker readings take the correction of 10 %; above 20 °C it is 0.07 % for each
// kelvin, from memory, unverified; for both, give is wide. The table is for sugar in
// water: a wine moves more, so bring it to 20 °C.
//
// Valid:  readings 0 to 40 % mass, below 10 °C to 30; t 5 to 30 °C.
// Check:  meets the 38 printed values, and each from its neighbours in temperature within
// 0.02 % mass (TestCorrectBrix).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [oiv-as2-02] table I, of which the part above 20 °C could not be read.
func CorrectBrix(reading measure.MassFraction, t measure.Celsius) (at20, give measure.MassFraction, err error) {
	const call = "optics.CorrectBrix"
	if err := property.Within(call, "temperature", float64(t), correctedAt[0], 30, "°C"); err != nil {
		return 0, 0, err
	}
	last := lastReading
	if t < 10 {
		last = coldLastReading
	}
	if err := percent(call, "reading", reading, 0, last); err != nil {
		return 0, 0, err
	}
	shown, warmth := 100*float64(reading), float64(t)-20
	var correction, wide float64
	if warmth > 0 {
		correction, wide = warmPerK*warmth, tableGive+warmGivePerK*warmth
	} else {
		correction, wide = printedCorrection(shown, float64(t)), tableGive
		if shown < firstReading {
			wide -= weakGive * correction
		}
	}
	return max(0, measure.MassFraction((shown+correction)/100)), measure.MassFraction(wide / 100), nil
}

// printedCorrection reads the table between its lines.
func printedCorrection(shown, t float64) float64 {
	row := 0
	for row < len(correctedAt)-2 && t >= correctedAt[row+1] {
		row++
	}
	across := func(row int) float64 {
		line := corrections[row]
		place := max(0, (shown-firstReading)/readingStep)
		left := min(int(place), len(line)-2)
		share := place - float64(left)
		return (1-share)*line[left] + share*line[left+1]
	}
	share := (t - correctedAt[row]) / (correctedAt[row+1] - correctedAt[row])
	return (1-share)*across(row) + share*across(row+1)
}
