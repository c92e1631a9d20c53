package advice_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/must"
)

func clarity(day float64, words string) happening {
	return happening{day, batch.Looked{Clarity: words}}
}

// honeyed is 150 g of honey, which in 4.5 L are some 25 g/L of sugar.
func honeyed(day float64) happening {
	return happening{day, batch.Added{Parts: []batch.Part{{Ingredient: "honey", Grams: 150, Adds: must.Must{must.Fructose: 60, must.Glucose: 55, must.Water: 35}}}}}
}

func aimed(day float64, path advice.Path) happening {
	return happening{day, batch.Aimed{Path: string(path)}}
}

func heated(day, celsius, minutes float64) happening {
	return happening{day, batch.Heated{To: *quantity(measure.Temperature, celsius, 1), For: *quantity(measure.Duration, minutes/60, 0), Bottles: true}}
}

// honeySweet is a wine that was dry and has been sweetened to some 25 g/L.
var honeySweet = truth{left: 25, spread: 1, solids: 2, strength: 12, gravity: 1.006, phases: estimate.Phases{Slowing: 1}, finish: 150}

// maybeDry is a wine of which nobody can tell whether some sugar is left.
var maybeDry = truth{left: 3, spread: 3, solids: 2, strength: 12, gravity: 0.998, phases: estimate.Phases{Dry: 1}, finish: 30}

type finishing struct {
	name   string
	jug    truth
	record []happening
	path   advice.Path
	next   advice.StepKey // "" with stop
	stop   string         // in Stop
	ready  bool
}

// atRest is a dry wine, proven by day 40, racked and clear.
func atRest(more ...happening) []happening {
	return append([]happening{gravity(30, 0.996, 20), gravity(40, 0.996, 20), spent(40, 0.996), racked(41), clarity(50, "clear")}, more...)
}

// The dangerous rows first.
var finishings = []finishing{
	{"stalled, to be stabilised", stopped, []happening{gravity(80, 1.018, 20), gravity(95, 1.018, 20)}, advice.PathSweet, "", "stalled", false},
	{"stalled, and stabilised all the same", truth{left: 40, spread: 10, solids: 5, strength: 11, gravity: 1.018, phases: estimate.Phases{Stopped: 1}, finish: 20}, []happening{gravity(60, 1.018, 20), gravity(75, 1.018, 20), racked(76), clarity(77, "clear"), stabilised(80, 0.6, 1.2), gravity(95, 1.018, 20)}, advice.PathSweet, "", "stalled", false},
	{"stalled, called dry", stopped, []happening{gravity(80, 1.018, 20), gravity(95, 1.018, 20)}, advice.PathDry, "", "stalled", false},
	{"stalled, to sparkle", stopped, []happening{gravity(80, 1.018, 20), gravity(95, 1.018, 20)}, advice.PathSparkling, "", "stalled", false},
	{"working, to be stabilised", working, nil, advice.PathSweet, advice.StepProof, "", false},
	{"stabilised while it worked", honeySweet, []happening{gravity(30, 1.040, 20), racked(41), clarity(50, "clear"), stabilised(52, 0.6, 1.2), gravity(80, 1.006, 20), gravity(95, 1.006, 20)}, advice.PathSweet, advice.StepProof, "", false},
	{"quiet bubbles alone", dry, []happening{bubbles(90, 0), bubbles(95, 0)}, advice.PathDry, advice.StepProof, "", false},
	{"sweetened before it was stabilised", honeySweet, atRest(aimed(51, advice.PathSweet), honeyed(52), gravity(53, 1.006, 20), gravity(70, 1.006, 20)), advice.PathSweet, advice.StepStabilise, "", false},
	{"sulphite alone", honeySweet, atRest(stabilised(52, 0.6, 0), aimed(51, advice.PathSweet), honeyed(54), gravity(56, 1.006, 20), gravity(90, 1.006, 20)), advice.PathSweet, advice.StepStabilise, "", false},
	{"sorbate too little", honeySweet, atRest(stabilised(52, 0.6, 0.3), honeyed(54), gravity(56, 1.006, 20), gravity(90, 1.006, 20)), advice.PathSweet, advice.StepStabilise, "", false},
	{"cloudy, to be stabilised", dry, []happening{gravity(30, 0.996, 20), gravity(40, 0.996, 20), racked(41), clarity(50, "hazy")}, advice.PathSweet, advice.StepClear, "", false},
	{"sweetened, no reading since", honeySweet, atRest(stabilised(52, 0.6, 1.2), honeyed(54)), advice.PathSweet, advice.StepWatch, "", false},
	{"sweetened, one week watched", honeySweet, atRest(stabilised(82, 0.6, 1.2), honeyed(85), gravity(86, 1.006, 20), gravity(94, 1.006, 20)), advice.PathSweet, advice.StepWatch, "", false},
	{"sorbate, then to sparkle", dry, atRest(stabilised(52, 0.6, 1.2)), advice.PathSparkling, "", "sorbate is in it", false},
	{"pasteurised, then to sparkle", dry, atRest(heated(60, 66, 12)), advice.PathSparkling, "", "no yeast is left", false},
	{"sweet at its limit, to sparkle", sweet, []happening{gravity(80, 1.010, 20), gravity(95, 1.010, 20), racked(96)}, advice.PathSparkling, "", "nobody knows how much", false},
	{"too strong for a sample, to sparkle", truth{left: 0.1, spread: 0.1, solids: 2, strength: 16.5, gravity: 0.996, phases: estimate.Phases{Dry: 1}, finish: 30}, []happening{gravity(80, 0.996, 20), gravity(95, 0.996, 20), racked(96)}, advice.PathSparkling, "", "priming adds to it", false},
	{"sweet at its limit, called dry", sweet, []happening{gravity(80, 1.010, 20), gravity(95, 1.010, 20), racked(96)}, advice.PathDry, "", "it is not dry", false},
	{"weaker than the sorbate table", truth{left: 0.1, spread: 0.1, solids: 2, strength: 8, gravity: 0.998, phases: estimate.Phases{Dry: 1}, finish: 30}, atRest(), advice.PathSweet, "", "no dose of sorbate", false},
	{"warmed, not pasteurised", honeySweet, atRest(aimed(51, advice.PathPasteurised), honeyed(52), heated(52.5, 55, 12)), advice.PathPasteurised, advice.StepHeat, "", false},
	{"pasteurised for a minute", honeySweet, atRest(aimed(51, advice.PathPasteurised), honeyed(52), heated(52.5, 66, 1)), advice.PathPasteurised, advice.StepHeat, "", false},
	{"pasteurised, then sweetened", honeySweet, atRest(aimed(51, advice.PathPasteurised), heated(52, 66, 12), honeyed(53)), advice.PathPasteurised, advice.StepHeat, "", false},
	{"pasteurised: never told ready", honeySweet, atRest(aimed(51, advice.PathPasteurised), honeyed(52), heated(52.5, 66, 12), gravity(60, 1.006, 20), gravity(90, 1.006, 20)), advice.PathPasteurised, advice.StepBottle, "", false},
	{"kept where it is warm", honeySweet, atRest(aimed(51, advice.PathCold), honeyed(52), happening{53, batch.Moved{Place: "shed", Room: quantity(measure.Temperature, 14, 1)}}), advice.PathCold, advice.StepChill, "", false},
	{"nothing left in it", dry, atRest(happening{60, batch.Poured{Blend: "x", Into: "y", Litres: *quantity(measure.Volume, 4, 0), Emptied: true}}), advice.PathDry, "", "nothing is left", false},

	{"still, and perhaps not dry, called dry", maybeDry, atRest(), advice.PathDry, advice.StepProof, "", false},
	{"still, and perhaps not dry, to sparkle", maybeDry, atRest(), advice.PathSparkling, advice.StepProof, "", false},
	{"still, and perhaps not dry, to be stabilised", maybeDry, atRest(), advice.PathSweet, advice.StepStabilise, "", false},

	{"not racked", dry, []happening{gravity(30, 0.996, 20), gravity(40, 0.996, 20), spent(40, 0.996)}, advice.PathDry, advice.StepRack, "", false},
	{"dry, full of gas", dry, atRest(), advice.PathDry, advice.StepBottle, "", false},
	{"dry and flat", dry, flat(provenDry()...), advice.PathDry, advice.StepBottle, "", true},
	{"to be stabilised", dry, atRest(), advice.PathSweet, advice.StepStabilise, "", false},
	{"stabilised, to be sweetened", dry, atRest(stabilised(52, 0.6, 1.2)), advice.PathSweet, advice.StepSweeten, "", false},
	{"stabilised by two entries", dry, atRest(stabilised(52, 0.6, 0), stabilised(52.1, 0, 1.2)), advice.PathSweet, advice.StepSweeten, "", false},
	{"sweet, stabilised and watched", honeySweet, flat(append(atRest(), stabilised(73, 0.6, 1.2), honeyed(75), gravity(76, 1.006, 20), gravity(98, 1.006, 20))...), advice.PathSweet, advice.StepBottle, "", true},
	{"new yeast left it as it was", truth{left: 40, spread: 10, solids: 5, strength: 11, gravity: 1.018, phases: estimate.Phases{Stopped: 1}, finish: 20}, []happening{{50, batch.Pitched{Yeast: "champagne yeast", Grams: 5}}, gravity(80, 1.018, 20), gravity(95, 1.018, 20)}, advice.PathSweet, advice.StepProof, "", false},
	{"primed", dry, provenDry(racked(96)), advice.PathSparkling, advice.StepBottle, "", true},
	{"sweet in the cold", honeySweet, atRest(aimed(51, advice.PathCold), honeyed(52), happening{53, batch.Moved{Place: "fridge", Room: quantity(measure.Temperature, 4, 1)}}), advice.PathCold, "", "", false},
}

func (f finishing) plan(t fataler, without int) (advice.Finishing, advice.Verdict) {
	all := f.record
	if without >= 0 {
		all = slices.Delete(slices.Clone(all), without, without+1)
	}
	e := f.jug.evidence(record(t, inOrder(all)...), 100)
	wish := advice.FinishWish{Path: f.path}
	q := ask(e, batch.Still)
	switch f.path {
	case advice.PathSweet:
		q.Style = batch.StillStabilised
	case advice.PathSparkling:
		q.Style, q.PrimingGL, q.Bottle = batch.Sparkling, 6, sparklingGlass
		wish.Prime = &advice.Dose{Ingredient: "white sugar", Grams: measure.Exact(27, "g")}
	}
	v := advice.MayBottle(q)
	return advice.Finish(e, advice.Stand(e), v, wish), v
}

func TestFinish(t *testing.T) {
	for _, tt := range finishings {
		p, v := tt.plan(t, -1)
		if p.Next != tt.next || !strings.Contains(p.Stop, tt.stop) || (tt.stop == "") != (p.Stop == "") || p.Ready(v) != tt.ready {
			t.Errorf("%s: Finish(%s) = next %q, stop %q, ready %t (%s: %s); want %q, %q, %t", tt.name, tt.path, p.Next, p.Stop, p.Ready(v), v.Answer, v.Reason, tt.next, tt.stop, tt.ready)
		}
		if p.Stop != "" && p.Instead == "" {
			t.Errorf("%s: stopped, and nothing to do instead", tt.name)
		}
		for _, s := range p.Steps {
			if s.What == "" || s.Why == "" {
				t.Errorf("%s: step %s = %+v, want what and why", tt.name, s.Key, s)
			}
		}
	}
}

// Taking away what was seen, or done to keep it safe, makes nothing ready. What was put in
// that ferments is no evidence: without it the wine is another.
func TestFinishWithLessEvidence(t *testing.T) {
	less := 0
	for _, tt := range finishings {
		if tt.ready {
			continue
		}
		for i, h := range tt.record {
			switch h.what.(type) {
			case batch.Added, batch.Poured, batch.Pitched:
				continue
			}
			less++
			if p, v := tt.plan(t, i); p.Ready(v) {
				t.Errorf("%s, without its entry of day %g: ready", tt.name, h.day)
			}
		}
	}
	if less < 100 {
		t.Errorf("only %d things were taken away", less)
	}
}

// The doses are those that the verdict asks for: given, they hold. At 12 % vol and pH 3.5
// the printed dose of sorbate is 150 mg/L, which in the 4.4 L that racking left are 0.66 g,
// and 2 in 100 more for the syringe.
func TestFinishDosesHold(t *testing.T) {
	row := finishing{path: advice.PathSweet, jug: dry, record: atRest()}
	p, _ := row.plan(t, -1)
	doses := p.Steps[slices.IndexFunc(p.Steps, func(s advice.FinishStep) bool { return s.Key == advice.StepStabilise })].Doses
	if len(doses) != 2 || doses[1].Ingredient != "potassium sorbate" || !near(doses[1].Grams.Value, 0.68, 1e-9) {
		t.Fatalf("doses %+v, want sulphite, and 0.68 g of sorbate", doses)
	}
	// 0.8 mg/L of molecular SO2 at pH 3.5 by the common constant, 1 + 10^(3.5 − 1.81) times, of
	// which 0.75 stay free, at 0.5763 a gram of salt.
	want := 1.02 * 0.8 * (1 + math.Pow(10, 3.5-1.81)) / 0.75 / 0.5763 * 4.4 / 1000
	if got := doses[0].Grams.Value; got < want-1e-9 || got > want+0.011 {
		t.Errorf("sulphite %.3f g, want %.3f, rounded up to hundredths", got, want)
	}
	row.record = atRest(stabilised(52, doses[0].Grams.Value, doses[1].Grams.Value))
	if p, _ := row.plan(t, -1); p.Next != advice.StepSweeten {
		t.Errorf("the doses given, the next step is %q, want that it may be sweetened", p.Next)
	}
	row.record = atRest(stabilised(52, doses[0].Grams.Value, doses[1].Grams.Value-0.04))
	if p, _ := row.plan(t, -1); p.Next != advice.StepStabilise {
		t.Errorf("40 mg less given, the next step is %q, want the rest of the sorbate", p.Next)
	}
}

// Honey thins what holds the wine, so the doses are for the wine that it becomes.
func TestFinishDosesAreForTheSweetenedWine(t *testing.T) {
	e := dry.evidence(record(t, inOrder(atRest())...), 100)
	doses := func(w advice.FinishWish) []advice.Dose {
		w.Path = advice.PathSweet
		p := advice.Finish(e, advice.Stand(e), advice.Verdict{Answer: advice.NotYet}, w)
		return p.Steps[slices.IndexFunc(p.Steps, func(s advice.FinishStep) bool { return s.Key == advice.StepStabilise })].Doses
	}
	plain := doses(advice.FinishWish{})
	more := doses(advice.FinishWish{Litres: 4.4 * 1.05, Strength: 12})
	weaker := doses(advice.FinishWish{Litres: 4.4 * 1.05, Strength: 11.5})
	for i := range plain {
		if got, want := more[i].Grams.Value, 1.05*plain[i].Grams.Value; !near(got, want, 0.011) {
			t.Errorf("%s for a twentieth more wine: %.2f g, want %.2f", plain[i].Ingredient, got, want)
		}
	}
	if got, want := weaker[1].Grams.Value, more[1].Grams.Value*225/150; !near(got, want, 0.011) {
		t.Errorf("sorbate at 11.5 %% vol: %.2f g, want that of 11, %.2f", got, want)
	}
}

func TestHeldSince(t *testing.T) {
	all := atRest(stabilised(52, 0.6, 1.2), honeyed(54), gravity(56, 1.006, 20))
	held := func(records []happening) bool {
		_, is := advice.HeldSince(honeySweet.evidence(record(t, inOrder(records)...), 100))
		return is
	}
	if at, is := advice.HeldSince(honeySweet.evidence(record(t, inOrder(all)...), 100)); !is || !at.Equal(on(54)) {
		t.Errorf("HeldSince = %v, %t, want the day of the honey", at, is)
	}
	for i, what := range map[int]string{0: "the first reading", 5: "the stabilisers"} {
		if held(slices.Delete(slices.Clone(all), i, i+1)) {
			t.Errorf("held without %s", what)
		}
	}
	if held(append(slices.Clone(all), gravity(80, 1.002, 20))) {
		t.Error("held, and gravity fell since")
	}
}

func TestFinishWarnsOfBacteria(t *testing.T) {
	row := finishing{path: advice.PathSweet, jug: dry, record: atRest()}
	warned := func() bool {
		p, _ := row.plan(t, -1)
		return slices.ContainsFunc(p.Cautions, func(c string) bool { return strings.Contains(c, "geraniums") })
	}
	if warned() {
		t.Error("warned of bacteria that nobody told of")
	}
	row.record = atRest(happening{20, batch.Added{Parts: []batch.Part{{Ingredient: "malolactic bacteria", Grams: 1}}}})
	if !warned() {
		t.Error("sorbate after bacteria, and no warning")
	}
}

func TestPathOf(t *testing.T) {
	for _, tt := range []struct {
		name   string
		record []happening
		want   advice.Path
	}{
		{"nothing done", atRest(), ""},
		{"as was said", atRest(stabilised(52, 0.6, 1.2), aimed(53, advice.PathCold)), advice.PathCold},
		{"sorbate", atRest(stabilised(52, 0.6, 1.2)), advice.PathSweet},
		{"sulphite alone tells nothing", atRest(stabilised(52, 0.6, 0)), ""},
		{"heated", atRest(heated(60, 66, 12)), advice.PathPasteurised},
	} {
		if got, _ := advice.PathOf(record(t, tt.record...)); got != tt.want {
			t.Errorf("%s: PathOf = %q, want %q", tt.name, got, tt.want)
		}
	}
}
