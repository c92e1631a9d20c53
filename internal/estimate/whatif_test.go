package estimate

import (
	"math"
	"reflect"
	"testing"

	"skep/internal/measure"
	"skep/internal/must"
)

func celsius(t measure.Celsius) *measure.Celsius { return &t }

// Nothing done changes nothing; what is done changes the future and not the past.
func TestIf(t *testing.T) {
	s := mead(t)
	s.Course[0].T = 17
	p := estimate(t, s, madeUp(t, s, 4).see(t, SawGravity, 0.001, 0, 60, 100))
	try := func(d Deed) *Posterior {
		t.Helper()
		d.At = 100
		then, err := p.If(d)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := then.At(60), p.At(60); math.Abs(a.Gravity.Value-b.Gravity.Value) > 5e-5 {
			t.Errorf("%+v changes the past: gravity %v, was %v", d, a.Gravity, b.Gravity)
		}
		return then
	}
	left := p.Finish()
	if same := try(Deed{}).Finish(); math.Abs(same.Value-left.Value) > 1 || math.Abs(same.High-left.High) > 2 {
		t.Errorf("left alone it is over at %v, want %v", same, left)
	}
	if !reflect.DeepEqual(try(Deed{Keep: celsius(22)}).Outlook(), try(Deed{Keep: celsius(22)}).Outlook()) {
		t.Error("the same deed comes to two ends")
	}
	if warm := try(Deed{Keep: celsius(22)}).Finish(); !(warm.Value < 0.9*left.Value) {
		t.Errorf("warmed from 17 to 22 °C it is over at %.0f h, want well before %.0f", warm.Value, left.Value)
	}
	final := p.Final()
	// 300 g of sucrose in some 4 L are 79 g/L of hexose, worth 4.5 % vol when they ferment.
	fed := try(Deed{Does: []Change{{Added: must.Must{must.Sucrose: 300}}}}).Final()
	rise := fed.Ethanol.Value - final.Ethanol.Value
	sweeter := fed.Sugar.Value - final.Sugar.Value
	if whole := rise*17 + sweeter; whole < 55 || whole > 95 {
		t.Errorf("300 g of sugar makes it %.1f %% vol stronger and %.0f g/L sweeter", rise, sweeter)
	}
	if fed.Phases.Stopped < final.Phases.Stopped {
		t.Errorf("fed, it stops sweet in %.2f of cases, unfed in %.2f", fed.Phases.Stopped, final.Phases.Stopped)
	}
	// Half a litre of water in some 4 L makes it a ninth weaker.
	thin := try(Deed{Does: []Change{{Added: must.Must{must.Water: 500}}}}).Final().Ethanol.Value / final.Ethanol.Value
	if thin < 0.86 || thin > 0.93 {
		t.Errorf("with half a litre of water it is %.2f as strong", thin)
	}
	if _, err := p.If(Deed{At: 100, Does: []Change{{DrawnShare: 2}}}); err == nil {
		t.Error("twice the jug is drawn without an error")
	}
}

// A jug that rests in the cold is expected to stay, and to go on when it is warmed.
func TestIfWarmedFromThePause(t *testing.T) {
	s := mead(t)
	s.Course = []TemperaturePoint{{At: 0, T: 18}, {At: 48, T: 18}, {At: 60, T: 3}}
	p := estimate(t, s, madeUp(t, s, 8).see(t, SawGravity, 0.001, 0, 40, 200, 240))
	warm, err := p.If(Deed{At: 240, Keep: celsius(20)})
	if err != nil {
		t.Fatal(err)
	}
	if cold, then := p.At(600).Hexose.Value, warm.At(600).Hexose.Value; !(then < 0.3*cold) {
		t.Errorf("after two weeks at 20 °C %.0f g/L are left, in the cold %.0f", then, cold)
	}
}
