package kinetics

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"skep/internal/measure"
)

// YeastKind is a kind of yeast as packets of that kind describe it, and no brand. The
// figures are what the trade says of the kind, from memory, unverified: the packet governs.
type YeastKind struct {
	Name           string             // "champagne yeast"
	Aliases        []string           // other words for it, lower case
	ToleranceLow   measure.PercentVol // most jugs get this far
	ToleranceHigh  measure.PercentVol // few get further
	TemperatureLow measure.Celsius    // below, it nears a pause
	TemperatureTop measure.Celsius    // above, it suffers
	Demand         Demand             // of nitrogen
	Note           string
}

// Demand is how much nitrogen a kind of yeast asks for.
type Demand string

// The demands.
const (
	LowDemand    Demand = "low"
	MediumDemand Demand = "medium"
	HighDemand   Demand = "high"
)

//go:embed yeasts.csv
var yeastsCSV string

// Yeasts returns the kinds, in the order of the table.
func Yeasts() []YeastKind { return append([]YeastKind(nil), yeasts()...) }

// YeastNamed returns the kind of that name, or one that is also called so; the case
// of letters does not matter.
//
// Errors: an unknown name, with the names there are.
func YeastNamed(name string) (YeastKind, error) {
	want := strings.ToLower(strings.Join(strings.Fields(name), " "))
	var names []string
	for _, y := range yeasts() {
		if y.Name == want {
			return y, nil
		}
		for _, alias := range y.Aliases {
			if alias == want {
				return y, nil
			}
		}
		names = append(names, y.Name)
	}
	return YeastKind{}, fmt.Errorf("no kind of yeast is called %q; there are: %s", name, strings.Join(names, ", "))
}

var yeasts = sync.OnceValue(func() []YeastKind {
	rows, err := csv.NewReader(strings.NewReader(yeastsCSV)).ReadAll()
	if err != nil {
		panic("kinetics: yeasts.csv: " + err.Error())
	}
	var kinds []YeastKind
	for _, row := range rows[1:] {
		number := func(i int) float64 {
			v, err := strconv.ParseFloat(row[i], 64)
			if err != nil {
				panic("kinetics: yeasts.csv: " + err.Error())
			}
			return v
		}
		kinds = append(kinds, YeastKind{
			Name: row[0], Aliases: strings.Split(row[1], ";"),
			ToleranceLow: measure.PercentVol(number(2)), ToleranceHigh: measure.PercentVol(number(3)),
			TemperatureLow: measure.Celsius(number(4)), TemperatureTop: measure.Celsius(number(5)),
			Demand: Demand(row[6]), Note: row[7],
		})
	}
	return kinds
})
