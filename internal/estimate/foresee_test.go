package estimate

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"skep/internal/measure"
)

// What is foreseen of a hydrometer is the member's gravity and the fault that looks share,
// of a scale the member's loss and what the lock lets go besides.
func TestForesee(t *testing.T) {
	s := mead(t)
	p := estimate(t, s, madeUp(t, s, 4).see(t, SawGravity, 0.001, 0, 100))
	looks := []Observation{ // not in order of time
		{ID: "late", At: 300, Sense: SawGravity},
		{ID: "weight", At: 144, Sense: SawMass},
		{ID: "early", At: 48, Sense: SawGravity},
		{ID: "at pitching", At: -1, Sense: SawMass},
	}
	got, err := p.Foresee(looks)
	if err != nil {
		t.Fatal(err)
	}
	for i, at := range []measure.Hours{300, 144, 48, 0} {
		for m, member := range p.Members(at) {
			if looks[i].Sense == SawMass {
				if i == 1 && !(got[i][m] < got[3][m]) {
					t.Fatalf("member %d weighs %.1f g at 144 h and %.1f at pitching", m, got[i][m], got[3][m])
				}
				continue
			}
			// Two integrations that each keep 0.02 g/L of sugar part by 1e-5.
			want := member.Gravity + hydrometerSD*p.drawn[m][hydrometer]
			if math.Abs(got[i][m]-want) > 2e-5 {
				t.Fatalf("member %d at %g h: hydrometer %.5f, want %.5f", m, at, got[i][m], want)
			}
		}
	}
	for m := range p.paths {
		aired := p.world.aired(&p.drawn[m], 144)
		fall, lost := got[3][m]-got[1][m], p.view(m, 144).lost+aired
		if math.Abs(fall-lost) > 0.2 { // g: what two integrations part by, 0.02 g/L of sugar in 4 L
			t.Fatalf("member %d gets %.2f g lighter by 144 h, and loses %.2f g", m, fall, lost)
		}
	}

	for i := range looks {
		looks[i].Value, looks[i].SD = 77, 5
	}
	again, err := p.Foresee(looks)
	if err != nil || !reflect.DeepEqual(got, again) {
		t.Errorf("values and spreads of the looks change what is foreseen, %v", err)
	}
}

// Without the empty weight what is foreseen hangs on the first weighing, as in the evidence.
func TestForeseeUnknownVessel(t *testing.T) {
	s := mead(t)
	s.Tare, s.TareSD = 0, 0
	weight := []Observation{{ID: "then", At: 200, Sense: SawMass}}
	if _, err := estimate(t, s, nil).Foresee(weight); err == nil || !strings.Contains(err.Error(), "then") {
		t.Errorf("a weight of an unknown vessel never weighed: error %v", err)
	}
	seen := madeUp(t, mead(t), 6).see(t, SawMass, 0.01, 10, 60)
	got, err := estimate(t, s, seen).Foresee([]Observation{{At: 10, Sense: SawMass}, {At: 60, Sense: SawMass}})
	if err != nil {
		t.Fatal(err)
	}
	for i := range seen {
		if r := measure.RangeOf(got[i], "g"); math.Abs(r.Value-seen[i].Value) > 0.5 {
			t.Errorf("at %g h: %v is foreseen, %.2f g was weighed to 0.01", seen[i].At, r, seen[i].Value)
		}
	}
}

func TestForeseeRefuses(t *testing.T) {
	p := estimate(t, mead(t), nil)
	for name, o := range map[string]Observation{
		"unknown sense": {Sense: "smell"},
		"hot sample":    {Sense: SawGravity, Sample: 60},
	} {
		if _, err := p.Foresee([]Observation{o}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
