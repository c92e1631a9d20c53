package lab

import (
	"fmt"
	"strings"

	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/gas"
	"skep/internal/property/heat"
	"skep/internal/property/sulphite"
	"skep/internal/reference/tables"
)

// verifications hold Skep against what formulas gave elsewhere, beside published values.
// Rows outside of Skep's ranges, or of the gas itself, are walked in gas.
func verifications() []comparison {
	var all []comparison
	add := func(words string, c comparison) {
		c.table, c.column, c.key = "gas/verification.csv", "computed", at("%s", "check")
		fits, warm := c.only, " at 50 degC "
		c.only = func(r tables.Row) bool {
			check := r.Text("check")
			return strings.Contains(check, words) && !strings.Contains(check, warm) && (fits == nil || fits(r))
		}
		all = append(all, c)
	}
	water := comparison{
		quantity: "CO2 in water, by the same formula", source: "carroll1991", relative: true, unit: "%", tolerance: 0.04, why: "four digits, of which half is 0.04 %",
		compute: func(r tables.Row) (float64, error) {
			t, err := celsius(r)
			if err != nil {
				return 0, err
			}
			return perThousand(1, t)
		},
	}
	add("vs Carroll", water)
	water.quantity, water.source, water.tolerance, water.why = "CO2 in water, by another formula", "weiss1974", 0, ""
	water.aside = "another formula than ours: they part by the 2 % that water is known to"
	water.only = only("check", "CRC")
	add("vs Weiss", water)
	water.quantity = "CO2 in water as volumes, by that formula"
	water.only = only("check", "Murray")
	water.compute = func(r tables.Row) (float64, error) {
		t, err := celsius(r)
		if err != nil {
			return 0, err
		}
		c, err := gas.InWater(gas.Atmosphere, t)
		return gas.Volumes(c), err
	}
	add("vs Weiss", water)

	champagne := gas.Liquid{Ethanol: 12.5, Sugar: 10}
	for _, law := range laws {
		name := law.String()
		add(name+" factor", comparison{
			quantity: "a champagne bottle cooled, by the same " + name + " law", only: only("topic", "bottle"), source: "champagne2017",
			compute: func(tables.Row) (float64, error) {
				return cooled(law)(tables.Read("gas/champagne_bottle_pressure_vs_T.csv")[0])
			},
			unit: "bar", aside: "reckoned there with a headspace that is not told, where 25 mL to 750 would give both laws; ours leaves it out",
		})
		add(name+" factor", comparison{
			quantity: "CO2 in champagne at 10 °C, by the same " + name + " law", only: only("topic", "Henry"), source: "oiv-as314-01",
			compute: func(tables.Row) (float64, error) { return gas.Solubility(champagne, 10, law) },
			unit:    "g/L per bar", tolerance: 0.001, why: "printed to 0.001",
		})
	}
	add("vs flat water factor", comparison{
		quantity: "pressure at 20 °C from another, by the same flat law", source: "carroll1991",
		compute: func(r tables.Row) (float64, error) {
			t, err := celsius(r)
			if err != nil {
				return 0, err
			}
			return toTwenty(t)
		},
		tolerance: 0.001, why: "printed to 0.001",
	})
	add("OIV 1.951/0.987", comparison{
		quantity: "a volume of CO2", source: "masses",
		compute: func(tables.Row) (float64, error) { return float64(gas.FromVolumes(1)), nil },
		unit:    "g/L", tolerance: 0.001, why: "printed to 0.001",
	})
	add("24 g/L sucrose", comparison{
		quantity: "pressure of a sparkling wine at 12 °C", source: "oiv-as314-01",
		compute: func(tables.Row) (float64, error) {
			return plain(gas.ClosedBottle{
				Volume: 0.750, Headspace: 0.020, Liquid: gas.Liquid{Ethanol: 12}, CO2: 0.8,
				Hexose: 24 * must.HexosePerSucrose, Yield: gas.UsualYield, Law: gas.Steep,
			}.Gauge(12))
		},
		unit: "bar", aside: "reckoned there for a bottle that is not told; ours is that of the other tables, 12 % vol with 20 mL of headspace",
	})
	add("cellar chart", comparison{
		quantity: "free SO2 of a cellar chart", source: "so2-fixed-pk",
		compute: func(r tables.Row) (float64, error) {
			var ph float64
			_, after, _ := strings.Cut(r.Text("check"), " at pH ")
			if after == "" {
				_, after, _ = strings.Cut(r.Text("check"), " at ")
			}
			if _, err := fmt.Sscanf(after, "%g", &ph); err != nil {
				return 0, err
			}
			return plain(sulphite.Wine{PH: ph, Ethanol: 12, At: 20}.FreeFor(0.8, sulphite.Careful))
		},
		unit: "mg/L", tolerance: 0.01, why: "printed to 0.01",
	})
	add("potassium metabisulfite", comparison{
		quantity: "SO2 in metabisulphite", source: "masses",
		compute: func(tables.Row) (float64, error) { return 100 * sulphite.SO2Share, nil },
		unit:    "%", tolerance: 0.01, why: "printed to 0.01",
	})
	add("university table", comparison{
		quantity: "metabisulphite for 50 mg/L", source: "masses",
		compute: func(tables.Row) (float64, error) { return plain(sulphite.Metabisulphite(50, 1, usGallon)) },
		unit:    "g per US gallon", tolerance: 0.0001, why: "printed to 0.0001",
	})
	add("vs sugar formula", comparison{
		quantity: "specific heat of honey, by the same formula", source: "bubnik1995",
		compute: func(r tables.Row) (float64, error) {
			var water float64
			if _, err := fmt.Sscanf(r.Text("check"), "honey %g", &water); err != nil {
				return 0, err
			}
			return heat.SpecificHeat(measure.MassFraction(1-water/100), 20)
		},
		unit: "kJ/(kg K)", tolerance: 0.001, why: "printed to 0.001",
	})
	add("formation enthalpies", comparison{
		quantity: "heat of fermentation, by enthalpies", source: "masses",
		compute: func(tables.Row) (float64, error) { return heat.PerHexose * 180.156, nil },
		unit:    "kJ/mol", aside: "Skep takes the round 100 of the printed 24 kcal/mol",
	})
	return all
}

// celsius is the temperature of a check, "… at 1.04 degC …".
func celsius(r tables.Row) (measure.Celsius, error) {
	_, after, _ := strings.Cut(r.Text("check"), " at ")
	var t float64
	_, err := fmt.Sscanf(after, "%g degC", &t)
	return measure.Celsius(t), err
}
