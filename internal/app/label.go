package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/reference"
)

// LabelWords is what the label of a jug's bottles is asked to tell.
type LabelWords struct {
	Jug       string
	Title     *string // nil: the name of the jug
	Words     string  // the maker's own, under the title
	Size      string  // of the bottle, "750 mL"; needed when several sizes were filled
	Law       string  // "EU", "UK" or "US": how much sulphite a label tells of, how large a drink is; default the maker's own
	Steps     string  // strength in steps of "0.5" or "0.1" % vol; default 0.5
	DrinkFrom string  // a date; default when the wine is likely at its best
}

// Label is what a label tells. What is not known is empty, or a Range not Known.
type Label struct {
	Jug       string        `json:"jug"`
	Title     string        `json:"title"`
	Words     string        `json:"words,omitempty"`
	Kind      string        `json:"kind"`     // "mead, medium, still"
	Strength  measure.Range `json:"strength"` // % vol
	Rounded   string        `json:"strength_rounded,omitempty"`
	SizeML    float64       `json:"size_ml,omitempty"`
	Left      int           `json:"left,omitempty"`     // bottles of it on the shelf
	Drinks    measure.Range `json:"drinks"`             // in one bottle
	Contents  []string      `json:"contents"`           // all that went in, the most first
	Contains  []string      `json:"contains,omitempty"` // what some people must not have
	Cautions  []string      `json:"cautions,omitempty"`
	Made      time.Time     `json:"made"`
	Bottled   time.Time     `json:"bottled,omitzero"`
	DrinkFrom time.Time     `json:"drink_from,omitzero"`
	Lot       string        `json:"lot"`
	Notes     []string      `json:"notes"` // for the maker, not for the label
}

// ownSulphite is what yeast may make by itself, "a few mg/L" [cfr27-4-32]; taken high, so
// that a label rather tells of sulphites than not.
const ownSulphite = 5.0

// Label gathers what the label of a jug's bottles tells; of a jug that is not bottled
// yet, as far as it is known.
//
// Errors: *AskError; an unknown jug.
func (c *Cellar) Label(ctx context.Context, w LabelWords) (Label, error) {
	place, err := c.place(w.Law)
	if err != nil {
		return Label{}, err
	}
	_, _, state, err := c.jug(ctx, w.Jug)
	if err != nil {
		return Label{}, err
	}
	l := Label{Jug: state.Name, Title: state.Name, Words: strings.TrimSpace(w.Words), Made: state.Made.At}
	if w.Title != nil {
		l.Title = strings.TrimSpace(*w.Title)
	}
	if l.Title == "" {
		return l, ask("title", "", `leave it out, and the label is called as the jug is`, errors.New("a label without a name tells nothing"))
	}
	lot, err := c.labelled(w, state)
	if err != nil {
		return l, err
	}
	l.Lot, l.SizeML, l.Left, l.Bottled = lot.Code, lot.Bottles.SizeML, lot.Left, lot.At
	if w.DrinkFrom != "" {
		if l.DrinkFrom, err = measure.ParseTime(w.DrinkFrom, c.Now()); err != nil {
			return l, ask("drink-from", w.DrinkFrom, `write "2027-03-01"`, err)
		}
	}
	own, err := c.ownIngredients(ctx)
	if err != nil {
		return l, err
	}
	grams := map[string]float64{}
	if err := c.madeFrom(ctx, state, 1, grams, nil); err != nil {
		return l, err
	}
	l.contents(grams, own)
	for _, name := range l.Contents {
		if strings.HasPrefix(name, batch.WineOf) {
			l.Notes = append(l.Notes, "what the "+name+" is made of is not in this record: add its allergens, sulphites too, in your own words")
		}
	}
	if sulphited(state, place) || slices.ContainsFunc(l.Contents, func(name string) bool {
		i, err := must.Find(name, own)
		return err == nil && strings.Contains(i.Caution, "sulphited") // fruit as it is dried
	}) {
		l.Contains = append([]string{"sulphites"}, l.Contains...)
	}
	if lot.Style == batch.Sparkling {
		l.Cautions = append(l.Cautions, "Under pressure: keep it cool, and open it cold and away from faces.")
	}
	stood, _, err := c.stand(state)
	if err != nil {
		return l, err
	}
	if err := l.strength(w.Steps, stood, place); err != nil {
		return l, err
	}
	if l.DrinkFrom.IsZero() && !l.Bottled.IsZero() {
		l.DrinkFrom = advice.DrinkingWindow(lot, l.Strength).From
	}
	l.Kind = kind(grams, own, stood, lot.Style)
	l.Notes = append(l.Notes,
		"what a label must say is the law of your place: check it; and nothing home-made is for sale without a licence",
		"allergens are told as far as Skep's table of ingredients knows them: add others, finings too, in your own words")
	return l, nil
}

// labelled is the lot that the label is for, the latest of its size; one without bottles
// while nothing is bottled.
func (c *Cellar) labelled(w LabelWords, state batch.State) (batch.Lot, error) {
	size, err := c.quantity("size", w.Size, `write "750 mL"`, measure.Volume)
	if err != nil {
		return batch.Lot{}, err
	}
	var found *batch.Lot
	var sizes []string
	for i, lot := range state.Shelf {
		if size != nil && math.Abs(lot.Bottles.SizeML-1000*size.Value) > 1 || lot.Bottles.Part {
			continue // the part bottle is the one to open first, and wants no label
		}
		found = &state.Shelf[i]
		if name := fmt.Sprintf("%.0f mL", lot.Bottles.SizeML); !slices.Contains(sizes, name) {
			sizes = append(sizes, name)
		}
	}
	switch {
	case len(sizes) > 1:
		return batch.Lot{}, ask("size", w.Size, "", fmt.Errorf("which size: %s", strings.Join(sizes, " or ")))
	case found != nil:
		return *found, nil
	case size == nil:
		return batch.Lot{Code: nextLot(state)}, nil
	case len(state.Shelf) > 0:
		return batch.Lot{}, ask("size", w.Size, "skep shelf shows the sizes", fmt.Errorf("%q fills no bottles of that size", state.Name))
	}
	return batch.Lot{Code: nextLot(state), Bottles: batch.Bottles{SizeML: 1000 * size.Value}}, nil
}

// nextLot is what the next filling will be called.
func nextLot(state batch.State) string {
	return fmt.Sprintf("%s-%d", state.Made.At.Format("060102"), len(state.Bottlings)+1)
}

// madeFrom adds what went into a jug, and into the jugs that were blended into it, in
// proportion to what came over of them; within are the jugs that it was asked for on the
// way, for wine may have gone to and fro.
func (c *Cellar) madeFrom(ctx context.Context, state batch.State, share float64, grams map[string]float64, within []string) error {
	within = append(slices.Clip(within), state.Jug)
	for _, u := range usedIn(state) {
		grams[u.What] += share * u.Grams
	}
	for _, b := range state.Blends {
		for _, source := range b.What.Sources {
			if slices.Contains(within, source.Jug) {
				delete(grams, source.Wine.Ingredient)
				continue
			}
			events, err := c.store.Events(ctx, source.Jug)
			if err != nil {
				return err
			}
			if len(events) == 0 { // the blend came here without it, by import
				continue
			}
			delete(grams, source.Wine.Ingredient) // it is told by what it was made from
			giver, err := batch.Fold(events)
			if err != nil {
				return fmt.Errorf("jug %q: %w", source.Name, err)
			}
			over := 0.0
			if all := float64(giver.PutIn.Mass()); all > 0 {
				over = source.Wine.Grams / all
			}
			if err := c.madeFrom(ctx, giver, share*over, grams, within); err != nil {
				return err
			}
		}
	}
	return nil
}

// contents tells what went in, and what of it some people must not have.
func (l *Label) contents(grams map[string]float64, own []must.Ingredient) {
	yeast := false
	for name := range grams {
		if name == "yeast" {
			yeast = true
			continue
		}
		l.Contents = append(l.Contents, name)
	}
	slices.SortFunc(l.Contents, func(a, b string) int { return cmp.Or(cmp.Compare(grams[b], grams[a]), cmp.Compare(a, b)) })
	if yeast {
		l.Contents = append(l.Contents, "yeast")
	}
	for _, name := range l.Contents {
		i, err := must.Find(name, own)
		switch {
		case err != nil:
		case i.Class == must.Honey && !slices.Contains(l.Contains, honeyWords):
			l.Contains = append(l.Contains, honeyWords)
			l.Cautions = append(l.Cautions, advice.Caution(advice.Infants))
		case i.Name == "lactose":
			l.Contains = append(l.Contains, "milk (lactose)")
		}
	}
}

// sulphited says whether a label tells of the sulphite that went into a wine. All that
// went in counts, for none of it is known to have left.
func sulphited(state batch.State, place Place) bool {
	sulphite := state.InBottles[must.SulphurDioxide]
	litres := 0.0
	for _, b := range state.Bottlings {
		litres += b.What.Litres()
	}
	if litres == 0 {
		sulphite = state.InJug[must.SulphurDioxide]
		if held, err := state.Volume(); err == nil {
			litres = float64(held)
		}
	}
	return sulphite > 0 && (litres == 0 || toldOf(place, 1000*sulphite/litres+ownSulphite))
}

// honeyWords name honey to those who bear neither it nor pollen.
const honeyWords = "honey (a product of bees)"

// toldOf says whether a label of a place tells of so much sulphite, mg/L.
func toldOf(place Place, mgl float64) bool {
	where := map[Place]string{Europe: "EU and UK", UnitedKingdom: "EU and UK", UnitedStates: "United States"}[place]
	for _, limit := range reference.Limits("sulphur dioxide") {
		if limit.Where == where {
			switch limit.What {
			case "a label must say so from":
				return mgl >= limit.Value
			case "a label must say so above":
				return mgl > limit.Value
			}
		}
	}
	panic("app: no limit of sulphite on labels for " + where)
}

// strength rounds what the estimate says.
func (l *Label) strength(steps string, stood Stood, place Place) error {
	step := 0.5
	switch strings.TrimSpace(steps) {
	case "", "0.5":
	case "0.1":
		step = 0.1
	default:
		return ask("steps", steps, "some places ask for half or tenth parts: check your local law", errors.New("strength is rounded to 0.5 or 0.1 % vol"))
	}
	l.Strength, l.Drinks = measure.RangeOf(nil, "% vol"), measure.RangeOf(nil, "")
	if stood.Final == nil {
		l.Notes = append(l.Notes, "the strength is left out, for it is not known: "+stood.Unknown)
		return nil
	}
	l.Strength = stood.Final.Ethanol
	l.Rounded = measure.ShowStrength(measure.PercentVol(math.Round(l.Strength.Value/step) * step))
	if l.SizeML > 0 {
		l.Drinks = drinks(place, l.Strength, l.SizeML)
	}
	if l.Bottled.IsZero() {
		l.Notes = append(l.Notes, "it is not bottled yet: the strength is what it is expected to come to")
	}
	return nil
}

// kind says what it is: "mead, medium, still".
func kind(grams map[string]float64, own []must.Ingredient, stood Stood, style batch.Style) string {
	var honey, all float64 // g of sugar
	for name, g := range grams {
		i, err := must.Find(name, own)
		if err != nil {
			continue
		}
		sugar := g * i.PerGram.Hexose(1)
		all += sugar
		if i.Class == must.Honey {
			honey += sugar
		}
	}
	kind := "country wine"
	if honey > all/2 {
		kind = "mead"
	}
	sweet, way := "", ""
	if stood.Final != nil {
		sweet = sweetness(measure.Gravity(stood.Final.Gravity.Value))
	}
	switch style {
	case batch.Sparkling:
		way = "sparkling"
	case batch.Still, batch.StillStabilised:
		way = "still"
	}
	return list(kind, sweet, way)
}

// sweetness is the word whose final gravity is nearest.
func sweetness(g measure.Gravity) string {
	words := []string{"off-dry", "medium", "sweet"}
	word := "dry"
	for i, w := range words {
		from := (finals[w] + 1) / 2 // what dry comes to is about that of water
		if i > 0 {
			from = (finals[w] + finals[words[i-1]]) / 2
		}
		if g >= from {
			word = w
		}
	}
	return word
}

// Facts are those of the lot as plain text, for a code that a phone reads.
func (l Label) Facts() string {
	const day = "2006-01-02"
	lines := []string{l.Title, list(l.Rounded, l.volume()), "lot " + l.Lot, "made " + l.Made.Format(day)}
	if !l.Bottled.IsZero() {
		lines = append(lines, "bottled "+l.Bottled.Format(day))
	}
	if !l.DrinkFrom.IsZero() {
		lines = append(lines, "drink from "+l.DrinkFrom.Format(day))
	}
	if len(l.Contains) > 0 {
		lines = append(lines, "contains "+strings.Join(l.Contains, ", "))
	}
	return strings.Join(slices.DeleteFunc(lines, func(s string) bool { return s == "" }), "\n")
}

func (l Label) volume() string {
	if l.SizeML == 0 {
		return ""
	}
	return fmt.Sprintf("%.0f mL", l.SizeML)
}
