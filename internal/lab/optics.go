package lab

import (
	"math"

	"skep/internal/measure"
	"skep/internal/property/density"
	"skep/internal/property/optics"
	"skep/internal/property/sulphite"
	"skep/internal/reference/tables"
)

func refractions() []comparison {
	var all []comparison
	for _, s := range []struct {
		solute, table string
		limit         float64
		of            func(measure.MassFraction) density.Solution
	}{
		{"sucrose", "density/sucrose_crc_20C.csv", 50, func(w measure.MassFraction) density.Solution { return density.Solution{Sucrose: w} }},
		{"glucose", "density/glucose_crc_20C.csv", 48, func(w measure.MassFraction) density.Solution { return density.Solution{Glucose: w} }},
		{"fructose", "density/fructose_crc_20C.csv", 48, func(w measure.MassFraction) density.Solution { return density.Solution{Fructose: w} }},
		{"ethanol", "density/ethanol_crc_20C.csv", 30, func(w measure.MassFraction) density.Solution { return density.Solution{Ethanol: w} }},
		{"glycerol", "density/other_solutes_crc_20C.csv", 20, func(w measure.MassFraction) density.Solution { return density.Solution{Glycerol: w} }},
	} {
		all = append(all, comparison{
			quantity: "refractive index of " + s.solute + " in water, 20 °C", table: s.table, column: "refractive_index_20C_589nm_printed",
			key: at("%s %% mass", "mass_percent"),
			only: func(r tables.Row) bool {
				return r.Number("mass_percent") <= s.limit && (!r.Has("solute") || r.Text("solute") == s.solute)
			},
			compute:   func(r tables.Row) (float64, error) { return optics.Index(s.of(r.Share("mass_percent"))) },
			tolerance: 0.0001, why: "printed to 0.0001; our curve is fitted to these rows",
		})
	}
	return append(all, comparison{
		quantity: "Brix of a refractive index", table: "optics/sucrose_refractive_index_icumsa.csv", column: "sucrose_mass_percent",
		key: at("%s %% mass", "sucrose_mass_percent"),
		compute: func(r tables.Row) (float64, error) {
			w, err := optics.SucroseFromIndex(r.Number("refractive_index_20C_589nm"))
			return 100 * float64(w), err
		},
		unit: "% mass",
	}, comparison{
		quantity: "correction of a refractometer, 5 to 17 °C", table: "optics/refractometer_temperature_correction_oiv.csv", column: "correction_to_add_mass_percent",
		key: at("%s %% mass at %s °C", "reading_mass_percent_sucrose", "temperature_C"),
		compute: func(r tables.Row) (float64, error) {
			reading := r.Share("reading_mass_percent_sucrose")
			got, _, err := optics.CorrectBrix(reading, r.Celsius("temperature_C"))
			return math.Round(1e8*float64(got-reading)) / 1e6, err // what is beyond is the processor's rounding
		},
		unit: "% mass", tolerance: 1e-6, why: "the table itself is used: arithmetic",
	}, comparison{
		quantity: "water of a honey by its refractive index", table: "optics/honey_refractive_index_moisture.csv", column: "water_g_per_100g",
		key: at("n %s", "refractive_index_20C"),
		compute: func(r tables.Row) (float64, error) {
			w, err := optics.HoneyWater(r.Number("refractive_index_20C"), 20)
			return 100 * float64(w), err
		},
		unit: "g/100 g", tolerance: 0.03, why: "n is printed to 0.0001, of which half is 0.02; constants of five digits",
	})
}

const usGallon = 3.785411784 // L

func sulphites() []comparison {
	const molecular, addition = "sulphite/so2_molecular_rows.csv", "sulphite/metabisulfite_addition.csv"
	wine := func(r tables.Row) sulphite.Wine {
		return sulphite.Wine{PH: r.Number("pH"), Ethanol: measure.PercentVol(r.Number("alcohol_percent_vol")), At: r.Celsius("t_degC")}
	}
	key := at("pH %s, %s %% vol, %s °C", "pH", "alcohol_percent_vol", "t_degC")
	salt := func(r tables.Row) (float64, error) {
		return plain(sulphite.Metabisulphite(measure.MgPerLitre(r.Number("SO2_ppm")), 1, usGallon))
	}
	const facts = "sulphite/so2_sorbate_limits.csv"
	return []comparison{
		{
			quantity: "sorbic acid in potassium sorbate", table: facts, column: "value", key: at("%s", "item"), only: only("item", "Potassium sorbate to"),
			compute: func(tables.Row) (float64, error) { return sulphite.SorbicShare, nil },
			unit:    "g/g", tolerance: 0.0001, why: "printed to 0.0001", status: tables.Computed, source: "masses",
		},
		{
			quantity: "SO2 in potassium metabisulphite", table: facts, column: "value", key: at("%s", "item"), only: only("item", "Potassium metabisulfite to"),
			compute: func(tables.Row) (float64, error) { return sulphite.SO2Share, nil },
			unit:    "g/g", tolerance: 0.0001, why: "printed to 0.0001", status: tables.Computed, source: "masses",
		},
		{
			quantity: "molecular share of free SO2", table: molecular, column: "molecular_percent_of_free", key: key, source: "oiv-as323-04c",
			compute: func(r tables.Row) (float64, error) {
				share, err := wine(r).MolecularShare(sulphite.Printed)
				return 100 * float64(share), err
			},
			unit: "% of the free", tolerance: 0.03, why: "printed to 0.01, by a constant rounded to 0.001: 0.12 % of as much as 18.5",
		},
		{
			quantity: "free SO2 for 0.8 mg/L molecular", table: molecular, column: "free_for_0.8_mg_L", key: key, source: "oiv-as323-04c",
			compute: func(r tables.Row) (float64, error) { return plain(wine(r).FreeFor(0.8, sulphite.Printed)) },
			unit:    "mg/L", tolerance: 0.23, why: "printed to 0.1, by a constant rounded to 0.001: 0.12 % of as much as 152",
		},
		{
			quantity: "free SO2 for 0.8 mg/L molecular, carefully", table: molecular, column: "free_for_0.8_pk1.81", key: key, source: "so2-fixed-pk",
			only:    func(r tables.Row) bool { return r.Number("alcohol_percent_vol") > 0 }, // below 5 % vol the other constant is the careful one
			compute: func(r tables.Row) (float64, error) { return plain(wine(r).FreeFor(0.8, sulphite.Careful)) },
			unit:    "mg/L", tolerance: 0.06, why: "printed to 0.1",
		},
		{
			quantity: "metabisulphite for an addition", table: addition, column: "computed_K2S2O5_g", key: at("%s mg/L", "SO2_ppm"), compute: salt,
			unit: "g per US gallon", tolerance: 0.00006, why: "printed to 0.0001",
		},
		{
			quantity: "metabisulphite for an addition, as printed", table: addition, column: "printed_K2S2O5_g", key: at("%s mg/L", "SO2_ppm"), compute: salt,
			relative: true, unit: "%", tolerance: 2.8, why: "the print lies 2.6 % below its own stoichiometry",
		},
		{
			quantity: "dose of potassium sorbate", table: "sulphite/sorbate_dose.csv", column: "potassium_sorbate_mg_per_L",
			key: at("%s %% vol, pH %s", "alcohol_percent_vol", "pH"),
			compute: func(r tables.Row) (float64, error) {
				return plain(sulphite.Sorbate(measure.PercentVol(r.Number("alcohol_percent_vol")), r.Number("pH")))
			},
			unit: "mg/L", tolerance: 2.1, why: "the table itself is used, but not above 200 mg/L of sorbic acid: 267.9, not 270",
		},
	}
}
