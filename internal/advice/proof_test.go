package advice_test

import (
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

// A reading that proves today proves no filling in three weeks.
func TestStaleReading(t *testing.T) {
	seen := []happening{gravity(80, 0.996, 20), gravity(90, 0.996, 20), racked(60), racked(75)}
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
		q := ask(dry.evidence(record(t, gravity(80, 0.996, 20), gravity(90, 0.996, 20)), 91), batch.Still)
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
	seen := []happening{gravity(80, 0.996, 20), gravity(90, 0.996, 20)}
	for over, want := range map[float64]string{1: "get the gas out", 0.8: "one more equal hydrometer reading"} {
		jug := dry
		jug.phases = estimate.Phases{Dry: over, Slowing: 1 - over}
		q := ask(jug.evidence(record(t, seen...), 91), batch.Still)
		if v := advice.MayBottle(q); v.Answer != advice.NotYet || !strings.HasPrefix(v.Settles, want) {
			t.Errorf("%g of the ensemble over: %s, settled by %q; want not yet, %q", over, v.Answer, v.Settles, want)
		}
	}
}
