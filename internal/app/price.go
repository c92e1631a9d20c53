package app

import (
	"context"
	"errors"
	"slices"
	"strconv"
	"strings"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/store"
)

// price is what one unit of a thing costs.
type price struct {
	ingredient must.Ingredient // zero for yeast
	yeast      bool
	each       float64 // money
	grams      float64 // that this buys; of yeast, 0: a packet
}

const priceTip = `write "honey 12 per kg", "lemon 0.40 each" or "yeast 2 each"`

// price understands "honey 12 per kg", "elderflower 3 per cup", "yeast 2 each".
func (c *Cellar) price(ctx context.Context, words string) (price, error) {
	fields := strings.Fields(words)
	at := 0
	var money float64
	for i, f := range fields {
		if v, err := strconv.ParseFloat(strings.Trim(strings.ReplaceAll(f, ",", "."), "€$£"), 64); err == nil && i > 0 {
			at, money = i, v
			break
		}
	}
	if at == 0 || !(money >= 0 && money < 1e6) {
		return price{}, ask("price", words, priceTip, errors.New("there is no price in it"))
	}
	name, unit := strings.Join(fields[:at], " "), strings.Join(fields[at+1:], " ")
	unit, per := strings.CutPrefix(unit, "per ")
	each := unit == "each" || unit == "a piece" || unit == "apiece"
	if !per && !each {
		return price{}, ask("price", words, priceTip, errors.New("it does not say for how much"))
	}
	p := price{each: money, yeast: strings.HasSuffix(strings.ToLower(name), "yeast") || strings.EqualFold(name, "packet of yeast")}
	if p.yeast && (each || unit == "packet") {
		return p, nil
	}
	one := measure.Quantity{Kind: measure.Pieces, Tool: measure.Count, Value: 1}
	if !each {
		if unit[0] < '0' || unit[0] > '9' {
			unit = "1 " + unit
		}
		q, err := c.quantity("price", unit, priceTip, measure.Mass, measure.Volume, measure.Packets, measure.Pieces)
		if err != nil {
			return p, err
		}
		one = *q
	}
	if p.yeast {
		if one.Kind != measure.Mass {
			return p, ask("price", words, priceTip, errors.New("yeast is sold by the packet or by weight"))
		}
		p.grams = one.Value
		return p, nil
	}
	var err error
	if p.ingredient, err = c.ingredient(ctx, "price", name); err != nil {
		return p, err
	}
	portion, err := must.Measured(p.ingredient, one)
	if err != nil {
		return p, ask("price", words, priceTip, err)
	}
	p.grams = float64(portion.Grams)
	return p, nil
}

// of says whether this is the price of a thing: of the same, or of honey for a honey of
// some kind.
func (p price) of(u used) bool {
	if p.yeast || u.Yeast {
		return p.yeast && u.Yeast
	}
	return p.ingredient.Name == u.What || p.ingredient.Name == "honey" && strings.HasSuffix(u.What, " honey")
}

// used is so much of a thing that costs money.
type used struct {
	What    string  `json:"what"`
	Grams   float64 `json:"grams"`
	Yeast   bool    `json:"yeast,omitempty"`
	Packets float64 `json:"packets,omitempty"` // of yeast
}

// costOf adds up what was used; nil without prices. Water is free.
func costOf(prices []price, all []used) *Cost {
	if len(prices) == 0 {
		return nil
	}
	k := &Cost{}
	for _, u := range all {
		if u.What == "water" {
			continue
		}
		at := slices.IndexFunc(prices, func(p price) bool { return p.of(u) })
		if at < 0 {
			k.Unpriced = append(k.Unpriced, u.What)
			continue
		}
		p := prices[at]
		money := p.each * u.Packets // of yeast by the packet
		if p.grams > 0 {
			money = p.each * u.Grams / p.grams
		}
		k.Lines = append(k.Lines, CostLine{What: u.What, Price: money})
		k.Total += money
	}
	return k
}

// cost is what a plan takes; nil without prices.
func cost(prices []price, p Plan) *Cost {
	amounts := p.Amounts
	if p.Sweeten != nil {
		amounts = append(amounts[:len(amounts):len(amounts)], *p.Sweeten)
	}
	var all []used
	for _, a := range amounts {
		all = append(all, used{What: a.Ingredient, Grams: a.Grams.Value})
	}
	k := costOf(prices, append(all, used{What: "yeast", Yeast: true, Grams: p.Yeast.Grams, Packets: float64(p.Yeast.Packets)}))
	if k == nil {
		return nil
	}
	bottles := 0
	for _, f := range p.Bottles.Central {
		bottles += f.Count
	}
	if bottles > 0 {
		k.PerBottle = k.Total / float64(bottles)
	}
	return k
}

// KeepPrice keeps what a thing costs, "honey 12 per kg", in the place of an earlier price
// of it; plans and the shelf reckon with it from then on. It returns what the price is of.
//
// Errors: *AskError.
func (c *Cellar) KeepPrice(ctx context.Context, words string) (string, error) {
	p, err := c.price(ctx, words)
	if err != nil {
		return "", err
	}
	return p.name(), c.store.Put(ctx, store.Prices, p.name(), strings.TrimSpace(words))
}

// name is the thing that it is the price of.
func (p price) name() string {
	if p.yeast {
		return "yeast"
	}
	return p.ingredient.Name
}

// ForgetPrice takes a price out of the kitchen, by the name of the thing or by all the words
// in which it was told.
//
// Errors: *AskError when none of that name is kept.
func (c *Cellar) ForgetPrice(ctx context.Context, words string) error {
	if p, err := c.price(ctx, words); err == nil {
		words = p.name()
	}
	err := c.store.Drop(ctx, store.Prices, strings.TrimSpace(words))
	if errors.Is(err, store.ErrNotFound) {
		return ask("price", words, "skep kitchen price lists them", errors.New("no such price is kept"))
	}
	return err
}

// priceWords are the prices that are kept, as they were told.
func (c *Cellar) priceWords(ctx context.Context) ([]string, error) {
	return drawer[string](ctx, c.store, store.Prices)
}

// keptPrices are the prices that are kept. Words are read by the units of the day, and one
// whose ingredient the kitchen no longer has is passed over.
func (c *Cellar) keptPrices(ctx context.Context) ([]price, error) {
	kept, err := c.priceWords(ctx)
	var all []price
	for _, words := range kept {
		if p, err := c.price(ctx, words); err == nil {
			all = append(all, p)
		}
	}
	return all, err
}
