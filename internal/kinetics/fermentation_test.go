package kinetics_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/reference/tables"
)

// follow runs one case through the times of its rows.
func follow(t *testing.T, p kinetics.Parameters, at measure.Celsius, start kinetics.Levels, rows []tables.Row) []kinetics.Levels {
	t.Helper()
	times := make([]measure.Hours, len(rows))
	for i, r := range rows {
		times[i] = measure.Hours(r.Number("time_h"))
	}
	got := make([]kinetics.Levels, len(rows))
	f := kinetics.New()
	if err := f.Begin(p, kinetics.Course{{T: at}}, start); err != nil {
		t.Fatal(err)
	}
	if err := f.Follow(times[len(times)-1], times, func(i int, l kinetics.Levels) { got[i] = l }); err != nil {
		t.Fatal(err)
	}
	return got
}

// compare holds the levels against the rows: ethanol and sugar within 1e-4 of the value
// or 1e-3 g/L, whichever is wider, cells and nitrogen within 1e-3 of the value or 1e-6 g/L,
// under which the table is noise. The table itself is good to 1e-6; the rest is what a
// forecast can spare, a thousandth of what a hydrometer shows.
func compare(t *testing.T, name string, got []kinetics.Levels, rows []tables.Row, worst map[string]float64) {
	t.Helper()
	for i, r := range rows {
		for _, c := range []struct {
			column             string
			got, ratio, absolu float64
		}{
			{"E_g_per_L", got[i].Ethanol, 1e-4, 1e-3},
			{"S_g_per_L", got[i].Sugar, 1e-4, 1e-3},
			{"X_g_per_L", got[i].Cells, 1e-3, 1e-6},
			{"XA_g_per_L", got[i].Active, 1e-3, 1e-6},
			{"N_g_per_L", got[i].Nitrogen, 1e-3, 1e-6},
		} {
			want := r.Number(c.column)
			allowed := max(c.ratio*math.Abs(want), c.absolu)
			share := math.Abs(c.got-want) / allowed
			worst[c.column] = max(worst[c.column], share)
			if share > 1 {
				t.Errorf("%s at %g h: %s = %.8g, want %.8g within %.2g", name, r.Number("time_h"), c.column, c.got, want, allowed)
			}
		}
	}
}

func TestAgainstComputedTrajectories(t *testing.T) {
	rows := tables.Read("kinetics/trajectories.csv")
	worst := map[string]float64{}
	for _, k := range tables.Read("kinetics/trajectory_parameters.csv") {
		p, start := published(k)
		var mine []tables.Row
		for _, r := range rows {
			if r.Text("case") == k.Text("case") {
				mine = append(mine, r)
			}
		}
		if len(mine) != 16 {
			t.Fatalf("case %s has %d rows, want 16", k.Text("case"), len(mine))
		}
		compare(t, k.Text("case"), follow(t, p, 20, start, mine), mine, worst)
	}
	t.Logf("worst of 144, as a share of what is allowed: %v", worst)
}

func published(k tables.Row) (kinetics.Parameters, kinetics.Levels) {
	return kinetics.Parameters{
		Growth: k.Number("mu_max_per_h"), GrowthHalf: k.Number("K_N_g_per_L"),
		CellsPerNitrogen: k.Number("Y_X_per_N_g_per_g"),
		Use:              k.Number("beta_max_g_ethanol_per_g_cells_per_h"), UseHalf: k.Number("K_S_g_per_L"),
		EthanolPerSugar: k.Number("Y_E_per_S_g_per_g"), Damage: k.Number("k_d_L_per_g_per_h"),
	}, kinetics.Levels{
		Cells: k.Number("X0_g_per_L"), Active: k.Number("X0_g_per_L"),
		Nitrogen: k.Number("N0_g_per_L"), Sugar: k.Number("S0_g_per_L"),
	}
}

// The temperature law, run from rates at 20 °C, against trajectories computed from the
// rates at each temperature. The law is from memory: this checks that we do to the rates
// what the table's maker did, no more. 11 °C and 35 °C are the ends of the law.
func TestTemperatureLawIsTheOneRecalled(t *testing.T) {
	rows := tables.Read("kinetics/recalled_T_law_trajectories.csv")
	worst := map[string]float64{}
	for _, k := range tables.Read("kinetics/recalled_T_law_outcomes.csv") {
		same := func(r tables.Row, column string) bool { return r.Number(column) == k.Number(column) }
		var mine []tables.Row
		for _, r := range rows {
			if same(r, "T_degC") && same(r, "N0_mg_N_per_L") && same(r, "S0_g_per_L") {
				mine = append(mine, r)
			}
		}
		if len(mine) != 15 {
			t.Fatalf("%v has %d rows, want 15", k, len(mine))
		}
		n0 := k.Number("N0_mg_N_per_L")
		p := kinetics.Parameters{
			Growth: math.Exp(-3.92 + 0.0782*20), GrowthHalf: math.Exp(-4.73),
			CellsPerNitrogen: math.Exp(3.50 - 0.00361*n0),
			Use:              math.Exp(-2.30 + 0.0771*20), UseHalf: math.Exp(2.33),
			EthanolPerSugar: math.Exp(-0.598), Damage: math.Exp(-9.81 - 0.108*20 + 0.00478*400),
		}
		start := kinetics.Levels{Cells: 0.2, Active: 0.2, Nitrogen: n0 / 1000, Sugar: k.Number("S0_g_per_L")}
		got := follow(t, p, measure.Celsius(k.Number("T_degC")), start, mine)
		compare(t, k.Text("T_degC")+" °C", got, mine, worst)
	}
	t.Logf("worst of 165, as a share of what is allowed: %v", worst)
}

var (
	nominal = kinetics.Parameters{
		Growth: 0.16, GrowthHalf: 0.01, CellsPerNitrogen: 31, Use: 0.3, UseHalf: 10, EthanolPerSugar: 0.47, Damage: 1e-4,
	}
	fresh = kinetics.Levels{Cells: 0.25, Active: 0.25, Nitrogen: 0.08, Sugar: 230}
)

// end is where a must stands at a time.
func end(t *testing.T, p kinetics.Parameters, c kinetics.Course, l kinetics.Levels, at measure.Hours) kinetics.Levels {
	t.Helper()
	f := kinetics.New()
	if err := f.Begin(p, c, l); err != nil {
		t.Fatal(err)
	}
	if err := f.Follow(at, nil, nil); err != nil {
		t.Fatal(err)
	}
	return f.Levels()
}

func TestLagLimitAndColdSlowTheJug(t *testing.T) {
	room := kinetics.Course{{T: 20}}
	plain := end(t, nominal, room, fresh, 48)

	late := nominal
	late.Lag = 24
	if got := end(t, late, room, fresh, 48); got.Ethanol >= plain.Ethanol {
		t.Errorf("after 48 h with a lag of 24 h: ethanol %.2f g/L, want less than %.2f without", got.Ethanol, plain.Ethanol)
	}

	limited := nominal
	limited.EthanolLimit = 60
	far := end(t, limited, room, fresh, 4000)
	if far.Ethanol > 60 || far.Ethanol < 55 {
		t.Errorf("limit 60 g/L: ethanol ends at %.2f g/L, want 55 to 60", far.Ethanol)
	}

	cold := nominal
	cold.Coldest = 10
	if got := end(t, cold, kinetics.Course{{T: 2}}, fresh, 48); got.Ethanol > plain.Ethanol/20 {
		t.Errorf("at 2 °C, 8 K below its coldest: ethanol %.3f g/L after 48 h, want under a twentieth of %.2f", got.Ethanol, plain.Ethanol)
	}
}

// A course that is warm, then cool, must lie between all warm and all cool, and a
// course with more points on the same line must give the same.
func TestCourse(t *testing.T) {
	warm := end(t, nominal, kinetics.Course{{T: 24}}, fresh, 96).Ethanol
	cool := end(t, nominal, kinetics.Course{{T: 14}}, fresh, 96).Ethanol
	falling := kinetics.Course{{At: 24, T: 24}, {At: 72, T: 14}}
	mixed := end(t, nominal, falling, fresh, 96).Ethanol
	if !(cool < mixed && mixed < warm) {
		t.Errorf("ethanol after 96 h: falling course %.3f, want between %.3f and %.3f", mixed, cool, warm)
	}
	finer := kinetics.Course{{At: 24, T: 24}, {At: 30, T: 22.75}, {At: 48, T: 19}, {At: 72, T: 14}}
	if got := end(t, nominal, finer, fresh, 96).Ethanol; math.Abs(got-mixed) > 1e-4*mixed {
		t.Errorf("the same line with more points: %.6f g/L, want %.6f", got, mixed)
	}
	for _, c := range []struct {
		at   measure.Hours
		want measure.Celsius
	}{{0, 24}, {24, 24}, {48, 19}, {72, 14}, {500, 14}} {
		if got := falling.At(c.at); math.Abs(float64(got-c.want)) > 1e-12 {
			t.Errorf("At(%g h) = %g °C, want %g", c.at, got, c.want)
		}
	}
}

// Adding nothing changes nothing, and feeding makes a hungry must faster.
func TestChange(t *testing.T) {
	room := kinetics.Course{{T: 20}}
	hungry := fresh
	hungry.Nitrogen = 0.02
	run := func(feed float64) kinetics.Levels {
		f := kinetics.New()
		if err := f.Begin(nominal, room, hungry); err != nil {
			t.Fatal(err)
		}
		if err := f.Follow(48, nil, nil); err != nil {
			t.Fatal(err)
		}
		l := f.Levels()
		l.Nitrogen += feed
		if err := f.Change(l); err != nil {
			t.Fatal(err)
		}
		if err := f.Follow(240, nil, nil); err != nil {
			t.Fatal(err)
		}
		return f.Levels()
	}
	straight := end(t, nominal, room, hungry, 240)
	same, fed := run(0), run(0.08)
	if math.Abs(same.Sugar-straight.Sugar) > 1e-4*straight.Sugar {
		t.Errorf("sugar after a change of nothing: %.6f g/L, want %.6f", same.Sugar, straight.Sugar)
	}
	if fed.Sugar > straight.Sugar-20 {
		t.Errorf("sugar after feeding 80 mg N/L: %.1f g/L, want well under %.1f", fed.Sugar, straight.Sugar)
	}
}

func TestBeginRefuses(t *testing.T) {
	bad := fresh
	bad.Sugar = -1
	var outside *property.RangeError
	f := kinetics.New()
	if err := f.Begin(nominal, kinetics.Course{{T: 20}}, bad); !errors.As(err, &outside) {
		t.Errorf("sugar −1 g/L: %v, want a RangeError", err)
	}
	if err := f.Begin(nominal, kinetics.Course{{T: 55}}, fresh); !errors.As(err, &outside) {
		t.Errorf("55 °C: %v, want a RangeError", err)
	}
	if err := f.Begin(nominal, nil, fresh); err == nil {
		t.Error("no temperature: no error")
	}
	if err := f.Begin(nominal, kinetics.Course{{At: 5, T: 20}, {At: 1, T: 20}}, fresh); err == nil {
		t.Error("course out of order: no error")
	}
	silly := nominal
	silly.Use = math.NaN()
	if err := f.Begin(silly, kinetics.Course{{T: 20}}, fresh); !errors.As(err, &outside) {
		t.Errorf("a rate that is no number: %v, want a RangeError", err)
	}
}

func TestFollowAllocatesNothing(t *testing.T) {
	f, room := kinetics.New(), kinetics.Course{{T: 20}, {At: 100, T: 18}}
	if n := testing.AllocsPerRun(5, func() {
		if f.Begin(nominal, room, fresh) != nil || f.Follow(1000, nil, nil) != nil {
			t.Fatal("could not follow")
		}
	}); n != 0 {
		t.Errorf("a fermentation allocates %g times, want 0", n)
	}
}

// BenchmarkJug is 60 days with 100 looks: one member of an ensemble.
func BenchmarkJug(b *testing.B) {
	times := make([]measure.Hours, 100)
	for i := range times {
		times[i] = measure.Hours(i) * 14.4
	}
	for _, c := range []struct {
		name   string
		course kinetics.Course
	}{
		{"steady", kinetics.Course{{T: 20}}},
		{"falling", kinetics.Course{{T: 22}, {At: 300, T: 17}}},
	} {
		b.Run(c.name, func(b *testing.B) {
			f := kinetics.New()
			sum := 0.0
			for b.Loop() {
				if f.Begin(nominal, c.course, fresh) != nil || f.Follow(1440, times, func(_ int, l kinetics.Levels) { sum += l.Sugar }) != nil {
					b.Fatal("could not follow")
				}
			}
		})
	}
}

// What a must's own heat does is what a room does that is warmer by so much at every hour.
func TestOwnHeat(t *testing.T) {
	const large = 1.0 // K for 1 g/L in an hour, as in a demijohn
	p := kinetics.Typical(0.25, kinetics.YeastKind{ToleranceLow: 14, ToleranceHigh: 16})
	start := kinetics.Levels{Cells: 0.15, Active: 0.15, Nitrogen: 0.25, Sugar: 220}
	var times []measure.Hours
	for h := measure.Hours(0); h <= 600; h += 2 {
		times = append(times, h)
	}
	f := kinetics.New()
	follow := func(p kinetics.Parameters, course kinetics.Course) []kinetics.Levels {
		t.Helper()
		all := make([]kinetics.Levels, len(times))
		if err := f.Begin(p, course, start); err != nil {
			t.Fatal(err)
		}
		if err := f.Follow(600, times, func(i int, l kinetics.Levels) { all[i] = l }); err != nil {
			t.Fatal(err)
		}
		return all
	}
	cold := follow(p, kinetics.Course{{T: 20}})
	p.Heat = large
	heated := follow(p, kinetics.Course{{T: 20}})
	p.Heat = 0
	var room kinetics.Course
	warmest := 0.0
	for i, l := range heated {
		warmest = max(warmest, large*l.Use)
		room = append(room, kinetics.TemperaturePoint{At: times[i], T: measure.Celsius(20 + large*l.Use)})
	}
	warm := follow(p, room)
	if warmest < 0.5 {
		t.Fatalf("it is at most %.2f K warmer: nothing is shown", warmest)
	}
	for i := range times {
		did, would := cold[i].Sugar-heated[i].Sugar, cold[i].Sugar-warm[i].Sugar
		if math.Abs(did-would) > 0.1*math.Abs(would)+0.3 {
			t.Fatalf("at %g h its own heat takes %.2f g/L more, a room as warm %.2f", times[i], did, would)
		}
	}
}

// Whatever a fermentation comes to can be begun from again, as a racking does: a step ends a
// trace below none now and then, of cells that die fast too, and what is told never does.
func TestWhatIsReachedCanBegin(t *testing.T) {
	yeast, err := kinetics.YeastNamed("white wine yeast")
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(7, 11))
	spread := func(sd float64) float64 { return math.Exp(sd * random.NormFloat64()) }
	f, again := kinetics.New(), kinetics.New()
	f.Tolerance = 1e-4
	times := make([]measure.Hours, 60)
	for i := range times {
		times[i] = measure.Hours(24 * (i + 1))
	}
	for jug := range 2000 {
		n := measure.GramsPerLitre(0.2 * spread(0.5))
		p := kinetics.Typical(n, yeast)
		p.Growth, p.Use, p.Damage, p.Lag = p.Growth*spread(0.4), p.Use*spread(0.5), p.Damage*spread(1.5), p.Lag*spread(0.7)
		cells := 0.2 * spread(0.7)
		course := kinetics.Course{{T: measure.Celsius(15 + 15*random.Float64())}}
		if err := f.Begin(p, course, kinetics.Levels{Cells: cells, Active: cells, Nitrogen: float64(n), Sugar: 240 * spread(0.2)}); err != nil {
			t.Fatal(err)
		}
		if err := f.Follow(times[len(times)-1], times, func(i int, l kinetics.Levels) {
			if err := again.Begin(p, course, l); err != nil {
				t.Errorf("jug %d, day %d: %v", jug, i+1, err)
			}
		}); err != nil {
			t.Fatal(err)
		}
	}
}
