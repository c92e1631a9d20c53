package app

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
	"skep/internal/solve"
)

// BrewDayResult says whether what was weighed and what was read agree.
type BrewDayResult struct {
	Agree    bool          `json:"agree"`
	Sentence string        `json:"sentence"`
	Expected measure.Range `json:"expected"`        // SG 20/20 that the sample should have today, with the juice that is out of the fruit by now
	Read     measure.Range `json:"read"`            // SG 20/20, corrected for temperature
	Original measure.Range `json:"original"`        // SG 20/20 that counts, once the fruit has given all its juice
	Volume   measure.Range `json:"volume"`          // L of must that the parts come to
	Z        float64       `json:"z"`               // how far apart, in standard deviations; above zero: the reading is the higher
	Would    *Reconciled   `json:"would,omitempty"` // nil when they agree
}

// Reconciled is what would have to be true for the reading to be right. Zero: nothing would do.
type Reconciled struct {
	Litres      float64 `json:"litres"`      // L of must, with the parts as told
	Ingredient  string  `json:"ingredient"`  // the part that brings most sugar
	Grams       float64 `json:"grams"`       // of it, with the volume as told
	Temperature float64 `json:"temperature"` // °C of the sample, with parts and volume as told
}

const (
	// disagree is the standard deviations from which reading and recipe contradict each
	// other: by chance alone one jug in twenty is as far off (our policy). For weighed
	// honey and a mark read by eye that is about 7 points of gravity; of 12 recipes that
	// makers published, 5 were off by more than 6.
	disagree = 2.0
	// untoldSampleSD is the K by which a sample may differ from its scale when nobody
	// measured it (assumed).
	untoldSampleSD = 3.0
	// hot is the warmest sample that a hydrometer is corrected for.
	hot = 40.0
)

// BrewDayCheck compares the first reading of a jug with what went into it; nil without a
// reading.
//
// Expected is the gravity of the parts mixed. Each part's amount and sugar is moved by
// one standard deviation in turn, and the changes of gravity are added in squares. Of
// fruit, whose sugar comes out over days, any share may be out by now: the reading is
// expected between none and all of it, and Original counts all.
//
// Errors: *property.RangeError for a reading or a must outside the density tables.
func BrewDayCheck(m batch.Made) (*BrewDayResult, error) {
	if m.Gravity == nil {
		return nil, nil
	}
	m.Parts = slices.Clip(m.Parts)
	if _, err := fill(&m); err != nil {
		return nil, err
	}
	if t := m.Sample; t != nil && !(t.Value >= 0 && t.Value <= hot) {
		return &BrewDayResult{Sentence: fmt.Sprintf("A sample of %.0f °C cannot be corrected for: cool it below %.0f °C and read again.", t.Value, hot)}, nil
	}
	read, readSD, err := firstReading(m)
	if err != nil {
		return nil, err
	}
	expected, sd, err := mixed(m.Parts, 0.5)
	if err != nil {
		return nil, err
	}
	original, originalSD, err := mixed(m.Parts, 1)
	if err != nil {
		return nil, err
	}
	none, _, err := mixed(m.Parts, 0)
	if err != nil {
		return nil, err
	}
	sd = math.Hypot(sd, (original-none)/math.Sqrt(12)) // any share, evenly
	litres, litresSD, err := volumeOf(m.Parts)
	if err != nil {
		return nil, err
	}
	r := &BrewDayResult{
		Expected: measure.Normal(expected, sd, "SG 20/20"), Read: measure.Normal(read, readSD, "SG 20/20"),
		Original: measure.Normal(original, originalSD, "SG 20/20"), Volume: measure.Normal(litres, litresSD, "L"),
		Z: (read - expected) / math.Hypot(sd, readSD),
	}
	r.Agree = math.Abs(r.Z) < disagree
	if !r.Agree {
		r.Would = reconcile(m, read, litres)
	}
	r.Sentence = r.say(m, original-none)
	return r, nil
}

// usualScale is the temperature of a hydrometer's scale when it was not told, °C.
const usualScale measure.Celsius = 20

// corrected is what a hydrometer's reading of a fresh must means at 20 °C. A sample
// whose temperature was not told is taken to be at that of the scale; 0 is a scale not
// told. A Brix or Plato scale is one for gravity with other figures on its paper.
//
// Errors: *property.RangeError outside the density tables.
func corrected(reading measure.Quantity, sample *measure.Quantity, calibrated measure.Celsius) (measure.Gravity, error) {
	if calibrated == 0 {
		calibrated = usualScale
	}
	shown := measure.Gravity(reading.Value)
	if reading.Kind == measure.Brix {
		var err error
		if shown, err = density.GravityFromSucrose(measure.MassFraction(reading.Value / 100)); err != nil {
			return 0, err
		}
	}
	at := calibrated
	if sample != nil {
		at = measure.Celsius(sample.Value)
	}
	sg, _, err := density.CorrectHydrometer(shown, at, calibrated, 0)
	return sg, err
}

// firstReading is the reading at 20 °C, and how surely it is known.
func firstReading(m batch.Made) (sg, sd float64, err error) {
	gravity, err := corrected(*m.Gravity, m.Sample, m.Calibrated)
	if err != nil {
		return 0, 0, err
	}
	sd = m.Gravity.SD
	if m.Gravity.Kind == measure.Brix {
		sd *= 0.004 // SG per °Bx, near enough for a spread
	}
	sample := untoldSampleSD
	if m.Sample != nil {
		sample = m.Sample.SD
	}
	return float64(gravity), math.Hypot(sd, sample*perKelvin), nil
}

// perKelvin is how much a must's gravity falls with warmth near 20 to 30 °C: water
// alone 0.00021 to 0.00030 per K [tanaka2001], a must somewhat more.
const perKelvin = 0.0003

// withFruit says whether a part holds its sugar back in its flesh.
func withFruit(p batch.Part) bool { return p.Adds[must.Pulp] > 0.01*p.Grams }

// together is the must of parts of which fruit has given a share of its juice.
func together(parts []batch.Part, share float64) must.Must {
	var m must.Must
	for _, p := range parts {
		if withFruit(p) {
			m = m.Plus(p.Adds.Scaled(share))
		} else {
			m = m.Plus(p.Adds)
		}
	}
	return m
}

// mixed is the gravity of parts mixed, and its standard deviation.
func mixed(parts []batch.Part, share float64) (sg, sd float64, err error) {
	g, err := together(parts, share).Gravity()
	if err != nil {
		return 0, 0, err
	}
	variance := 0.0
	moved := slices.Clone(parts)
	shift := func(i int, to must.Must) error {
		moved[i].Adds = to
		other, err := together(moved, share).Gravity()
		moved[i] = parts[i]
		variance += float64((other - g) * (other - g))
		return err
	}
	for i, p := range parts {
		if p.GramsSD > 0 && p.Grams > 0 {
			if err := shift(i, p.Adds.Scaled(1+p.GramsSD/p.Grams)); err != nil {
				return 0, 0, err
			}
		}
		if p.SugarSD > 0 {
			if err := shift(i, sweeter(p.Adds, 1+p.SugarSD)); err != nil {
				return 0, 0, err
			}
		}
	}
	return float64(g), math.Sqrt(variance), nil
}

// sweeter is the same mass with so many times the sugar: water makes room.
func sweeter(m must.Must, times float64) must.Must {
	for _, c := range []must.Component{must.Glucose, must.Fructose, must.Sucrose, must.SlowSugar} {
		more := m[c] * (times - 1)
		m[c] += more
		m[must.Water] = max(0, m[must.Water]-more)
	}
	return m
}

// volumeOf is the litres of parts mixed, and its standard deviation: that of the water.
func volumeOf(parts []batch.Part) (litres, sd float64, err error) {
	v, err := together(parts, 1).Volume(20)
	for _, p := range parts {
		if p.Ingredient == "water" {
			sd += p.GramsSD / 1000
		}
	}
	return float64(v), sd, err
}

// reconcile finds the volume, the amount of the sweetest part and the temperature of the
// sample that would each make the reading right, alone.
func reconcile(m batch.Made, read, litres float64) *Reconciled {
	w := &Reconciled{}
	const share = 0.5
	sweetest, water := -1, -1
	for i, p := range m.Parts {
		if p.Ingredient == "water" {
			water = i
		} else if sweetest < 0 || p.Adds.Hexose(1) > m.Parts[sweetest].Adds.Hexose(1) {
			sweetest = i
		}
	}
	if water < 0 || sweetest < 0 || m.Parts[sweetest].Adds.Hexose(1) == 0 {
		return w
	}
	grams := m.Parts[water].Grams
	withWater := func(g float64) float64 {
		parts := slices.Clone(m.Parts)
		parts[water].Adds = must.Must{must.Water: g}
		return gravity(together(parts, share)) - read
	}
	needed, err := solve.Root(withWater, within(withWater, grams, 0), 5*grams, 1e-3)
	if err == nil {
		w.Litres = litres + (needed-grams)/1000 // a litre of water more is a litre more of must, within 0.2 %
	}
	withTimes := func(times float64) float64 { // more honey takes the room of water: the volume stays
		parts := slices.Clone(m.Parts)
		parts[sweetest].Adds = parts[sweetest].Adds.Scaled(times)
		parts[water].Adds = must.Must{}
		rest, err := together(parts, 1).WaterTo(measure.Litres(litres))
		if err != nil {
			return math.NaN()
		}
		in := together(parts, share)
		in[must.Water] += float64(rest)
		return gravity(in) - read
	}
	times, err := solve.Root(withTimes, 0.1, within(withTimes, 1, 5), 1e-5)
	if err == nil {
		w.Ingredient, w.Grams = m.Parts[sweetest].Ingredient, times*m.Parts[sweetest].Grams
	}
	w.Temperature = sampleThatFits(m, together(m.Parts, share))
	return w
}

// gravity is that of a must, or not a number outside the density tables.
func gravity(m must.Must) float64 {
	g, err := m.Gravity()
	if err != nil {
		return math.NaN()
	}
	return float64(g)
}

// within is the place nearest to the far end, seen from the near one, where f is inside
// the density tables.
func within(f func(float64) float64, near, far float64) float64 {
	for range 60 {
		if !math.IsNaN(f(far)) {
			break
		}
		far = near + 0.9*(far-near)
	}
	return far
}

// sampleThatFits is the temperature of the sample that explains the reading; 0 if none does.
func sampleThatFits(m batch.Made, in must.Must) float64 {
	scale := m.Calibrated
	if scale == 0 {
		scale = usualScale
	}
	reading := m.Gravity.Value
	if m.Gravity.Kind != measure.SG {
		return 0
	}
	t, err := solve.Root(func(t float64) float64 {
		rho, err := in.Density(measure.Celsius(t))
		if err != nil {
			return math.NaN()
		}
		shown, err := density.HydrometerReading(rho, measure.Celsius(t), scale)
		if err != nil {
			return math.NaN()
		}
		return float64(shown) - reading
	}, 4, hot, 1e-3)
	if err != nil {
		return 0
	}
	return t
}

// imperialGallons is how much larger an imperial gallon is than a US gallon:
// 4.54609 / 3.785411784, both by definition.
const imperialGallons = 4.54609 / 3.785411784

// say is the verdict in a sentence or two.
func (r *BrewDayResult) say(m batch.Made, juice float64) string {
	read, expected := measure.ShowGravity(measure.Gravity(r.Read.Value)), measure.ShowGravity(measure.Gravity(r.Expected.Value))
	later := ""
	if math.Abs(juice) > 0.001 {
		later = fmt.Sprintf(" Fruit gives its juice over days: %s is the original gravity that counts.", measure.ShowGravity(measure.Gravity(r.Original.Value)))
	}
	sweetest := "recipe"
	if r.Would != nil && r.Would.Ingredient != "" {
		sweetest = r.Would.Ingredient
	}
	if r.Agree {
		return fmt.Sprintf("Your recipe says %s, your reading %s: they agree.%s", expected, read, later)
	}
	said := fmt.Sprintf("Your %s says %s, your reading %s: stir well and read again, or is it not %.3g L?", sweetest, expected, read, r.Volume.Value)
	var would []string
	if w := r.Would; w.Litres > 0 {
		gallons := ""
		if ratio := w.Litres / r.Volume.Value; math.Abs(ratio-imperialGallons) < 0.03 {
			gallons = ", as if US gallons were imperial ones"
		} else if math.Abs(ratio-1/imperialGallons) < 0.03 {
			gallons = ", as if imperial gallons were US ones"
		}
		would = append(would, fmt.Sprintf("%.3g L of must%s", w.Litres, gallons))
	}
	if w := r.Would; w.Grams > 0 {
		would = append(would, fmt.Sprintf("%s of %s", measure.ShowMass(measure.Grams(w.Grams), measure.Metric), w.Ingredient))
	}
	if w := r.Would; w.Temperature > 0 {
		would = append(would, fmt.Sprintf("a sample at %.0f °C", w.Temperature))
	}
	if len(would) > 0 {
		said += " It would take " + strings.Join(would, ", or ") + "."
	}
	return said + later
}
