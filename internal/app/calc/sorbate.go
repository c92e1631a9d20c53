package calc

import (
	"skep/internal/advice"
	"skep/internal/measure"
	"skep/internal/property/sulphite"
)

var calcSorbate = Calculation{
	Name:     "sorbate",
	Question: "How much potassium sorbate keeps a sweet wine from fermenting again?",
	Inputs: []Input{
		{Name: "volume", Help: `wine: "4.5 L"`},
		{Name: "ethanol", Help: `alcohol: "12 %vol"`},
		{Name: "ph", Help: "pH of the wine (default 3.5, the highest that is printed and asks for most)"},
	},
	Examples: []string{`--volume "4.5 L" --ethanol "12 %vol" --ph 3.3`, `--volume "1 gal" --ethanol "11 %vol"`},
	Method: "Linear between the printed doses for 10 to 14 % vol and pH 3.1 to 3.5. A stronger or sourer wine takes the dose of the table's edge. " +
		"Never above 200 mg/L of sorbic acid, which is 268 mg/L of potassium sorbate.",
	Sources: []string{"underhill", "oiv-code-ii-3-4-5", "codex-gsfa-14-2-3", "cfr27-24-246", "masses"},
	Valid:   "10 to 20 % vol, pH 2.5 to 3.5; a clear wine of few cells that holds SO2: weaker or less sour, no dose is printed that holds",
	reckon:  (*reckoning).sorbate,
}

func (r *reckoning) sorbate() error {
	volume, err := r.litres("volume")
	if err != nil {
		return err
	}
	ethanol, err := r.needed("ethanol", measure.Strength)
	if err != nil {
		return err
	}
	ph, err := r.or("ph", 3.5, measure.Acidity)
	if err != nil {
		return err
	}
	figures := func() ([]float64, error) {
		dose, err := sulphite.Sorbate(measure.PercentVol(ethanol.is), ph.is)
		d := float64(dose)
		return []float64{d, sulphite.SorbicShare * d, d / 1000 * volume.is}, err
	}
	central, err := figures()
	if err != nil {
		return err
	}
	// What lies beyond the table's weak or mild edge is no reason to give more: there no
	// dose is known to hold.
	for _, edge := range []struct {
		input, than string
		at, end     *float64
	}{{"ethanol", "weaker", &ethanol.is, &ethanol.low}, {"ph", "less sour", &ph.is, &ph.high}} {
		if r.said(edge.input) == "" {
			continue
		}
		is := *edge.at
		*edge.at = *edge.end
		if _, err := figures(); err != nil {
			*edge.end = is
			r.note("at the edge of the table: if it is a little %s than said, no dose is known to hold", edge.than)
		}
		*edge.at = is
	}
	r.step("at %.1f %% vol and pH %.2f the table asks for %.0f mg/L [underhill], of which %.0f mg/L are sorbic acid [masses]", ethanol.is, ph.is, central[0], central[1])
	r.step("in %.3f L that is %.2f g", volume.is, central[2])
	if err := r.giveSalt(figures, output{"dose", "potassium sorbate", "mg/L"}, output{"sorbic_acid", "of it sorbic acid", "mg/L"},
		output{"sorbate", "potassium sorbate to add", "g"}); err != nil {
		return err
	}
	r.note(neverStops)
	r.note("give %.0f mg/L of SO2 or more with it (common practice): where lactic bacteria live they turn sorbate into a smell of geraniums that nothing takes away", advice.LeastSulphite)
	r.note("%s", lawful("sorbic acid"))
	return nil
}
