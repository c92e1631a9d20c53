package estimate

import (
	"encoding/json"
	"math"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"skep/internal/measure"
	"skep/internal/must"
)

func TestSameBits(t *testing.T) {
	s := mead(t)
	seen := madeUp(t, s, 3).see(t, SawGravity, 0.001, 0, 60, 150)
	run := func() []byte {
		text, err := json.Marshal(estimate(t, s, seen).Outlook())
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	first := run()
	before := runtime.GOMAXPROCS(1)
	single := run()
	runtime.GOMAXPROCS(before)
	if string(single) != string(first) {
		t.Error("one processor and several give different answers")
	}
	s.Seed++
	if string(run()) == string(first) {
		t.Error("another seed gives the same answer: the seed is not used")
	}
	var back Outlook
	if err := json.Unmarshal(first, &back); err != nil || len(back.States) != outlookSize {
		t.Errorf("an outlook of %d times came back with %d, %v", outlookSize, len(back.States), err)
	}
}

// 1.110 written for 1.011: it is named, and the answer is the one without it.
func TestSlipOfThePen(t *testing.T) {
	s := mead(t)
	times := []measure.Hours{0, 48, 96, 144, 192, 240}
	seen := madeUp(t, s, 11).see(t, SawGravity, 0.001, times...)
	clean := estimate(t, s, seen)
	if len(clean.Misfits) != 0 {
		t.Fatalf("misfits in a clean record: %v", clean.Misfits)
	}
	slip := append([]Observation(nil), seen...)
	slip[4].Value = 1.110
	got := estimate(t, s, slip)
	without := estimate(t, s, append(append([]Observation(nil), seen[:4]...), seen[5]))
	if len(got.Misfits) != 1 || got.Misfits[0].ID != slip[4].ID {
		t.Fatalf("misfits = %v, want the look at %g h alone", got.Misfits, slip[4].At)
	}
	if m := got.Misfits[0]; m.Z < still || m.Predicted.High > 1.09 || !strings.Contains(m.Words, "1.110") {
		t.Errorf("misfit = %+v", m)
	}
	// Other looks mean other noise: the answers agree as two runs of one ensemble do, within
	// a third of the range.
	a, b := got.At(240).Hexose, without.At(240).Hexose
	if math.Abs(a.Value-b.Value) > width(b)/3 || width(a) > 1.5*width(b) {
		t.Errorf("sugar at 240 h with the slip %v, without that look %v", a, b)
	}
	if got.Contradicted != "" {
		t.Errorf("one slip contradicts: %s", got.Contradicted)
	}
}

// Gravities of another must altogether: the answer must be the prior's, and say so.
func TestContradiction(t *testing.T) {
	s := mead(t)
	alone := estimate(t, s, nil)
	for name, values := range map[string][]float64{
		"another must":  {1.150, 1.149, 1.150, 1.148, 1.149},
		"nonsense":      {1.010, 1.100, 1.005, 1.120, 1.000},
		"rising":        {1.020, 1.045, 1.070, 1.090, 1.105},
		"far too light": {1.040, 1.030, 1.020, 1.010, 1.000},
	} {
		var seen []Observation
		for i, v := range values {
			seen = append(seen, Observation{ID: name, At: measure.Hours(48 * i), Sense: SawGravity, Value: v, SD: 0.001, Sample: 20, Calibrated: 20})
		}
		got := estimate(t, s, seen)
		if got.Contradicted == "" {
			t.Errorf("%s: not contradicted; misfits %v, finish %v, final %v", name, got.Misfits, got.Finish(), got.Final().Gravity)
			continue
		}
		t.Logf("%s: %s", name, got.Contradicted)
		if !reflect.DeepEqual(got.Final(), alone.Final()) {
			t.Errorf("%s: final state %v, want the prior's %v", name, got.Final(), alone.Final())
		}
	}
}

func TestEvidenceNarrows(t *testing.T) {
	s := mead(t)
	j := madeUp(t, s, 21)
	alone := estimate(t, s, nil)
	noTare := s
	noTare.Tare, noTare.TareSD = 0, 0
	for _, c := range []struct {
		name   string
		s      Situation
		seen   []Observation
		narrow float64 // width of the strength at 200 h against that without evidence
	}{
		{"gravity", s, j.see(t, SawGravity, 0.001, 0, 100, 200), 0.25},
		{"weight", s, j.see(t, SawMass, 2, 0, 100, 200), 0.25},
		{"weight of an unknown vessel", noTare, j.see(t, SawMass, 2, 0, 100, 200), 0.25},
		{"refractometer", s, j.see(t, SawBrix, 0.2, 0, 100, 200), 0.4},
		{"bubbles", s, j.see(t, SawBubbles, 1, 24, 60, 100, 150, 200), 0.95},
	} {
		got, before := estimate(t, c.s, c.seen).At(200).Ethanol, alone.At(200).Ethanol
		share := width(got) / width(before)
		t.Logf("%s: %.1f (%.1f to %.1f) %% vol, %.2f as wide as without", c.name, got.Value, got.Low, got.High, share)
		if share > c.narrow {
			t.Errorf("%s: strength at 200 h %v, %.2f as wide as without, want under %.2f", c.name, got, share, c.narrow)
		}
	}
}

// A sip is weak evidence, but points the right way.
func TestTastePointsTheRightWay(t *testing.T) {
	s := mead(t)
	sip := func(sweetness float64) float64 {
		return estimate(t, s, []Observation{{ID: "sip", At: 200, Sense: SawTaste, Value: sweetness, SD: 0.25}}).At(200).Sugar.Value
	}
	if dry, sweet := sip(0), sip(1); !(dry < 0.7*sweet) {
		t.Errorf("sugar at 200 h: %.1f g/L after a dry sip, %.1f after a sweet one", dry, sweet)
	}
}

// Silence at the lock may be a leaking lid, or gas too little to see: it must not be proof
// of the end, however often it is heard. One lid in five lets most of the gas by, so of
// the jugs still in full course one in five is silent, and by Bayes' rule the end cannot
// become likelier than p/(p + (1 − p)/5), p being its probability before. That holds
// after ten silences too, for a leaking lid is silent every time.
func TestSilenceIsNotTheEnd(t *testing.T) {
	s := mead(t)
	const members = 4000 // shares of so many are good to 0.008, one standard deviation
	many := func(seen []Observation) *Posterior {
		p, err := Sampler{Draws: 1500, Members: members}.Estimate(s, seen)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	for _, until := range []measure.Hours{120, 240} {
		over := func(p *Posterior) float64 {
			phases := p.At(until).Phases
			return phases.Dry + phases.Stopped
		}
		before := over(many(nil))
		most := before / (before + (1-before)/5)
		for _, often := range []int{1, 3, 10} {
			var silent []Observation
			for i := range often {
				silent = append(silent, Observation{ID: "silent", At: until - measure.Hours(8*i), Sense: SawBubbles, Value: 0, SD: 0.5})
			}
			p := many(silent)
			if p.Contradicted != "" || len(p.Misfits) != 0 {
				t.Errorf("%d silences by %g h: misfits %v, contradicted %q", often, until, p.Misfits, p.Contradicted)
			}
			after := over(p)
			t.Logf("by %g h over with probability %.2f, after %d silences %.2f, at most %.2f", until, before, often, after, most)
			if after > most {
				t.Errorf("by %g h over with probability %.2f after %d silences, want at most %.2f", until, after, often, most)
			}
		}
	}
}

// What is drawn and added must show in the answer as it does in the jug.
func TestChanges(t *testing.T) {
	s := mead(t)
	plain := estimate(t, s, nil)
	fed := s
	fed.Changes = []Change{{At: 100, Added: must.Must{must.Sucrose: 400}}}
	got := estimate(t, fed, nil)
	if a, b := got.At(99.9).Gravity, plain.At(99.9).Gravity; math.Abs(a.Value-b.Value) > 1e-4 {
		t.Errorf("before the feeding: gravity %v, want %v", a, b)
	}
	// 400 g of sucrose in 4 L are worth some 105 g/L of hexose in a jug grown by a quarter litre.
	rise := got.At(100).Hexose.Value - got.At(99.9).Hexose.Value
	if rise < 80 || rise > 105 {
		t.Errorf("fermentable sugar rises by %.1f g/L, want 80 to 105", rise)
	}

	halved := s
	halved.Changes = []Change{{At: 96, DrawnShare: 0.5}} // a time of the grid: between them the path is a curve drawn through
	half := estimate(t, halved, nil)
	a, b := half.At(96), half.At(95.99)
	if math.Abs(a.Gravity.Value-b.Gravity.Value) > 1e-4 || math.Abs(a.Ethanol.Value-b.Ethanol.Value) > 0.05 {
		t.Errorf("racking half changes the must: gravity %v to %v, strength %v to %v", b.Gravity, a.Gravity, b.Ethanol, a.Ethanol)
	}
	// What is still to be lost is halved with the must; on the whole, since levels count
	// for the litres at the last change, and near its limit a yeast feels the two per cent.
	lost, whole := 0.0, 0.0
	for m := range half.paths {
		lost += half.view(m, half.until).lost - half.view(m, 96).lost
		whole += plain.view(m, plain.until).lost - plain.view(m, 96).lost
	}
	if math.Abs(lost/whole-0.5) > 0.03 {
		t.Errorf("half the must loses %.3f of what all of it does from then on; want half", lost/whole)
	}
}

// The weight lost when all is over must be what the sugar gives: CO2 by the yield, less what
// stays in the must, and the 1 to 2 % that goes with it.
func TestWeightLost(t *testing.T) {
	s := mead(t)
	p := estimate(t, s, nil)
	for m := range p.paths {
		j := p.paths[m].jug
		v := p.view(m, p.until)
		litres, err := j.must.Volume(20)
		if err != nil {
			t.Fatal(err)
		}
		used := j.must.Hexose(1-j.closed) - p.paths[m].levels[len(p.paths[m].levels)-1].Sugar*float64(litres)
		gas := 0.9553 * j.p.EthanolPerSugar * used
		least, most := gas-j.full*float64(litres)-0.1, 1.05*gas
		if v.lost < least || v.lost > most {
			t.Fatalf("member %d lost %.1f g, want %.1f to %.1f", m, v.lost, least, most)
		}
	}
}

func TestMembersAndStateAgree(t *testing.T) {
	s := mead(t)
	p := estimate(t, s, madeUp(t, s, 4).see(t, SawGravity, 0.001, 0, 100))
	for _, h := range []measure.Hours{0, 37, 100, 500, s.Until} {
		members, state := p.Members(h), p.At(h)
		sugar := make([]float64, len(members))
		for i, m := range members {
			sugar[i] = m.SugarGL
			if m.EventualHexose > m.HexoseGL+1.06*m.SlowGL+1e-6 || m.EventualHexose < m.HexoseGL-1e-6 {
				t.Fatalf("at %g h member %d: %+v", h, i, m)
			}
		}
		if got := measure.RangeOf(sugar, "g/L"); got != state.Sugar {
			t.Errorf("at %g h: sugar of members %v, of state %v", h, got, state.Sugar)
		}
		f := state.Phases
		if sum := f.Starting + f.Working + f.Slowing + f.Dry + f.Stopped; math.Abs(sum-1) > 1e-12 {
			t.Errorf("at %g h: phases %+v add to %g", h, f, sum)
		}
	}
}

// A reading in hot must tells nothing we can understand; it must not cost the forecast.
func TestHotSampleIsNamed(t *testing.T) {
	s := mead(t)
	seen := madeUp(t, s, 8).see(t, SawGravity, 0.001, 0, 100)
	without := estimate(t, s, seen)
	hot := append([]Observation{{ID: "hot", Sense: SawGravity, Value: 1.08, SD: 0.001, Sample: 60, Calibrated: 20}}, seen...)
	got := estimate(t, s, hot)
	if len(got.Misfits) != 1 || got.Misfits[0].ID != "hot" || !strings.Contains(got.Misfits[0].Words, "60 °C") {
		t.Errorf("misfits = %+v, want the hot one", got.Misfits)
	}
	if !reflect.DeepEqual(got.Final(), without.Final()) {
		t.Error("a reading that is left out changes the answer")
	}
}

func TestEstimateRefuses(t *testing.T) {
	good := mead(t)
	look := Observation{ID: "a", At: 10, Sense: SawGravity, Value: 1.05, SD: 0.001}
	for name, spoil := range map[string]func(*Situation, *Observation){
		"no sugar":          func(s *Situation, _ *Observation) { s.Must = must.Must{must.Water: 1000} },
		"empty":             func(s *Situation, _ *Observation) { s.Must = must.Must{} },
		"negative mass":     func(s *Situation, _ *Observation) { s.Must[must.Water] = -1 },
		"no horizon":        func(s *Situation, _ *Observation) { s.Until = 0 },
		"no temperature":    func(s *Situation, _ *Observation) { s.Course = nil },
		"all drawn":         func(s *Situation, _ *Observation) { s.Changes = []Change{{At: 1, DrawnShare: 1}} },
		"no spread":         func(_ *Situation, o *Observation) { o.SD = 0 },
		"no number":         func(_ *Situation, o *Observation) { o.Value = math.NaN() },
		"unknown sense":     func(_ *Situation, o *Observation) { o.Sense = "smell" },
		"bubbles below nil": func(_ *Situation, o *Observation) { o.Sense, o.Value = SawBubbles, -1 },
	} {
		s, o := good, look
		spoil(&s, &o)
		if _, err := NewSampler().Estimate(s, []Observation{o}); err == nil {
			t.Errorf("%s: no error", name)
		} else {
			t.Logf("%s: %v", name, err)
		}
	}
	if _, err := (Sampler{Members: 3, Draws: 100}).Estimate(good, nil); err == nil {
		t.Error("3 members: no error")
	}
}
