package safety

import (
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"skep/internal/advice"
	"skep/internal/app"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/kinetics"
	"skep/internal/must"
)

// In a small run nothing called finished or ready may be unsafe, and most jugs that are
// over must be told so: the run of docs/safety.md is as many times larger as it takes to
// count one in a thousand.
func TestSmallRun(t *testing.T) {
	jugs := jugs
	if testing.Short() {
		jugs = 6
	}
	all, err := Simulate(3, jugs, app.Judge, nil)
	if err != nil {
		t.Fatal(err)
	}
	r := NewReport("", 3, all)
	sum := r.Kinds[len(r.Kinds)-1]
	t.Logf("%+v", sum)
	for _, o := range all {
		if o.Unsafe || o.Burst {
			t.Errorf("jug %d, %s: unsafe %t, burst %t\n%s", o.Number, o.Trouble, o.Unsafe, o.Burst, strings.Join(o.Story, "\n"))
		}
	}
	if sum.Due < jugs/3 || 4*sum.Known < 3*sum.Due || 2*sum.Cleared < sum.Due {
		t.Errorf("of %d jugs %d were over, %d told so and %d ready in a week; want a third, three quarters and half of them at least", jugs, sum.Due, sum.Known, sum.Cleared)
	}
}

// careless calls every jug finished and ready as soon as it is asked.
func careless(_ []batch.Event, now time.Time, _ func(*advice.Question)) (app.Judged, error) {
	return app.Judged{
		Stood:   app.Stood{Standing: advice.Standing{Phase: advice.Finished}, Now: &estimate.State{}},
		Verdict: advice.Verdict{Answer: advice.ReadyStill, When: now},
	}, nil
}

// What says "ready" to all who read twice is found out: the counts can fail.
func TestCarelessIsFoundOut(t *testing.T) {
	all, err := Simulate(3, 120, careless, nil)
	if err != nil {
		t.Fatal(err)
	}
	r := NewReport("", 3, all)
	for i, c := range r.Claims {
		if unsafe := i < 2; c.Met == unsafe {
			t.Errorf("%s: %d of %d, met %t", c.What, c.Count, c.Of, c.Met)
		}
	}
	for _, k := range r.Kinds {
		if k.Trouble == StuckSweet && k.Unsafe < k.Finished/2 {
			t.Errorf("%d of %d jugs stuck sweet were unsafe, want most", k.Unsafe, k.Finished)
		}
	}
}

// silent never says that anything is finished.
func silent(_ []batch.Event, now time.Time, _ func(*advice.Question)) (app.Judged, error) {
	return app.Judged{Verdict: advice.Verdict{Answer: advice.NotYet, Settles: "one more reading", When: now.AddDate(0, 0, 7)}}, nil
}

// What never says "ready" is found out, too.
func TestSilentIsFoundOut(t *testing.T) {
	all, err := Simulate(3, 40, silent, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range NewReport("", 3, all).Claims {
		if late := i >= 2; c.Met == late {
			t.Errorf("%s: %d of %d, met %t", c.What, c.Count, c.Of, c.Met)
		}
	}
}

// The same jug twice is the same, to the word.
func TestPlayRepeats(t *testing.T) {
	for number := range 2 {
		if number > 0 && testing.Short() {
			break
		}
		a, err := Play(5, number, app.Judge)
		if err != nil {
			t.Fatal(err)
		}
		b, err := Play(5, number, app.Judge)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(a, b) || len(a.Story) == 0 {
			t.Errorf("jug %d is told twice differently:\n%q\n%q", number, a.Story, b.Story)
		}
	}
}

// A jug keeps its mass but for what goes off, its sugar only falls, and it ends dry or at
// its yeast's limit.
func TestBrewKeepsMass(t *testing.T) {
	for number := range 20 {
		random := rand.New(rand.NewPCG(9, uint64(number)))
		m := must.Must{must.Water: 3900, must.Glucose: 350, must.Fructose: 420, must.SlowSugar: 70, must.Acid: 3, must.OtherSolids: 15, must.Nitrogen: 0.8}
		y := kinetics.Yeasts()[number%len(kinetics.Yeasts())]
		b, err := pitch(random, newNature(random, 0.2, y), m, 5)
		if err != nil {
			t.Fatal(err)
		}
		before, last := float64(m.Mass()), math.Inf(1)
		for range 150 {
			if err := b.follow(24, 22); err != nil {
				t.Fatal(err)
			}
			if b.left.sugar > last || b.left.sugar < 0 || b.left.nitrogen < 0 || b.held < 0 {
				t.Fatalf("jug %d: %+v after %g g/L of sugar", number, b.left, last)
			}
			last = b.left.sugar
		}
		now, err := b.now()
		if err != nil {
			t.Fatal(err)
		}
		if after := float64(now.Mass()) + b.gone + b.held*b.litres; math.Abs(after-before) > 0.01 {
			t.Errorf("jug %d: %.3f g became %.3f g", number, before, after)
		}
		if b.left.sugar > 5 && b.left.ethanol < 0.8*b.p.EthanolLimit && !b.stopped {
			t.Errorf("jug %d, %s: %.1f g/L of sugar left at %.1f %% vol after 150 days", number, y.Name, b.left.sugar, b.strength())
		}
	}
}

// Bounds against what defines them.
func TestShareBounds(t *testing.T) {
	none, one := share(0, 10), share(1, 10)
	closed := 100 * (1 - math.Pow(0.025, 0.1))
	if none.Low != 0 || math.Abs(none.High-closed) > 1e-6 {
		t.Errorf("none of 10: %v, want 0 to %.4f", none, closed)
	}
	// The chance of one or more in 10 at the low bound is 2.5 %.
	if p := 1 - math.Pow(1-one.Low/100, 10); math.Abs(p-0.025) > 1e-6 {
		t.Errorf("one of 10: low bound %.4f %%, at which one or more comes in %.4f", one.Low, p)
	}
	if share(0, 0).Known() {
		t.Error("none of none has a share")
	}
}
