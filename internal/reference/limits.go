package reference

import (
	_ "embed"
	"slices"
	"strings"
)

//go:embed limits.csv
var limitsCSV string

// Limit is what a law or code allows of a substance, as information for a person who
// sells nothing. Laws change: the status says how far the text was read.
type Limit struct {
	Substance string // "sulphur dioxide"
	What      string // of which drink, or what must be done
	Where     string
	Value     float64
	Unit      string // "mg/L total"
	Status    string
	Sources   []string // keys of the register
	Note      string
}

var limits = readLimits()

// Limits returns the limits on a substance: "sulphur dioxide", "sorbic acid" or "ammonium
// salts"; none for another.
func Limits(substance string) []Limit {
	return slices.DeleteFunc(slices.Clone(limits), func(l Limit) bool { return l.Substance != substance })
}

func readLimits() []Limit {
	var all []Limit
	for _, row := range rows("limits.csv", limitsCSV, 8) {
		all = append(all, Limit{
			Substance: row[0], What: row[1], Where: row[2], Value: number(row[3]), Unit: row[4],
			Status: row[5], Sources: strings.Fields(row[6]), Note: row[7],
		})
	}
	return all
}
