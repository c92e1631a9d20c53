package lab

import (
	"fmt"
	"math"
	"strings"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/acidity"
	"skep/internal/property/heat"
	"skep/internal/reference/tables"
)

func warmth() []comparison {
	const table = "heat/heat_capacity.csv"
	solids := map[string]measure.MassFraction{
		"Sugar solution 20 % w/w, 20 degC": 0.20, "Sugar solution 25 % w/w, 20 degC": 0.25,
		"Honey 17.4 % water, 20 degC": 0.826, "Honey 17 % water": 0.83,
	}
	rows := func(of string) func(tables.Row) bool {
		return func(r tables.Row) bool {
			return solids[r.Text("item")] > 0 && strings.HasPrefix(r.Text("item"), of)
		}
	}
	compute := func(r tables.Row) (float64, error) { return heat.SpecificHeat(solids[r.Text("item")], 20) }
	const times = "heat/cooling_time_constants.csv"
	constant := func(r tables.Row) (float64, error) {
		for _, v := range heat.Vessels() {
			if float64(v.Litres) == r.Number("contents_L") && v.Area == r.Number("area_m2") && v.U == r.Number("U_W_per_m2_K") {
				tau, err := v.TimeConstant(v.Litres)
				return tau.Value, err
			}
		}
		return 0, fmt.Errorf("no vessel is that of the row")
	}
	return []comparison{
		{
			quantity: "specific heat of sugar solution", table: table, column: "value", key: at("%s", "item"), only: rows("Sugar"), compute: compute,
			relative: true, unit: "%", tolerance: 0.02, why: "printed to 0.001 kJ/(kg K)", status: tables.Computed, source: "bubnik1995",
		},
		{
			quantity: "specific heat of honey", table: table, column: "value", key: at("%s", "item"), only: rows("Honey"), compute: compute,
			relative: true, unit: "%", tolerance: 8.5, why: "the prints for honey part by so much from one another and the formula", status: tables.Secondary, source: "honey-heat",
		},
		{
			quantity: "time constant of cooling", table: times, column: "tau_h", key: at("%s", "vessel"), compute: constant,
			unit: "h", tolerance: 0.01, why: "printed to 0.01",
		},
		{
			quantity: "half time of cooling", table: times, column: "half_time_h", key: at("%s", "vessel"),
			compute: func(r tables.Row) (float64, error) {
				tau, err := constant(r)
				return tau * math.Ln2, err
			},
			unit: "h", tolerance: 0.01, why: "printed to 0.01",
		},
	}
}

func acids() []comparison {
	const table = "acidity/acids_pka_equivalents.csv"
	named := func(r tables.Row) (acidity.Acid, error) {
		name, _, _ := strings.Cut(r.Text("acid"), " ")
		return acidity.Named(name)
	}
	ours := func(r tables.Row) bool { return r.Text("g_acid_per_g_as_tartaric") != "" }
	return []comparison{
		{
			quantity: "equivalent of an acid", table: table, column: "equivalent_mass_g_per_eq", key: at("%s", "acid"), only: ours,
			compute: func(r tables.Row) (float64, error) {
				a, err := named(r)
				if err != nil {
					return 0, err
				}
				return a.Equivalent(), nil
			},
			unit: "g", tolerance: 0.001, why: "printed to 0.001",
		},
		{
			quantity: "an acid in place of tartaric", table: table, column: "g_acid_per_g_as_tartaric", key: at("%s", "acid"), only: ours,
			compute: func(r tables.Row) (float64, error) {
				a, err := named(r)
				if err != nil {
					return 0, err
				}
				tartaric, err := acidity.Named("tartaric")
				return float64(acidity.Convert(1, tartaric, a)), err
			},
			unit: "g/g", tolerance: 0.0001, why: "printed to 0.0001",
		},
		{
			quantity: "an acid by titration, 1 meq/L", table: table, column: "g_per_L_of_acid_for_1_meq_per_L", key: at("%s", "acid"), only: ours,
			compute: func(r tables.Row) (float64, error) {
				a, err := named(r)
				if err != nil {
					return 0, err
				}
				tartaric, err := acidity.Named("tartaric")
				if err != nil {
					return 0, err
				}
				ta, err := acidity.Titration(0.0001, 0.1, 0.010)
				return float64(acidity.Convert(ta, tartaric, a)), err
			},
			unit: "g/L", tolerance: 0.00001, why: "printed to 0.00001",
		},
		{
			quantity: "carbonate for an acidity, without tartrate", table: "acidity/deacidification.csv",
			column: "g_per_L_for_1_g_per_L_as_tartaric_neutralise_only", key: at("%s", "agent"),
			compute: func(r tables.Row) (float64, error) {
				tartaric, err := acidity.Named("tartaric")
				if err != nil {
					return 0, err
				}
				for _, c := range []acidity.Carbonate{acidity.PotassiumBicarbonate, acidity.PotassiumCarbonate, acidity.CalciumCarbonate} {
					if c.Name == r.Text("agent") {
						return c.Equivalent() / tartaric.Equivalent(), nil
					}
				}
				return 0, fmt.Errorf("no carbonate is called %q", r.Text("agent"))
			},
			unit: "g/L", tolerance: 0.0005, why: "printed to 0.001",
		},
	}
}

func honeys() []comparison {
	gravity := func(water float64) (float64, error) {
		honey, err := must.Find("honey", nil)
		if err != nil {
			return 0, err
		}
		honey, err = must.WithMoisture(honey, measure.MassFraction(water/100))
		return honey.Litre / 998.2, err // water at 20 °C
	}
	return []comparison{
		{
			quantity: "specific gravity of honey", table: "ingredients/honey_density_crosschecks.csv", column: "value", key: at("%s", "fact"),
			only: func(r tables.Row) bool { return r.Text("unit") == "SG" },
			compute: func(r tables.Row) (float64, error) {
				var water float64
				if _, err := fmt.Sscanf(r.Text("fact"), "specific gravity at 20 C, %g", &water); err != nil {
					return 0, err
				}
				return gravity(water)
			},
			tolerance: 0.001, why: "three decimals, which may be cut instead of rounded", status: tables.Secondary, source: "honey-trade",
		},
		{
			quantity: "specific gravity of honey by its water", table: "density/honey_specific_gravity_moisture.csv", column: "specific_gravity_20C_20C",
			key:     at("%s g/100 g", "water_g_per_100g"),
			compute: func(r tables.Row) (float64, error) { return gravity(r.Number("water_g_per_100g")) },
		},
	}
}

// lemons hold the lemon of ingredients.csv against what others found.
func lemons() []comparison {
	const table = "acidity/lemon_and_citrus.csv"
	key := at("%s, %s", "item", "what")
	citric := func(tartaricGrams float64) (float64, error) { // what weighs as much acid, as tartaric
		tartaric, err := acidity.Named("tartaric")
		if err != nil {
			return 0, err
		}
		acid, err := acidity.Named("citric")
		return float64(acidity.Convert(measure.GramsPerLitre(tartaricGrams), tartaric, acid)), err
	}
	juice := func(tables.Row) (float64, error) {
		lemon, err := must.Find("lemon juice", nil)
		if err != nil {
			return 0, err
		}
		return citric(lemon.PerGram[must.Acid] * lemon.Litre)
	}
	last := func(r tables.Row) float64 { // the upper end, in g/L
		figures := r.Figures("value")
		upper := figures[len(figures)-1]
		if r.Text("unit") == "% w/v" {
			upper *= 10
		}
		return upper
	}
	return []comparison{
		{
			quantity: "citric acid of lemon juice", table: table, column: "value", key: key, only: only("item", "Fresh lemon juice"), compute: juice,
			unit: "g/L", tolerance: 3.82, why: "one standard deviation as printed, of two fruit", status: tables.Secondary, source: "penniston2008",
		},
		{
			quantity: "citric acid of other lemon juice, upper ends", table: table, column: "value", key: key,
			only: only("item", "Lemon juice", "Lemon, Eureka"), compute: juice, printed: last,
			unit: "g/L", aside: "other lemons and bottled juice: 34 to 74 g/L is sold", status: tables.Secondary, source: "penniston2008",
		},
		{
			quantity: "citric acid of a lemon", table: table, column: "value", key: key, only: only("item", "Citric acid of one"),
			compute: func(tables.Row) (float64, error) {
				lemon, err := must.Find("lemon", nil)
				if err != nil {
					return 0, err
				}
				return citric(lemon.PerGram[must.Acid] * lemon.Piece)
			},
			unit: "g", aside: "the row takes a kitchen's 45 mL, Skep 48 g weighed of 70 lemons; 1 to 3 g is to be planned for", status: tables.Computed, source: "masses",
		},
		{
			quantity: "2.16 g of citric acid in 4.5 L, as tartaric", table: table, column: "value", key: key, only: only("item", "Added to 4.5 L"),
			compute: func(tables.Row) (float64, error) {
				acid, err := acidity.Named("citric")
				if err != nil {
					return 0, err
				}
				tartaric, err := acidity.Named("tartaric")
				return float64(acidity.Convert(2.16/4.5, acid, tartaric)), err
			},
			unit: "g/L", tolerance: 0.005, why: "printed to 0.01", status: tables.Computed, source: "masses",
		},
	}
}
