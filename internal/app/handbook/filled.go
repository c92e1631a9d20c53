package handbook

import (
	"fmt"
	"strings"
	"text/template"

	"skep/internal/advice"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/nutrient"
	"skep/internal/property/sulphite"
	"skep/internal/reference"
)

// filled puts into a topic what is known elsewhere.
func filled(name, text string) (string, error) {
	t, err := template.New(name).Funcs(template.FuncMap{
		"caution":  func(key string) string { return "> " + advice.Caution(advice.CautionKey(key)) },
		"cautions": cautions,
		"bottles":  bottles,
		"closures": closures,
		"windows":  func() string { return list(advice.WindowWords()) },
		"limits":   limits,
		"sorbate":  sorbate,
		"sources":  sources,
		"yeasts":   yeasts,
	}).Parse(text)
	if err != nil {
		return "", err
	}
	var out strings.Builder
	err = t.Execute(&out, rules)
	return out.String(), err
}

// rules are numbers that advice goes by, and topics speak of.
var rules = struct {
	WaitingDays, GravityDays, WeightDays int
	EqualGravity, LittleSugar            float64               // SG, g/L
	SampleTrusted, SampleTop             float64               // % vol up to which a sample shows that none is left; is worth a try
	StrongGlass                          measure.Bar           // for a still wine that no sample has shown to be dry
	Warmest, ColdUntold                  measure.Celsius       // storage; where a yeast not known may only rest
	Sparkling                            measure.Bar           // what a bottle for sparkling wine bears
	TastingGlass                         int                   // mL that need no bottle
	LeastSulphite                        float64               // mg/L of SO2 beside sorbate
	SulphiteGrams                        float64               // of potassium metabisulphite in 4.5 L, for that
	SulphiteDays                         int                   // that it counts for
	MostSalt                             measure.GramsPerLitre // of ammonium
	LeastKept, MostKept                  int                   // SO2 that stays free, %
	ColdKeeps, HeatTo                    measure.Celsius       // kept in the cold; pasteurised
	HeatMinutes                          int
}{
	WaitingDays: advice.WaitingDays, GravityDays: advice.GravityDays, WeightDays: advice.WeightDays,
	EqualGravity: advice.EqualGravity, LittleSugar: advice.LittleSugar,
	SampleTrusted: advice.SampleTrusted, SampleTop: advice.SampleTop, StrongGlass: advice.StrongGlass,
	Warmest: advice.WarmestUntold, ColdUntold: advice.YeastLowUntold,
	Sparkling:     advice.SparklingLimit,
	TastingGlass:  must.TastingGlass,
	LeastSulphite: advice.LeastSulphite, MostSalt: nutrient.MostSalt,
	SulphiteGrams: advice.LeastSulphite / 1000 * 4.5 / sulphite.SO2Share,
	SulphiteDays:  int(advice.SulphiteLasts.Hours() / 24),
	ColdKeeps:     advice.ColdKeeps, HeatTo: advice.HeatTo, HeatMinutes: advice.HeatMinutes,
	LeastKept: int(100 * sulphite.LeastFree), MostKept: int(100 * sulphite.MostFree),
}

func list(lines []string) string { return "- " + strings.Join(lines, "\n- ") }

func cautions() string {
	var lines []string
	for _, k := range advice.Cautions {
		when, source := advice.CautionWhen(k)
		lines = append(lines, fmt.Sprintf("%s (%s; %s)", advice.Caution(k), when, source))
	}
	return list(lines)
}

func bottles() string {
	var lines []string
	for _, b := range reference.Bottles() {
		lines = append(lines, fmt.Sprintf("%s: %g bar; %s (%s) [%s]", b.Name, b.Limit, b.Why, b.Status, strings.Join(b.Sources, "] [")))
	}
	return list(lines)
}

func closures() string {
	var lines []string
	for _, c := range reference.Closures() {
		keys := ""
		if len(c.Sources) > 0 {
			keys = " [" + strings.Join(c.Sources, "] [") + "]"
		}
		lines = append(lines, fmt.Sprintf("%s, on %s: %s%s", c.Name, strings.Join(c.Bottles, " and "), c.Why, keys))
	}
	return list(lines)
}

func limits(substance string) (string, error) {
	var lines []string
	for _, l := range reference.Limits(substance) {
		lines = append(lines, fmt.Sprintf("%s, %s: %g %s (%s) [%s]", l.Where, l.What, l.Value, l.Unit, l.Status, strings.Join(l.Sources, "] [")))
	}
	if lines == nil {
		return "", fmt.Errorf("no limits are known of %q", substance)
	}
	return list(lines), nil
}

// sorbate is the dose by strength at the highest pH printed.
func sorbate() (string, error) {
	var lines []string
	for strength := measure.PercentVol(10); strength <= 14; strength++ {
		dose, err := sulphite.Sorbate(strength, 3.5)
		if err != nil {
			return "", err
		}
		lines = append(lines, fmt.Sprintf("%g %% vol: %.0f mg/L, which is %.3f g for each litre", strength, dose, dose/1000))
	}
	return list(lines), nil
}

func sources() string {
	var lines []string
	for _, e := range reference.Sources() {
		lines = append(lines, fmt.Sprintf("%s: %s (%s)", e.Key, e.Citation, e.Status))
	}
	return list(lines)
}

func yeasts() string {
	var lines []string
	for _, y := range kinetics.Yeasts() {
		lines = append(lines, fmt.Sprintf("%s: %g to %g °C, stops at %g to %g %% vol, wants %s feeding. %s",
			y.Name, y.TemperatureLow, y.TemperatureTop, y.ToleranceLow, y.ToleranceHigh, y.Demand, y.Note))
	}
	return list(lines)
}
