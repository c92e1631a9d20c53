package must

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"skep/internal/measure"
)

//go:embed ingredients.csv
var ingredientsCSV string

// Ingredients returns the whole table, in its own order.
func Ingredients() []Ingredient { return slices.Clone(table()) }

var table = sync.OnceValue(func() []Ingredient {
	all, err := readIngredients(ingredientsCSV)
	if err != nil {
		panic(fmt.Sprintf("must: ingredients.csv: %v", err)) // it is embedded and tested
	}
	return all
})

const cupLitres = 0.2365882365 // US cup, 1/16 of a US gallon of 231 cubic inches

var columns = strings.Split("name,aliases,class,water,glucose,fructose,sucrose,slow_sugar,other_solids,acid,"+
	"pulp,nitrogen_mg,sulphur_dioxide,sugar_sd,nitrogen_sd,cup_g,cup_sd,piece_g,piece_sd,packet_g,"+
	"ph_low,ph_high,main_acid,sugar_unknown,status,source,caution", ",")

// componentColumns are the columns in grams per 100 g.
var componentColumns = map[string]Component{
	"water": Water, "glucose": Glucose, "fructose": Fructose, "sucrose": Sucrose, "slow_sugar": SlowSugar,
	"other_solids": OtherSolids, "acid": Acid, "pulp": Pulp, "sulphur_dioxide": SulphurDioxide,
}

// readIngredients reads a table written as ingredients.csv says.
// Errors: a line that is not of that form.
func readIngredients(text string) ([]Ingredient, error) {
	reader := csv.NewReader(strings.NewReader(text))
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 || !slices.Equal(rows[0], columns) {
		return nil, fmt.Errorf("the heading is not %s", strings.Join(columns, ","))
	}
	var all []Ingredient
	for _, row := range rows[1:] {
		i, err := readIngredient(row)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", row[0], err)
		}
		all = append(all, i)
	}
	return all, nil
}

func readIngredient(row []string) (Ingredient, error) {
	text := map[string]string{}
	for at, name := range columns {
		text[name] = row[at]
	}
	var bad error
	number := func(column string) float64 {
		if text[column] == "" {
			return 0
		}
		x, err := strconv.ParseFloat(text[column], 64)
		if err != nil || !(x >= 0) {
			bad = fmt.Errorf("%s %q is not a number of zero or more", column, text[column])
		}
		return x
	}
	i := Ingredient{
		Name: text["name"], Class: Class(text["class"]),
		SugarUnknown: text["sugar_unknown"] == "yes", SugarSD: number("sugar_sd"), YANSD: number("nitrogen_sd"),
		Litre: number("cup_g") / cupLitres, CupSD: number("cup_sd"),
		Piece: number("piece_g"), PieceSD: number("piece_sd"), Packet: number("packet_g"),
		PHLow: number("ph_low"), PHHigh: number("ph_high"), MainAcid: text["main_acid"],
		Status: text["status"], Source: text["source"], Caution: text["caution"],
	}
	if text["aliases"] != "" {
		i.Aliases = strings.Split(text["aliases"], ";")
	}
	for column, c := range componentColumns {
		i.PerGram[c] = number(column) / 100
	}
	i.PerGram[Nitrogen] = number("nitrogen_mg") / 100_000
	if i.Class == Honey {
		i.Litre = honeyLitre(measure.MassFraction(i.PerGram[Water]))
	}
	return i, bad
}
