package property

import "fmt"

// RangeError says that a method was asked for something outside what its source covers.
type RangeError struct {
	Call  string  // "density.Sucrose"
	What  string  // "sucrose"
	Value float64 // what was asked, in Unit
	Low   float64 // what is allowed, in Unit
	High  float64
	Unit  string // "% mass"
}

// Error reads "density.Sucrose: sucrose 83 % mass is outside 0 to 70 % mass".
func (e *RangeError) Error() string {
	unit := ""
	if e.Unit != "" {
		unit = " " + e.Unit
	}
	return fmt.Sprintf("%s: %s %.6g%s is outside %.6g to %.6g%s", e.Call, e.What, e.Value, unit, e.Low, e.High, unit)
}

// Within returns a *RangeError unless low ≤ value ≤ high. NaN is outside.
func Within(call, what string, value, low, high float64, unit string) error {
	if value >= low && value <= high {
		return nil
	}
	return &RangeError{Call: call, What: what, Value: value, Low: low, High: high, Unit: unit}
}
