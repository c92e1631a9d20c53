package estimate_test

import (
	"math"
	"testing"

	"skep/internal/estimate"
	"skep/internal/must"
	"skep/internal/property/density"
)

// settled is 4 L of wine of some 12 % vol and so much sugar.
func settled(sugar float64) estimate.Settled {
	return estimate.Settled{
		Seed: 1, StrengthSD: 0.3, SugarSD: 2, Over: 1,
		Must: must.Must{must.Water: 3500, must.Ethanol: 0.12 * 4 * density.EthanolAt20, must.Fructose: 4 * sugar, must.OtherSolids: 60},
	}
}

func reads(sg float64) []estimate.Observation {
	return []estimate.Observation{{ID: "a", Sense: estimate.SawGravity, Value: sg, SD: 0.001, Sample: 20, Calibrated: 20}}
}

func TestSettledIsWhatWentIn(t *testing.T) {
	w := settled(20)
	s, members, outlook, err := w.Read(nil)
	if err != nil {
		t.Fatal(err)
	}
	strength, err := w.Must.PercentVol()
	if err != nil {
		t.Fatal(err)
	}
	g, err := w.Must.Gravity()
	if err != nil {
		t.Fatal(err)
	}
	litres, err := w.Must.Volume(20)
	if err != nil {
		t.Fatal(err)
	}
	sugar := w.Must.Hexose(1) / float64(litres)
	// 500 draws: their middle is known to some 0.06 of their spread.
	for _, tt := range []struct {
		what              string
		got, want, within float64
	}{
		{"strength", s.Ethanol.Value, float64(strength), 0.06},
		{"gravity", s.Gravity.Value, float64(g), 0.0002},
		{"sugar", s.Hexose.Value, sugar, 0.4},
		{"width of strength", s.Ethanol.High - s.Ethanol.Low, 2.56 * 0.3, 0.15},
		{"width of sugar", s.Hexose.High - s.Hexose.Low, 2.56 * 2, 1},
	} {
		if math.Abs(tt.got-tt.want) > tt.within {
			t.Errorf("%s = %g, want %g within %g", tt.what, tt.got, tt.want, tt.within)
		}
	}
	if s.Phases.Stopped != outlook.Final.Phases.Stopped || s.Phases.Stopped < 0.999 || len(members) != 500 {
		t.Errorf("phases %+v of %d members, want all stopped", s.Phases, len(members))
	}
	again, _, _, err := w.Read(nil)
	if err != nil || again.Gravity != s.Gravity || again.Hexose != s.Hexose {
		t.Errorf("read twice it is another wine, %v", err)
	}
}

// What may still ferment has stopped only as surely as its parts had.
func TestSettledThatMayStillWork(t *testing.T) {
	w := settled(20)
	w.Over = 0.3
	if s, _, _, err := w.Read(nil); err != nil || math.Abs(s.Phases.Working-0.7) > 1e-9 {
		t.Errorf("phases %+v, %v, want 0.7 working", s.Phases, err)
	}
	dry := settled(0)
	dry.SugarSD, dry.Over = 0.2, 0.3
	if s, _, _, err := dry.Read(nil); err != nil || s.Phases.Dry < 0.999 {
		t.Errorf("a dry one: phases %+v, %v, want dry", s.Phases, err)
	}
}

func TestSettledLearnsFromAReading(t *testing.T) {
	w := settled(20)
	before, _, _, err := w.Read(nil)
	if err != nil {
		t.Fatal(err)
	}
	after, members, outlook, err := w.Read(reads(before.Gravity.Value + 0.001))
	if err != nil || outlook.Contradicted != "" {
		t.Fatalf("%v, %s", err, outlook.Contradicted)
	}
	if after.Gravity.Value <= before.Gravity.Value || after.Gravity.High-after.Gravity.Low > before.Gravity.High-before.Gravity.Low {
		t.Errorf("gravity %+v after a reading above %+v, want it to rise and narrow", after.Gravity, before.Gravity)
	}
	if len(members) != 500 {
		t.Errorf("%d members", len(members))
	}
	for _, sg := range []float64{0.990, 1.030} {
		s, _, outlook, err := w.Read(reads(sg))
		if err != nil || outlook.Contradicted == "" || s.Gravity != before.Gravity {
			t.Errorf("a reading of %.3f of what should show %.3f: %q, %v; want a contradiction and the answer as before", sg, before.Gravity.Value, outlook.Contradicted, err)
		}
	}
	if _, _, _, err := (estimate.Settled{}).Read(nil); err == nil {
		t.Error("nothing at all was read")
	}
}
