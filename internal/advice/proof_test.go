package advice_test

import (
	"testing"

	"skep/internal/advice"
	"skep/internal/batch"
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
