package advice_test

import (
	"testing"

	"skep/internal/advice"
	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/gas"
)

// mead is 4.5 L of honey must that comes to some 10 % vol dry.
func mead(t fataler, seed uint64) estimate.Situation {
	yeast, err := kinetics.YeastNamed("white wine yeast")
	if err != nil {
		t.Fatal(err)
	}
	return estimate.Situation{
		Seed: seed,
		Must: must.Must{
			must.Water: 3950, must.Glucose: 335, must.Fructose: 400, must.Sucrose: 10, must.SlowSugar: 60,
			must.OtherSolids: 15, must.Acid: 3, must.Nitrogen: 0.5,
		},
		SugarSD: 0.03, VolumeSD: 0.02, NitrogenSD: 0.4, Yeast: yeast, YeastGrams: 5,
		Course: []estimate.TemperaturePoint{{T: 20}}, TemperatureSD: 1, Until: 180 * 24,
	}
}

// From the first look to the verdict with the real estimator: jugs are drawn from what is
// known beforehand, read with a hydrometer to three decimals, and asked about as months
// pass. None may be called ready whose closed bottle would pass its limit, and a jug that
// is dry, read and flat must be ready in the end, in a cellar of 20 °C.
func TestWholeWayToTheBottle(t *testing.T) {
	const jugs = 4
	truths, err := estimate.NewSampler().Estimate(mead(t, 1), nil)
	if err != nil {
		t.Fatal(err)
	}
	ready, dryInTheEnd := 0, 0
	for k := range jugs {
		all := []happening{racked(65), racked(90), racked(120)}
		for _, d := range []float64{1, 8, 30, 60, 75, 100, 150} {
			m := truths.Members(measure.Hours(24 * d))[k]
			all = append(all, gravity(d, round(m.Gravity), 20))
			if d == 30 { // a sample of the first week's, fermented out
				out := round(m.Gravity - 0.00043*m.EventualHexose)
				all = append(all, spent(d, out))
			}
		}
		all = inOrder(all)
		for _, today := range []float64{9, 152} {
			hour := measure.Hours(24 * today)
			n := 0
			for n < len(all) && all[n].day <= today {
				n++
			}
			state := record(t, all[:n]...)
			p, err := estimate.NewSampler().Estimate(mead(t, 2), state.Observations())
			if err != nil {
				t.Fatal(err)
			}
			e := advice.Evidence{
				Now: on(today), Jug: state, State: p.At(hour), Members: p.Members(hour), Outlook: p.Outlook(),
				YeastLow: 12, YeastTop: 25, YeastStops: 13,
			}
			q := ask(e, batch.Still)
			q.Warmest = 20
			v := advice.MayBottle(q)
			truth := truths.Members(hour)[k]
			t.Logf("jug %d, day %g, %.1f g/L left: %s; %s, chance %.3f", k, today, truth.EventualHexose, advice.Stand(e).Phase, v.Answer, v.Chance)
			if today == 152 && truth.EventualHexose < 0.1 {
				dryInTheEnd++
			}
			if v.Answer == advice.NotYet {
				continue
			}
			if today == 152 {
				ready++
			}
			bottle := gas.ClosedBottle{
				Volume: 0.75, Headspace: 0.02, Yield: gas.CarefulYield, Law: gas.Least, CO2: 0.5,
				Hexose: measure.GramsPerLitre(truth.EventualHexose), Liquid: gas.Liquid{Ethanol: measure.PercentVol(truth.EthanolPct)},
			}
			if gauge, err := bottle.Gauge(20); err != nil || gauge > q.Bottle.Limit {
				t.Errorf("jug %d, day %g: %s, and its bottle comes to %.1f bar, %v", k, today, v.Answer, float64(gauge), err)
			}
		}
	}
	if dryInTheEnd < 2 || 2*ready < dryInTheEnd {
		t.Errorf("%d of %d dry jugs were ready in the end, want at least half", ready, dryInTheEnd)
	}
}
