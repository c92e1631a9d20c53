package advice_test

import (
	"fmt"
	"strings"
	"testing"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/must"
)

var (
	working = truth{left: 120, spread: 30, solids: 5, strength: 5, gravity: 1.050, rate: 8, phases: estimate.Phases{Working: 0.9, Slowing: 0.1}, finish: 40}
	waking  = truth{left: 200, spread: 5, solids: 5, gravity: 1.085, phases: estimate.Phases{Starting: 0.8, Working: 0.2}, finish: 40}
	stopped = truth{left: 40, spread: 10, solids: 5, strength: 9, gravity: 1.018, phases: estimate.Phases{Stopped: 1}, finish: 20}
	sweet   = truth{left: 40, spread: 10, solids: 5, strength: 15, gravity: 1.010, phases: estimate.Phases{Stopped: 1}, finish: 20}
	slowing = truth{left: 20, spread: 8, solids: 5, strength: 10, gravity: 1.006, rate: 1, phases: estimate.Phases{Slowing: 0.9, Dry: 0.1}, finish: 60}
)

// explained is the jug with one explanation of that chance, the rest at two others.
func (j truth) explained(k estimate.Kind, chance float64) truth {
	rest := (1 - chance) / 2
	j.behind = []estimate.Explanation{
		{Kind: k, Chance: chance, Why: []string{"it does not move", "it stood in the cold"}},
		{Kind: estimate.AtWork, Chance: rest, Why: []string{"it moves"}},
		{Kind: estimate.AllFermented, Chance: rest, Why: []string{"nothing is left"}},
	}
	return j
}

// One row a situation, the dangerous ones first: those in which a maker is tempted to
// think that it is over.
func TestStand(t *testing.T) {
	for _, tt := range []struct {
		name   string
		jug    truth
		today  float64
		record []happening
		phase  advice.Phase
		says   string // in the sentence
		next   string // in the first thing wanted next; "" means nothing
	}{
		{"quiet bubbles alone never finish", dry, 45, []happening{bubbles(38, 0), bubbles(45, 0)}, advice.Quiet, "quiet proves nothing", "Take a hydrometer reading"},
		{"equal readings four days apart are too few", dry, 45, []happening{gravity(41, 0.996, 20), gravity(45, 0.996, 20)}, advice.Quiet, "not proven", "a second hydrometer reading, 7 days or more after that of 15 June"},
		{"cold looks like the end", stopped, 45, []happening{gravity(30, 1.018, 12), gravity(45, 1.018, 12)}, advice.CannotTell, "at 12 °C this looks like the end and may be a rest", "Bring it to 15 °C"},
		{"cold looks like the end, dry too", dry, 45, []happening{gravity(30, 0.996, 12), gravity(45, 0.996, 12)}, advice.CannotTell, "may be a rest", "Bring it to 15 °C"},
		{"silence in the cold", dry, 45, []happening{{44, batch.Looked{Bubbles: quantity(measure.BubbleRate, 0, 1), Room: quantity(measure.Temperature, 11, 1)}}}, advice.Quiet, "cold looks like the end", "Take a hydrometer reading"},
		{"too cold to go on", stopped.explained(estimate.ColdPause, 0.9), 10, []happening{{10, batch.Looked{Room: quantity(measure.Temperature, 4, 1)}}}, advice.CannotTell, "too cold for its yeast", "Bring it to 15 °C"},
		{"too cold to begin", truth{left: 200, solids: 5, gravity: 1.085, phases: estimate.Phases{Starting: 0.4, Stopped: 0.6}, finish: 1}.explained(estimate.ColdPause, 0.8), 1, []happening{{1, batch.Looked{Room: quantity(measure.Temperature, 2, 1)}}}, advice.Waiting, "too cold for its yeast to begin", "Bring it to 15 °C"},
		{"equal, and sugar is left", stopped, 45, []happening{gravity(30, 1.018, 20), gravity(45, 1.018, 20)}, advice.Stalled, "stalled", ""},
		{"still falling slowly", slowing, 45, []happening{gravity(35, 1.012, 20), gravity(45, 1.006, 20)}, advice.Slowing, "slowing", "Weigh it"},
		{"equal, while the estimate holds it to be moving", slowing, 45, []happening{gravity(35, 1.006, 20), gravity(45, 1.006, 20)}, advice.Stalled, "stalled", ""},
		{"two hydrometers do not agree by being equal", dry, 45, []happening{gravity(35, 0.996, 20), {45, batch.Looked{Gravity: quantity(measure.SG, 0.996, 0.001), Calibrated: 15, Sample: quantity(measure.Temperature, 20, 1)}}}, advice.Quiet, "not proven", "a second"},
		{"read roughly, equal means nothing", dry, 45, []happening{{35, batch.Looked{Gravity: quantity(measure.SG, 0.996, 0.003), Calibrated: 20, Sample: quantity(measure.Temperature, 20, 1)}}, {45, batch.Looked{Gravity: quantity(measure.SG, 0.996, 0.003), Calibrated: 20, Sample: quantity(measure.Temperature, 20, 1)}}}, advice.Quiet, "not proven", "a second"},
		{"equal, and nothing like the estimate", dry, 45, []happening{gravity(30, 1.010, 20), gravity(45, 1.010, 20)}, advice.Quiet, "not proven", "the hydrometer reading again"},
		{"honey went in between", dry, 45, []happening{gravity(30, 0.996, 20), {35, batch.Added{Parts: []batch.Part{{Ingredient: "honey", Grams: 200}}}}, gravity(45, 0.996, 20)}, advice.Quiet, "not proven", "a second"},
		{"equal before the estimate sees the end", dry, 45, []happening{gravity(14, 0.996, 20), gravity(22, 0.996, 20)}, advice.Quiet, "before a sample", "Take one more"},
		{"no thermometer", dry, 45, []happening{{30, batch.Looked{Gravity: quantity(measure.SG, 0.996, 0.001)}}, {45, batch.Looked{Gravity: quantity(measure.SG, 0.996, 0.001)}}}, advice.Quiet, "nobody told how warm", "Read the thermometer"},
		{"flat weights without a reading", dry, 45, []happening{weight(30, 5800, 1), weight(45, 5800, 1)}, advice.Quiet, "not proven", "a hydrometer reading"},
		{"flat weights, a scale too rough", dry, 45, []happening{weight(30, 5800, 20), gravity(40, 0.996, 20), weight(45, 5800, 20)}, advice.Quiet, "not proven", "a second"},
		{"equal, and no sample", dry, 45, []happening{gravity(35, 0.996, 20), gravity(45, 0.997, 20)}, advice.Quiet, "before a sample", "Take the reading of a sample fermented out (150 mL"},
		{"finished by two readings and a sample", dry, 45, []happening{gravity(35, 0.996, 20), gravity(45, 0.997, 20), spent(45, 0.997)}, advice.Finished, "next to no sugar", ""},
		{"finished by weights, a reading and a sample", dry, 45, []happening{weight(30, 5800, 1), gravity(40, 0.996, 20), weight(45, 5799, 1), spent(45, 0.996)}, advice.Finished, "next to no sugar", ""},
		{"sweet at its limit", sweet, 45, []happening{gravity(30, 1.010, 20), gravity(45, 1.010, 20)}, advice.Finished, "stabilise it before any bottle", ""},
		{"silence on day 2", waking, 2, []happening{bubbles(2, 0)}, advice.Waiting, "nothing is wrong", "Look again"},
		{"silence on day 10", working, 10, []happening{bubbles(10, 0)}, advice.CannotTell, "bubbles cannot tell which", "Press the lid"},
		{"silence on day 10, but falling", working, 10, []happening{gravity(7, 1.070, 20), bubbles(10, 0), gravity(10, 1.050, 20)}, advice.Working, "the lid leaks", "Weigh it"},
		{"silence on day 40", dry, 40, []happening{bubbles(40, 0)}, advice.Quiet, "quiet proves nothing", "Take a hydrometer reading"},
		{"bubbles on a warm day", dry, 40, []happening{bubbles(40, 2)}, advice.Quiet, "not proven", "Take a hydrometer reading"},
		{"working", working, 10, []happening{bubbles(10, 20)}, advice.Working, "over between 2 June and 10 June", "Weigh it"},
		{"stalled by weights alone, hardly anything else", working.explained(estimate.Chilled, 0.95), 20, []happening{weight(18, 5900, 1), weight(20, 5900, 1)}, advice.Stalled, "should be eating", "Take a hydrometer reading"},
		{"stalled, and not so sure", working.explained(estimate.Chilled, 0.7), 20, []happening{weight(18, 5900, 1), weight(20, 5900, 1)}, advice.CannotTell, "probably stalled (70 in 100)", "Take a hydrometer reading"},
		{"nobody can tell", working.explained(estimate.Chilled, 0.45), 20, nil, advice.CannotTell, "does not decide", "Take a hydrometer reading"},
		{"silence, and a leak most likely", working.explained(estimate.Leaking, 0.8), 10, []happening{bubbles(10, 0)}, advice.CannotTell, "the lid leaks (80 in 100)", "Press the lid"},
		{"nothing after five days", waking, 5, nil, advice.Waiting, "should have begun", "Weigh it"},
	} {
		s := advice.Stand(tt.jug.evidence(record(t, tt.record...), tt.today))
		next := ""
		if len(s.Next) > 0 {
			next = s.Next[0].What
		}
		if s.Phase != tt.phase || !strings.Contains(s.Sentence, tt.says) || !strings.Contains(next, tt.next) || (tt.next == "") != (next == "") {
			t.Errorf("%s: Stand = %s: %q, because %q, next %q; want %s: %q, next %q", tt.name, s.Phase, s.Sentence, s.Because, next, tt.phase, tt.says, tt.next)
		}
		if s.Proof.Finished != (s.Phase == advice.Finished) {
			t.Errorf("%s: phase %s with proof %+v", tt.name, s.Phase, s.Proof)
		}
		if len(s.Because) == 0 || len(s.Because) > 2 {
			t.Errorf("%s: rests on %q, want one fact or two", tt.name, s.Because)
		}
	}
}

// A proven stall names its cause where one is likelier than all others.
func TestStallNamesItsCause(t *testing.T) {
	jug := stopped.explained(estimate.Chilled, 0.9)
	e := jug.evidence(record(t, gravity(30, 1.018, 20), gravity(45, 1.018, 20)), 45)
	s := advice.Stand(e)
	if s.Phase != advice.Stalled || !strings.Contains(s.Because[1], "after cold (over 99 in 100 of such stalls): it stood in the cold") {
		t.Errorf("Stand = %s because %q, want the cold named", s.Phase, s.Because)
	}
	e.Explanations[0].Kind = estimate.UnknownStall
	if s := advice.Stand(e); s.Phase != advice.Stalled || strings.Contains(s.Because[1], "likely it has") {
		t.Errorf("Stand = %s because %q, want no cause named", s.Phase, s.Because)
	}
}

// Every kind of explanation has its words.
func TestExplanationsHaveWords(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range estimate.Kinds() {
		if w := advice.Means(k); w == "" || seen[w] {
			t.Errorf("%s means %q", k, w)
		} else {
			seen[w] = true
		}
	}
}

// Sugar left in a wine that is stabilised is there to stay, and a blend is expected to do
// nothing: neither has stalled.
func TestStandOfSweetWine(t *testing.T) {
	jug := truth{left: 30, spread: 1, solids: 2, strength: 12, gravity: 1.010, phases: estimate.Phases{Slowing: 1}, finish: 200}
	equal := []happening{stabilised(29, 0.6, 1.2), {30, batch.Added{Parts: []batch.Part{{Ingredient: "honey", Grams: 200}}}}, gravity(31, 1.010, 20), gravity(45, 1.010, 20)}
	if s := advice.Stand(jug.evidence(record(t, equal...), 45)); s.Phase != advice.Quiet || !strings.Contains(s.Sentence, "sweet and stabilised") || s.Proof.Finished {
		t.Errorf("stabilised: %s, %q; want quiet, and no proof of an end", s.Phase, s.Sentence)
	}
	if s := advice.Stand(jug.evidence(record(t, equal[1:]...), 45)); s.Phase != advice.Stalled {
		t.Errorf("the same without stabilisers: %s, %q; want stalled", s.Phase, s.Sentence)
	}
	made := []batch.Event{
		{Happened: batch.Made{Name: "summer"}, At: pitched},
		{Happened: batch.Blended{Blend: "x", Sources: []batch.Source{{Jug: "k", Name: "heather", Wine: batch.Part{Adds: must.Must{must.Water: 4000, must.Ethanol: 400}}}}}, At: pitched},
	}
	for i, l := range []happening{gravity(31, 1.010, 20), gravity(45, 1.010, 20)} {
		made = append(made, batch.Event{Happened: l.what, At: on(l.day), ID: fmt.Sprint("l", i)})
	}
	made[0].ID, made[1].ID = "m", "b"
	for i := range made {
		made[i].Jug, made[i].Seq = "j", i+1
	}
	blend, err := batch.Fold(made)
	if err != nil {
		t.Fatal(err)
	}
	if s := advice.Stand(jug.evidence(blend, 45)); s.Phase != advice.Quiet || !strings.Contains(s.Sentence, "it may wake") {
		t.Errorf("a sweet blend: %s, %q; want quiet, that may wake", s.Phase, s.Sentence)
	}
	e := jug.evidence(blend, 45)
	if v := advice.MayBottle(ask(e, batch.Still)); v.Answer != advice.NotYet {
		t.Errorf("a sweet blend in a bottle: %s", v.Answer)
	}
}

func TestStandOnContradictedEvidence(t *testing.T) {
	e := dry.evidence(record(t, gravity(35, 0.996, 20), gravity(45, 0.996, 20)), 45)
	e.Outlook.Contradicted = "the readings cannot all be of one jug"
	e.Outlook.Misfits = []estimate.Misfit{{ID: "e2", Z: 3, Words: "a little off"}, {ID: "e3", Z: -9, Words: "0.996 on 15 June is far below"}}
	s := advice.Stand(e)
	if s.Phase != advice.CannotTell || s.Proof.Finished || s.Because[1] != "0.996 on 15 June is far below" {
		t.Errorf("Stand = %s, %q, finished %t; want cannot tell, with the worst misfit", s.Phase, s.Because, s.Proof.Finished)
	}
}

func TestStandOnMisfitThatCameLast(t *testing.T) {
	e := dry.evidence(record(t, gravity(30, 0.996, 20), gravity(40, 0.996, 20), gravity(45, 1.010, 20)), 45)
	e.Outlook.Misfits = []estimate.Misfit{{ID: "e4", Z: 9, Words: "1.010 does not fit"}}
	if s := advice.Stand(e); s.Phase != advice.CannotTell || s.Because[0] != "1.010 does not fit" {
		t.Errorf("Stand = %s, %q; want cannot tell", s.Phase, s.Because)
	}
	// A misfit in the middle is passed over.
	e = dry.evidence(record(t, gravity(30, 0.996, 20), gravity(40, 1.010, 20), gravity(45, 0.996, 20)), 45)
	if s := advice.Stand(e); s.Proof.Still {
		t.Errorf("a reading of 1.010 between two of 0.996 went unnoticed: %+v", s.Proof)
	}
	e.Outlook.Misfits = []estimate.Misfit{{ID: "e3", Z: 9}}
	if s := advice.Stand(e); !s.Proof.Still || s.Phase != advice.Quiet {
		t.Errorf("Stand = %s with a misfit in the middle, still %t; want it to stand still", s.Phase, s.Proof.Still)
	}
}

func TestStandWithoutEstimate(t *testing.T) {
	for _, tt := range []struct {
		today float64
		want  advice.Phase
	}{{1, advice.Waiting}, {20, advice.CannotTell}} {
		e := advice.Evidence{Now: on(tt.today), Jug: record(t, gravity(0.5, 1.080, 20))}
		if s := advice.Stand(e); s.Phase != tt.want {
			t.Errorf("day %g without an estimate: %s, %q; want %s", tt.today, s.Phase, s.Sentence, tt.want)
		}
	}
	made := batch.Event{ID: "a", Jug: "b", Seq: 1, At: pitched, Happened: batch.Made{Name: "c"}}
	state, err := batch.Fold([]batch.Event{made})
	if err != nil {
		t.Fatal(err)
	}
	if s := advice.Stand(advice.Evidence{Now: on(1), Jug: state}); s.Phase != advice.Waiting || len(s.Next) != 1 {
		t.Errorf("before pitching: %s, %v", s.Phase, s.Next)
	}
}
