package calibration

import (
	"fmt"
	"math"
	"slices"

	"skep/internal/measure"
)

// Score sums up forecasts. What could not be computed is null.
type Score struct {
	Forecasts    int      `json:"forecasts"`
	Readings     int      `json:"readings"`             // later ones, held against a band
	Coverage     *float64 `json:"coverage80"`           // share of them within the 80 % band of a reading
	Below        *float64 `json:"below"`                // share under it: read lower than foretold
	Above        *float64 `json:"above"`                // share over it
	Width        *float64 `json:"band_width_median"`    // of the band, SG
	DensityError *float64 `json:"density_error_median"` // of the last reading, without its sign, SG
	DensityBias  *float64 `json:"density_bias_median"`  // forecast minus reading, SG
	TimeError    *float64 `json:"time_error_median"`    // of the hour of 95 % of the drop, share of it
	TimeBias     *float64 `json:"time_bias_median"`     // above zero: foretold later than it was
	Timed        int      `json:"timed"`                // forecasts with such an hour still to come
	Contradicted int      `json:"contradicted"`         // forecasts that did not believe their readings
}

// Group is the score of some of the forecasts.
type Group struct {
	Name string `json:"name"`
	Score
}

// SeriesScore is the score of one series by one kind of reading.
type SeriesScore struct {
	ID      string  `json:"series_id"`
	Dataset string  `json:"dataset"`
	Kind    string  `json:"kind"`
	Score           // over all shares
	Shares  []Group `json:"by_share"`
}

// LeftOut is a series that could not be forecast, and why.
type LeftOut struct {
	ID     string `json:"series_id"`
	Kind   string `json:"kind,omitzero"`
	Reason string `json:"reason"`
}

// Report is what came of a folder; densities in SG 20/20. Errors of weights and CO2 are
// counted as the density that the must loses with so much CO2.
type Report struct {
	Score                     // over all
	ByShare     []Group       `json:"by_share"`
	ByDataset   []Group       `json:"by_dataset"`
	ByKind      []Group       `json:"by_kind"`
	ByYeast     []Group       `json:"by_yeast"` // as understood
	Series      []SeriesScore `json:"series"`
	LeftOut     []LeftOut     `json:"left_out"`
	Assumptions []string      `json:"assumptions"`
}

// Calibrate forecasts every series and sums up. It calls progress, if there is one, after each.
//
// Repeats: the same folder gives the same report, as estimate.Sampler does.
func (folder Folder) Calibrate(progress func(done, of int)) Report {
	report := Report{LeftOut: []LeftOut{}, Assumptions: assumptions}
	var all []*forecast
	for i, s := range folder.series {
		tried := false
		for _, k := range kinds {
			forecasts, err := s.forecasts(k)
			if err != nil {
				report.LeftOut = append(report.LeftOut, LeftOut{s.id, string(k), err.Error()})
			}
			if len(forecasts) > 0 {
				of := SeriesScore{ID: s.id, Dataset: s.dataset, Kind: string(k), Score: score(forecasts), Shares: group(forecasts, byShare)}
				report.Series = append(report.Series, of)
			}
			all = append(all, forecasts...)
			tried = tried || err != nil || len(forecasts) > 0
		}
		if !tried {
			report.LeftOut = append(report.LeftOut, LeftOut{ID: s.id, Reason: "no reading to forecast"})
		}
		if progress != nil {
			progress(i+1, len(folder.series))
		}
	}
	report.Score = score(all)
	report.ByShare = group(all, byShare)
	report.ByDataset = group(all, func(f *forecast) string { return f.trial.series.dataset })
	report.ByKind = group(all, func(f *forecast) string { return string(f.trial.readings.kind) })
	report.ByYeast = group(all, func(f *forecast) string { return f.trial.situation.Yeast.Name })
	return report
}

func byShare(f *forecast) string { return fmt.Sprintf("from %.0f %%", 100*f.share) }

func (s *series) forecasts(k kind) ([]*forecast, error) {
	t, err := s.trial(k)
	if err != nil || t == nil {
		return nil, err
	}
	var all []*forecast
	for _, share := range shares {
		f, err := t.from(share)
		if err != nil {
			return nil, err
		}
		all = append(all, f)
	}
	return all, nil
}

func group(all []*forecast, by func(*forecast) string) []Group {
	parts := map[string][]*forecast{}
	for _, f := range all {
		parts[by(f)] = append(parts[by(f)], f)
	}
	groups := []Group{}
	for name, part := range parts {
		groups = append(groups, Group{name, score(part)})
	}
	slices.SortFunc(groups, func(a, b Group) int {
		if a.Name < b.Name {
			return -1
		}
		return 1
	})
	return groups
}

func score(forecasts []*forecast) Score {
	s := Score{Forecasts: len(forecasts)}
	within, below, above := 0, 0, 0
	var widths, off, bias, late, lateBias []float64
	for _, f := range forecasts {
		within, below, above = within+f.within, below+f.below, above+f.above
		widths = append(widths, f.widths...)
		off, bias = append(off, math.Abs(f.density)), append(bias, f.density)
		if !math.IsNaN(f.hour) {
			late, lateBias = append(late, math.Abs(f.hour)), append(lateBias, f.hour)
		}
		if f.contradicted {
			s.Contradicted++
		}
	}
	s.Readings, s.Timed = within+below+above, len(late)
	share := func(n int) *float64 {
		if s.Readings == 0 {
			return nil
		}
		v := float64(n) / float64(s.Readings)
		return &v
	}
	s.Coverage, s.Below, s.Above = share(within), share(below), share(above)
	s.Width, s.DensityError, s.DensityBias = median(widths), median(off), median(bias)
	s.TimeError, s.TimeBias = median(late), median(lateBias)
	return s
}

func median(values []float64) *float64 {
	if len(values) == 0 {
		return nil
	}
	v := measure.RangeOf(values, "").Value
	return &v
}
