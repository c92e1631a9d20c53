package app

import (
	"context"
	"errors"
	"strings"

	"skep/internal/measure"
	"skep/internal/property/density"
	"skep/internal/store"
)

// Place is whose way of counting drinks and whose limits on labels are meant.
type Place string

// The places. Europe stands for the many that count drinks of 10 g.
const (
	Europe        Place = "EU"
	UnitedKingdom Place = "UK"
	UnitedStates  Place = "US"
)

// drink is what a place counts as one: the standard drink of the United States
// [niaaa-drink], the unit of the United Kingdom, 10 mL [uk-unit], and the 10 g of more
// places than any other [who-audit].
var drink = map[Place]struct {
	grams float64
	words string
}{
	Europe:        {10, "standard drinks of 10 g"},
	UnitedKingdom: {0.010 * density.EthanolAt20, "units of 10 mL"},
	UnitedStates:  {14, "standard drinks of 14 g"},
}

// Drinks is how many drinks of a place a bottle holds, in the place's own words.
func Drinks(p Place, strength measure.Range, ml float64) measure.Range {
	d := drink[p]
	of := func(percent float64) float64 { return ml / 1000 * percent / 100 * density.EthanolAt20 / d.grams }
	return measure.Range{Value: of(strength.Value), Unit: d.words, Low: of(strength.Low), High: of(strength.High)}
}

// placeSetting is the name under which the maker's place is kept.
const placeSetting = "law"

// Place is the maker's own: the one kept, else that of the units.
func (c *Cellar) Place() Place {
	own, err := c.place("")
	if err != nil {
		panic("app: " + err.Error())
	}
	return own
}

// KeepPlace makes a place the maker's own.
//
// Errors: *AskError for another than EU, UK and US.
func (c *Cellar) KeepPlace(ctx context.Context, words string) error {
	p, err := c.place(words)
	if err != nil {
		return err
	}
	c.law = p
	return c.store.Put(ctx, store.Settings, placeSetting, p)
}

// place understands "EU", "UK" or "US"; no words mean the maker's own.
func (c *Cellar) place(words string) (Place, error) {
	switch p := Place(strings.ToUpper(strings.TrimSpace(words))); p {
	case Europe, UnitedKingdom, UnitedStates:
		return p, nil
	case "":
		if c.law != "" {
			return c.law, nil
		}
		usual := map[measure.System]Place{measure.Metric: Europe, measure.Imperial: UnitedKingdom, measure.US: UnitedStates}
		return usual[c.system], nil
	}
	return "", ask("law", words, "for another place choose the nearest, and see what your own law asks", errors.New("write EU, UK or US"))
}
