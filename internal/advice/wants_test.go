package advice_test

import (
	"strings"
	"testing"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
)

func TestWants(t *testing.T) {
	bottled := happening{96, batch.Bottled{Style: batch.Still, Bottles: []batch.Bottles{{SizeML: 750, Count: 5, Kind: "wine"}}}}
	for _, tt := range []struct {
		name   string
		jug    truth
		today  float64
		record []happening
		first  advice.WantKind // the most urgent
		date   float64         // its day
		also   advice.WantKind
		never  advice.WantKind
	}{
		{"stalled: the least harmful remedy today", stopped, 45, proven45(1.018), advice.WantRescue, 45, advice.WantAirlock, advice.WantBottle},
		{"working: feeding is due", working, 2, []happening{gravity(1, 1.050, 20)}, advice.WantFeed, 1, advice.WantMeasure, advice.WantBottle},
		{"quiet: proof before anything", dry, 45, []happening{bubbles(45, 0)}, advice.WantMeasure, 45, advice.WantRack, advice.WantBottle},
		{"second reading a week after the first", dry, 45, []happening{gravity(44, 0.996, 20)}, advice.WantMeasure, 51, advice.WantRack, advice.WantBottle},
		{"finished and flat: bottle", dry, 100, flat(proven(0.996)...), advice.WantBottle, 100, advice.WantAirlock, advice.WantRescue},
		{"racked, and a tenth of it is air", dry, 100, flat(proven(0.996)...), advice.WantBottle, 100, advice.WantTopUp, advice.WantRack},
		{"bottled: dates to taste", dry, 100, []happening{bottled}, advice.WantTaste, 188, advice.WantTaste, advice.WantAirlock},
	} {
		e := tt.jug.evidence(record(t, inOrder(tt.record)...), tt.today)
		e.Outlook.States[0].Hexose = measure.Exact(130, "g/L")
		e.Feeding = []advice.Feeding{
			{At: on(1), Until: on(4), What: "1 g diammonium phosphate"},
			{At: on(0), Until: on(1), What: "a portion too late to give"},
		}
		s := advice.Stand(e)
		wants := advice.Wants(e, s, advice.MayBottle(ask(e, batch.Still)))
		kinds := map[advice.WantKind]bool{}
		for i, w := range wants {
			kinds[w.Kind] = true
			if w.What == "" || w.Why == "" || w.At.IsZero() {
				t.Errorf("%s: %+v lacks a date, a deed or a reason", tt.name, w)
			}
			if i > 0 && w.Urgency > wants[i-1].Urgency {
				t.Errorf("%s: %q stands after what is less urgent", tt.name, w.What)
			}
			if strings.Contains(w.What, "too late") {
				t.Errorf("%s: %q", tt.name, w.What)
			}
		}
		if len(wants) == 0 || len(wants) > 5 {
			t.Fatalf("%s: %d wants: %+v", tt.name, len(wants), wants)
		}
		got := wants[0].At.Sub(on(tt.date)).Hours() / 24
		if wants[0].Kind != tt.first || got < -0.5 || got > 0.5 || !kinds[tt.also] || kinds[tt.never] {
			t.Errorf("%s (%s): wants %+v; want first %s on day %g, also %s, never %s", tt.name, s.Phase, wants, tt.first, tt.date, tt.also, tt.never)
		}
	}
}

func proven45(sg float64) []happening { return []happening{gravity(30, sg, 20), gravity(45, sg, 20)} }

// The next look is when the rate will have halved: made to be ten days from now.
func TestNextLookWhenTheRateHasHalved(t *testing.T) {
	e := working.evidence(record(t, bubbles(10, 20)), 10)
	next := advice.Stand(e).Next
	if len(next) != 1 || !next[0].At.Equal(on(20)) || next[0].Why != "by then it should be half as fast" {
		t.Errorf("next = %+v; want one look on day 20", next)
	}
}

func TestRescue(t *testing.T) {
	e := stopped.evidence(record(t, proven45(1.018)...), 45)
	s := advice.Stand(e)
	for _, tt := range []struct {
		start float64 // g/L of sugar at the start; 40 are left
		has   string
		not   string
	}{{200, "no ammonium salts", "a quarter of what the plan asks"}, {50, "a quarter of what the plan asks", "no ammonium salts"}} {
		e.Outlook.States[0].Hexose = measure.Exact(tt.start, "g/L")
		var all []string
		for _, r := range advice.Rescue(e, s) {
			all = append(all, r.What)
		}
		text := strings.Join(all, "\n")
		if len(all) != 5 || !strings.Contains(all[0], "18 °C") || !strings.Contains(all[4], "stop") || !strings.Contains(text, tt.has) || strings.Contains(text, tt.not) {
			t.Errorf("from %g g/L: %q", tt.start, all)
		}
	}
	s.Phase = advice.Working
	if all := advice.Rescue(e, s); all != nil {
		t.Errorf("a working jug is to be rescued: %v", all)
	}
}

func TestCautions(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range advice.Cautions {
		words := advice.Caution(k)
		when, source := advice.CautionWhen(k)
		if !strings.HasSuffix(words, ".") || when == "" || source == "" || seen[words] {
			t.Errorf("caution %s: %q, %q, %q", k, words, when, source)
		}
		seen[words] = true
	}
	defer func() {
		if recover() == nil {
			t.Error("an unknown caution did not panic")
		}
	}()
	advice.Caution("none such")
}

// Each gram of sugar a litre adds 0.38 bar to a jug of 4.5 L with 0.2 L of air at 20 °C (the
// reference's worked example, computed: 0.489/(1.195 + 0.0444 x 1.806) at 200 g/L of sugar).
func TestSealedGain(t *testing.T) {
	now := make([]estimate.Member, 100)
	later := make([]estimate.Member, 100)
	for i := range now {
		now[i] = estimate.Member{HexoseGL: 200, SugarGL: 200}
		later[i] = estimate.Member{HexoseGL: 198}
	}
	got, err := advice.SealedGain(now, later, 4.5, 0.2, 20)
	if err != nil || !near(got.Value, 2*0.38, 2*0.006) {
		t.Errorf("SealedGain of 2 g/L = %+v, %v; want 0.76 bar", got, err)
	}
	if none, err := advice.SealedGain(now, now, 4.5, 0.2, 20); err != nil || none.Value != 0 {
		t.Errorf("SealedGain of nothing fermented = %+v, %v; want 0", none, err)
	}
}

// A jug of must is computed elsewhere to gain 0.38 bar for each g/L of hexose, and 1 bar in
// 1.3 hours at 2 g/L an hour: 4.5 L, 0.2 L of head space, 20 °C, 200 g/L of sugar. Tolerance: its
// last digit.
func TestSealedJug(t *testing.T) {
	must := truth{left: 200, rate: 2 * 24 * 0.489}
	members := must.evidence(batch.State{}, 1).Members
	s, err := advice.SealedJug(members, 4.5, 0.2, 1, 20)
	if err != nil || !near(s.Hours.Value, 1.3, 0.05) || s.Chance != 1 {
		t.Errorf("SealedJug = %+v, %v; want 1.3 h, always", s, err)
	}
	t.Logf("1 bar in %.1f to %.1f h", s.Hours.Low, s.Hours.High)
	// The trade says that a sealed working jug bursts within days (common practice, no
	// source). A slow mead gives off 3 g/L of gas a day.
	slow := truth{left: 200, rate: 3}
	s, err = advice.SealedJug(slow.evidence(batch.State{}, 1).Members, 4.5, 0.2, 6, 20)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("6 bar in %.0f to %.0f h at 3 g/L of gas a day", s.Hours.Low, s.Hours.High)
	if s.Hours.High > 7*24 {
		t.Errorf("6 bar take %.0f h, which is no matter of days", s.Hours.High)
	}
	s, err = advice.SealedJug(dry.evidence(batch.State{}, 1).Members, 4.5, 0.2, 1, 20)
	if err != nil || s.Chance != 0 || s.Hours.Known() {
		t.Errorf("a dry jug: %+v, %v; want never", s, err)
	}
	if _, err := advice.SealedJug(members, 4.5, 0.2, 1, 60); err == nil {
		t.Error("60 °C was taken")
	}
}

func TestGasOf(t *testing.T) {
	all := flat(racked(20),
		happening{50, batch.Looked{Room: quantity(measure.Temperature, 14, 1), Note: "degassed again"}},
		happening{60, batch.Noted{Note: "must be degassed"}})
	e := dry.evidence(record(t, inOrder(all)...), 100)
	g := advice.GasOf(e)
	// The racking of day 20 came before the end, on day 30; the last note is no deed.
	if g.Rackings != 2 || g.Stirred != 2 || g.Coldest == nil || *g.Coldest != 14 || !near(g.Months, 70/30.4, 0.01) {
		t.Errorf("GasOf = %+v; want 2 rackings, 2 degassings, 14 °C, 2.3 months", g)
	}
	if g := advice.GasOf(dry.evidence(record(t, flat()...), 29)); g.Rackings+g.Stirred != 0 || g.Months != 0 {
		t.Errorf("before the end: %+v; want nothing counted", g)
	}
}
