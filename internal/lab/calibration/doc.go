// Package calibration holds forecasts against fermentations that others measured.
//
// A folder has two files. series.csv is one observation a row: series_id, time_h (from
// pitching), quantity, value, unit. meta.csv says of each series what is known of it:
// series_id, dataset, and, each of them blank or missing where it is not known, volume_L,
// initial_sugar_g_per_L, initial_yan_mg_N_per_L, temperature_degC, yeast, juice. Other
// columns are not read.
//
//	Read        a folder, refusing what is malformed by file and row
//	Calibrate   every series from its first 25, 50 and 75 % of readings
//	Report      what came of it: coverage, errors, and what was assumed
//
// A series is read up to four times, once for each kind of reading it has: density;
// sugar with ethanol, turned into density; CO2; the weight of the vessel. A forecast knows
// meta.csv, the readings of its kind up to its share of them, and the temperatures up to
// the last of those. What is assumed where the data are silent is in assume.go, and in the
// report; the spreads of readings are in readings.go.
package calibration
