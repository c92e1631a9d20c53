package lab

import (
	"math"
	"slices"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/reference/tables"
	"skep/internal/solve"
)

func hydrometers() []comparison {
	const conversions = "density/gravity_conversions_computed.csv"
	var all []comparison
	for _, c := range []struct {
		quantity, column, unit string
		tolerance              float64
		of                     func(measure.Gravity) (float64, error)
	}{
		{"specific gravity of Brix, 20/20 °C", "sg_20C_20C_in_vacuo", "", 0.00002, func(sg measure.Gravity) (float64, error) { return float64(sg), nil }},
		{"specific gravity of Brix, in air", "sg_20C_20C_apparent_in_air", "", 0.00002, func(sg measure.Gravity) (float64, error) { return density.Apparent(sg), nil }},
		{"Oechsle of Brix", "oechsle_degrees", "°Oe", 0.01, func(sg measure.Gravity) (float64, error) { return density.Oechsle(sg), nil }},
		{"Baumé of Brix", "baume_modulus_145", "°Bé", 0.01, func(sg measure.Gravity) (float64, error) { return density.Baume(sg), nil }},
		{"extract of a gravity", "sucrose_g_per_L_at_20C", "g/L", 0.1, func(sg measure.Gravity) (float64, error) { return plain(density.Extract(sg)) }},
		{"Brix of a gravity", "sucrose_mass_percent_brix_plato", "% mass", 0.002, brix},
	} {
		why := "one last digit of the column"
		if c.quantity == "Brix of a gravity" {
			why = "the printed gravity has five decimals: 0.0026 % mass each"
		}
		all = append(all, comparison{
			quantity: c.quantity, table: conversions, column: c.column, key: at("%s %% mass", "sucrose_mass_percent_brix_plato"),
			compute: func(r tables.Row) (float64, error) {
				if c.column == "sucrose_mass_percent_brix_plato" {
					return c.of(measure.Gravity(r.Number("sg_20C_20C_in_vacuo")))
				}
				sg, err := density.GravityFromSucrose(r.Share("sucrose_mass_percent_brix_plato"))
				if err != nil {
					return 0, err
				}
				return c.of(sg)
			},
			unit: c.unit, tolerance: c.tolerance, why: why,
		})
	}
	all = append(all, comparison{
		quantity: "specific gravity of Brix, 60/60 °F", table: conversions, column: "sg_60F_60F_in_vacuo", key: at("%s %% mass", "sucrose_mass_percent_brix_plato"),
		compute: func(r tables.Row) (float64, error) {
			return density.Gravity60F(density.Solution{Sucrose: r.Share("sucrose_mass_percent_brix_plato")})
		},
		tolerance: 0.00002, why: "one last digit of the column",
	})
	corrected := func(r tables.Row) (measure.Gravity, error) {
		sg, _, err := density.CorrectHydrometer(measure.Gravity(r.Number("reading_sg")), r.Celsius("must_temperature_C"), r.Celsius("calibration_temperature_C"), 0)
		return sg, err
	}
	const readings = "density/hydrometer_sg_temperature_computed.csv"
	key := at("%s at %s °C, adjusted at %s °C", "reading_sg", "must_temperature_C", "calibration_temperature_C")
	all = append(all, comparison{
		quantity: "hydrometer at another temperature", table: readings, column: "true_sg_20C_20C_computed", key: key,
		compute: func(r tables.Row) (float64, error) { return plain(corrected(r)) }, tolerance: 0.0001, why: "printed to 0.0001",
	}, comparison{
		quantity: "sugar by that hydrometer", table: readings, column: "sucrose_mass_percent_computed", key: key,
		compute: func(r tables.Row) (float64, error) {
			sg, err := corrected(r)
			if err != nil {
				return 0, err
			}
			return brix(sg)
		},
		unit: "% mass", tolerance: 0.02, why: "printed to 0.01, of a gravity good to 0.00002",
	})
	return append(all, brixHydrometers()...)
}

func brixHydrometers() []comparison {
	const table = "density/hydrometer_brix_temperature_correction_20C.csv"
	correction := func(r tables.Row) (float64, error) {
		reading := r.Share("reading_brix_hydrometer_20C")
		sg, err := density.GravityFromSucrose(reading)
		if err != nil {
			return 0, err
		}
		sg, _, err = density.CorrectHydrometer(sg, r.Celsius("temperature_C"), 20, 0)
		if err != nil {
			return 0, err
		}
		got, err := brix(sg)
		return got - 100*float64(reading), err
	}
	key := at("%s °Brix at %s °C", "reading_brix_hydrometer_20C", "temperature_C")
	lighter := func(r tables.Row) bool {
		return r.Number("reading_brix_hydrometer_20C")+r.Number("correction_to_add_brix_computed") < 0
	}
	return []comparison{
		{
			quantity: "correction of a Brix hydrometer", table: table, column: "correction_to_add_brix_computed", key: key,
			only: func(r tables.Row) bool { return !lighter(r) }, compute: correction,
			unit: "°Brix", tolerance: 0.002, why: "printed to 0.001, and one water for another",
		},
		{
			quantity: "correction of a Brix hydrometer, below water", table: table, column: "correction_to_add_brix_computed", key: key,
			only: lighter, compute: correction,
			unit: "°Brix", tolerance: 0.005, why: "0.00002 in gravity: the table goes on below no sugar, we let it expand as water",
		},
		{
			quantity: "correction of a Brix hydrometer, old circular", table: table, column: "correction_to_add_brix_table_recalled", key: key,
			compute: correction, unit: "°Brix",
		},
	}
}

// brix is sucrose in % mass. Below water, where hydrometers go on a little, the scale is
// taken to fall as it rises above.
func brix(sg measure.Gravity) (float64, error) {
	if sg < 1 {
		w, err := density.SucroseFromGravity(2 - sg)
		return -100 * float64(w), err
	}
	w, err := density.SucroseFromGravity(sg)
	return 100 * float64(w), err
}

func extracts() []comparison {
	const tabarie = "density/tabarie_check_computed.csv"
	wine := comparison{
		quantity: "density of wine to 14 % vol", table: tabarie, column: "wine_density_20C_g_per_cm3_tabarie",
		key:  at("%s %% vol, %s g/L", "ethanol_percent_vol_20C", "total_dry_extract_g_per_L"),
		only: upTo("ethanol_percent_vol_20C", 14), compute: wineDensity,
		scale: 1000, unit: "kg/m³", tolerance: 0.13, why: "two accepted rules part by 0.1; rounding of strength and extract 0.03",
	}
	strong := wine
	strong.quantity, strong.tolerance = "density of wine at 18 % vol", 0.5
	strong.only = func(r tables.Row) bool { return !wine.only(r) }
	strong.why = "claimed as the uncertainty of both rules there"
	boiled := comparison{
		quantity: "strength by boiling off, to 14 % vol", table: tabarie, column: "ethanol_percent_vol_20C",
		key: wine.key, only: wine.only,
		compute: func(r tables.Row) (float64, error) {
			v, _, err := density.StrengthByResidue(measure.Gravity(r.Number("wine_sg_20C_20C_tabarie")), measure.Gravity(r.Number("alcohol_free_relative_density_dr")))
			return float64(v), err
		},
		unit: "% vol", tolerance: 0.21, why: "0.13 kg/m³ between the two rules and 0.1 of its extract; 1 % vol is worth 1.1",
	}
	boiledStrong := boiled
	boiledStrong.quantity, boiledStrong.only, boiledStrong.tolerance = "strength by boiling off, at 18 % vol", strong.only, 0.55
	boiledStrong.why = "the same, with 0.5 kg/m³ between the two rules there"
	return append(slices.Concat(beers(), grapes()), []comparison{
		wine, strong, boiled, boiledStrong,
		{
			quantity: "extract of a gravity, 15/15 °C", table: "density/dry_extract_german_table_15C.csv", column: "extract_g_per_100mL_printed",
			key: at("%s", "relative_density_15C_15C"), compute: extractAt15,
			unit: "g/100 mL", tolerance: 0.015, why: "printed to 0.01, from an older measurement",
		},
		{
			quantity: "extract of a gravity", table: "density/dry_extract_oiv_table.csv", column: "total_dry_extract_g_per_L",
			key: at("%s", "relative_density_20C_20C"),
			compute: func(r tables.Row) (float64, error) {
				return plain(density.Extract(measure.Gravity(r.Number("relative_density_20C_20C"))))
			},
			unit: "g/L",
		},
	}...)
}

// beers hold our balance of extract against that of brewers: what extract a beer began
// with, by its alcohol and what extract is left, all % mass.
func beers() []comparison {
	var all []comparison
	for _, sugar := range []struct {
		name, aside string
		of          must.Component
	}{
		{"hexose", "another balance: for each gram of alcohol it loses 2.07 g of extract, with 0.11 g of yeast, and ours 2.00, with 0.04", must.Glucose},
		{"a disaccharide", "the same, and a disaccharide takes up water as it splits, which that balance leaves out: ours loses 1.89", must.Sucrose},
	} {
		all = append(all, comparison{
			quantity: "original extract of a beer, its sugar as " + sugar.name, table: "density/balling_check_cutaia2009.csv",
			column: "original_extract_by_balling_computed", key: at("%s", "data_set"), aside: sugar.aside, unit: "% mass",
			compute: func(r tables.Row) (float64, error) {
				return originalExtract(sugar.of, r.Number("alcohol_mean_mass_percent"), r.Number("real_extract_mean_mass_percent"))
			},
		})
	}
	return all
}

// originalExtract finds the sugar, % mass of the must, that leaves so much extract in the
// liquid when so much alcohol has been made, both % mass of the liquid.
func originalExtract(sugar must.Component, alcohol, extract float64) (float64, error) {
	left := func(original float64) float64 {
		start := must.Must{must.Water: 100 - original}
		start[sugar] = original
		var done must.Must
		share := func(c ...must.Component) float64 {
			sum := 0.0
			for _, component := range c {
				sum += done[component]
			}
			return 100 * sum / float64(done.LiquidMass())
		}
		_, err := solve.Root(func(hexose float64) float64 {
			var err error
			if done, err = start.FermentedTo(hexose, 0, must.EthanolYield); err != nil {
				return math.NaN() // which Root refuses
			}
			return share(must.Ethanol) - alcohol
		}, 0, start.Hexose(0), 1e-10)
		if err != nil {
			return math.NaN()
		}
		return share(sugar, must.Glycerol) - extract
	}
	return solve.Root(left, 2.2*alcohol, 30, 1e-8)
}

func grapes() []comparison {
	const table = "density/potential_alcohol_grape_must_troost.csv"
	key := at("%s °Oe", "oechsle_degrees")
	return []comparison{
		{
			quantity: "extract of grape must against its sugar", table: table, column: "grape_must_sugar_g_per_L_printed", key: key,
			compute: func(r tables.Row) (float64, error) {
				return plain(density.Extract(density.FromOechsle(r.Number("oechsle_degrees"))))
			},
			unit: "g/L", aside: "some 27 g/L of the extract of grapes is no sugar in the print; Skep takes a gravity of honey or sugar for sugar, and grapes by their composition",
		},
		{
			quantity: "alcohol of grape must, of the sugar printed", table: table, column: "alcohol_g_per_L_printed", key: key,
			compute: func(r tables.Row) (float64, error) {
				return must.EthanolYield * r.Number("grape_must_sugar_g_per_L_printed"), nil
			},
			unit: "g/L", aside: "the print takes 0.466 g/g, ours is 0.47 ± 0.0125",
		},
		{
			quantity: "strength of that alcohol", table: table, column: "alcohol_percent_vol_printed", key: key,
			compute: func(r tables.Row) (float64, error) {
				return 100 * r.Number("alcohol_g_per_L_printed") / density.EthanolAt20, nil
			},
			unit: "% vol", tolerance: 0.01, why: "printed to 0.01",
		},
	}
}

// wineDensity turns grams per litre into mass fractions, which needs the density itself.
func wineDensity(r tables.Row) (float64, error) {
	rho := 1000.0
	for range 30 {
		got, err := density.Must(density.Solution{
			Ethanol: measure.MassFraction(r.Number("ethanol_percent_vol_20C") / 100 * density.EthanolAt20 / rho),
			Sucrose: measure.MassFraction(r.Number("total_dry_extract_g_per_L") / rho),
		}, 20)
		if err != nil {
			return 0, err
		}
		rho = float64(got)
	}
	return rho, nil
}

// extractAt15 finds the sucrose that has the row's relative density at 15 °C.
func extractAt15(r tables.Row) (float64, error) {
	water, err := density.Water(15)
	if err != nil {
		return 0, err
	}
	want := r.Number("relative_density_15C_15C") * float64(water)
	w, err := solve.Root(func(w float64) float64 {
		rho, err := density.Sucrose(measure.MassFraction(w), 15)
		if err != nil {
			return math.NaN() // which Root refuses
		}
		return float64(rho) - want
	}, 0, 0.3, 1e-12)
	return w * want / 10, err
}
