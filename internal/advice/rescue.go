package advice

import (
	"fmt"
	"math"
	"strings"

	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/property/nutrient"
)

// Remedy is one thing to try for a stalled jug.
type Remedy struct {
	What   string           `json:"what"`
	Why    string           `json:"why"`
	Effect string           `json:"effect,omitempty"` // what is expected of it, where a forecast can tell
	Keep   *measure.Celsius `json:"-"`                // the temperature it brings, to forecast the effect
}

const (
	// YeastFoodGL and HullsGL are the g/L of dead yeast, inactivated or boiled, and of yeast
	// hulls that makers give. Dead yeast feeds yeast, slowly. Common practice, no source.
	YeastFoodGL = 2.0
	HullsGL     = 0.4
	// tooSour is the pH under which yeast is slow [liu2015]; 3.0 is printed, a strip is read to 0.2.
	tooSour = 3.2
	// bicarbonateGL is a first, careful dose, g/L: it takes 1.33 for each g/L of acid in a mead.
	// Common practice, no source.
	bicarbonateGL = 0.4
	// starterGL is the dry yeast of a starter for each litre of the jug, g. Common practice, no source.
	starterGL = 0.5
)

// settled are the kinds of a jug that does not work any more and need not.
var settled = []estimate.Kind{estimate.AllFermented, estimate.StrengthLimit}

// Rescue lists what to do about a jug that stands still with sugar left, the least harmful
// first, with doses for what is in it, and when to stop. Each step gets a week and a
// hydrometer reading before the next. Common practice, no source, but for what the causes
// say. A jug that has not stalled, and does not rest in the cold, needs none of it.
func Rescue(e Evidence, s Standing) []Remedy {
	e = e.explained()
	rests := e.chance(estimate.ColdPause)
	if s.Phase != Stalled && (s.Phase != CannotTell || e.stalled()+rests < 0.5) {
		return nil
	}
	if s.Phase != Stalled && rests > e.stalled() {
		return []Remedy{e.warmth(), stop("If it has not gone on after two weeks in the warm, ask again", "then it has stalled, and other things help")}
	}
	all := []Remedy{e.warmth(), {What: "Swirl or stir gently, once a day, without splashing", Why: "the yeast lies on the bottom, and gas in the wine holds it back"}}
	if r, wanted := e.sourness(); wanted {
		all = append(all, r)
	}
	return append(all, e.food(), Remedy{
		What: "Start champagne yeast" + e.grams(starterGL, " (%s)") + " in a cup of this wine thinned with as much water; when it works, double it with wine day by day, then pour it in",
		Why:  "yeast put straight into strong wine dies, another packet of the same too; grown into it, it may go on",
	}, stop("If gravity has not fallen two weeks after that, stop: this batch is finished as a drink", "it stays sweet: stabilise it, or blend it, or keep it under its airlock; the batch is whole as a drink"))
}

// NoRescue says why a jug that Rescue has nothing for needs none.
func NoRescue(e Evidence, s Standing) string {
	e = e.explained()
	switch {
	case s.Phase == Working || s.Phase == Slowing:
		return "it is working: let it; slow is no illness"
	case s.Phase == Waiting:
		return "it has hardly begun: yeast takes a day or two"
	case s.Phase == Finished && e.State.Hexose.Low > LittleSugar:
		return "it stopped sweet at what its yeast bears: this batch is finished as a drink; stabilise it before any bottle"
	case s.Phase == Finished:
		return "it is finished"
	case s.Phase == Quiet:
		return "nothing shows that it has stalled: it is probably over"
	}
	return "nothing proves yet that it has stalled, and a remedy in a jug that works does harm; first " + measureFirst(s)
}

func measureFirst(s Standing) string {
	if len(s.Next) > 0 {
		return strings.ToLower(s.Next[0].What[:1]) + s.Next[0].What[1:]
	}
	return "take " + s.Proof.missing()
}

func stop(what, why string) Remedy { return Remedy{What: what, Why: why} }

// warmth brings it to where its yeast works: out of the cold, out of the heat, or where it
// stands well already a few degrees warmer.
func (e Evidence) warmth() Remedy {
	const more = 3 // K
	low, top := yeastLow(e), e.YeastTop
	warm, why := low+more, "cold is the commonest cause, and warmth harms nothing"
	if n := len(e.Jug.Temperatures); n > 0 {
		switch now := e.Jug.Temperatures[n-1].Value; {
		case top > 0 && now > top:
			warm, why = (low+top)/2, fmt.Sprintf("it stands warmer than the %s that its yeast bears: heat harms yeast for good", degrees(top))
		case now >= warm:
			warm, why = now+more, "a little more warmth wakes some yeasts, and harms nothing"
		}
	}
	if top > 0 {
		warm = min(warm, top)
	}
	return Remedy{What: fmt.Sprintf("Bring it to %s and keep it there a week", degrees(warm)), Why: why, Keep: &warm}
}

// sourness asks for a pH, or raises it, where that may be the cause.
func (e Evidence) sourness() (Remedy, bool) {
	switch ph := lowestPH(e); {
	case ph == 0:
		return Remedy{What: "Read its pH, with a strip", Why: "under 3.0 yeast is slow, and no other remedy helps while it is"}, true
	case ph < tooSour:
		return Remedy{
			What: "Stir in potassium bicarbonate" + e.grams(bicarbonateGL, ", %s") + ", let it foam, and read the pH again before any more",
			Why:  fmt.Sprintf("at pH %.1f its yeast suffers; skep calc acid gives the whole dose", ph),
		}, true
	}
	return Remedy{}, false
}

func lowestPH(e Evidence) float64 {
	low := 0.0
	for _, l := range e.Jug.Looks {
		if q := l.What.PH; q != nil && !l.At.After(e.Now) && (low == 0 || q.Value < low) {
			low = q.Value
		}
	}
	return low
}

// food is what feeds it, by how far it is.
func (e Evidence) food() Remedy {
	if gone(e) < nutrient.LastSugarGone {
		return Remedy{What: "Give yeast nutrient, a quarter of what the plan asks" + e.salt(), Why: "less than a third of the sugar is gone; later it would feed only spoilage"}
	}
	return Remedy{
		What: "Give yeast boiled ten minutes in water" + e.grams(YeastFoodGL, ", %s of it,") + " or yeast hulls" + e.grams(HullsGL, ", %s") + "; no ammonium salts",
		Why:  "more than a third of the sugar is gone, and yeast takes up no salts now",
	}
}

// salt is a quarter of what a medium yeast needs.
func (e Evidence) salt() string {
	litres, err := e.Jug.Volume()
	if err != nil || len(e.Outlook.States) == 0 {
		return ""
	}
	low, high, err := nutrient.Need(nutrient.Medium, measure.GramsPerLitre(e.Outlook.States[0].Hexose.Value))
	if err != nil {
		return ""
	}
	dose, _, err := nutrient.Phosphate.Dose((low + high) / 2)
	if err != nil {
		return ""
	}
	return fmt.Sprintf(": %.1f g %s", float64(dose)/4*float64(litres), nutrient.Phosphate.Name)
}

// grams tells a dose for what is in the jug; "" where nobody knows how much that is.
func (e Evidence) grams(perLitre float64, format string) string {
	litres, err := e.Jug.Volume()
	if err != nil {
		return ""
	}
	g := perLitre * float64(litres)
	if g >= 10 {
		return fmt.Sprintf(format, fmt.Sprintf("%.0f g", math.Round(g)))
	}
	return fmt.Sprintf(format, fmt.Sprintf("%.1f g", g))
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
