package calc

import (
	"errors"

	"skep/internal/advice"
	"skep/internal/measure"
	"skep/internal/property/sulphite"
)

var calcSO2 = Calculation{
	Name:     "so2",
	Question: "How much free SO2 protects a wine, and how much metabisulphite gives it?",
	Inputs: []Input{
		{Name: "ph", Help: "pH of the wine: 3.4"},
		{Name: "ethanol", Help: "alcohol (default 12 %vol)"},
		{Name: "at", Help: "temperature of the wine (default 20 C); warmth is not credited"},
		{Name: "molecular", Help: `molecular SO2 wanted: "0.8 mg/L" in a white or sweet wine, "0.5 mg/L" in a dry or red one (common practice)`},
		{Name: "free", Help: `or free SO2, wanted or measured: "30 mg/L"`},
		{Name: "present", Help: `free SO2 that is there already: "10 mg/L" (default none)`},
		{Name: "volume", Help: `wine, for the grams that it takes: "4.5 L"`},
	},
	Examples: []string{`--ph 3.4 --ethanol "12 %vol" --molecular "0.8 mg/L" --volume "4.5 L"`, `--ph 3.6 --free "30 mg/L"`},
	Method: "What protects is the molecular share of the free SO2, 1/(1 + 10^(pH − pK)), which falls tenfold for each pH. The pK is the 1.81 of common charts, " +
		"or that of the OIV at 20 °C where it asks for more; what the OIV's alone would say stands beside it. It rises with warmth, steeply and disputed, " +
		"which is not credited. Of what is added 35 to 75 % stays free; the rest binds. Potassium metabisulphite is 57.6 % SO2.",
	Sources: []string{"oiv-as323-04c", "so2-fixed-pk", "so2-kept-free", "masses", "eu-2019-934", "eu-1333-2008", "cfr27-4-22", "codex-gsfa-14-2-3"},
	Valid:   "pH 2.5 to 4.5; to 20 % vol; molecular to 2 mg/L, free to 500 mg/L; fresh salt",
	reckon:  (*reckoning).so2,
}

// mgPerLitre of a concentration, which is kept in g/L.
func mgPerLitre(k *known) measure.MgPerLitre { return measure.MgPerLitre(1000 * k.is) }

func (r *reckoning) so2() error {
	ph, err := r.needed("ph", measure.Acidity)
	if err != nil {
		return err
	}
	ethanol, err := r.or("ethanol", 12, measure.Strength)
	if err != nil {
		return err
	}
	at, err := r.or("at", 20, measure.Temperature)
	if err != nil {
		return err
	}
	way, err := r.oneOf("molecular", "free")
	if err != nil {
		return err
	}
	said, err := r.needed(way, measure.Concentration)
	if err != nil {
		return err
	}
	wine := func() sulphite.Wine {
		return sulphite.Wine{PH: ph.is, Ethanol: measure.PercentVol(ethanol.is), At: 20}
	}
	// figures gives free and molecular SO2, and the one that was not said by the OIV's constant.
	figures := func() ([]float64, error) {
		w, amount := wine(), mgPerLitre(said)
		if way == "molecular" {
			free, err := w.FreeFor(amount, sulphite.Careful)
			if err != nil {
				return nil, err
			}
			printed, err := w.FreeFor(amount, sulphite.Printed)
			return []float64{float64(free), float64(amount), float64(printed)}, err
		}
		molecular, err := w.Molecular(amount, sulphite.Careful)
		if err != nil {
			return nil, err
		}
		printed, err := w.Molecular(amount, sulphite.Printed)
		return []float64{float64(amount), float64(molecular), float64(printed)}, err
	}
	outputs := []output{{"free", "free SO2", "mg/L"}, {"molecular", "of it molecular", "mg/L"}}
	if way == "molecular" {
		outputs = append(outputs, output{"free_printed", "free, by the OIV's constant alone", "mg/L"})
	} else {
		outputs = append(outputs, output{"molecular_printed", "molecular, by the OIV's constant alone", "mg/L"})
	}
	if err := r.shares(wine(), measure.Celsius(at.is)); err != nil {
		return err
	}
	if r.said("volume") == "" {
		if r.said("present") != "" {
			return ask("present", r.said("present"), "", errors.New("goes with volume"))
		}
		if way == "molecular" {
			said.low, said.high = said.is, said.is // a wish has no spread
		}
		if err := r.give(figures, outputs...); err != nil {
			return err
		}
	} else {
		said.low, said.high = said.is, said.is
		if err := r.addSulphite(figures, outputs); err != nil {
			return err
		}
	}
	r.note(neverStops)
	r.note("%s", lawful("sulphur dioxide"))
	r.note("%s", advice.Caution(advice.Sulphites))
	return nil
}

// shares tells the molecular share by each constant, and what the temperature does to it.
func (r *reckoning) shares(w sulphite.Wine, at measure.Celsius) error {
	careful, err := w.MolecularShare(sulphite.Careful)
	if err != nil {
		return err
	}
	printed, err := w.MolecularShare(sulphite.Printed)
	if err != nil {
		return err
	}
	r.step("%.2f %% of the free SO2 is molecular by the careful constant [so2-fixed-pk], %.2f %% by the OIV's at 20 °C [oiv-as323-04c]", 100*careful, 100*printed)
	switch {
	case at < 20:
		r.note("below 20 °C no constant was found: if it goes on falling as the OIV's does, less is molecular in the cold than is said here")
	case at > 20 && at <= 30:
		w.At = at
		warm, err := w.MolecularShare(sulphite.Printed)
		if err != nil {
			return err
		}
		r.step("at %g °C the OIV's table makes it %.2f %%: disputed, and not credited", at, 100*warm)
	case at > 30:
		r.note("above 30 °C the table is not read; warmth is not credited in any case")
	}
	return nil
}

// addSulphite gives the figures, and the grams that raise the free SO2 to them.
func (r *reckoning) addSulphite(figures func() ([]float64, error), outputs []output) error {
	volume, err := r.litres("volume")
	if err != nil {
		return err
	}
	present, err := r.or("present", 0, measure.Concentration)
	if err != nil {
		return err
	}
	share := r.between(float64(sulphite.LeastFree+sulphite.MostFree)/2, float64(sulphite.LeastFree), float64(sulphite.MostFree))
	grams := func(rise measure.MgPerLitre, share float64) (float64, error) {
		g, err := sulphite.Metabisulphite(rise, measure.MassFraction(share), measure.Litres(volume.is))
		return float64(g), err
	}
	rise := func(free float64) measure.MgPerLitre { return max(0, measure.MgPerLitre(free)-mgPerLitre(present)) }
	central, err := figures()
	if err != nil {
		return err
	}
	least, err := grams(rise(central[0]), float64(sulphite.MostFree))
	if err != nil {
		return err
	}
	unbound, err := grams(rise(central[0]), 1)
	if err != nil {
		return err
	}
	r.step("free SO2 is to rise by %.1f mg/L: %.3f g of salt in %.3f L if none were bound [masses]", rise(central[0]), unbound, volume.is)
	if least > 0 {
		r.step("35 to 75 %% of an addition stays free [so2-kept-free]: %.3f to %.3f g", least, unbound/float64(sulphite.LeastFree))
		r.note("how much binds differs from wine to wine: begin with %.2f g, measure the free SO2 a day later, and add the rest", least)
	} else {
		r.note("that much is there already: nothing needs to be added")
	}
	return r.giveSalt(func() ([]float64, error) {
		f, err := figures()
		if err != nil {
			return nil, err
		}
		g, err := grams(rise(f[0]), share.is)
		return append(f, float64(rise(f[0]))/share.is, g), err
	}, append(outputs, output{"added", "SO2 that goes in, bound and free", "mg/L"},
		output{"metabisulphite", "potassium metabisulphite", "g"})...)
}
