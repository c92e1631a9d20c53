package advice_test

import (
	"fmt"
	"math"
	"time"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
)

// pitched is the day on which the yeast went into every jug of these tests.
var pitched = time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)

func on(day float64) time.Time {
	return pitched.Add(time.Duration(day * 24 * float64(time.Hour)))
}

// happening is one entry of a made-up record.
type happening struct {
	day  float64
	what batch.Happening
}

func quantity(kind measure.Kind, value, sd float64) *measure.Quantity {
	return &measure.Quantity{Words: fmt.Sprint(value), Kind: kind, Tool: measure.Instrument, Value: value, SD: sd}
}

// gravity is a hydrometer read at 20 °C, beside a thermometer at room.
func gravity(day, sg, room float64) happening {
	return happening{day, batch.Looked{
		Gravity: quantity(measure.SG, sg, 0.001), Calibrated: 20,
		Sample: quantity(measure.Temperature, room, 0.5), Room: quantity(measure.Temperature, room, 0.5),
	}}
}

// spent is the reading of a sample that was fermented out.
func spent(day, sg float64) happening {
	return happening{day, batch.Looked{Spent: quantity(measure.SG, sg, 0.001), SpentAt: quantity(measure.Temperature, 20, 0.5), Calibrated: 20}}
}

func bubbles(day, perMinute float64) happening {
	return happening{day, batch.Looked{Bubbles: quantity(measure.BubbleRate, perMinute, 1)}}
}

func weight(day, grams, sd float64) happening {
	return happening{day, batch.Looked{Mass: quantity(measure.Mass, grams, sd)}}
}

func stabilised(day, metabisulphite, sorbate float64) happening {
	var parts []batch.Part
	for _, p := range []struct {
		name  string
		grams float64
	}{{"potassium metabisulphite", metabisulphite}, {"potassium sorbate", sorbate}} {
		if p.grams > 0 {
			parts = append(parts, batch.Part{Ingredient: p.name, Grams: p.grams})
		}
	}
	return happening{day, batch.Stabilised{Parts: parts}}
}

func racked(day float64) happening {
	return happening{day, batch.Racked{To: vessel, Left: quantity(measure.Volume, 0.1, 0.02)}}
}

var vessel = batch.Vessel{Name: "jug", Litres: 5, Tare: quantity(measure.Mass, 1500, 5)}

// record folds 4.5 L of must of pH 3.5, pitched at 20 °C, and what happened then.
func record(t fataler, all ...happening) batch.State {
	t.Helper()
	events := []batch.Event{
		{Happened: batch.Made{Name: "heather", Vessel: vessel, Volume: quantity(measure.Volume, 4.5, 0.05)}, At: pitched},
		{Happened: batch.Pitched{Yeast: "white wine yeast", Grams: 5, Temperature: quantity(measure.Temperature, 20, 0.5)}, At: pitched},
	}
	for _, h := range all {
		events = append(events, batch.Event{Happened: h.what, At: on(h.day)})
	}
	events = append(events, batch.Event{Happened: batch.Looked{PH: quantity(measure.Acidity, 3.5, 0.2)}, At: pitched})
	for i := range events {
		events[i].ID, events[i].Jug, events[i].Seq = fmt.Sprintf("e%d", i), "heather", i+1
	}
	s, err := batch.Fold(events)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// truth is a jug as the ensemble sees it.
type truth struct {
	left, spread float64 // fermentable sugar, g/L, and how far it may be off
	solids       float64 // sugar that does not ferment, g/L
	strength     float64 // % vol
	gravity      float64
	rate         float64 // g/L of gas a day
	phases       estimate.Phases
	finish       float64 // day on which it is over, on the late side
	behind       []estimate.Explanation
}

var dry = truth{left: 0.1, spread: 0.1, solids: 2, strength: 12, gravity: 0.996, phases: estimate.Phases{Dry: 1}, finish: 30}

// evidence is the record on a day, with an ensemble of 500 around what is true.
func (j truth) evidence(state batch.State, today float64) advice.Evidence {
	e := advice.Evidence{Now: on(today), Jug: state, Explanations: j.behind, YeastLow: 15, YeastTop: 25, YeastStops: 14}
	var left, strength, gravities, rates []float64
	for i := range 500 {
		z := 2*(float64(i)+0.5)/500 - 1 // -1 to 1
		m := estimate.Member{
			HexoseGL: max(0, j.left+z*j.spread), EthanolPct: j.strength - 0.05*z*j.spread,
			Gravity: j.gravity + 0.0004*z*j.spread, RateGLDay: j.rate * (1 + 0.3*z),
		}
		m.SugarGL, m.EventualHexose = m.HexoseGL+j.solids, m.HexoseGL
		e.Members = append(e.Members, m)
		left, strength = append(left, m.HexoseGL), append(strength, m.EthanolPct)
		gravities, rates = append(gravities, m.Gravity), append(rates, m.RateGLDay)
	}
	e.State = estimate.State{
		At: state.Hours(e.Now), Hexose: measure.RangeOf(left, "g/L"), Ethanol: measure.RangeOf(strength, "% vol"),
		Gravity: measure.RangeOf(gravities, ""), Rate: measure.RangeOf(rates, "g/L in a day"), Phases: j.phases,
	}
	finish := j.finish * 24
	e.Outlook = estimate.Outlook{
		States: []estimate.State{{Hexose: measure.Exact(200, "g/L")}, e.State, {At: e.State.At + 240, Rate: measure.Exact(j.rate/2, "")}},
		Finish: measure.Range{Value: finish * 0.9, Low: finish * 0.8, High: finish, Unit: "h"},
	}
	return e
}

// ask is a question about still-wine glass, 750 mL with 20 mL of air.
func ask(e advice.Evidence, style batch.Style) advice.Question {
	return advice.Question{
		Now: e.Now, Members: e.Members, Proof: advice.Stand(e).Proof,
		Stabilised: advice.StabilisedBy(e.Jug, e.Now), Gas: advice.GasOf(e), Style: style,
		Bottle: advice.Bottle{Kind: "still-wine glass", Limit: 1, SizeML: 750, HeadspaceML: 20},
	}
}

func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }

func exp(x float64) float64 { return math.Exp(x) }

// round is what a hydrometer's scale shows.
func round(sg float64) float64 { return math.Round(sg*1000) / 1000 }

// fataler is *testing.T or *rapid.T.
type fataler interface {
	Helper()
	Fatal(args ...any)
}
