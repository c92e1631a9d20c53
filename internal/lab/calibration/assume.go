package calibration

import (
	"fmt"
	"hash/fnv"
	"math"
	"strings"

	"skep/internal/estimate"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/solve"
)

// What is taken where the data are silent. None of it was chosen by what came out.
const (
	silentCelsius   = 25.0 // of the must
	silentCelsiusSD = 4.0
	celsiusSD       = 1.0   // where it is said or was measured
	silentNitrogen  = 200.0 // mg/L: a grape juice holds 100 to 300
	silentYanSD     = 0.5   // ln
	yanSD           = 0.15  // ln, where it is said
	silentSugar     = 210.0 // g/L, where nothing tells it
	silentSugarSD   = 0.12  // relative
	madeSugarSD     = 0.02  // relative, where it is said
	firstSugarSD    = 0.02  // where the first reading is a hydrometer's
	skinsSugarSD    = 0.05  // where it is of a must on skins, not mixed
	juiceSugarSD    = 0.05  // where it is the Brix of the juice at hour zero, up to 3 °Bx off
	silentLitres    = 1.0
	litresSD        = 0.05   // relative: the volume said is the vessel's
	litreGrams      = 1090.0 // of a must, to count what samples take
	skinsLitresSD   = 0.12   // relative: and on skins part of it is not liquid
	otherSolids     = 18.0   // g/L dissolved that is neither sugar nor acid: with the acid, the dry extract of a wine
	acid            = 7.0    // g/L as tartaric
)

// assumptions are the same in words.
var assumptions = []string{
	fmt.Sprintf("temperature, where neither said nor measured: %g ± %g °C (one standard deviation, as all of these); else ± %g; of measured ones only those up to the last reading known, the last of them held", silentCelsius, silentCelsiusSD, celsiusSD),
	fmt.Sprintf("assimilable nitrogen, where not said: %g mg/L, a factor of %.2f each way; where said, %.2f", silentNitrogen, math.Exp(silentYanSD), math.Exp(yanSD)),
	fmt.Sprintf("sugar: as said ± %g %%; else from the first reading, which then is no further evidence: ± %g %% by hydrometer, ± %g %% by analysis of a must on skins, ± %g %% where it is a tank's Brix at hour 0 (a juice analysis); else %g ± %.0f g/L", 100*madeSugarSD, 100*firstSugarSD, 100*skinsSugarSD, 100*juiceSugarSD, silentSugar, silentSugar*silentSugarSD),
	fmt.Sprintf("dissolved besides sugar: %g g/L, of it %g acid", otherSolids+acid, acid),
	fmt.Sprintf("volume as said ± %g %%, on skins ± %g %%; the amount of yeast not known", 100*litresSD, 100*skinsLitresSD),
	`yeast: "wine yeast" on skins a red wine yeast, else a white one; another cerevisiae, or species together, an unknown yeast; the rest wild`,
	fmt.Sprintf("spread of a reading: tank Brix %g °Bx, gravity or density %g, sugar %g %% and %g g/L with ethanol %g %% vol, CO2 %g g/L, a weighing its last digit and %g %% of the vessel, adding up from one to the next, and on skins %g %% of the must each time for what sticks to the tool", tankSD, gravitySD, 100*sugarSD, leastSugar, ethanolSD, co2SD, 100*handlingSD, 100*pressingSD),
}

// volume is of the liquid, L.
func (s *series) volume() (litres, sd float64) {
	litres, sd = s.litres, litresSD
	if litres == 0 {
		litres = silentLitres
	}
	if s.onSkins() {
		sd = skinsLitresSD
	}
	return litres, sd
}

// tells says whether the free text of meta.csv has a word.
func (s *series) tells(word string) bool {
	return strings.Contains(strings.ToLower(s.yeast+", "+s.juice), word)
}

func (s *series) onSkins() bool { return s.tells("skins") }

// kindOfYeast reads the free text of meta.csv.
func (s *series) kindOfYeast() string {
	switch {
	case s.tells("wine yeast") && s.onSkins():
		return "red wine yeast"
	case s.tells("wine yeast"):
		return "white wine yeast"
	case s.tells("cerevisiae") || s.tells("species together"):
		return "unknown yeast"
	}
	return "wild yeast"
}

// grape is a must of so many litres with so much sugar, half glucose and half fructose.
func grape(litres, sugarGL float64) (must.Must, error) {
	return filled(must.Must{
		must.Glucose: litres * sugarGL / 2, must.Fructose: litres * sugarGL / 2,
		must.OtherSolids: litres * otherSolids, must.Acid: litres * acid,
	}, litres)
}

// filled has the water that brings a must to so many litres.
func filled(m must.Must, litres float64) (must.Must, error) {
	over := func(water float64) float64 {
		m[must.Water] = water
		volume, err := m.Volume(20)
		if err != nil {
			return math.NaN()
		}
		return float64(volume) - litres
	}
	// A litre of must holds 0.6 kg of water or more, and wine no more than a litre of it does.
	water, err := solve.Root(over, 600*litres, 1000*litres, 1e-6*litres)
	m[must.Water] = water
	return m, err
}

// sugarAt is the sugar of a must of that gravity, g/L.
func sugarAt(gravity float64) (float64, error) {
	return solve.Root(func(sugar float64) float64 {
		m, err := grape(1, sugar)
		if err != nil {
			return math.NaN()
		}
		g, err := m.Gravity()
		if err != nil {
			return math.NaN()
		}
		return float64(g) - gravity
	}, 0, 400, 1e-3)
}

// setting is a forecast before its first evidence: what is known of a series, and from
// which look on its readings are evidence. Of the readings it takes the first look alone.
func (s *series) setting(r *readings) (situation estimate.Situation, evidence int, err error) {
	litres, volumeSD := s.volume()
	sugar, sd := s.sugar, madeSugarSD
	switch {
	case sugar > 0:
	case r.kind == byCO2 || r.kind == byWeight:
		sugar, sd = silentSugar, silentSugarSD
	default:
		evidence = 1
		if sugar, err = sugarAt(r.looks[0].Value); err != nil {
			return situation, 0, fmt.Errorf("a must of gravity %.3f: %w", r.looks[0].Value, err)
		}
		switch {
		case r.kind == bySugar:
			sd = skinsSugarSD
		case r.juice:
			sd = juiceSugarSD
		default:
			sd = firstSugarSD
		}
	}
	m, err := grape(litres, sugar)
	if err != nil {
		return situation, 0, err
	}
	nitrogen, nitrogenSD := s.nitrogen, yanSD
	if nitrogen == 0 {
		nitrogen, nitrogenSD = silentNitrogen, silentYanSD
	}
	m[must.Nitrogen] = nitrogen * litres / 1000
	yeast, err := kinetics.YeastNamed(s.kindOfYeast())
	if err != nil {
		return situation, 0, err
	}
	seed := fnv.New64a()
	seed.Write([]byte(s.id + " " + string(r.kind)))
	return estimate.Situation{
		Seed: seed.Sum64(), Must: m, SugarSD: sd, VolumeSD: volumeSD, NitrogenSD: nitrogenSD, Yeast: yeast,
		Until: r.looks[len(r.looks)-1].At,
	}, evidence, nil
}

// warmth is the temperature as known at an hour.
func (s *series) warmth(until measure.Hours) (course []estimate.TemperaturePoint, sd float64) {
	for _, o := range s.all("temperature") {
		if at := measure.Hours(o.at); at <= until {
			course = append(course, estimate.TemperaturePoint{At: at, T: measure.Celsius(o.value)})
		}
	}
	switch {
	case len(course) > 0:
		return course, celsiusSD
	case s.celsius > 0:
		return []estimate.TemperaturePoint{{T: measure.Celsius(s.celsius)}}, celsiusSD
	}
	return []estimate.TemperaturePoint{{T: silentCelsius}}, silentCelsiusSD
}
