package calc

import (
	"fmt"
	"strconv"
	"strings"

	"skep/internal/measure"
)

// decimals are those a number of each unit is shown with: one more than kitchens can use.
var decimals = map[string]int{
	"SG 20/20": 4, "L": 3, "g": 1, "kg/m3": 1, "°C": 1, "°Oe": 1, "mg/L": 1, "mL": 1,
}

// Show is a result in words: what it is with its unit, "11.74 % vol"; the range that it
// lies in, "11.42 to 12.06", or ""; and the same in the units of sys, or "".
func (r Result) Show(sys measure.System) (is, likely, other string) {
	switch v := r.Value.(type) {
	case bool:
		if v {
			return "yes", "", ""
		}
		return "no", "", ""
	case measure.Range:
		places, ok := decimals[v.Unit]
		if !ok {
			places = 2
		}
		if v.Unit == "g" && v.Value < 10 { // a small scale shows hundredths
			places = 2
		}
		show := func(x float64) string { return strconv.FormatFloat(x, 'f', places, 64) }
		is = show(v.Value)
		if v.Unit != "SG 20/20" && v.Unit != "pH" {
			is += " " + v.Unit
		}
		if low, high := show(v.Low), show(v.High); low != high {
			likely = low + " to " + high
		}
		switch {
		case sys == measure.Metric:
		case v.Unit == "g":
			other = measure.ShowMass(measure.Grams(v.Value), sys)
		case v.Unit == "L":
			other = measure.ShowVolume(measure.Litres(v.Value), sys)
		case v.Unit == "°C" && sys == measure.US:
			other = measure.ShowTemperature(measure.Celsius(v.Value), sys)
		}
		return is, likely, other
	}
	return fmt.Sprint(r.Value), "", ""
}

// Said are the words of an example by the name of their input, as Answer takes them.
func Said(example string) map[string][]string {
	words := map[string][]string{}
	for _, part := range strings.Split(" "+example, " --")[1:] {
		name, said, _ := strings.Cut(strings.TrimSpace(part), " ")
		words[name] = append(words[name], strings.Trim(said, `"`))
	}
	return words
}
