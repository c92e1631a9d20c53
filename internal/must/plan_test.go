package must_test

import (
	"errors"
	"math"
	"testing"

	"skep/internal/measure"
	"skep/internal/must"
)

func find(t *testing.T, name string) must.Ingredient {
	t.Helper()
	i, err := must.Find(name, nil)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

func portion(t *testing.T, name string, grams measure.Grams) must.Portion {
	t.Helper()
	return must.Portion{Ingredient: find(t, name), Grams: grams, SD: 1}
}

// gallonJug is a US one-gallon jug with elderflower: head room for foam, a yeast that
// goes to 14 to 16 % vol.
func gallonJug(t *testing.T) must.Wish {
	return must.Wish{
		Jug: 3.785, Headroom: 0.2, Base: find(t, "honey"),
		Fixed:    []must.Portion{portion(t, "elderflower", 40)},
		YeastLow: 14, YeastHigh: 16,
	}
}

// What is asked for must come back out of the grams, not out of the solver.
func TestSolveMeetsItsGoal(t *testing.T) {
	for _, tt := range []struct {
		name string
		ask  func(*must.Wish)
		got  func(must.Recipe) (float64, error)
		want float64
	}{
		{"strength", func(w *must.Wish) { w.Strength = 11 }, whenDry, 11},
		{"original gravity", func(w *must.Wish) { w.Gravity = 1.100 }, gravity, 1.100},
		{"sweet at the yeast's limit", func(w *must.Wish) { w.FinalGravity = 1.020 }, atLimit, 1.020},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := gallonJug(t)
			tt.ask(&w)
			r, err := must.Solve(w)
			if err != nil {
				t.Fatal(err)
			}
			got, err := tt.got(r)
			if err != nil || math.Abs(got-tt.want) > 1e-6*tt.want {
				t.Errorf("recipe gives %.7g, %v; want %.7g", got, err, tt.want)
			}
			takes, err := r.Must.Room()
			if err != nil || math.Abs(float64(takes)-3.585) > 1e-6 {
				t.Errorf("recipe takes %.6f L, %v; want 3.585 L", takes, err)
			}
			if err := r.Must.Check(); err != nil {
				t.Error(err)
			}
		})
	}
}

func TestSolveOfHoneyAndWaterAlone(t *testing.T) {
	w := gallonJug(t)
	w.Fixed, w.Strength = nil, 11
	r, err := must.Solve(w)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := whenDry(r); err != nil || math.Abs(got-11) > 1e-5 {
		t.Errorf("recipe gives %.6f %% vol, %v; want 11", got, err)
	}
}

func whenDry(r must.Recipe) (float64, error) {
	s, err := r.Must.StrengthWhenDry(must.SlowShare, must.EthanolYield)
	return float64(s), err
}

func gravity(r must.Recipe) (float64, error) {
	g, err := r.Must.Gravity()
	return float64(g), err
}

func atLimit(r must.Recipe) (float64, error) {
	end, err := r.Must.AtLimit(15, must.SlowShare, must.EthanolYield)
	if err != nil {
		return 0, err
	}
	g, err := end.Gravity()
	return float64(g), err
}

// A quick rule of the trade is close enough to catch a slip of a factor: 3 lb of honey
// made up to a US gallon is read at 1.105 to 1.114 by makers (common practice, no source).
func TestThreePoundsInAGallon(t *testing.T) {
	honey := portion(t, "honey", 3*453.59237)
	r, err := must.Solve(must.Wish{Jug: 4, Fill: 3.785411784, Base: honey.Ingredient, Use: &honey})
	if err != nil {
		t.Fatal(err)
	}
	g, err := gravity(r)
	if err != nil || g < 1.100 || g > 1.116 {
		t.Errorf("original gravity %.4f, %v; want 1.100 to 1.116", g, err)
	}
	t.Logf("3 lb of honey to a US gallon: %.4f", g)
}

func TestGivenHoneyAndStrengthFillAsFarAsTheyReach(t *testing.T) {
	w := gallonJug(t)
	honey := portion(t, "honey", 700)
	w.Use, w.Strength = &honey, 12
	r, err := must.Solve(w)
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := whenDry(r); math.Abs(got-12) > 1e-5 {
		t.Errorf("strength %.6f %% vol, want 12", got)
	}
	if r.Takes >= 3.585 {
		t.Errorf("takes %.3f L; 700 g of honey cannot fill the jug at 12 %% vol", r.Takes)
	}
}

func TestSweetenedAfterItIsDry(t *testing.T) {
	w := gallonJug(t)
	w.Strength, w.FinalGravity = 12, 1.015
	r, err := must.Solve(w)
	if err != nil {
		t.Fatal(err)
	}
	dry, err := r.Must.Dry(must.SlowShare, must.EthanolYield)
	if err != nil {
		t.Fatal(err)
	}
	sweet, err := dry.Plus(w.Base.PerGram.Scaled(float64(r.Sweeten))).Gravity()
	if err != nil || math.Abs(float64(sweet)-1.015) > 1e-7 {
		t.Errorf("sweetened with %.1f g: %.6f, %v; want 1.015", r.Sweeten, sweet, err)
	}
}

func TestWhatCannotBeHadIsRefusedWithWhatCan(t *testing.T) {
	for name, spoil := range map[string]func(*must.Wish){
		"18 % vol of a yeast that stops at 12": func(w *must.Wish) { w.Strength, w.YeastLow, w.YeastHigh = 18, 10, 12 },
		"6 L in a 5 L jug":                     func(w *must.Wish) { w.Jug, w.Fill, w.Strength = 5, 6, 11 },
		"too little honey":                     func(w *must.Wish) { w.Strength, w.Most = 14, 500 },
		"a jug full of fruit": func(w *must.Wish) {
			w.Fixed, w.Strength = []must.Portion{portion(t, "blackberry", 4500)}, 12
		},
		"honey enough for twice the strength": func(w *must.Wish) {
			honey := portion(t, "honey", 1500)
			w.Use, w.Strength = &honey, 8
		},
	} {
		t.Run(name, func(t *testing.T) {
			w := gallonJug(t)
			spoil(&w)
			r, err := must.Solve(w)
			var refused *must.ImpossibleError
			if !errors.As(err, &refused) {
				t.Fatalf("Solve = %+v, %v; want *must.ImpossibleError", r, err)
			}
			if len(refused.Can) == 0 {
				t.Errorf("%v: nothing is offered instead", err)
			}
			t.Logf("%v; %s", err, refused.Hint())
		})
	}
}

func TestProspectIsAsWideAsWhatIsNotKnown(t *testing.T) {
	w := gallonJug(t)
	w.Strength = 12
	r, err := must.Solve(w)
	if err != nil {
		t.Fatal(err)
	}
	p, err := r.Prospect(1, 14, 16, must.Losses{Rackings: 2})
	if err != nil {
		t.Fatal(err)
	}
	again, err := r.Prospect(1, 14, 16, must.Losses{Rackings: 2})
	if err != nil || again != p {
		t.Errorf("the same recipe and seed gave another prospect: %v", err)
	}
	if p.IfDry.Low >= 12 || p.IfDry.High <= 12 {
		t.Errorf("strength if dry %+v does not hold the 12 %% vol that was planned", p.IfDry)
	}
	if p.Bottled.High >= float64(r.Liquid) {
		t.Errorf("%.2f L into bottles of %.2f L of must: no losses", p.Bottled.High, r.Liquid)
	}
	measured := r
	measured.Base.Ingredient.SugarSD = 0
	sharp, err := measured.Prospect(1, 14, 16, must.Losses{Rackings: 2})
	if err != nil || sharp.Gravity.High-sharp.Gravity.Low >= p.Gravity.High-p.Gravity.Low {
		t.Errorf("honey of known sugar gives gravity %+v, no narrower than %+v (%v)", sharp.Gravity, p.Gravity, err)
	}
	t.Logf("gravity %+v, strength %+v, bottled %+v, nitrogen %+v", p.Gravity, p.Strength, p.Bottled, p.Nitrogen)
}

// A yeast that bears more than the must asks leaves none of it sweet; one that bears
// less leaves all of it.
func TestProspectTellsSweetFromDry(t *testing.T) {
	w := gallonJug(t)
	w.Strength = 10
	r, err := must.Solve(w)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		low, high measure.PercentVol
		want      float64
	}{{16, 18, 0}, {5, 6, 1}} {
		p, err := r.Prospect(1, tt.low, tt.high, must.Losses{})
		if err != nil || p.Sweet != tt.want {
			t.Errorf("10 %% vol, yeast of %g to %g %% vol: chance of sweet %.3f, %v; want %g", tt.low, tt.high, p.Sweet, err, tt.want)
		}
	}
}

// A must that is all but juice has no water to give when the mark is read too low.
func TestProspectOfJuiceToTheMark(t *testing.T) {
	w := gallonJug(t)
	honey := portion(t, "honey", 100)
	w.Fixed, w.Use = []must.Portion{portion(t, "apple juice", 3650)}, &honey
	r, err := must.Solve(w)
	if err != nil || r.Water > 60 {
		t.Fatalf("Solve leaves %.0f g of water, %v; want next to none", r.Water, err)
	}
	if p, err := r.Prospect(1, 14, 16, must.Losses{}); err != nil || p.Liquid.Low >= p.Liquid.High {
		t.Errorf("Prospect = %+v, %v", p.Liquid, err)
	}
}

// A US one-gallon jug with petals left in and lees left behind fills four 750 mL
// bottles (common practice, no source).
func TestGallonJugFillsFourBottles(t *testing.T) {
	w := gallonJug(t)
	w.Strength = 11
	r, err := must.Solve(w)
	if err != nil {
		t.Fatal(err)
	}
	p, err := r.Prospect(1, 14, 16, must.Losses{Rackings: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, litres := range []float64{p.Bottled.Low, p.Bottled.Value, p.Bottled.High} {
		f, err := must.FillBottles(int(1000*litres), []must.BottleSize{{ML: 750, Have: -1}})
		if err != nil || f.Full[0] != 4 {
			t.Errorf("%.2f L fill %+v, %v; want four of 750 mL", litres, f, err)
		}
	}
}
