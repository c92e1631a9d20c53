package measure

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// The Show functions are the one place where numbers become text. What they print,
// Parse reads back, in any system, as the same quantity within the last digit
// printed. Amounts below one ounce or fluid ounce are grams and millilitres in every
// system: that is what small scales and syringes show.

// step is a unit that quantities are shown in up to a size.
type step struct {
	one      float64 // of it, in the quantity's own unit
	decimals int
	below    float64 // it is used for fewer of it, as they are printed; 0 for any number
	unit     string
}

// showIn prints a quantity in the first unit of which it is few enough. What rounding lifts to
// the next unit is one of that, so that what is printed is printed the same when it is read back.
func showIn(value float64, steps []step) string {
	size := math.Abs(value)
	for _, s := range steps {
		text := fixed(math.Copysign(size/s.one, value), s.decimals)
		printed, err := strconv.ParseFloat(text, 64)
		if s.below == 0 || err == nil && math.Abs(printed) < s.below {
			return text + " " + s.unit
		}
		size = max(size, s.below*s.one)
	}
	panic("measure: the last unit must do for any number")
}

var (
	gramSteps  = []step{{1, 2, 10, "g"}, {1, 1, 100, "g"}, {1, 0, 1000, "g"}, {1000, 2, 10, "kg"}, {1000, 1, 0, "kg"}}
	ounceSteps = []step{{1, 2, 10, "g"}, {1, 1, pound / 16, "g"}, {pound / 16, 1, 0, "oz"}}
	litreSteps = []step{{1e-3, 1, 10, "mL"}, {1e-3, 0, 1000, "mL"}, {1, 2, 10, "L"}, {1, 1, 0, "L"}}
)

// gallonSteps are for volumes in gallons, so many of a middle unit, and so many ounces of that.
func gallonSteps(gallon, middles, ounces float64, whose, name string) []step {
	middle := gallon / middles
	ounce := middle / ounces
	return []step{
		{1e-3, 1, 10, "mL"},
		{1e-3, 0, ounce / 1e-3, "mL"},
		{ounce, 1, ounces, whose + " fl oz"},
		{middle, 1, middles, whose + " " + name},
		{gallon, 2, 0, whose + " gal"},
	}
}

// ShowMass prints "1.20 kg", "250 g", "2.35 g"; in ounces and pounds "12.5 oz", "2 lb 10 oz".
func ShowMass(g Grams, sys System) string {
	if sys != US && sys != Imperial {
		return showIn(float64(g), gramSteps)
	}
	if math.Abs(float64(g))/pound*16 < 15.95 { // beyond, tenths of an ounce would show a pound
		return showIn(float64(g), ounceSteps)
	}
	whole := math.Round(math.Abs(float64(g)) / pound * 16)
	sign := ""
	if g < 0 {
		sign = "-"
	}
	text := sign + fixed(math.Floor(whole/16), 0) + " lb"
	if rest := math.Mod(whole, 16); rest != 0 {
		text += " " + fixed(rest, 0) + " oz"
	}
	return text
}

// ShowVolume prints "4.50 L", "250 mL", "2.5 mL"; in gallons it says whose they are:
// "1.19 US gal", "3.2 US qt", "12.5 US fl oz", "6.5 imperial pt".
func ShowVolume(l Litres, sys System) string {
	switch sys {
	case US:
		return showIn(float64(l), gallonSteps(usGallon, 4, 32, "US", "qt"))
	case Imperial:
		return showIn(float64(l), gallonSteps(imperialGallon, 8, 20, "imperial", "pt"))
	}
	return showIn(float64(l), litreSteps)
}

// ShowTemperature prints "22 °C" or "22.5 °C", and "72 °F" in US units.
func ShowTemperature(t Celsius, sys System) string {
	if sys == US {
		return fixed(float64(t)*1.8+32, 0) + " °F"
	}
	return strings.TrimSuffix(fixed(float64(t), 1), ".0") + " °C"
}

// ShowGravity prints "1.032".
func ShowGravity(g Gravity) string { return fixed(float64(g), 3) }

// ShowStrength prints "11.4 % vol".
func ShowStrength(p PercentVol) string { return fixed(float64(p), 1) + " % vol" }

// ShowConcentration prints "20.0 g/L", and "50 mg/L" below 1 g/L.
func ShowConcentration(c GramsPerLitre) string {
	return showIn(float64(c), []step{{1e-3, 0, 1000, "mg/L"}, {1, 1, 0, "g/L"}})
}

// ShowPressure prints "2.50 bar".
func ShowPressure(p Bar) string { return fixed(float64(p), 2) + " bar" }

// ShowCups prints a volume as the nearest kitchen measure: "3 1/2 cups", "1/3 cup",
// "2 1/2 tbsp", "3/4 tsp". It is read back in the same system. Cups go by quarters and
// thirds, tablespoons by halves, teaspoons by eighths; less than that is in mL.
func ShowCups(l Litres, sys System) string {
	for _, measure := range []struct {
		one, many string
		least     float64
		parts     []float64
	}{
		{"cup", "cups", 1. / 4, []float64{4, 3}},
		{"tbsp", "tbsp", 1, []float64{2}},
		{"tsp", "tsp", 1. / 8, []float64{8}},
	} {
		count := float64(l) / byName[measure.one].in(sys)
		if count < measure.least {
			continue
		}
		best, bestParts := 0.0, 1.0
		for _, parts := range measure.parts {
			if near := math.Round(count*parts) / parts; bestParts == 1 || math.Abs(near-count) < math.Abs(best-count) {
				best, bestParts = near, parts
			}
		}
		name := measure.many
		if best <= 1 {
			name = measure.one
		}
		return mixed(best, bestParts) + " " + name
	}
	return ShowVolume(l, Metric)
}

// mixed prints 3.5 in quarters as "3 1/2".
func mixed(value, parts float64) string {
	whole := math.Floor(value)
	over, under := int(math.Round((value-whole)*parts)), int(parts)
	for over%2 == 0 && under%2 == 0 && over > 0 {
		over, under = over/2, under/2
	}
	switch {
	case over == 0:
		return fixed(whole, 0)
	case whole == 0:
		return fmt.Sprintf("%d/%d", over, under)
	}
	return fmt.Sprintf("%s %d/%d", fixed(whole, 0), over, under)
}

// ShowRange prints a computed result in plain words: "about 11.4 % vol, most likely
// 10.9 to 11.8". "Most likely" is the 80 % range. Its digits are those the range
// deserves: the last one is between a 2nd and a 20th of its width, and none is finer than
// 0.0001. Neither pH nor a unit that begins with "SG" is printed, and the latter has three
// decimals. One without width prints four
// digits and no range; one that is not Known prints "not known".
func ShowRange(r Range) string {
	const finest = -4 // nobody's unit is read further behind the point
	if !r.Known() {
		return "not known"
	}
	gravity := strings.HasPrefix(r.Unit, "SG")
	unit := ""
	if r.Unit != "" && r.Unit != "pH" && !gravity {
		unit = " " + r.Unit
	}
	width := r.High - r.Low
	show := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	switch {
	case gravity:
		show = func(x float64) string { return fixed(x, 3) }
	case width > 0:
		place := max(finest, int(math.Floor(math.Log10(width/2))))
		show = func(x float64) string { return toPlace(x, place) }
	case r.Value != 0:
		show = func(x float64) string { return toPlace(x, max(finest, int(math.Floor(math.Log10(math.Abs(x))))-3)) }
	}
	low, high := show(r.Low), show(r.High)
	if low == high && strings.Trim(low, "-0.") == "" {
		return "0" + unit
	}
	if low != high {
		return "about " + show(r.Value) + unit + ", most likely " + low + " to " + high
	}
	if width > 0 {
		return "about " + show(r.Value) + unit
	}
	return show(r.Value) + unit
}

// ShowTime prints "3 May 2026 18:30", in the time's own location.
func ShowTime(t time.Time) string { return t.Format("2 January 2006 15:04") }

// ShowAge prints "day 12", as DaysBetween counts: the day of start is day 0.
func ShowAge(start, now time.Time) string {
	return "day " + strconv.Itoa(DaysBetween(start, now))
}

// DaysBetween counts the midnights from one time to another, by the calendar of to's location.
func DaysBetween(from, to time.Time) int {
	noon := func(t time.Time) time.Time { return time.Date(t.Year(), t.Month(), t.Day(), 12, 0, 0, 0, time.UTC) }
	from = from.In(to.Location())
	return int(noon(to).Sub(noon(from)).Hours() / 24)
}

// fixed prints x with so many decimals, and zero without a sign.
func fixed(x float64, decimals int) string {
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}

// toPlace prints x rounded to tens of 10^place: place -1 is tenths, 2 is hundreds.
func toPlace(x float64, place int) string {
	if place <= 0 {
		return fixed(x, -place)
	}
	tens := math.Pow10(place)
	return fixed(math.Round(x/tens)*tens, 0)
}

// ShowHours shows a length of time as whole minutes to two hours, as hours to two days, and
// as days from there.
func ShowHours(h Hours) string {
	switch {
	case h < 2:
		return fmt.Sprintf("%.0f minutes", 60*float64(h))
	case h < 48:
		return fmt.Sprintf("%.0f hours", float64(h))
	}
	return fmt.Sprintf("%.0f days", float64(h)/24)
}
