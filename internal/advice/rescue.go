package advice

import "fmt"

// Remedy is one thing to try for a stalled jug.
type Remedy struct {
	What string `json:"what"`
	Why  string `json:"why"`
}

// feedUntil is the share of the sugar after which ammonium salts are no longer given:
// yeast takes little up by then, and what is left feeds spoilage. Common practice, no source.
const feedUntil = 1.0 / 3

// Rescue lists what to do about a stalled jug, the least harmful first, and when to stop.
// Each step gets a week and a hydrometer reading before the next. Common practice, no
// source. A jug that has not stalled needs none of it.
func Rescue(e Evidence, s Standing) []Remedy {
	if s.Phase != Stalled {
		return nil
	}
	warm := yeastLow(e) + 3
	if e.YeastTop > 0 {
		warm = min(warm, e.YeastTop)
	}
	all := []Remedy{
		{fmt.Sprintf("Bring it to %s and keep it there a week", degrees(warm)), "cold is the commonest cause, and warmth harms nothing"},
		{"Swirl or stir gently, once a day, without splashing", "the yeast lies on the bottom, and gas in the wine holds it back"},
	}
	if gone(e) < feedUntil {
		all = append(all, Remedy{"Give yeast nutrient, a quarter of what the plan asks", "less than a third of the sugar is gone; later it would feed only spoilage"})
	} else {
		all = append(all, Remedy{"Give boiled yeast or yeast hulls; no ammonium salts", "more than a third of the sugar is gone, and yeast takes up no salts now"})
	}
	return append(all,
		Remedy{"Start champagne yeast in a cup of this wine thinned with as much water; when it works, double it with wine day by day, then pour it in", "yeast put straight into strong wine dies; grown into it, it may go on"},
		Remedy{"If gravity has not fallen two weeks after that, stop", "it stays sweet: stabilise it, or blend it, or keep it under its airlock; the batch is whole as a drink"},
	)
}

// gone is the share of the sugar fermented; all of it if nobody knows.
func gone(e Evidence) float64 {
	if len(e.Outlook.States) == 0 {
		return 1
	}
	first := e.Outlook.States[0].Hexose.Value
	if !(first > 0) {
		return 1
	}
	return 1 - e.State.Hexose.Value/first
}
