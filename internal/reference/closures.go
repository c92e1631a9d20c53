package reference

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"skep/internal/measure"
)

//go:embed closures.csv
var closuresCSV string

// Closure is what a bottle is closed with, and what for.
//
// Limit is what the closure is trusted with on any bottle; the bottle may bear less.
type Closure struct {
	Name        string
	Aliases     []string
	Bottles     []string // kinds that it goes on, the usual first
	Styles      []string // as package batch names them
	Limit       measure.Bar
	BelowLow    float64 // mm from the rim down to the wine, to fill to
	BelowHigh   float64 // mm
	HeadspaceML float64 // mL that this leaves in a bottle of 750 mL
	Reusable    bool
	Status      string
	Sources     []string // keys of the register; none: common practice
	Why         string
}

var closures = readClosures()

// Closures returns every closure.
func Closures() []Closure { return slices.Clone(closures) }

// ClosureNamed returns the closure called name, or called so in the kitchen; capitals and
// hyphens do not matter.
//
// Errors: no such closure; the message lists those there are.
func ClosureNamed(name string) (Closure, error) {
	asked := plain(name)
	var names []string
	for _, c := range closures {
		if plain(c.Name) == asked || slices.ContainsFunc(c.Aliases, func(alias string) bool { return plain(alias) == asked }) {
			return c, nil
		}
		names = append(names, c.Name)
	}
	return Closure{}, fmt.Errorf("no closure is called %q; there are %s", name, strings.Join(names, ", "))
}

// UsualClosure returns what a kind of bottle is closed with when nobody said: the first
// that goes on it and is for the style; if none is for the style, the first.
func UsualClosure(kind, style string) (Closure, bool) {
	var fits []Closure
	for _, c := range closures {
		if slices.Contains(c.Bottles, kind) {
			fits = append(fits, c)
		}
	}
	// The one whose usual bottle this is comes first.
	slices.SortStableFunc(fits, func(a, b Closure) int { return slices.Index(a.Bottles, kind) - slices.Index(b.Bottles, kind) })
	for _, c := range fits {
		if slices.Contains(c.Styles, style) {
			return c, true
		}
	}
	if len(fits) == 0 {
		return Closure{}, false
	}
	return fits[0], true
}

func readClosures() []Closure {
	var all []Closure
	for _, row := range rows("closures.csv", closuresCSV, 12) {
		all = append(all, Closure{
			Name: row[0], Aliases: strings.Split(row[1], ";"), Bottles: strings.Split(row[2], ";"), Styles: strings.Split(row[3], ";"),
			Limit: measure.Bar(number(row[4])), BelowLow: number(row[5]), BelowHigh: number(row[6]), HeadspaceML: number(row[7]),
			Reusable: row[8] == "1", Status: row[9], Sources: strings.Fields(row[10]), Why: row[11],
		})
	}
	return all
}
