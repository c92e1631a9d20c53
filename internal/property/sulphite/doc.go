// Package sulphite computes doses of sulphur dioxide and of sorbate.
//
// Amounts of SO2 are mg/L; free, bound and total as analysts use the words. What protects
// is the molecular share of the free, and that falls tenfold for each pH.
//
//	Wine.MolecularShare    [oiv-as323-04c]   and the constant of common charts
//	Wine.Molecular         the same          molecular SO2 that there is
//	Wine.FreeFor           the same          free SO2 for a molecular goal
//	Metabisulphite         [masses]          grams of potassium metabisulphite for it
//	Sorbate                [underhill]       potassium sorbate by strength and pH
//
// Neither stops a working fermentation, and sulphite alone does not keep a sweet wine
// from waking. Some people fall ill of sulphites: tell guests. What laws allow is in
// reference.Limits.
//
// Keys in brackets are rows of internal/reference/sources.csv.
package sulphite
