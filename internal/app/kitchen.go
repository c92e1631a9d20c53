package app

import (
	"context"
	"errors"
	"strings"

	"skep/internal/batch"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/store"
)

// packetGrams is what a packet of dry yeast for home use holds, and yeastGramsPerLitre
// what a litre of it weighs, for spoonfuls (both from memory, unverified: the packet
// governs).
const (
	packetGrams        = 5.0
	yeastGramsPerLitre = 640
)

// Kitchen is what the maker has, as far as the record knows.
type Kitchen struct {
	Units       measure.System    `json:"units"`
	Law         Place             `json:"law"` // whose drinks and labels are meant
	Vessels     []batch.Vessel    `json:"vessels"`
	Ingredients []must.Ingredient `json:"own_ingredients"`
	Bottles     []BottlesOnHand   `json:"bottles"`
	Prices      []string          `json:"prices"` // as they were told
	BestScore   int               `json:"best_score"`
	Jugs        []string          `json:"jugs"`
}

// Kitchen lists vessels, own ingredients, empty bottles, prices and jugs.
func (c *Cellar) Kitchen(ctx context.Context) (Kitchen, error) {
	k := Kitchen{Units: c.system, Law: c.Place()}
	var err error
	if k.Vessels, err = c.vessels(ctx); err != nil {
		return k, err
	}
	if k.Ingredients, err = c.ownIngredients(ctx); err != nil {
		return k, err
	}
	if k.Bottles, err = c.bottlesOnHand(ctx); err != nil {
		return k, err
	}
	if k.Prices, err = c.priceWords(ctx); err != nil {
		return k, err
	}
	if k.BestScore, err = c.BestScore(ctx); err != nil {
		return k, err
	}
	jugs, err := c.jugs(ctx)
	for _, j := range jugs {
		k.Jugs = append(k.Jugs, j.Name)
	}
	return k, err
}

// KeepVessel keeps a vessel by name, with its size and, once and for all, its empty weight.
//
// Errors: *AskError.
func (c *Cellar) KeepVessel(ctx context.Context, name, size, empty string) (batch.Vessel, error) {
	name = strings.TrimSpace(name)
	if name == "" {
		return batch.Vessel{}, ask("name", "", `write skep kitchen vessel "green demijohn" --size "5 L" --empty "1.4 kg"`, errors.New("the vessel has no name"))
	}
	volume, err := c.quantity("size", size, `write "5 L" or "1 gal"`, measure.Volume)
	if err != nil {
		return batch.Vessel{}, err
	}
	if volume == nil || !(volume.Value >= 0.2 && volume.Value <= 60) {
		return batch.Vessel{}, ask("size", size, `write "5 L" or "1 gal"`, errors.New("a vessel here holds 0.2 to 60 L"))
	}
	v := batch.Vessel{Name: name, Litres: volume.Value}
	if v.Tare, err = c.quantity("empty", empty, `write "1.4 kg" or "3 lb"`, measure.Mass); err != nil {
		return v, err
	}
	return v, c.store.Put(ctx, store.Vessels, v.Name, v)
}

// KeepHoney keeps a honey whose moisture was measured; the rest of it is taken as of the
// honey like which it is.
//
// Errors: *AskError; moisture outside what the table of honeys spans.
func (c *Cellar) KeepHoney(ctx context.Context, name, like, moisture string) (IngredientFacts, error) {
	if like == "" {
		like = "honey"
	}
	base, err := c.ingredient(ctx, "like", like)
	if err != nil {
		return IngredientFacts{}, err
	}
	q, err := c.quantity("moisture", moisture, `write "17.5 %mass", as the honey refractometer reads it`, measure.Fraction)
	if err != nil {
		return IngredientFacts{}, err
	}
	if q == nil {
		return IngredientFacts{}, ask("moisture", "", `write "17.5 %mass", as the honey refractometer reads it`, errors.New("how moist is it"))
	}
	own, err := must.WithMoisture(base, measure.MassFraction(q.Value))
	if err != nil {
		return IngredientFacts{}, ask("moisture", moisture, "", err)
	}
	return c.keepIngredient(ctx, name, own)
}

// KeepJuice keeps a juice of the maker's own by its gravity and, if known, its pH.
//
// Errors: *AskError; a gravity outside the density tables.
func (c *Cellar) KeepJuice(ctx context.Context, name, gravity, ph string) (IngredientFacts, error) {
	reading, sample, err := c.reading("gravity", gravity)
	if err != nil {
		return IngredientFacts{}, err
	}
	if reading == nil {
		return IngredientFacts{}, ask("gravity", "", `write "1.048" or "1.048 at 72 F"`, errors.New("a juice is known by its gravity"))
	}
	sg, err := corrected(*reading, sample, 0)
	if err != nil {
		return IngredientFacts{}, ask("gravity", gravity, "", err)
	}
	acidity, err := c.quantity("ph", ph, `write "pH 3.4"`, measure.Acidity)
	if err != nil {
		return IngredientFacts{}, err
	}
	measured := 0.0
	if acidity != nil {
		measured = acidity.Value
	}
	own, err := must.FromJuice(name, sg, measured)
	if err != nil {
		return IngredientFacts{}, ask("gravity", gravity, "", err)
	}
	return c.keepIngredient(ctx, name, own)
}

func (c *Cellar) keepIngredient(ctx context.Context, name string, i must.Ingredient) (IngredientFacts, error) {
	if strings.TrimSpace(name) == "" {
		return IngredientFacts{}, ask("name", "", "", errors.New("the ingredient has no name"))
	}
	i.Name, i.Aliases = strings.ToLower(strings.TrimSpace(name)), nil
	i.Source = "measured by the maker"
	return factsOf(i), c.store.Put(ctx, store.Ingredients, i.Name, i)
}

// IngredientFacts is what an ingredient is made of.
type IngredientFacts struct {
	Name    string      `json:"name"`
	Class   must.Class  `json:"class"`
	Parts   []PartShare `json:"parts"`
	Unknown bool        `json:"sugar_unknown"` // its sugar is a guess: measure the juice
	Caution string      `json:"caution,omitempty"`
	Status  string      `json:"status"`
	Source  string      `json:"source"`
}

// PartShare is how much of an ingredient is one component.
type PartShare struct {
	Component string  `json:"component"`
	Per100    float64 `json:"g_per_100g"`
}

// IngredientFacts tells what an ingredient is made of, of the built-in table or the
// maker's own.
//
// Errors: *AskError for an unknown name.
func (c *Cellar) IngredientFacts(ctx context.Context, name string) (IngredientFacts, error) {
	i, err := c.ingredient(ctx, "ingredient", name)
	if err != nil {
		return IngredientFacts{}, err
	}
	return factsOf(i), nil
}

func factsOf(i must.Ingredient) IngredientFacts {
	facts := IngredientFacts{
		Name: i.Name, Class: i.Class, Unknown: i.SugarUnknown,
		Caution: i.Caution, Status: i.Status, Source: i.Source,
	}
	for part, grams := range i.PerGram {
		if grams > 0 {
			facts.Parts = append(facts.Parts, PartShare{Component: must.Component(part).String(), Per100: 100 * grams})
		}
	}
	return facts
}

// IngredientNames are all names, the maker's own first.
func (c *Cellar) IngredientNames(ctx context.Context) ([]string, error) {
	own, err := c.ownIngredients(ctx)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, i := range append(own, must.Ingredients()...) {
		names = append(names, i.Name)
	}
	return names, nil
}

// YeastNames are the kinds of yeast.
func YeastNames() []string {
	var names []string
	for _, y := range kinetics.Yeasts() {
		names = append(names, y.Name)
	}
	return names
}

// Backup writes a whole copy of the record to a new file.
//
// Errors: the file exists; as store.Backup.
func (c *Cellar) Backup(ctx context.Context, path string) error { return c.store.Backup(ctx, path) }

// Whole says whether the record is whole.
//
// Errors: as store.Check, every fault found.
func (c *Cellar) Whole(ctx context.Context) error { return c.store.Check(ctx) }
