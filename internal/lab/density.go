package lab

import (
	"fmt"

	"skep/internal/measure"
	"skep/internal/property/density"
	"skep/internal/reference/tables"
)

// The litre of before 1964, dm³.
const oldLitre = 1.000028

func densities() []comparison {
	const computed = "printed to 0.01; 0.008 from one water to another"
	all := []comparison{
		{
			quantity: "density of water", table: "density/water_density_check.csv", column: "density_tanaka2001_kg_per_m3_computed",
			key: at("%s °C", "temperature_C"), compute: water, unit: "kg/m³", tolerance: 0.0001, why: "printed to 0.0001",
		},
		{
			quantity: "density of water, older formula", table: "density/water_density_check.csv", column: "density_kell1975_kg_per_m3_computed",
			key: at("%s °C", "temperature_C"), compute: water, unit: "kg/m³", tolerance: 0.004, why: "the two formulas part by 0.0033",
		},
		{
			quantity: "density of ethanol and water", table: "density/ethanol_water_formula_grid.csv", column: "density_kg_per_m3_computed",
			key: at("%s %% vol, %s °C", "ethanol_volume_percent_at_20C", "temperature_C"),
			compute: func(r tables.Row) (float64, error) {
				p, err := density.MassFromPercentVol(measure.PercentVol(r.Number("ethanol_volume_percent_at_20C")))
				if err != nil {
					return 0, err
				}
				return plain(density.EthanolWater(p, r.Celsius("temperature_C")))
			},
			unit: "kg/m³", tolerance: 0.02, why: computed,
		},
		{
			quantity: "density of ethanol and water, 20 °C", table: "density/ethanol_water_check_mass_20C.csv", column: "density_20C_kg_per_L_printed",
			key: at("%s %% mass", "ethanol_mass_percent"), compute: of(density.EthanolWater, "ethanol_mass_percent", ""),
			scale: 1000 / oldLitre, unit: "kg/m³", tolerance: 0.05, why: "an older measurement, parting smoothly to 0.04",
		},
		{
			quantity: "density of ethanol and water, 20 °C, handbook", table: "density/ethanol_crc_20C.csv", column: "density_20C_g_per_cm3_printed",
			key: at("%s %% mass", "mass_percent"), compute: of(density.EthanolWater, "mass_percent", ""),
			scale: 1000, unit: "kg/m³", tolerance: 0.15, why: "printed to 0.1, from older measurements",
		},
		{
			quantity: "density of sucrose in water", table: "density/sucrose_density_formula_grid.csv", column: "density_kg_per_m3_computed",
			key: at("%s %% mass, %s °C", "sucrose_mass_percent", "temperature_C"), compute: of(density.Sucrose, "sucrose_mass_percent", "temperature_C"),
			unit: "kg/m³", tolerance: 0.02, why: computed,
		},
	}
	for _, t := range []measure.Celsius{15, 20} {
		all = append(all, comparison{
			quantity: fmt.Sprintf("density of sucrose in water, %g °C", t), table: "density/sucrose_density_check_15_20C.csv",
			column: fmt.Sprintf("density_%gC_kg_per_m3_printed", t), key: at("%s %% mass", "sucrose_mass_percent"),
			compute: func(r tables.Row) (float64, error) { return plain(density.Sucrose(r.Share("sucrose_mass_percent"), t)) },
			unit:    "kg/m³", tolerance: 0.10, why: "the formula misses the whole table by up to 0.092; 0.03 of it may be the old litre",
		})
	}
	for _, s := range []struct {
		name, table string
		method      func(measure.MassFraction, measure.Celsius) (measure.Density, error)
		limit       float64 // % mass
		tolerance   float64
		why         string
	}{
		{"sucrose", "density/sucrose_crc_20C.csv", density.Sucrose, 50, 0.20, "printed to 0.1; another measurement, 0.15 away at 50 %"},
		{"glucose", "density/glucose_crc_20C.csv", density.Glucose, 48, 0.15, "printed to 0.1; our curve is fitted to these rows"},
		{"fructose", "density/fructose_crc_20C.csv", density.Fructose, 48, 0.15, "printed to 0.1; our curve is fitted to these rows"},
		{"glycerol", "density/other_solutes_crc_20C.csv", density.Glycerol, 20, 0.15, "printed to 0.1; our curve is fitted to these rows"},
	} {
		all = append(all, comparison{
			quantity: fmt.Sprintf("density of %s in water, 20 °C", s.name), table: s.table, column: "density_20C_g_per_cm3_printed",
			key: at("%s %% mass", "mass_percent"),
			only: func(r tables.Row) bool {
				return (!r.Has("solute") || r.Text("solute") == s.name) && r.Number("mass_percent") <= s.limit
			},
			compute: of(s.method, "mass_percent", ""),
			scale:   1000, unit: "kg/m³", tolerance: s.tolerance, why: s.why,
		})
	}
	return append(all, pharmacopoeia()...)
}

func water(r tables.Row) (float64, error) { return plain(density.Water(r.Celsius("temperature_C"))) }

// pharmacopoeia weighs ethanol and water in air, and turns mass into volume at 60 °F.
func pharmacopoeia() []comparison {
	const air = 1.2 // kg/m³
	inAir := func(r tables.Row, t measure.Celsius) (float64, error) {
		rho, err := density.EthanolWater(r.Share("ethanol_mass_percent"), t)
		if err != nil {
			return 0, err
		}
		plain, err := density.Water(t)
		return float64(rho-air) / float64(plain-air), err
	}
	var all []comparison
	for _, by := range []string{"mass", "volume"} {
		table := "density/ethanol_water_check_usp_by_" + by + ".csv"
		key := at("%s %% mass", "ethanol_mass_percent")
		all = append(all, comparison{
			quantity: "specific gravity in air of ethanol and water, 25/25 °C, by " + by, table: table, column: "sg_air_25C_25C_printed", key: key,
			compute: func(r tables.Row) (float64, error) { return inAir(r, 25) }, tolerance: 0.0001, why: "printed to 0.0001",
		}, comparison{
			quantity: "specific gravity in air of ethanol and water, 60/60 °F, by " + by, table: table, column: "sg_air_60F_60F_printed", key: key,
			compute: func(r tables.Row) (float64, error) { return inAir(r, density.SixtyF) }, tolerance: 0.0001, why: "printed to 0.0001",
		}, comparison{
			quantity: "strength at 60 °F of a mass of ethanol, by " + by, table: table, column: "ethanol_volume_percent_at_60F", key: key,
			compute: func(r tables.Row) (float64, error) {
				p := r.Share("ethanol_mass_percent")
				mixed, err := density.EthanolWater(p, density.SixtyF)
				if err != nil {
					return 0, err
				}
				pure, err := density.EthanolWater(1, density.SixtyF)
				return 100 * float64(p) * float64(mixed/pure), err
			},
			unit: "% vol", tolerance: 0.01, why: "printed to 0.01",
		})
	}
	return all
}
