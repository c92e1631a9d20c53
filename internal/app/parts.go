package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
)

// quantity understands words as one of the kinds allowed; no words, no quantity.
func (c *Cellar) quantity(field, words, tip string, kinds ...measure.Kind) (*measure.Quantity, error) {
	if strings.TrimSpace(words) == "" {
		return nil, nil
	}
	q, err := measure.Parse(words, c.system)
	if err != nil {
		return nil, ask(field, words, tip, err)
	}
	for _, k := range kinds {
		if q.Kind == k {
			return &q, nil
		}
	}
	return nil, ask(field, words, tip, fmt.Errorf("that is a %s, not a %s", q.Kind, kinds[0]))
}

// when understands a time; no words mean now, or when they were said. What happened
// cannot lie ahead.
func (c *Cellar) when(field, words string) (time.Time, error) {
	now := c.Now()
	if !c.said.IsZero() {
		now = c.said
	}
	if strings.TrimSpace(words) == "" {
		return now, nil
	}
	t, err := measure.ParseTime(words, now)
	switch {
	case err != nil:
		return now, ask(field, words, `write "yesterday evening" or "2026-05-03 18:30"`, err)
	case t.After(now.Add(time.Minute)):
		return now, ask(field, words, "what is recorded has already happened", fmt.Errorf("%s is still to come", t.Format("2 January 2006 15:04")))
	}
	return t, nil
}

// ingredient finds one by name, the maker's own first.
func (c *Cellar) ingredient(ctx context.Context, field, name string) (must.Ingredient, error) {
	own, err := c.ownIngredients(ctx)
	if err != nil {
		return must.Ingredient{}, err
	}
	i, err := must.Find(name, own)
	if err != nil {
		return i, ask(field, name, "", err)
	}
	return i, nil
}

// portion understands "2 1/2 cups heather honey".
func (c *Cellar) portion(ctx context.Context, field, words string) (must.Portion, error) {
	amount, name, err := measure.ParseIngredient(words, c.system)
	if err != nil {
		return must.Portion{}, ask(field, words, `write an amount and a name: "3 cups honey"`, err)
	}
	if name == "" {
		return must.Portion{}, ask(field, words, fmt.Sprintf("write %q", words+" honey"), errors.New("of what"))
	}
	i, err := c.ingredient(ctx, field, name)
	if err != nil {
		return must.Portion{}, err
	}
	p, err := must.Measured(i, amount)
	if err != nil {
		return p, ask(field, words, "", err)
	}
	return p, nil
}

// part is a portion as the record keeps it.
func (c *Cellar) part(ctx context.Context, field, words string) (batch.Part, error) {
	p, err := c.portion(ctx, field, words)
	if err != nil {
		return batch.Part{}, err
	}
	return record(p, words), nil
}

func (c *Cellar) parts(ctx context.Context, field string, words []string) ([]batch.Part, error) {
	var all []batch.Part
	for _, w := range words {
		p, err := c.part(ctx, field, w)
		if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
	return all, nil
}

// record turns a portion into what is written down.
func record(p must.Portion, words string) batch.Part {
	return batch.Part{
		Ingredient: p.Ingredient.Name, Words: words, Amount: p.Said,
		Grams: float64(p.Grams), GramsSD: float64(p.SD), Adds: p.Adds(),
		SugarSD: p.Ingredient.SugarSD, NitrogenSD: p.Ingredient.YANSD,
	}
}

// vessel finds a vessel that the kitchen knows by name, or makes one of a size.
func (c *Cellar) vessel(ctx context.Context, field, words string) (batch.Vessel, error) {
	if strings.TrimSpace(words) == "" {
		return batch.Vessel{}, ask(field, "", `write "1 gal", "4.5 L" or the name of a vessel in your kitchen`, errors.New("which jug"))
	}
	known, err := c.vessels(ctx)
	if err != nil {
		return batch.Vessel{}, err
	}
	for _, v := range known {
		if strings.EqualFold(v.Name, strings.TrimSpace(words)) {
			return v, nil
		}
	}
	size, err := measure.Parse(words, c.system)
	if err != nil || size.Kind != measure.Volume {
		return batch.Vessel{}, ask(field, words, `write its size, "1 gal" or "4.5 L", or the name of one in your kitchen: skep kitchen`,
			errors.New("no vessel of that name is in your kitchen, and it is not a size"))
	}
	if !(size.Value >= 0.2 && size.Value <= 60) {
		return batch.Vessel{}, ask(field, words, "", errors.New("a vessel here holds 0.2 to 60 L"))
	}
	return batch.Vessel{Name: words, Litres: size.Value}, nil
}

// yeast understands "a packet of champagne yeast": how much, and which kind.
func (c *Cellar) yeast(field, words string) (kinetics.YeastKind, measure.Quantity, float64, error) {
	amount, name, err := measure.ParseIngredient(words, c.system)
	if err != nil { // no amount: a packet
		amount, name = measure.Quantity{Words: words, Kind: measure.Packets, Tool: measure.Count, Value: 1}, words
	}
	if name = strings.TrimSpace(name); name == "" || strings.EqualFold(name, "yeast") {
		name = "unknown yeast"
	}
	kind, err := kinetics.YeastNamed(name)
	if err != nil {
		return kind, amount, 0, ask(field, words, "", err)
	}
	switch amount.Kind {
	case measure.Packets:
		return kind, amount, amount.Value * packetGrams, nil
	case measure.Mass:
		return kind, amount, amount.Value, nil
	case measure.Volume:
		return kind, amount, amount.Value * yeastGramsPerLitre, nil
	}
	return kind, amount, 0, ask(field, words, `write "a packet of champagne yeast" or "5 g champagne yeast"`,
		fmt.Errorf("%s is no amount of yeast", amount.Kind))
}

// spreads is how surely the sugar and the nitrogen of parts are known together: the
// relative sd of all their sugar, and the sd of the logarithm of their nitrogen.
// Errors of different parts are taken as independent.
func spreads(parts []batch.Part) (sugar, nitrogen float64) {
	var sugars, sugarVar, nitrogens, nitrogenVar float64
	for _, p := range parts {
		weighed := 0.0
		if p.Grams > 0 {
			weighed = p.GramsSD / p.Grams
		}
		s := p.Adds.Hexose(must.SlowShare)
		n := p.Adds[must.Nitrogen]
		sugars += s
		nitrogens += n
		sugarVar += s * s * (weighed*weighed + p.SugarSD*p.SugarSD)
		nitrogenVar += n * n * (weighed*weighed + p.NitrogenSD*p.NitrogenSD)
	}
	if sugars > 0 {
		sugar = math.Sqrt(sugarVar) / sugars
	}
	if nitrogens > 0 {
		nitrogen = math.Sqrt(nitrogenVar) / nitrogens
	}
	return sugar, nitrogen
}
