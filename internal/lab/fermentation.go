package lab

import (
	"math"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/reference/tables"
)

func fermentations() []comparison {
	const trajectories, recalled = "kinetics/trajectories.csv", "kinetics/recalled_T_law_trajectories.csv"
	var all []comparison
	for _, c := range []struct {
		name, column string
		of           func(kinetics.Levels) float64
	}{
		{"sugar", "S_g_per_L", func(l kinetics.Levels) float64 { return l.Sugar }},
		{"ethanol", "E_g_per_L", func(l kinetics.Levels) float64 { return l.Ethanol }},
	} {
		all = append(all, comparison{
			quantity: c.name + " in a fermentation", table: trajectories, column: c.column,
			key: at("%s, %s h", "case", "time_h"),
			compute: func(r tables.Row) (float64, error) {
				p, start := ofCase(r.Text("case"))
				l, err := follow(p, 20, start, measure.Hours(r.Number("time_h")))
				return c.of(l), err
			},
			unit: "g/L", tolerance: 0.02, why: "1e-4 of a must's 200 g/L; an integration that keeps 1e-6 a step may gather so much",
		}, comparison{
			quantity: c.name + " by the recalled law of temperature", table: recalled, column: c.column,
			key: at("%s °C, %s mg/L nitrogen, %s h", "T_degC", "N0_mg_N_per_L", "time_h"),
			compute: func(r tables.Row) (float64, error) {
				p, start := ofRecalled(r)
				l, err := follow(p, r.Celsius("T_degC"), start, measure.Hours(r.Number("time_h")))
				return c.of(l), err
			},
			unit: "g/L",
		})
	}
	return all
}

// follow runs a must from pitching to an hour at a steady temperature.
func follow(p kinetics.Parameters, t measure.Celsius, start kinetics.Levels, until measure.Hours) (kinetics.Levels, error) {
	f := kinetics.New()
	if err := f.Begin(p, kinetics.Course{{T: t}}, start); err != nil {
		return kinetics.Levels{}, err
	}
	err := f.Follow(until, nil, nil)
	return f.Levels(), err
}

// ofCase is a case of trajectory_parameters.csv.
func ofCase(name string) (kinetics.Parameters, kinetics.Levels) {
	for _, k := range tables.Read("kinetics/trajectory_parameters.csv") {
		if k.Text("case") != name {
			continue
		}
		return kinetics.Parameters{
			Growth: k.Number("mu_max_per_h"), GrowthHalf: k.Number("K_N_g_per_L"), CellsPerNitrogen: k.Number("Y_X_per_N_g_per_g"),
			Use: k.Number("beta_max_g_ethanol_per_g_cells_per_h"), UseHalf: k.Number("K_S_g_per_L"),
			EthanolPerSugar: k.Number("Y_E_per_S_g_per_g"), Damage: k.Number("k_d_L_per_g_per_h"),
		}, kinetics.Levels{
			Cells: k.Number("X0_g_per_L"), Active: k.Number("X0_g_per_L"), Nitrogen: k.Number("N0_g_per_L"), Sugar: k.Number("S0_g_per_L"),
		}
	}
	panic("lab: no case " + name)
}

// ofRecalled is the must of a row of the recalled law, its rates those of 20 °C.
func ofRecalled(r tables.Row) (kinetics.Parameters, kinetics.Levels) {
	n := r.Number("N0_mg_N_per_L")
	return kinetics.Parameters{
		Growth: math.Exp(-3.92 + 0.0782*20), GrowthHalf: math.Exp(-4.73), CellsPerNitrogen: math.Exp(3.50 - 0.00361*n),
		Use: math.Exp(-2.30 + 0.0771*20), UseHalf: math.Exp(2.33),
		EthanolPerSugar: math.Exp(-0.598), Damage: math.Exp(-9.81 - 0.108*20 + 0.00478*400),
	}, kinetics.Levels{Cells: 0.2, Active: 0.2, Nitrogen: n / 1000, Sugar: r.Number("S0_g_per_L")}
}
