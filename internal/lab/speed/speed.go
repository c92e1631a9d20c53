package speed

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"time"

	"skep/internal/estimate"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
)

// Result is what was timed.
type Result struct {
	Threads      int           `json:"threads"`
	Estimate     measure.Range `json:"estimate"` // of 30 looks of four kinds, over several jugs: middle, and the range of four in five
	Slowest      measure.Range `json:"estimate_slowest"`
	Led          measure.Range `json:"estimate_led"` // the same looks, the draws led in steps: what an estimate falls back on
	SlowestLed   measure.Range `json:"estimate_led_slowest"`
	ByLooks      []ByLooks     `json:"by_looks"`
	Trajectories Trajectories  `json:"trajectories"`
	Peer         *Peer         `json:"peer,omitempty"`
	NoPeer       string        `json:"no_peer,omitempty"` // why there is none
}

// ByLooks is the time of an estimate with so many looks.
type ByLooks struct {
	Looks int           `json:"looks"`
	Time  measure.Range `json:"time"`
}

// Trajectories are many jugs followed for 60 days.
type Trajectories struct {
	Count int           `json:"count"`
	Time  measure.Range `json:"time"`  // of all, on all threads
	Each  measure.Range `json:"each"`  // of one, on one thread
	Error float64       `json:"error"` // worst against a close integration, as a share of sugar, or of a g/L where there is less
}

// How much is timed.
const (
	days        = 60
	trajectory  = 10_000
	jugs        = 20
	looks       = 30
	tolerance   = 6e-6
	close       = 1e-10
	milliscale  = 1e3
	repetitions = 3 // of what is short; the quickest counts, the others were disturbed
)

// Measure times everything but the peer.
func Measure(now func() time.Time) (Result, error) {
	r := Result{Threads: runtime.GOMAXPROCS(0)}
	weighed, led := estimate.NewSampler(), estimate.NewSampler()
	led.Led = true
	var took []float64
	for _, way := range []struct {
		sampler       estimate.Sampler
		time, slowest *measure.Range
	}{{led, &r.Led, &r.SlowestLed}, {weighed, &r.Estimate, &r.Slowest}} {
		took = took[:0]
		for number := range jugs {
			ms, err := timed(now, way.sampler, looks, uint64(number))
			if err != nil {
				return r, err
			}
			took = append(took, ms)
		}
		*way.time = measure.RangeOf(took, "ms")
		*way.slowest = measure.Exact(slices.Max(took), "ms")
	}
	for _, n := range []int{10, 20, 40, 80, 160, 320} {
		took = took[:0]
		for number := range jugs / 4 {
			ms, err := timed(now, weighed, n, uint64(number))
			if err != nil {
				return r, err
			}
			took = append(took, ms)
		}
		r.ByLooks = append(r.ByLooks, ByLooks{n, measure.RangeOf(took, "ms")})
	}
	var err error
	r.Trajectories, err = trajectories(now)
	return r, err
}

// mead is 4 L of honey must.
func mead(seed uint64) (estimate.Situation, error) {
	yeast, err := kinetics.YeastNamed("white wine yeast")
	return estimate.Situation{
		Seed: seed,
		Must: must.Must{
			must.Water: 3370, must.Glucose: 410, must.Fructose: 490, must.Sucrose: 10, must.SlowSugar: 60,
			must.OtherSolids: 15, must.Acid: 3, must.Nitrogen: 0.5,
		},
		SugarSD: 0.03, VolumeSD: 0.02, NitrogenSD: 0.4, Yeast: yeast, YeastGrams: 3,
		Course: []estimate.TemperaturePoint{{T: 20}}, TemperatureSD: 1, Tare: 1500, TareSD: 2, Until: days * 24,
	}, err
}

// seen are looks at a made-up jug, of four kinds by turns, over its first 20 days.
func seen(s estimate.Situation, count int) ([]estimate.Observation, error) {
	other := s
	other.Seed += 1 << 32
	all, err := estimate.NewSampler().Estimate(other, nil)
	if err != nil {
		return nil, err
	}
	kinds := []struct {
		sense estimate.Sense
		sd    float64
	}{{estimate.SawGravity, 0.001}, {estimate.SawMass, 2}, {estimate.SawBubbles, 0.5}, {estimate.SawTaste, 0.2}}
	var seen []estimate.Observation
	for i := range count {
		k := kinds[i%len(kinds)]
		seen = append(seen, estimate.Observation{
			ID: fmt.Sprint(i), At: measure.Hours(12 + 468*float64(i)/float64(count)), Sense: k.sense, SD: k.sd, Sample: 20, Calibrated: 20,
		})
	}
	shown, err := all.Foresee(seen)
	if err != nil {
		return nil, err
	}
	noise := rand.New(rand.NewPCG(s.Seed, 9))
	for i := range seen {
		v := shown[i][0]
		if seen[i].Sense == estimate.SawBubbles {
			v *= math.Exp(0.3 * noise.NormFloat64())
		}
		seen[i].Value = max(0, v+seen[i].SD*noise.NormFloat64())
	}
	return seen, nil
}

// timed is the time of one estimate, ms.
func timed(now func() time.Time, sampler estimate.Sampler, looks int, seed uint64) (float64, error) {
	s, err := mead(seed)
	if err != nil {
		return 0, err
	}
	observations, err := seen(s, looks)
	if err != nil {
		return 0, err
	}
	best := math.Inf(1)
	for range repetitions {
		start := now()
		if _, err := sampler.Estimate(s, observations); err != nil {
			return 0, err
		}
		best = min(best, now().Sub(start).Seconds()*milliscale)
	}
	return best, nil
}

// fermentation is one of the many.
type fermentation struct {
	p     kinetics.Parameters
	start kinetics.Levels
}

// many are drawn about typical values at 20 °C, as widely as a factor of 1.5 each way.
func many() ([]fermentation, error) {
	yeast, err := kinetics.YeastNamed("white wine yeast")
	if err != nil {
		return nil, err
	}
	random := rand.New(rand.NewPCG(60, 10_000))
	spread := func(sd float64) float64 { return math.Exp(sd * random.NormFloat64()) }
	all := make([]fermentation, trajectory)
	for i := range all {
		n := 0.15 * spread(0.4)
		p := kinetics.Typical(measure.GramsPerLitre(n), yeast)
		p.Growth, p.Use, p.Damage, p.Lag = p.Growth*spread(0.3), p.Use*spread(0.4), p.Damage*spread(0.5), p.Lag*spread(0.5)
		cells := 0.15 * spread(0.5)
		all[i] = fermentation{
			p:     p,
			start: kinetics.Levels{Cells: cells, Active: cells, Nitrogen: n, Sugar: 210 * spread(0.1)},
		}
	}
	return all, nil
}

// hours are when a trajectory is looked at where it is compared.
func hours() []measure.Hours {
	times := make([]measure.Hours, 100)
	for i := range times {
		times[i] = measure.Hours(i+1) * days * 24 / 100
	}
	return times
}

func (m *fermentation) follow(f *kinetics.Fermentation, times []measure.Hours, show func(int, kinetics.Levels)) error {
	if err := f.Begin(m.p, kinetics.Course{{T: 20}}, m.start); err != nil {
		return err
	}
	return f.Follow(days*24, times, show)
}

func trajectories(now func() time.Time) (Trajectories, error) {
	all, err := many()
	if err != nil {
		return Trajectories{}, err
	}
	threads := runtime.GOMAXPROCS(0)
	best := math.Inf(1)
	for range repetitions {
		start := now()
		if err := followAll(all, threads); err != nil {
			return Trajectories{}, err
		}
		best = min(best, now().Sub(start).Seconds())
	}
	t := Trajectories{
		Count: len(all), Time: measure.Exact(best*milliscale, "ms"),
		Each: measure.Exact(best*float64(threads)/float64(len(all))*1e6, "µs"),
	}
	t.Error, err = worst(all)
	return t, err
}

func followAll(all []fermentation, threads int) error {
	errs := make([]error, threads)
	var wait sync.WaitGroup
	for k := range threads {
		wait.Go(func() {
			f := kinetics.New()
			f.Tolerance = tolerance
			for i := k; i < len(all) && errs[k] == nil; i += threads {
				errs[k] = all[i].follow(f, nil, nil)
			}
		})
	}
	wait.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// worst is the largest error of sugar against a close integration, as a share of the sugar,
// or of a g/L where there is less: a jug with less is dry.
func worst(all []fermentation) (float64, error) {
	quick, slow := kinetics.New(), kinetics.New()
	quick.Tolerance, slow.Tolerance = tolerance, close
	times := hours()
	most := 0.0
	for i := range all {
		want := make([]float64, len(times))
		if err := all[i].follow(slow, times, func(k int, l kinetics.Levels) { want[k] = l.Sugar }); err != nil {
			return 0, err
		}
		if err := all[i].follow(quick, times, func(k int, l kinetics.Levels) {
			most = max(most, math.Abs(l.Sugar-want[k])/max(1, want[k]))
		}); err != nil {
			return 0, err
		}
	}
	return most, nil
}
