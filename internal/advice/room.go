package advice

import (
	"fmt"
	"math"

	"skep/internal/batch"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
)

// A yeast may stop for a reason that no model has, and then the readings are equal with
// sugar left. The gravity alone speaks against it, whatever a model makes of the jug.
const (
	// divisionGL is what a division of a hydrometer, 0.001, is worth in sugar, g/L.
	divisionGL = 2.5
	// mostDry is how many standard deviations over its middle a dry wine's gravity may lie:
	// nineteen in twenty lie under it. More would call more sweet wines finished, less would
	// keep more dry ones waiting. Our policy.
	mostDry = 1.64
	// strongDry is the same where the wine is as strong as the yeast may bear, which is cause
	// enough to stop: three in four lie under it. Our policy.
	strongDry = 0.67
)

// room returns the sugar that a gravity leaves room for in what is on record as the jug's
// must, were all else fermented, g/L as hexose; and how much of it a dry wine may seem to
// have: of a honey's slow sugar any share may have stayed, the scale may be a division
// off, more or less ethanol is made of the sugar, and less sugar may have gone in, by one
// relative standard deviation sd. most is how many standard deviations over the middle that
// is. Known is false where no parts are on record, and where the must is beyond the tables.
func room(m must.Must, sd, most, gravity float64) (left, usual float64, known bool) {
	all := m.Hexose(1)
	if !(all > 0) {
		return 0, 0, false
	}
	at := func(m must.Must, share, yield float64) (gravity, litres float64) {
		now, err := fermented(m, share, yield)
		if err != nil {
			return math.NaN(), 0
		}
		volume, err := now.Volume(20)
		if err != nil {
			return math.NaN(), 0
		}
		g, err := now.Gravity()
		if err != nil {
			return math.NaN(), 0
		}
		return float64(g), float64(volume)
	}
	const some = 0.2 // of the sugar; between, the line is straight to 0.0002
	dry, litres := at(m, 0, must.EthanolYield)
	sweet, _ := at(m, some, must.EthanolYield)
	poor, _ := at(m, 0, must.EthanolYield-must.EthanolYieldSD)
	less := m
	for _, c := range []must.Component{must.Glucose, must.Fructose, must.Sucrose, must.SlowSugar} {
		less[c] *= max(0, 1-sd)
	}
	weak, _ := at(less, 0, must.EthanolYield)
	perGravity := some * all / litres / (sweet - dry)
	slow := must.HexosePerSucrose * m[must.SlowSugar] / litres
	spread := math.Sqrt(slow*slow/12 + divisionGL*divisionGL + math.Pow((poor-dry)*perGravity, 2) + math.Pow((weak-dry)*perGravity, 2))
	left, usual = (gravity-dry)*perGravity, slow/2+most*spread
	return left, usual, !math.IsNaN(left) && !math.IsNaN(usual)
}

// fermented is a must of which all sugar but a share was used, and all nitrogen.
func fermented(m must.Must, share, yield float64) (must.Must, error) {
	litres, err := m.Volume(20)
	if err != nil {
		return m, err
	}
	nitrogen := m[must.Nitrogen]
	typical := kinetics.Typical(measure.GramsPerLitre(nitrogen/float64(litres)), kinetics.YeastKind{})
	now, err := kinetics.Products(m, kinetics.Turnover{
		Hexose: measure.Grams((1 - share) * m.Hexose(1)), Nitrogen: measure.Grams(nitrogen),
		Cells: measure.Grams(nitrogen * typical.CellsPerNitrogen), EthanolPerSugar: yield,
	})
	now[must.CarbonDioxide] = 0
	return now, err
}

// crowded says that the last gravity leaves room for more sugar than a dry wine would
// seem to have, and how it says so.
func crowded(e Evidence, gravity float64) (why string, is bool) {
	most := mostDry
	if e.YeastStops > 0 && e.State.Ethanol.High >= float64(e.YeastStops) {
		most = strongDry
	}
	left, usual, known := room(e.Jug.InJug, sugarSD(e.Jug.Made.What.Parts), most, gravity)
	if !known || left <= usual {
		return "", false
	}
	return fmt.Sprintf("a gravity of %.3f leaves room for %s of sugar", gravity, sugar(left)), true
}

// sugarSD is how surely the sugar of parts is known, relative.
func sugarSD(parts []batch.Part) float64 {
	all, variance := 0.0, 0.0
	for _, p := range parts {
		if s := p.Adds.Hexose(1); s > 0 {
			all += s
			variance += s * s * (math.Pow(p.GramsSD/p.Grams, 2) + p.SugarSD*p.SugarSD)
		}
	}
	if all == 0 {
		return 0
	}
	return math.Sqrt(variance) / all
}
