package reference

import (
	_ "embed"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"skep/internal/measure"
)

//go:embed bottles.csv
var bottlesCSV string

// BottleKind is a class of bottle and the most it is trusted with.
//
// Limit is a careful working limit at the warmest the bottle will be, never a test
// pressure; 0 means that it must not be closed on anything that can make or let go of
// gas. It says nothing of a chipped, scratched or heated bottle: none is safe.
type BottleKind struct {
	Name    string
	Aliases []string
	Limit   measure.Bar           // gauge
	LimitGL measure.GramsPerLitre // CO2 the bottle or its closure is made for, where printed; 0 where not
	Status  string
	Sources []string // keys of the register
	Why     string
}

var bottles = readBottles()

// Bottles returns every kind of bottle.
func Bottles() []BottleKind { return slices.Clone(bottles) }

// BottleKindNamed returns the kind called name, or called so in the kitchen; capitals
// and hyphens do not matter.
//
// Errors: no such kind; the message lists those there are.
func BottleKindNamed(name string) (BottleKind, error) {
	asked := plain(name)
	var names []string
	for _, b := range bottles {
		if plain(b.Name) == asked {
			return b, nil
		}
		for _, alias := range b.Aliases {
			if plain(alias) == asked {
				return b, nil
			}
		}
		names = append(names, b.Name)
	}
	return BottleKind{}, fmt.Errorf("no kind of bottle is called %q; there are %s", name, strings.Join(names, ", "))
}

// plain is a name without what people write differently.
func plain(name string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(strings.ToLower(name), "-", " ")), " ")
}

func readBottles() []BottleKind {
	var all []BottleKind
	for _, row := range rows("bottles.csv", bottlesCSV, 7) {
		all = append(all, BottleKind{
			Name: row[0], Aliases: strings.Split(row[1], ";"),
			Limit: measure.Bar(number(row[2])), LimitGL: measure.GramsPerLitre(number(row[3])),
			Status: row[4], Sources: strings.Fields(row[5]), Why: row[6],
		})
	}
	return all
}

// number reads a cell; an empty one is zero.
func number(cell string) float64 {
	if cell == "" {
		return 0
	}
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		panic("reference: " + err.Error())
	}
	return x
}
