package advice

import (
	"fmt"
	"time"

	"skep/internal/measure"
)

// day is a date as it stands in a sentence.
func day(t time.Time) string { return t.Format("2 January") }

func degrees(t measure.Celsius) string { return fmt.Sprintf("%.3g °C", float64(t)) }

// sugar is g/L with no more digits than are known.
func sugar(gl float64) string {
	if gl < 10 {
		return fmt.Sprintf("%.1f g/L", gl)
	}
	return fmt.Sprintf("%.0f g/L", gl)
}

// later is the later of two times.
func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// days is a number of days as a duration.
func days(n int) time.Duration { return time.Duration(n) * 24 * time.Hour }
