package advice_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/measure"
	"skep/internal/property/gas"
)

// proven are two equal readings of sg a fortnight apart in the warm.
func proven(sg float64, more ...happening) []happening {
	return append([]happening{gravity(80, sg, 20), gravity(95, sg, 20)}, more...)
}

// provenDry are such readings of a dry wine, and of its sample.
func provenDry(more ...happening) []happening {
	return append(proven(0.996, spent(95, 0.996)), more...)
}

// flat are rackings and months that leave little gas.
func flat(more ...happening) []happening {
	return append([]happening{racked(45), racked(70), {72, batch.Noted{Note: "Degassed, three days"}}}, more...)
}

var sparklingGlass = advice.Bottle{Kind: "sparkling-wine glass", Limit: 6, SizeML: 750, HeadspaceML: 20}

type bottling struct {
	name    string
	jug     truth
	record  []happening
	change  func(*advice.Question)
	style   batch.Style
	answer  advice.Answer
	reason  string
	settles string
}

// The dangerous rows first.
var bottlings = []bottling{
	{"sugar left, no proof", working, nil, nil, batch.Still, advice.NotYet, "of sugar may still ferment: that would be", "a hydrometer reading"},
	{"sugar left, stands still", stopped, proven(1.018), nil, batch.Still, advice.NotYet, "volumes of gas", "time, until less sugar is left; no dose of sorbate is printed"},
	{"sugar left, in strong glass", stopped, proven(1.018), func(q *advice.Question) { q.Bottle = sparklingGlass }, batch.Still, advice.NotYet, "volumes of gas", "no dose of sorbate is printed"},
	{"sweet at its limit", sweet, flat(proven(1.010)...), nil, batch.Still, advice.NotYet, "volumes of gas", "sulphite and sorbate"},
	{"sulphite alone", sweet, flat(proven(1.010, stabilised(96, 0.5, 0))...), nil, batch.StillStabilised, advice.NotYet, "volumes of gas", "needs 90 at 15.0 % vol"},
	{"sorbate alone", sweet, flat(proven(1.010, stabilised(96, 0, 1.2))...), nil, batch.StillStabilised, advice.NotYet, "volumes of gas", "0 mg/L of sulphur dioxide"},
	{"too little sorbate", sweet, flat(proven(1.010, stabilised(96, 0.5, 0.2))...), nil, batch.StillStabilised, advice.NotYet, "volumes of gas", "both sulphite and sorbate in full"},
	{"weaker than the sorbate table", stopped, flat(proven(1.018, stabilised(96, 0.5, 1.2))...), nil, batch.StillStabilised, advice.NotYet, "volumes of gas", "no dose of sorbate is printed"},
	{"stabilised, and nobody read the pH", sweet, flat(proven(1.010, stabilised(96, 0.5, 1.2))...), func(q *advice.Question) { q.Stabilised.PH = 0 }, batch.StillStabilised, advice.NotYet, "volumes of gas", "goes by the pH"},
	{"stabilised, and not sour enough", sweet, flat(proven(1.010, stabilised(96, 0.5, 1.2))...), func(q *advice.Question) { q.Stabilised.PH = 3.6 }, batch.StillStabilised, advice.NotYet, "volumes of gas", "bring it to 3.5 or less"},
	{"stabilised, then chalk, no pH since", sweet, flat(proven(1.010, stabilised(96, 0.5, 1.2), happening{97, batch.Added{Parts: []batch.Part{{Ingredient: "calcium carbonate", Grams: 4}}}})...), nil, batch.StillStabilised, advice.NotYet, "volumes of gas", "a hydrometer reading"},
	{"stabilised while working", working, []happening{stabilised(96, 0.5, 1.2), racked(45), racked(70)}, nil, batch.StillStabilised, advice.NotYet, "", "a hydrometer reading"},
	{"stabilised, then honey, no reading since", sweet, flat(proven(1.010, stabilised(96, 0.5, 1.2), happening{98, batch.Added{Parts: []batch.Part{{Ingredient: "honey", Grams: 200}}}})...), nil, batch.StillStabilised, advice.NotYet, "nothing proves that it stands still", "a hydrometer reading"},
	{"quiet bubbles alone", dry, flat(bubbles(90, 0), bubbles(95, 0)), nil, batch.Still, advice.NotYet, "nothing proves", "a hydrometer reading"},
	{"four days apart", dry, flat(gravity(91, 0.996, 20), gravity(95, 0.996, 20)), nil, batch.Still, advice.NotYet, "nothing proves", "on 11 August"},
	{"cold room", dry, flat(gravity(80, 0.996, 11), gravity(95, 0.996, 11)), nil, batch.Still, advice.NotYet, "nothing proves", "at 15 °C or more"},
	{"dry, and full of gas", dry, provenDry(), nil, batch.Still, advice.NotYet, "the gas still dissolved in it would bring the closed bottle to", "stir gently"},
	{"flat, and a gram may be left", truth{left: 0.7, spread: 0.5, solids: 2, strength: 12, gravity: 0.996, phases: dry.phases, finish: 30}, flat(provenDry()...), nil, batch.Still, advice.NotYet, "the chance of too much pressure is", "a place that never gets warmer than"},
	{"a jug of the ensemble is not known", dry, flat(provenDry()...), func(q *advice.Question) { q.Members[7].EventualHexose = math.NaN() }, batch.Still, advice.NotYet, "cannot be computed", ""},
	{"jug", dry, flat(provenDry()...), func(q *advice.Question) { q.Bottle.Limit = 0 }, batch.Still, advice.NotYet, "bears none", "bottles that bear pressure"},
	{"priming in still-wine glass", dry, flat(provenDry()...), func(q *advice.Question) { q.PrimingGL = 12 }, batch.Sparkling, advice.NotYet, "needs a bottle that bears 3 bar", "sparkling-wine bottles"},
	{"priming in still-wine glass, called still", dry, flat(provenDry()...), func(q *advice.Question) { q.PrimingGL = 12 }, batch.Still, advice.NotYet, "volumes of gas", ""},
	{"too much priming", dry, provenDry(), func(q *advice.Question) { q.Bottle, q.PrimingGL = sparklingGlass, 24 }, batch.Sparkling, advice.NotYet, "volumes of gas", "less priming sugar"},
	{"priming on top of sugar", stopped, proven(1.018), func(q *advice.Question) { q.Bottle, q.PrimingGL = sparklingGlass, 8 }, batch.Sparkling, advice.NotYet, "volumes of gas", ""},
	{"primed, no proof", dry, nil, func(q *advice.Question) { q.Bottle, q.PrimingGL = sparklingGlass, 6 }, batch.Sparkling, advice.NotYet, "nothing proves", "a hydrometer reading"},
	{"filled to the brim", dry, flat(provenDry()...), func(q *advice.Question) { q.Bottle.HeadspaceML = 2 }, batch.Still, advice.NotYet, "fill the bottle", "more air"},
	{"hotter than the physics", dry, flat(provenDry()...), func(q *advice.Question) { q.Warmest = 55 }, batch.Still, advice.NotYet, "cannot be computed", ""},
	{"a proof of the end that is none of stillness", dry, flat(provenDry()...), func(q *advice.Question) { q.Proof.Still = false }, batch.Still, advice.NotYet, "nothing proves", ""},
	{"no estimate", dry, flat(provenDry()...), func(q *advice.Question) { q.Members = nil }, batch.Still, advice.NotYet, "nothing tells", "what went in"},
	{"too few members", dry, flat(provenDry()...), func(q *advice.Question) { q.Members = q.Members[:50] }, batch.Still, advice.NotYet, "nothing tells", ""},
	{"asked as stabilised, and is not", dry, flat(provenDry()...), nil, batch.StillStabilised, advice.NotYet, "not stabilised", "sulphite and sorbate"},

	{"dry, flat and proven", dry, flat(provenDry()...), nil, batch.Still, advice.ReadyStill, "it stands still (0.996 on 20 July and 0.996 on 4 August)", ""},
	{"sweet, flat and just stabilised", sweet, flat(proven(1.010, stabilised(96, 0.5, 1.2))...), nil, batch.StillStabilised, advice.NotYet, "sorbate stops no yeast that is still at work", "equal hydrometer readings 21 days apart"},
	{"dry, flat, stabilised since the last reading", dry, flat(provenDry(stabilised(96, 0.5, 1.2))...), nil, batch.StillStabilised, advice.NotYet, "nothing was read since", "one more equal hydrometer reading"},
	{"dry, flat, stabilised and read", dry, flat(provenDry(stabilised(96, 0.5, 1.2), gravity(97, 0.996, 20))...), nil, batch.StillStabilised, advice.ReadyStabilised, "bears 1.0 bar", ""},
	{"sweet, flat, stabilised and watched", sweet, flat(stabilised(73, 0.5, 1.2), gravity(74, 1.010, 20), gravity(95, 1.010, 20)), nil, batch.StillStabilised, advice.ReadyStabilised, "bears 1.0 bar", ""},
	{"primed for sparkling glass", dry, provenDry(), func(q *advice.Question) { q.Bottle, q.PrimingGL = sparklingGlass, 6 }, batch.Sparkling, advice.ReadySparkling, "bears 6.0 bar", ""},
}

func (b bottling) question(t fataler) (advice.Evidence, advice.Question) {
	e := b.jug.evidence(record(t, inOrder(b.record)...), 100)
	q := ask(e, b.style)
	if b.change != nil {
		b.change(&q)
	}
	return e, q
}

func inOrder(all []happening) []happening {
	all = slices.Clone(all)
	slices.SortStableFunc(all, func(a, b happening) int { return int(a.day - b.day) })
	return all
}

func TestMayBottle(t *testing.T) {
	for _, tt := range bottlings {
		_, q := tt.question(t)
		v := advice.MayBottle(q)
		if v.Answer != tt.answer || !strings.Contains(v.Reason, tt.reason) || !strings.Contains(v.Settles, tt.settles) {
			t.Errorf("%s: MayBottle = %s because %q, settled by %q; want %s, %q, %q", tt.name, v.Answer, v.Reason, v.Settles, tt.answer, tt.reason, tt.settles)
		}
		if ready := v.Answer != advice.NotYet; ready != (v.Settles == "") || ready && v.Chance > advice.MostChance {
			t.Errorf("%s: %s with chance %.3f, settled by %q", tt.name, v.Answer, v.Chance, v.Settles)
		}
	}
}

// Taking away anything that was seen of the wine, or done to make it safe, never makes it
// readier: every row, less every one of its entries, and less what the question says.
// What was put in (the honey) is no evidence: without it the wine is another.
func TestMayBottleWithLessEvidence(t *testing.T) {
	less := 0
	for _, tt := range bottlings {
		if tt.answer != advice.NotYet {
			continue
		}
		for i := range tt.record {
			if _, deed := tt.record[i].what.(batch.Added); deed {
				continue
			}
			fewer := tt
			fewer.record = slices.Delete(slices.Clone(tt.record), i, i+1)
			_, q := fewer.question(t)
			less++
			if v := advice.MayBottle(q); v.Answer != advice.NotYet {
				t.Errorf("%s, without its entry of day %g: %s", tt.name, tt.record[i].day, v.Answer)
			}
		}
		for name, forget := range forgetting {
			_, q := tt.question(t)
			forget(&q)
			less++
			if v := advice.MayBottle(q); v.Answer != advice.NotYet {
				t.Errorf("%s, without %s: %s", tt.name, name, v.Answer)
			}
		}
	}
	if less < 200 {
		t.Errorf("only %d things were taken away", less)
	}
}

var forgetting = map[string]func(*advice.Question){
	"the estimate":     func(q *advice.Question) { q.Members = nil },
	"the proof":        func(q *advice.Question) { q.Proof = advice.Proof{} },
	"proof of the end": func(q *advice.Question) { q.Proof.Finished = false },
	"the stabilisers":  func(q *advice.Question) { q.Stabilised = advice.Stabilised{} },
	"the sulphite":     func(q *advice.Question) { q.Stabilised.SulphiteMGL = 0 },
	"the sorbate":      func(q *advice.Question) { q.Stabilised.SorbateMGL = 0 },
	"the pH":           func(q *advice.Question) { q.Stabilised.PH = 0 },
	"the rackings":     func(q *advice.Question) { q.Gas.Rackings = 0 },
	"the degassing":    func(q *advice.Question) { q.Gas.Stirred = 0 },
	"the months":       func(q *advice.Question) { q.Gas.Months = 0 },
	"the thermometer":  func(q *advice.Question) { q.Gas.Coldest = nil },
	"all that is told": func(q *advice.Question) {
		q.Proof, q.Stabilised, q.Gas = advice.Proof{}, advice.Stabilised{}, advice.Gas{}
	},
	"the kind of bottle":  func(q *advice.Question) { q.Bottle.Limit = 0 },
	"the air in the neck": func(q *advice.Question) { q.Bottle.HeadspaceML = 0 },
}

// The same for any question at all.
func TestForgettingNeverMakesReadier(t *testing.T) {
	ready := 0
	rapid.Check(t, func(t *rapid.T) {
		jug := truth{
			left: rapid.SampledFrom([]float64{0, 0.2, 1, 3, 10, 40}).Draw(t, "left"), spread: rapid.Float64Range(0, 2).Draw(t, "spread"),
			solids: rapid.Float64Range(0, 60).Draw(t, "solids"), strength: rapid.Float64Range(5, 17).Draw(t, "strength"),
		}
		q := advice.Question{
			Now: on(100), Members: jug.evidence(batch.State{}, 100).Members,
			Proof:      advice.Proof{Still: rapid.Bool().Draw(t, "still"), Finished: rapid.Bool().Draw(t, "finished")},
			Stabilised: advice.Stabilised{SulphiteMGL: rapid.SampledFrom([]float64{0, 30, 60}).Draw(t, "sulphite"), SorbateMGL: rapid.SampledFrom([]float64{0, 100, 300}).Draw(t, "sorbate"), PH: rapid.SampledFrom([]float64{0, 3.2, 3.5, 3.8}).Draw(t, "pH")},
			Gas:        advice.Gas{Rackings: rapid.IntRange(0, 4).Draw(t, "rackings"), Stirred: rapid.IntRange(0, 3).Draw(t, "stirred"), Months: rapid.Float64Range(0, 24).Draw(t, "months")},
			Style:      rapid.SampledFrom([]batch.Style{batch.Still, batch.StillStabilised, batch.Sparkling}).Draw(t, "style"),
			PrimingGL:  rapid.SampledFrom([]float64{0, 6, 12, 24}).Draw(t, "priming"),
			Bottle:     advice.Bottle{Limit: rapid.SampledFrom([]measure.Bar{0, 1, 3, 6}).Draw(t, "limit"), SizeML: 750, HeadspaceML: rapid.Float64Range(0, 40).Draw(t, "headspace")},
			Warmest:    measure.Celsius(rapid.Float64Range(10, 39).Draw(t, "warmest")),
		}
		if rapid.Bool().Draw(t, "thermometer") {
			coldest := measure.Celsius(rapid.Float64Range(0, 30).Draw(t, "coldest"))
			q.Gas.Coldest = &coldest
		}
		before := advice.MayBottle(q)
		if before.Answer != advice.NotYet {
			ready++
			return
		}
		for name, forget := range forgetting {
			fewer := q
			forget(&fewer)
			if v := advice.MayBottle(fewer); v.Answer != advice.NotYet {
				t.Fatalf("without %s: %s (%s), and %s with it (%s)", name, v.Answer, v.Reason, before.Answer, before.Reason)
			}
		}
	})
	t.Logf("%d questions were ready", ready)
}

// A jug whose gravity falls without end until it is dry, with any looks at it: no part of
// the looks is readier than all of them.
func TestFewerLooksAreNeverReadier(t *testing.T) {
	ready := 0
	rapid.Check(t, func(t *rapid.T) {
		slow := rapid.Float64Range(2, 60).Draw(t, "days to a third")
		at := func(day float64) float64 { return round(0.996 + 0.090*exp(-day/slow)) }
		days := rapid.SliceOfNDistinct(rapid.IntRange(1, 99), 1, 6, rapid.ID).Draw(t, "looks")
		slices.Sort(days)
		left := 200 * exp(-100/slow)
		jug := truth{left: left, spread: left / 5, solids: 2, strength: 12 - left/17, gravity: 0.996 + 0.00045*left, rate: 0.45 * left / slow, finish: 6 * slow}
		jug.phases.Dry = 1
		if left > 0.5 {
			jug.phases.Dry, jug.phases.Slowing = 0, 1
		}
		verdict := func(days []int) advice.Answer {
			var looks []happening
			for _, d := range days {
				looks = append(looks, gravity(float64(d), at(float64(d)), 20))
			}
			q := ask(jug.evidence(record(t, looks...), 100), batch.Still)
			q.Gas = advice.Gas{Rackings: 9}
			return advice.MayBottle(q).Answer
		}
		if verdict(days) != advice.NotYet {
			ready++
			return
		}
		for i := range days {
			if a := verdict(slices.Delete(slices.Clone(days), i, i+1)); a != advice.NotYet {
				t.Fatalf("looks on %v: not yet; without that of day %d: %s", days, days[i], a)
			}
		}
	})
	t.Logf("%d records were ready", ready)
}

// The pressure is that of package gas, and rises with sugar as the table of its tests says:
// 750 mL, 20 mL of air, 12 % vol: from 0 to 10 g/L by 4.56 bar at 30 °C and 3.28 at 20 °C.
// Tolerance: its two decimals, twice.
func TestPressureIsThatOfTheClosedBottle(t *testing.T) {
	still := truth{strength: 12, phases: dry.phases}
	q := ask(still.evidence(record(t, provenDry()...), 100), batch.Sparkling)
	q.Gas = advice.Gas{Rackings: 30} // to the last half gram, and so 0.375 g/L in the middle
	pressure := func(priming float64) advice.Verdict {
		q.PrimingGL = priming
		return advice.MayBottle(q)
	}
	none, ten := pressure(0), pressure(10)
	if rise := ten.Pressure.Value - none.Pressure.Value; !near(rise, 4.56, 0.01) {
		t.Errorf("10 g/L add %.3f bar at 30 °C, want 4.56", rise)
	}
	if rise := ten.PressureAt20.Value - none.PressureAt20.Value; !near(rise, 3.28, 0.01) {
		t.Errorf("10 g/L add %.3f bar at 20 °C, want 3.28", rise)
	}
	bottle := gas.ClosedBottle{Volume: 0.75, Headspace: 0.02, Liquid: gas.Liquid{Ethanol: 12}, CO2: 0.375, Hexose: 10, Yield: gas.CarefulYield, Law: gas.Least}
	for _, tt := range []struct {
		at  measure.Celsius
		got float64
	}{{30, ten.Pressure.Value}, {20, ten.PressureAt20.Value}} {
		want, err := bottle.Gauge(tt.at)
		// The middle of 500 golden steps lies within 1/500 of the middle: 0.25 g/L / 500.
		if err != nil || !near(tt.got, float64(want), 0.001) {
			t.Errorf("pressure at %g °C = %.4f bar, gas.ClosedBottle says %.4f, %v", tt.at, tt.got, want, err)
		}
	}
	if none.Warmest != 30 {
		t.Errorf("judged at %g °C when nobody told, want 30", none.Warmest)
	}
}

// Sugar left lying in a jug that is proven still counts with WakeChance, in any other in
// full, and priming always in full.
func TestChanceCountsMembers(t *testing.T) {
	q := ask(dry.evidence(record(t, flat(provenDry()...)...), 100), batch.Still)
	for i := range 50 { // of 500 hold 4 g/L more than the rest: 10 in 100 would push the cork
		q.Members[10*i].EventualHexose += 4
	}
	if v := advice.MayBottle(q); !near(v.Chance, 0.10*advice.WakeChance, 1e-9) || v.Answer != advice.NotYet {
		t.Errorf("proven still: chance %.3f, %s; want %.3f, not yet", v.Chance, v.Answer, 0.10*advice.WakeChance)
	}
	unproven := q
	unproven.Proof = advice.Proof{}
	if v := advice.MayBottle(unproven); !near(v.Chance, 0.10, 1e-9) || v.Answer != advice.NotYet {
		t.Errorf("without proof: chance %.3f, %s; want 0.10, not yet", v.Chance, v.Answer)
	}
	primed := q
	primed.PrimingGL = 8
	if v := advice.MayBottle(primed); v.Chance < 0.99 {
		t.Errorf("8 g/L of priming in a bottle that bears %g bar: chance %.3f, want 1", float64(q.Bottle.Limit), v.Chance)
	}
}

func TestFilledBottles(t *testing.T) {
	for _, tt := range []struct {
		jug  truth
		want bool
	}{{working, true}, {dry, false}} {
		e := tt.jug.evidence(record(t, flat()...), 100)
		w, warned := advice.Filled(ask(e, batch.Still))
		if warned != tt.want || warned && w.Urgency != advice.Danger {
			t.Errorf("Filled with %g g/L left = %+v, %t; want %t", tt.jug.left, w, warned, tt.want)
		}
	}
}

// Doses as printed at pH 3.5, the first held to 200 mg/L of sorbic acid; nothing below 10 % vol,
// and between rows the weaker wine's.
func TestLeastSorbate(t *testing.T) {
	for _, tt := range []struct {
		strength measure.PercentVol
		want     float64
		found    bool
	}{{9.9, 0, false}, {10, 200 / (112.13 / 150.22), true}, {11, 225, true}, {11.9, 225, true}, {12, 150, true}, {13, 120, true}, {14, 90, true}, {17, 90, true}} {
		if got, found := advice.LeastSorbate(tt.strength); !near(got, tt.want, 0.05) || found != tt.found {
			t.Errorf("LeastSorbate(%g) = %g, %t; want %g, %t", tt.strength, got, found, tt.want, tt.found)
		}
	}
}

func TestStabilisedBy(t *testing.T) {
	state := record(t, stabilised(10, 0.45, 0.9))
	s := advice.StabilisedBy(state, on(20))
	// 0.45 g × 0.5763 and 0.9 g in 4.5 L, which the powders themselves hardly swell.
	if !near(s.SulphiteMGL, 57.6, 0.2) || !near(s.SorbateMGL, 200, 0.5) {
		t.Errorf("StabilisedBy = %+v; want 57.6 and 200 mg/L", s)
	}
	half := record(t, stabilised(10, 0.45, 0.9), happening{12, batch.Poured{Blend: "x", Into: "y", Litres: *quantity(measure.Volume, 2, 0)}})
	if h := advice.StabilisedBy(half, on(20)); !near(h.SorbateMGL, s.SorbateMGL, 1e-9) || !near(h.SulphiteMGL, s.SulphiteMGL, 1e-9) {
		t.Errorf("with 2 L poured away: %+v; want as before, %+v", h, s)
	}
	blend := record(t, happening{12, batch.Blended{Blend: "x", Sources: []batch.Source{{Jug: "k", Sorbate: 0.9}}}})
	if b := advice.StabilisedBy(blend, on(20)); !near(b.SorbateMGL, 200, 1e-9) || b.SulphiteMGL != 0 || b.PH != 0 {
		t.Errorf("sorbate that came with other wine: %+v; want 200 mg/L, no sulphite, and the pH open", b)
	}
	if s := advice.StabilisedBy(state, on(100)); s.SulphiteMGL != 0 || s.SorbateMGL == 0 {
		t.Errorf("ninety days later: %+v; want no sulphite, and the sorbate", s)
	}
	again := record(t, stabilised(10, 0.45, 0.9), happening{15, batch.Pitched{Yeast: "champagne yeast", Grams: 5}})
	if s := advice.StabilisedBy(again, on(20)); s.SulphiteMGL != 0 || s.SorbateMGL != 0 {
		t.Errorf("pitched again since: %+v; want nothing", s)
	}
}
