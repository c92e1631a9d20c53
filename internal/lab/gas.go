package lab

import (
	"fmt"
	"slices"
	"strings"

	"skep/internal/measure"
	"skep/internal/property/density"
	"skep/internal/property/gas"
	"skep/internal/reference/tables"
)

const molar, waterMolar = 44.0095, 18.01528 // g/mol of CO2 and of water

// laws are the two ways in which the solubility of CO2 may follow temperature.
var laws = []gas.Law{gas.Flat, gas.Steep}

func gases() []comparison { return slices.Concat(inWater(), inWine(), carried()) }

// carried is the water that CO2 takes along from a wet jug, over the CO2, by mass.
func carried() []comparison {
	var all []comparison
	for n, t := range []measure.Celsius{15, 20, 25} {
		all = append(all, comparison{
			quantity: fmt.Sprintf("water carried out by CO2, %g °C", t), table: "gas/airlock_and_losses.csv", column: "value",
			key: at("%s", "item"), only: only("item", "Water carried out"), printed: nth("value", n),
			compute: func(tables.Row) (float64, error) {
				p, err := gas.WaterVapour(t)
				return 100 * float64(p/(gas.Atmosphere-p)) * waterMolar / molar, err
			},
			unit: "% of the CO2", tolerance: 0.05, why: "printed to 0.1", status: tables.Computed, source: "wagner2002",
		})
	}
	return all
}

func inWater() []comparison {
	const table = "gas/co2_water_solubility.csv"
	quantity := func(name string) func(tables.Row) bool {
		return func(r tables.Row) bool { return r.Text("quantity") == name && r.Number("t_degC") <= 40 }
	}
	key := at("%s °C, %s", "t_degC", "condition")
	return []comparison{
		{
			quantity: "CO2 in water", table: table, column: "value", key: key, only: quantity("1000 x mole fraction in liquid"),
			compute: func(r tables.Row) (float64, error) {
				p := measure.Bar(1)
				if strings.Contains(r.Text("condition"), "50 kPa") {
					p = 0.5
				}
				return perThousand(p, r.Celsius("t_degC"))
			},
			relative: true, unit: "%", tolerance: 0.3, why: "printed to 0.001, of 0.2 and more: up to 0.25 %", source: "crc-co2",
		},
		{
			quantity: "CO2 in water, as volumes", table: table, column: "value", key: key, only: quantity("Bunsen coefficient"),
			compute: func(r tables.Row) (float64, error) {
				c, err := gas.InWater(gas.Atmosphere, r.Celsius("t_degC"))
				return gas.Volumes(c), err
			},
			relative: true, unit: "%", tolerance: 3, why: "another measurement; the handbook states 2 % for its own", source: "murray1971",
		},
		{
			quantity: "CO2 in water, Henry constant", table: table, column: "value", key: key, only: quantity("Henry constant"),
			compute: func(r tables.Row) (float64, error) {
				c, err := gas.InWater(gas.Atmosphere, r.Celsius("t_degC"))
				return float64(c) / molar, err
			},
			relative: true, unit: "%", tolerance: 3, why: "another measurement; the handbook states 2 % for its own", source: "shedlovsky1935",
		},
		{
			quantity: "CO2 in water, a measurement of 1922", table: table, column: "value", key: key, only: quantity("Ostwald coefficient"),
			compute: func(r tables.Row) (float64, error) { // L at t, near 1 atm
				c, err := gas.InWater(gas.Atmosphere, r.Celsius("t_degC"))
				const mole, z = 24.055, 0.9945 // L of an ideal gas at 20 °C; CO2 is so much of it
				return float64(c) / molar * mole * (float64(r.Celsius("t_degC")) + 273.15) / 293.15 * z, err
			},
			relative: true, unit: "%", aside: "an old one: at 20 °C it lies 3 % below that of 1971, three times the error that it states", source: "srd106",
		},
	}
}

// perThousand is the mole fraction of CO2 in water, of a thousand.
func perThousand(p measure.Bar, t measure.Celsius) (float64, error) {
	c, err := gas.InWater(p, t)
	if err != nil {
		return 0, err
	}
	rho, err := density.Water(t)
	n, water := float64(c)/molar, float64(rho)/waterMolar
	return 1000 * n / (n + water), err
}

func inWine() []comparison {
	strength := func(r tables.Row) gas.Liquid {
		l := gas.Liquid{Ethanol: measure.PercentVol(r.Number("alcohol_percent_vol"))}
		if r.Has("sugar_g_per_L") {
			l.Sugar = measure.GramsPerLitre(r.Number("sugar_g_per_L"))
		}
		return l
	}
	champagne := gas.Liquid{Ethanol: 12.5, Sugar: 10}
	all := []comparison{{
		quantity: "CO2 in wine under pressure, 20 °C", table: "gas/co2_wine_20C_rows.csv", column: "CO2_g_per_L_computed_OIV",
		key: at("%s %% vol, %s g/L sugar, %s bar", "alcohol_percent_vol", "sugar_g_per_L", "absolute_CO2_pressure_bar"),
		compute: func(r tables.Row) (float64, error) {
			return plain(gas.Dissolved(measure.Bar(r.Number("absolute_CO2_pressure_bar")), strength(r), 20, gas.Least))
		},
		unit: "g/L", tolerance: 0.0001, why: "printed to 0.0001",
	}}
	for _, law := range laws {
		all = append(all, comparison{
			quantity: "CO2 held by wine at 1 atm, " + law.String() + " law", table: "gas/co2_saturation_1atm.csv", column: "CO2_g_per_L_" + law.String(),
			key: at("%s %% vol, %s °C", "alcohol_percent_vol", "t_degC"),
			compute: func(r tables.Row) (float64, error) {
				return plain(gas.Saturated(strength(r), r.Celsius("t_degC"), law))
			},
			unit: "g/L", tolerance: 0.006, why: "printed to 0.01; vapour of water by another formula",
		})
	}
	for _, law := range laws {
		all = append(all, comparison{
			quantity: "CO2 in champagne, " + law.String() + " law", table: "gas/champagne_henry_vs_T.csv", column: "kH_g_per_L_per_bar",
			key: at("%s °C", "t_degC"),
			compute: func(r tables.Row) (float64, error) {
				return gas.Solubility(champagne, r.Celsius("t_degC"), law)
			},
			relative: true, unit: "%",
		})
	}
	return append(all, comparison{
		quantity: "pressure at 20 °C from another, flat law", table: "gas/oiv_pressure_to_20C_factor.csv", column: "factor_OIV_table",
		key:      at("%s °C", "t_degC"),
		compute:  func(r tables.Row) (float64, error) { return toTwenty(r.Celsius("t_degC")) },
		relative: true, unit: "%",
	})
}

// toTwenty is the pressure at 20 °C of CO2 that is in solution, over that at t, by the flat law.
func toTwenty(t measure.Celsius) (float64, error) {
	then, err := gas.Solubility(gas.Liquid{}, t, gas.Flat)
	if err != nil {
		return 0, err
	}
	at20, err := gas.Solubility(gas.Liquid{}, 20, gas.Flat)
	return then / at20, err
}

func bottles() []comparison {
	all := []comparison{{
		quantity: "vapour pressure of water", table: "gas/champagne_bottle_pressure_vs_T.csv", column: "water_vapour_bar", key: at("%s °C", "t_degC"),
		compute: func(r tables.Row) (float64, error) { return plain(gas.WaterVapour(r.Celsius("t_degC"))) },
		unit:    "bar", tolerance: 0.0003, why: "printed for whole kelvins, ±0.2 K",
	}}
	for _, law := range laws {
		all = append(all, comparison{
			quantity: "a champagne bottle cooled, " + law.String() + " law", table: "gas/champagne_bottle_pressure_vs_T.csv",
			column: "CO2_pressure_in_sealed_bottle_bar_abs", key: at("%s °C", "t_degC"), only: upTo("t_degC", 10), compute: cooled(law),
			relative: true, unit: "%", tolerance: 10, why: "the laws are to enclose it (tested in gas), 10 % apart at most",
		})
	}
	const chain, sugar = "gas/closed_bottle_chain.csv", "gas/residual_sugar_for_pressure.csv"
	for _, c := range []struct {
		name, gauge, hexose string
		yield               float64
		law                 gas.Law
	}{
		{"careful", "gauge_bar_careful_y0.489_steep", "hexose_g_per_L_careful", gas.CarefulYield, gas.Steep},
		{"low", "gauge_bar_low_y0.46_flat", "hexose_g_per_L_low", 0.46, gas.Flat},
	} {
		bottle := gas.ClosedBottle{Volume: 0.750, Headspace: 0.020, Liquid: gas.Liquid{Ethanol: 12}, CO2: 0.8, Yield: c.yield, Law: c.law}
		all = append(all, comparison{
			quantity: "pressure of a closed bottle, " + c.name, table: chain, column: c.gauge,
			key: at("%s g/L hexose, %s °C", "residual_hexose_g_per_L", "t_degC"),
			compute: func(r tables.Row) (float64, error) {
				b := bottle
				b.Hexose = measure.GramsPerLitre(r.Number("residual_hexose_g_per_L"))
				return plain(b.Gauge(r.Celsius("t_degC")))
			},
			unit: "bar", tolerance: 0.006, why: "printed to 0.01",
		}, comparison{
			quantity: "sugar that may be left in it, " + c.name, table: sugar, column: c.hexose,
			key: at("%s bar, %s °C", "gauge_bar", "t_degC"),
			compute: func(r tables.Row) (float64, error) {
				return plain(bottle.HexoseFor(measure.Bar(r.Number("gauge_bar")), r.Celsius("t_degC")))
			},
			unit: "g/L", tolerance: 0.006, why: "printed to 0.01",
		})
	}
	return append(all, comparison{
		quantity: "where the wine fills the bottle", table: "gas/headspace_liquid_full.csv", column: "t_full_degC",
		key: at("%s mL headspace", "headspace_mL_at_20C"),
		compute: func(r tables.Row) (float64, error) {
			b := gas.ClosedBottle{Volume: measure.Litres(r.Number("volume_mL") / 1000), Headspace: measure.Litres(r.Number("headspace_mL_at_20C") / 1000)}
			return float64(b.FullAt()), nil
		},
		unit: "K", tolerance: 0.05, why: "printed to 0.1",
	})
}

// cooled computes the pressure of the cold row from that of the warm one, which is the
// last: the same bottle. Its headspace is not printed and left out, which is 2 %.
func cooled(law gas.Law) func(tables.Row) (float64, error) {
	return func(cold tables.Row) (float64, error) {
		rows := tables.Read("gas/champagne_bottle_pressure_vs_T.csv")
		warm, liquid := rows[len(rows)-1], gas.Liquid{Ethanol: 12.5, Sugar: 10}
		c, err := gas.Dissolved(measure.Bar(warm.Number("CO2_pressure_in_sealed_bottle_bar_abs")), liquid, warm.Celsius("t_degC"), law)
		if err != nil {
			return 0, err
		}
		return plain(gas.Pressure(c, liquid, cold.Celsius("t_degC"), law))
	}
}
