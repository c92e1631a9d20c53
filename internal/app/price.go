package app

import (
	"context"
	"errors"
	"strconv"
	"strings"

	"skep/internal/measure"
	"skep/internal/must"
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

// of says whether this is the price of an amount: of the same thing, or of honey for a
// honey of some kind.
func (p price) of(a Amount) bool {
	if p.yeast {
		return false
	}
	return p.ingredient.Name == a.Ingredient || p.ingredient.Name == "honey" && strings.HasSuffix(a.Ingredient, " honey")
}

// cost adds up what the plan takes; nil without prices. Water is free.
func cost(prices []price, p Plan) *Cost {
	if len(prices) == 0 {
		return nil
	}
	k := &Cost{}
	add := func(what string, money float64) {
		k.Lines = append(k.Lines, CostLine{What: what, Price: money})
		k.Total += money
	}
	amounts := p.Amounts[:len(p.Amounts)-1]
	if p.Sweeten != nil {
		amounts = append(amounts[:len(amounts):len(amounts)], *p.Sweeten)
	}
amounts:
	for _, a := range amounts {
		for _, price := range prices {
			if price.of(a) {
				add(a.Ingredient, price.each*a.Grams.Value/price.grams)
				continue amounts
			}
		}
		k.Unpriced = append(k.Unpriced, a.Ingredient)
	}
	yeast := "yeast"
	for _, price := range prices {
		switch {
		case !price.yeast:
			continue
		case price.grams == 0:
			add("yeast", price.each*float64(p.Yeast.Packets))
		default:
			add("yeast", price.each*p.Yeast.Grams/price.grams)
		}
		yeast = ""
		break
	}
	if yeast != "" {
		k.Unpriced = append(k.Unpriced, yeast)
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
