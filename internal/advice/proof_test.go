package advice_test

import (
	"slices"
	"strings"
	"testing"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
)

// What proves that a jug stands still, and what takes the proof away again.
func TestProof(t *testing.T) {
	for _, tt := range []struct {
		name  string
		seen  []happening
		still bool
	}{
		{"a week by the calendar, some hours short", []happening{gravity(80, 0.996, 20), gravity(86.6, 0.996, 20)}, true},
		{"six days", []happening{gravity(80, 0.996, 20), gravity(86, 0.996, 20)}, false},
		{"a division apart, a degree warmer", []happening{gravity(80, 0.996, 20), gravity(88, 0.997, 21)}, true},
		{"two divisions apart", []happening{gravity(80, 0.996, 20), gravity(88, 0.998, 20)}, false},
		{"equal in the cold, and equal since it is warm", []happening{gravity(60, 0.996, 9), gravity(68, 0.996, 9), gravity(80, 0.996, 20), gravity(88, 0.996, 20)}, true},
		{"equal in the cold, once since it is warm", []happening{gravity(60, 0.996, 9), gravity(68, 0.996, 9), gravity(80, 0.996, 20)}, false},
		{"then a reading two divisions higher", []happening{gravity(80, 0.996, 20), gravity(88, 0.996, 20), gravity(91, 0.998, 20)}, true},
		{"then one three divisions higher", []happening{gravity(80, 0.996, 20), gravity(88, 0.996, 20), gravity(91, 0.999, 20)}, false},
		{"then one two divisions lower", []happening{gravity(80, 0.997, 20), gravity(88, 0.997, 20), gravity(91, 0.995, 20)}, false},
		{"then a fall, and a reading as before", []happening{gravity(80, 0.997, 20), gravity(88, 0.997, 20), gravity(91, 0.993, 20), gravity(92, 0.997, 20)}, false},
	} {
		e := dry.evidence(record(t, tt.seen...), 95)
		e.State.Gravity.Low, e.State.Gravity.High = 0.990, 1.002
		if got := advice.Stand(e).Proof.Still; got != tt.still {
			t.Errorf("%s: still is %t, want %t", tt.name, got, tt.still)
		}
	}
}

// A jug that reads as its fermented-out sample does needs no second reading, warm or cold; one
// that stands above it, or may be too strong for the sample's yeast, is not proven by it.
func TestProofByASample(t *testing.T) {
	out := func(day, sg, sample float64) happening {
		h := gravity(day, sg, 12)
		l := h.what.(batch.Looked)
		l.Spent, l.SpentAt = quantity(measure.SG, sample, 0.001), l.Sample
		return happening{day, l}
	}
	strong := dry
	strong.strength = 14.5
	for _, tt := range []struct {
		name     string
		jug      truth
		seen     []happening
		finished bool
	}{
		{"as its sample, in the cold", dry, []happening{out(88, 0.996, 0.996)}, true},
		{"two divisions below one reading, a day after", dry, []happening{gravity(80, 0.998, 20), out(88, 0.996, 0.996)}, true},
		{"a division above", dry, []happening{out(88, 0.997, 0.996)}, true},
		{"two divisions above", dry, []happening{out(88, 0.998, 0.996)}, false},
		{"read in the cold before the sample was", dry, []happening{gravity(80, 0.996, 12), spent(88, 0.996)}, false},
		{"stronger than the sample's yeast can be trusted to bear", strong, []happening{out(88, 0.996, 0.996)}, false},
		{"no sample", dry, []happening{gravity(88, 0.996, 12)}, false},
	} {
		e := tt.jug.evidence(record(t, tt.seen...), 89)
		e.State.Gravity.Low, e.State.Gravity.High = 0.990, 1.002
		if p := advice.Stand(e).Proof; p.Finished != tt.finished {
			t.Errorf("%s: finished is %t (%q, missing %q), want %t", tt.name, p.Finished, p.By, p.Missing, tt.finished)
		}
	}
}

// What a sample found is sugar, whatever the ensemble makes of it, and at its limit too.
func TestSampleThatFell(t *testing.T) {
	strong := dry
	strong.strength = 14.5
	for name, tt := range map[string]struct {
		sample float64
		want   advice.Answer
	}{"three divisions": {0.993, advice.NotYet}, "one division": {0.995, advice.ReadyStill}} {
		seen := []happening{racked(45), racked(70), gravity(80, 0.996, 20), gravity(88, 0.996, 20), spent(88, tt.sample)}
		q := ask(strong.evidence(record(t, seen...), 89), batch.Still)
		q.Warmest, q.Bottle.Limit = 20, advice.StrongGlass // for at that strength none is shown to be dry
		if v := advice.MayBottle(q); v.Answer != tt.want {
			t.Errorf("its sample fell by %s: %s because %s; want %s", name, v.Answer, v.Reason, tt.want)
		}
	}
}

// Stabilisers in a jug that reads equal but may still be at work are not trusted before it was
// watched.
func TestStabilisedBeforeTheEnd(t *testing.T) {
	for over, want := range map[float64]advice.Answer{1: advice.ReadyStabilised, 0.8: advice.NotYet} {
		jug := dry
		jug.phases = estimate.Phases{Dry: over, Slowing: 1 - over}
		seen := []happening{racked(45), racked(70), gravity(80, 0.996, 20), stabilised(85, 0.5, 1.2), gravity(88, 0.996, 20)}
		q := ask(jug.evidence(record(t, seen...), 89), batch.StillStabilised)
		q.Warmest = 20
		v := advice.MayBottle(q)
		if v.Answer != want || want == advice.NotYet && !strings.HasPrefix(v.Reason, "it may not be over") {
			t.Errorf("%g of the ensemble over: %s because %s; want %s", over, v.Answer, v.Reason, want)
		}
	}
}

// A wine too strong for a sample to show that it is dry is told to have stopped, goes into glass
// made for pressure only, and is not primed.
func TestTooStrongForASample(t *testing.T) {
	equal := []happening{racked(45), racked(70), gravity(80, 0.996, 20), gravity(88, 0.996, 20)}
	for name, tt := range map[string]struct {
		strength float64
		seen     []happening
	}{
		"for any sample":                    {16.5, equal},
		"for one that comes to nothing new": {14.8, append(slices.Clone(equal), spent(88, 0.996))},
	} {
		strong := dry
		strong.strength = tt.strength
		e := strong.evidence(record(t, tt.seen...), 89)
		e.YeastStops = 17
		if s := advice.Stand(e); s.Proof.Dry || !s.Proof.Finished || !strings.Contains(s.Sentence, "probably dry") {
			t.Errorf("too strong %s: dry is %t, finished %t: %s", name, s.Proof.Dry, s.Proof.Finished, s.Sentence)
		}
		for limit, want := range map[measure.Bar]advice.Answer{1: advice.NotYet, 3: advice.NotYet, 6: advice.ReadyStill} {
			q := ask(e, batch.Still)
			q.Warmest, q.Bottle.Limit = 20, limit
			if v := advice.MayBottle(q); v.Answer != want {
				t.Errorf("too strong %s, glass for %g bar: %s because %s; want %s", name, float64(limit), v.Answer, v.Reason, want)
			}
		}
		q := ask(e, batch.Sparkling)
		q.Warmest, q.Bottle, q.PrimingGL = 20, sparklingGlass, 4
		if v := advice.MayBottle(q); v.Answer != advice.NotYet || !strings.Contains(v.Reason, "priming adds") {
			t.Errorf("too strong %s, primed: %s because %s; want not yet", name, v.Answer, v.Reason)
		}
	}
}

// A wine at its yeast's limit may be dry or sweet: without a sample it is told to have stopped only
// where sugar is left for all that is known.
func TestAtItsLimitWithoutASample(t *testing.T) {
	for left, want := range map[float64]bool{0.5: false, 25: true} {
		jug := truth{left: left, spread: 0.4, solids: 2, strength: 13, gravity: 1.002, phases: estimate.Phases{Stopped: 1}, finish: 30}
		e := jug.evidence(record(t, gravity(80, 1.002, 20), gravity(88, 1.002, 20)), 89)
		e.YeastStops = 12
		if s := advice.Stand(e); s.Proof.Finished != want {
			t.Errorf("%g g/L left: finished is %t, %s; want %t", left, s.Proof.Finished, s.Sentence, want)
		}
	}
}

// A sample cannot stand above the wine it was drawn from: one reading is wrong, and nothing rests on it.
func TestOddSample(t *testing.T) {
	for name, tt := range map[string]struct {
		sample float64
		want   bool
	}{"two divisions above": {0.998, false}, "a division above": {0.997, true}} {
		seen := []happening{gravity(80, 0.996, 20), gravity(88, 0.996, 20), spent(88, tt.sample)}
		p := advice.Stand(dry.evidence(record(t, seen...), 89)).Proof
		if p.Finished != tt.want || strings.Contains(p.Missing, "sample again") == tt.want {
			t.Errorf("its sample reads %s: finished is %t, missing %q", name, p.Finished, p.Missing)
		}
	}
}

// A jug that grew heavier and stayed so had something put in: nothing is told before that is
// written down. One wrong weighing is none, nor is a damp cloth.
func TestGrewHeavier(t *testing.T) {
	honey := happening{84, batch.Added{Parts: []batch.Part{{Ingredient: "honey", Grams: 70}}}}
	for _, tt := range []struct {
		name  string
		seen  []happening
		asked bool
	}{
		{"fed", []happening{weight(80, 6000, 2), weight(85, 6072, 2), weight(90, 6060, 2)}, true},
		{"fed, and written down", []happening{weight(80, 6000, 2), honey, weight(85, 6072, 2), weight(90, 6060, 2)}, false},
		{"weighed wrongly once", []happening{weight(80, 6000, 2), weight(85, 6072, 2), weight(90, 5995, 2)}, false},
		{"heavier today, not borne out yet", []happening{weight(80, 6000, 2), weight(90, 6072, 2)}, false},
		{"a little heavier", []happening{weight(80, 6000, 2), weight(85, 6008, 2), weight(90, 6007, 2)}, false},
		{"on a coarse scale", []happening{weight(80, 6000, 30), weight(85, 6100, 30), weight(90, 6100, 30)}, false},
		{"denser", []happening{gravity(80, 0.990, 20)}, true},
		{"denser, of a must that lay in layers", []happening{gravity(1, 0.990, 20)}, false},
		{"a little denser", []happening{gravity(80, 0.993, 20)}, false},
	} {
		e := dry.evidence(record(t, append(tt.seen, gravity(91, 0.996, 20), gravity(99, 0.996, 20))...), 100)
		stands := advice.Stand(e)
		if asked := stands.Phase == advice.CannotTell && strings.Contains(stands.Sentence, " more than before"); asked != tt.asked {
			t.Errorf("%s: %s, %q; want the question what went in to be %t", tt.name, stands.Phase, stands.Sentence, tt.asked)
		}
		v := advice.MayBottle(ask(e, batch.Still))
		if asked := strings.HasPrefix(v.Settles, "a note of what went in between 20 July and "); asked != tt.asked {
			t.Errorf("%s: settled by %q", tt.name, v.Settles)
		}
	}
}

// Equal readings alone call no wine dry, nor a blend: a sample is wanted too.
func TestDryWantsASample(t *testing.T) {
	equal := []happening{gravity(80, 0.996, 20), gravity(88, 0.996, 20)}
	for name, tt := range map[string]struct {
		seen  []happening
		blend bool
		want  bool
	}{
		"none":              {equal, false, false},
		"its sample":        {append(slices.Clone(equal), spent(88, 0.996)), false, true},
		"one before a feed": {append([]happening{spent(78, 0.996), {79, batch.Added{Parts: []batch.Part{{Ingredient: "honey", Grams: 70}}}}}, equal...), false, false},
		"none of a blend":   {equal, true, false},
		"that of a blend":   {append(slices.Clone(equal), spent(88, 0.996)), true, true},
	} {
		state := record(t, tt.seen...)
		if tt.blend {
			state.Pitches, state.Blends = nil, []batch.Dated[batch.Blended]{{At: pitched}}
		}
		e := dry.evidence(state, 89)
		if p := advice.Stand(e).Proof; p.Dry != tt.want || p.Finished != tt.want || !tt.want && p.Missing != "the reading of a sample fermented out" {
			t.Errorf("%s: dry is %t and finished %t, missing %q; want %t", name, p.Dry, p.Finished, p.Missing, tt.want)
		}
		if v := advice.MayBottle(ask(e, batch.Still)); strings.Contains(v.Settles, "ferment out a sample") == tt.want {
			t.Errorf("%s: settled by %q; want a sample %t", name, v.Settles, !tt.want)
		}
	}
}

// A wine is called dry when next to none of the ensemble holds more than a little sugar: one in
// five hundred may, two may not.
func TestDry(t *testing.T) {
	for sweet, want := range map[int]bool{0: true, 1: true, 2: false} {
		e := dry.evidence(record(t, gravity(80, 0.996, 20), gravity(88, 0.996, 20), spent(88, 0.996)), 89)
		for i := range sweet {
			e.Members[i].EventualHexose = advice.LittleSugar + 1
		}
		p := advice.Stand(e).Proof
		if p.Dry != want || p.Finished != want {
			t.Errorf("%d of 500 sweet: dry is %t and finished %t, want %t", sweet, p.Dry, p.Finished, want)
		}
		q := ask(e, batch.Still)
		q.Warmest, q.Gas.Stirred = 20, 2
		if v := advice.MayBottle(q); (v.Answer == advice.ReadyStill) != want {
			t.Errorf("%d of 500 sweet: %s because %s", sweet, v.Answer, v.Reason)
		}
	}
}

// A reading that proves today proves no filling in three weeks.
func TestStaleReading(t *testing.T) {
	seen := []happening{gravity(80, 0.996, 20), gravity(90, 0.996, 20), spent(90, 0.996), racked(60), racked(75)}
	for today, want := range map[float64]advice.Answer{91: advice.ReadyStill, 97: advice.ReadyStill, 98: advice.NotYet, 120: advice.NotYet} {
		q := ask(dry.evidence(record(t, inOrder(seen)...), today), batch.Still)
		q.Warmest = 20
		if v := advice.MayBottle(q); v.Answer != want {
			t.Errorf("day %g: %s because %s; want %s", today, v.Answer, v.Reason, want)
		}
	}
}

// A wine left in peace holds all the gas that it can: in a bottle that bears a bar at 20 °C
// it is not flat before it was stirred.
func TestGasOfAWineLeftInPeace(t *testing.T) {
	twenty := measure.Celsius(20)
	for stirred, want := range map[int]advice.Answer{0: advice.NotYet, 1: advice.ReadyStill} {
		q := ask(dry.evidence(record(t, gravity(80, 0.996, 20), gravity(90, 0.996, 20), spent(90, 0.996)), 91), batch.Still)
		q.Warmest, q.Gas = 20, advice.Gas{Coldest: &twenty, Stirred: stirred}
		if v := advice.MayBottle(q); v.Answer != want {
			t.Errorf("stirred %d times: %s because %s; want %s", stirred, v.Answer, v.Reason, want)
		}
	}
}

// A jug that was stirred and then woke is full of gas again.
func TestGasAfterAFall(t *testing.T) {
	stirred := happening{85, batch.Noted{Note: "degassed"}}
	for name, tt := range map[string]struct {
		seen []happening
		want int
	}{
		"stands still":       {[]happening{gravity(80, 0.996, 20), stirred, gravity(90, 0.996, 20)}, 1},
		"fell before":        {[]happening{gravity(70, 1.010, 20), gravity(80, 0.996, 20), stirred, gravity(90, 0.996, 20)}, 1},
		"fell since":         {[]happening{gravity(80, 1.010, 20), stirred, gravity(90, 0.996, 20)}, 0},
		"fell since, slowly": {[]happening{gravity(80, 0.999, 20), stirred, gravity(88, 0.998, 20), gravity(95, 0.996, 20)}, 0},
	} {
		if g := advice.GasOf(dry.evidence(record(t, tt.seen...), 97)); g.Stirred != tt.want {
			t.Errorf("%s: stirred %d times that count, want %d", name, g.Stirred, tt.want)
		}
	}
}

// Stirring out gas is asked for once the jug is over: before that it fills again.
func TestNoStirringBeforeTheEnd(t *testing.T) {
	seen := []happening{gravity(80, 0.996, 20), gravity(90, 0.996, 20), spent(90, 0.996)}
	for over, want := range map[float64]string{1: "get the gas out", 0.8: "one more equal hydrometer reading"} {
		jug := dry
		jug.phases = estimate.Phases{Dry: over, Slowing: 1 - over}
		q := ask(jug.evidence(record(t, seen...), 91), batch.Still)
		if v := advice.MayBottle(q); v.Answer != advice.NotYet || !strings.HasPrefix(v.Settles, want) {
			t.Errorf("%g of the ensemble over: %s, settled by %q; want not yet, %q", over, v.Answer, v.Settles, want)
		}
	}
}
