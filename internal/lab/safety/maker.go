package safety

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"skep/internal/advice"
	"skep/internal/app"
	"skep/internal/batch"
	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/density"
)

// Trouble is what goes wrong with a jug beyond the usual.
type Trouble string

// The troubles.
const (
	NoTrouble    Trouble = "nothing else"
	ColdPause    Trouble = "a cold pause, then warmth"
	LeakyLid     Trouble = "a lid that leaks"
	FedUntold    Trouble = "honey fed and not recorded"
	SweetUntold  Trouble = "sweetened and not recorded"
	RackedUntold Trouble = "racked and not recorded"
	Mistyped     Trouble = "readings mistyped"
	SlippedScale Trouble = "a hydrometer with a slipped scale"
	StuckSweet   Trouble = "stuck sweet, for a cause not in the model"
	Sweetened    Trouble = "made sweet, and stabilised"
	Primed       Trouble = "primed to sparkle"
)

// Troubles are all that a jug may have beside the usual; half of the jugs have one.
var Troubles = []Trouble{ColdPause, LeakyLid, FedUntold, SweetUntold, RackedUntold, Mistyped, SlippedScale, StuckSweet, Sweetened, Primed}

// troubleOf is the trouble of a jug by its number.
func troubleOf(number int) Trouble {
	if number%2 == 0 {
		return NoTrouble
	}
	return Troubles[number/2%len(Troubles)]
}

// maker is a person with one jug. She does what Skep asks, and asks what may be bottled
// whenever she has read.
type maker struct {
	random  *rand.Rand
	skep    Ask
	trouble Trouble
	brew    *brew
	yeast   kinetics.YeastKind
	events  []batch.Event
	day     float64 // since pitching

	usualRoom, swing, lift float64 // °C
	coldFrom, coldUntil    float64 // days
	cold                   float64 // °C

	offset     float64 // of the hydrometer
	thermo     float64 // of the thermometer, K
	palate     float64 // of the taster
	pH         float64
	weighs     bool    // owns a scale
	tare       float64 // g
	tellsRoom  bool    // unasked
	stabilises bool    // when told that it would keep a sweet wine
	cellar     bool    // has a place that stays at 20 °C
	bottle     bottle
	style      batch.Style
	priming    float64 // g/L
	sampled    float64 // day on which a sample was put to ferment out; 0: never
	sampleRead bool
	sample     func(measure.Celsius) (measure.Density, error)
	untold     float64     // day of what is done and not recorded; 0: never
	forgotten  *batch.Part // what went in then
	forgotOn   float64
	tookBack   map[string]bool // readings, by their entry
	slips      int             // readings still to be mistyped

	readOn    float64 // day of the last reading, and how many there were on it
	readToday int

	ended  float64 // day of the first of them at which it was truly over; 0: not yet
	second float64 // day of the first that came a week after that; 0: not yet
	out    *Outcome
}

// pitchedOn is when every jug begins; nothing depends on it.
var pitchedOn = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

func (m *maker) at(day float64) time.Time {
	return pitchedOn.Add(time.Duration(day * 24 * float64(time.Hour))).Truncate(time.Second)
}

func (m *maker) write(h batch.Happening) {
	n := len(m.events) + 1
	m.events = append(m.events, batch.Event{
		ID: fmt.Sprintf("e%03d", n), Jug: "jug", Seq: n, At: m.at(m.day), Recorded: m.at(m.day), Happened: h,
	})
}

func (m *maker) chance(p float64) bool { return m.random.Float64() < p }

// part is what a person would write down of an ingredient, and what truly went in.
func (m *maker) part(words string) (batch.Part, must.Must, error) {
	amount, name, err := measure.ParseIngredient(words, measure.Metric)
	if err != nil {
		return batch.Part{}, must.Must{}, err
	}
	i, err := must.Find(name, nil)
	if err != nil {
		return batch.Part{}, must.Must{}, err
	}
	p, err := must.Measured(i, amount)
	if err != nil {
		return batch.Part{}, must.Must{}, err
	}
	part := batch.Part{
		Ingredient: i.Name, Words: words, Amount: p.Said, Grams: float64(p.Grams), GramsSD: float64(p.SD), Adds: p.Adds(),
		SugarSD: i.SugarSD, NitrogenSD: i.YANSD,
	}
	return part, m.truly(part), nil
}

// truly is what went in, by the spreads that the record has of it.
func (m *maker) truly(p batch.Part) must.Must {
	adds := p.Adds.Scaled(max(0.2, 1+p.GramsSD/p.Grams*m.random.NormFloat64()))
	sweeter := math.Exp(normal(m.random, p.SugarSD))
	for _, c := range []must.Component{must.Glucose, must.Fructose, must.Sucrose, must.SlowSugar} {
		adds[must.Water] -= adds[c] * (sweeter - 1)
		adds[c] *= sweeter
	}
	adds[must.Water] = max(0, adds[must.Water])
	adds[must.Nitrogen] *= math.Exp(normal(m.random, p.NitrogenSD))
	return adds
}

// recipe draws what goes in, in words, for so many litres.
func (m *maker) recipe(litres float64) []string {
	grams := func(low, high float64, what string) string {
		return fmt.Sprintf("%.0f g %s", math.Ceil(litres*between(m.random, low, high)), what)
	}
	food := fmt.Sprintf("%.1f g diammonium phosphate", 0.1+litres*between(m.random, 0.1, 1))
	sweet := 0.0
	if m.trouble == Sweetened {
		sweet = 120
	}
	switch m.random.IntN(6) {
	case 0:
		return []string{fmt.Sprintf("%.2f L apple juice", litres*0.9), grams(1, 90+sweet/2, "sugar")}
	case 1:
		return []string{grams(150, 250+sweet, "sugar"), food, grams(10, 40, "lemon juice")}
	case 2:
		return []string{grams(200, 350, "blackberry"), grams(120, 220+sweet/2, "sugar"), food}
	case 3:
		return []string{fmt.Sprintf("%.1f cups honey", math.Ceil(2*litres*between(m.random, 0.6, 1+sweet/350))/2), food}
	}
	return []string{grams(180, 330+sweet, "honey"), food}
}

// newMaker draws a person, a must and a yeast, and pitches.
func newMaker(seed uint64, number int, ask Ask) (*maker, error) {
	random := rand.New(rand.NewPCG(seed, uint64(number)))
	m := &maker{
		random: random, skep: ask, trouble: troubleOf(number),
		usualRoom: between(random, 13, 27), swing: between(random, 0, 3),
		offset: normal(random, 0.001), thermo: normal(random, 0.7), palate: normal(random, 0.1), pH: between(random, 3, 3.9), tare: between(random, 900, 1800),
		style: batch.Still, tookBack: map[string]bool{},
	}
	m.weighs, m.tellsRoom, m.stabilises, m.cellar = m.chance(0.4), m.chance(0.85), m.chance(0.5), m.chance(0.5)
	m.bottle = bottle{limit: 1, millilitres: 750, air: 20, warmest: []float64{20, 25, 30}[random.IntN(3)]}
	kinds := kinetics.Yeasts()
	m.yeast = kinds[random.IntN(len(kinds))]
	litres := []float64{1, 4, 4.5, 4.5, 5, 10, 20}[random.IntN(7)]
	m.out = &Outcome{Number: number, Trouble: m.trouble}

	var parts []batch.Part
	var stated, truth must.Must
	for _, words := range m.recipe(litres) {
		p, truly, err := m.part(words)
		if err != nil {
			return nil, err
		}
		parts = append(parts, p)
		stated, truth = stated.Plus(p.Adds), truth.Plus(truly)
	}
	water, err := stated.WaterTo(measure.Litres(litres))
	if err != nil {
		return nil, err
	}
	w := batch.Part{
		Ingredient: "water", Words: "water, up to the mark", Grams: float64(water), GramsSD: 20 * litres,
		Adds: must.Must{must.Water: float64(water)},
	}
	parts = append(parts, w)
	truth = truth.Plus(m.truly(w))
	made := batch.Made{
		Name: fmt.Sprintf("jug %d", number), Parts: parts,
		Vessel: batch.Vessel{Name: "jug", Litres: litres * 1.15},
		Volume: &measure.Quantity{Words: "to the mark", Kind: measure.Volume, Tool: measure.Jug, Value: litres, SD: 0.02 * litres},
	}
	if m.weighs && m.chance(0.7) {
		q, err := measure.Parse(fmt.Sprintf("%.0f g", m.tare), measure.Metric)
		if err != nil {
			return nil, err
		}
		made.Vessel.Tare = &q
	}
	liquid, err := stated.Plus(w.Adds).Volume(20)
	if err != nil {
		return nil, err
	}
	made.Volume.Value = float64(liquid)
	if m.chance(0.8) {
		if made.Gravity, err = m.first(truth); err != nil {
			return nil, err
		}
	}
	m.write(made)
	yeastGrams := 5.0
	m.write(batch.Pitched{Yeast: m.yeast.Name, Grams: yeastGrams})
	n := newNature(random, truth[must.Nitrogen]/litres, m.yeast)
	m.befall(&n)
	m.brew, err = pitch(random, n, truth, yeastGrams)
	return m, err
}

// befall draws what goes wrong with this jug.
func (m *maker) befall(n *nature) {
	switch m.trouble {
	case ColdPause:
		m.coldFrom = between(m.random, 3, 18)
		m.coldUntil = m.coldFrom + between(m.random, 10, 70)
		m.cold = float64(m.yeast.TemperatureLow) - between(m.random, 1, 9)
	case LeakyLid:
		n.leaks = between(m.random, 0.8, 1)
	case FedUntold:
		m.untold = between(m.random, 4, 30)
	case SweetUntold, RackedUntold:
		m.untold = between(m.random, 20, 80)
	case Mistyped:
		m.slips = 1 + m.random.IntN(2)
	case SlippedScale:
		m.offset = between(m.random, 0.002, 0.005)
		if m.chance(0.5) {
			m.offset = -m.offset
		}
	case StuckSweet:
		n.haltAt = between(m.random, 12, 60) // g/L
		if m.chance(0.6) {
			n.resumes = 1 / (24 * between(m.random, 20, 200))
		}
	case Sweetened:
		m.stabilises = true
	}
}

// room is the temperature of a day.
func (m *maker) room(day float64) float64 {
	t := m.usualRoom + m.swing*math.Sin(2*math.Pi*day/180)
	if day >= m.coldFrom && day < m.coldUntil {
		t = m.cold
	}
	return min(38, max(3, max(t, m.lift)))
}

// pass lets days go by.
func (m *maker) pass(days float64) error {
	for until := m.day + days; m.day < until-1e-9; {
		step := min(1, until-m.day)
		if err := m.brew.follow(24*step, m.room(m.day)); err != nil {
			return err
		}
		m.day += step
		if m.untold > 0 && m.day >= m.untold {
			m.untold = 0
			if err := m.forget(); err != nil {
				return err
			}
		}
	}
	return nil
}

// forget does what is not recorded.
func (m *maker) forget() error {
	words := ""
	switch m.trouble {
	case FedUntold:
		words = fmt.Sprintf("%.0f g honey", m.brew.litres*between(m.random, 30, 120))
	case SweetUntold:
		words = fmt.Sprintf("%.0f g sugar", m.brew.litres*between(m.random, 6, 50))
	default:
		return m.brew.rack(between(m.random, 0.02, 0.08))
	}
	part, truly, err := m.part(words)
	if err != nil {
		return err
	}
	m.forgotten, m.forgotOn = &part, m.day
	return m.brew.change(0, truly)
}

// remember writes down what was forgotten, now that Skep says what it must be; who knows of
// nothing takes back the reading that is out of line, the lowest.
func (m *maker) remember() error {
	if m.forgotten == nil {
		lowest, of := math.Inf(1), ""
		for _, e := range m.events {
			if l, looked := e.Happened.(batch.Looked); looked && l.Gravity != nil && l.Gravity.Value < lowest && !m.tookBack[e.ID] {
				lowest, of = l.Gravity.Value, e.ID
			}
		}
		m.tookBack[of] = true
		m.write(batch.Withdrawn{Of: of, Why: "read wrongly"})
		return m.wait(1)
	}
	m.write(batch.Added{Parts: []batch.Part{*m.forgotten}})
	m.events[len(m.events)-1].At = m.at(m.forgotOn)
	m.forgotten = nil
	return nil
}

// look is a visit: bubbles and, of those who have the tools, weight; gravity where asked.
func (m *maker) look(gravity, told bool) (bubbles float64, err error) {
	s, err := m.brew.seen()
	if err != nil {
		return 0, err
	}
	var l batch.Looked
	read := func(words string) *measure.Quantity {
		q, _, e := measure.ParseReading(words, measure.Metric)
		if e != nil && err == nil {
			err = e
		}
		return &q
	}
	bubbles = s.perMin * math.Exp(normal(m.random, 0.3))
	counted := min(200, math.Floor(bubbles+m.random.Float64())) // nobody counts faster
	l.Bubbles = read(fmt.Sprintf("%.0f bubbles a minute", counted))
	if m.tellsRoom || told {
		l.Room = read(fmt.Sprintf("%.0f C", m.room(m.day)+m.thermo+normal(m.random, 0.5)))
	}
	if m.weighs {
		l.Mass = read(fmt.Sprintf("%.0f g", m.tare+s.grams+normal(m.random, 1.5)))
	}
	if told && m.sampled > 0 && !m.sampleRead && m.day >= m.sampled+outDays-0.01 {
		shown, err := m.hydrometer(m.sample)
		if err != nil {
			return 0, err
		}
		m.sampleRead, l.Spent = true, read(fmt.Sprintf("%.3f", shown))
	}
	if gravity {
		shown, err := m.hydrometer(s.density)
		if err != nil {
			return 0, err
		}
		l.Gravity = read(fmt.Sprintf("%.3f", shown))
		if told { // who draws a sample tastes it
			l.Taste = m.taste()
		}
	}
	m.write(l)
	return counted, err
}

// taste is her word for how sweet it is.
func (m *maker) taste() string {
	gl := m.brew.left.sugar + m.brew.closed/m.brew.litres
	felt := gl/(gl+20) + m.palate + normal(m.random, 0.15)
	for _, word := range []struct {
		up   float64
		word string
	}{{0.12, "dry"}, {0.32, "off-dry"}, {0.45, "medium dry"}, {0.6, "medium"}, {0.85, "medium sweet"}} {
		if felt < word.up {
			return word.word
		}
	}
	return "sweet"
}

// first is the reading before the yeast goes in.
func (m *maker) first(truth must.Must) (*measure.Quantity, error) {
	shown, err := m.hydrometer(truth.Density)
	if err != nil {
		return nil, err
	}
	q, _, err := measure.ParseReading(fmt.Sprintf("%.3f", shown), measure.Metric)
	return &q, err
}

// hydrometer is what she types of it.
func (m *maker) hydrometer(liquid func(measure.Celsius) (measure.Density, error)) (float64, error) {
	t := measure.Celsius(m.room(m.day))
	rho, err := liquid(t)
	if err != nil {
		return 0, err
	}
	sg, err := density.HydrometerReading(rho, t, 20)
	if err != nil {
		return 0, err
	}
	shown := float64(sg) + m.offset + normal(m.random, 0.0004)
	if m.day > 0 { // gas on the glass lifts it
		shown += math.Abs(normal(m.random, 0.0004))
	}
	shown = math.Round(1000*shown) / 1000
	if m.slips > 0 && m.chance(0.5) {
		m.slips--
		if slip := m.slip(shown); slip > 0.95 && slip < 1.2 { // beyond, Skep asks what is meant
			shown = slip
		}
	}
	return shown, nil
}

// slip is a reading as it is typed by mistake.
func (m *maker) slip(shown float64) float64 {
	points := int(math.Round(1000*shown)) - 1000
	switch m.random.IntN(4) {
	case 0: // digits swapped: 1.011 for 1.101, 1.012 for 1.021
		if points > 0 {
			a, b, c := points/100, points/10%10, points%10
			if m.chance(0.5) {
				return 1 + float64(100*b+10*a+c)/1000
			}
			return 1 + float64(100*a+10*c+b)/1000
		}
		return 1 - float64(points)/1000 // 1.004 for 0.996
	case 1: // a line of the scale off
		return shown + 0.01*float64(1-2*m.random.IntN(2))
	case 2:
		return shown + 0.002*float64(1-2*m.random.IntN(2))
	}
	return 1 + float64(points*10)/1000 // 1.110 for 1.011
}

// read takes the reading that Skep asked for.
func (m *maker) read() error {
	if m.readOn != m.day {
		m.readOn, m.readToday = m.day, 0
	}
	m.readToday++
	if m.trouble == FedUntold { // nobody feeds what she thinks is over
		m.untold = 0
	}
	if _, err := m.look(true, true); err != nil {
		return err
	}
	if m.room(m.day)+m.thermo < float64(m.yeast.TemperatureLow) {
		return nil
	}
	switch over, err := m.over(); {
	case err != nil:
		return err
	case !over:
		m.ended = 0
	case m.ended == 0:
		m.ended = m.day
	case m.second == 0 && m.day-m.ended >= advice.GravityDays:
		m.second, m.out.Due = m.day, true
	}
	return nil
}

// work is the time until it seems quiet, or she cannot wait.
func (m *maker) work() error {
	patience := 150.0
	if m.chance(0.3) {
		patience = between(m.random, 10, 40)
	}
	for next := 1.0; m.day < patience; {
		if err := m.pass(next); err != nil {
			return err
		}
		bubbles, err := m.look(m.chance(0.15), false)
		if err != nil {
			return err
		}
		if bubbles == 0 && m.day > 4 {
			return nil
		}
		next = min(7, 2+m.day/5)
	}
	return nil
}

// forPressure is what sparkling-wine glass bears, bar.
const forPressure = 6

// What she does at most: ask so often, for so long.
const (
	mostAsked = 8
	longest   = 330.0 // days
)

// play follows the jug to a bottle, or until she gives up.
func (m *maker) play() error {
	if err := m.work(); err != nil {
		return err
	}
	if err := m.read(); err != nil {
		return err
	}
	for range mostAsked {
		if m.day > longest {
			break
		}
		said, err := m.ask()
		if err != nil {
			return err
		}
		if said.Verdict.Answer == advice.NotYet {
			if err := m.obey(said); err != nil {
				return err
			}
			continue
		}
		if m.trouble != Primed || m.priming > 0 {
			break
		}
		m.priming = between(m.random, 3, 10)
		m.style, m.bottle.limit, m.bottle.air = batch.Sparkling, forPressure, 25
	}
	return nil
}

// ask asks Skep, and holds what it says against what is true.
func (m *maker) ask() (app.Judged, error) {
	said, err := m.skep(m.events, m.at(m.day), func(q *advice.Question) {
		q.Bottle = advice.Bottle{Kind: "as asked", Limit: measure.Bar(m.bottle.limit), SizeML: m.bottle.millilitres, HeadspaceML: m.bottle.air}
		q.Warmest, q.PrimingGL = measure.Celsius(m.bottle.warmest), m.priming
		if m.style != batch.Still {
			q.Style = m.style
		}
	})
	if err != nil {
		return said, err
	}
	return said, m.hold(said)
}

// obey does the one thing that Skep names.
func (m *maker) obey(said app.Judged) error {
	v := said.Verdict
	if m.sampled == 0 && strings.Contains(v.Settles, "ferment out a sample") {
		m.sampled = m.day
		var err error
		if m.sample, err = m.brew.fermentedOut(); err != nil {
			return err
		}
	}
	switch settles := v.Settles; {
	case strings.HasPrefix(settles, "a note of what went in"):
		return m.remember()
	case strings.HasPrefix(settles, "the reading of the fermented-out sample again"):
		m.sampleRead = false
		return m.read()
	case strings.HasPrefix(settles, "get the gas out"):
		_, besides, more := strings.Cut(settles, "; and besides ")
		if more && m.stabilises && strings.Contains(besides, "sulphite and sorbate") {
			return m.stabilise(said)
		}
		if more && strings.HasPrefix(besides, "bottles that bear") {
			m.bottle.limit, m.bottle.air = max(m.bottle.limit, forPressure), 25
		}
		if err := m.degas(settles); err != nil {
			return err
		}
		return m.read()
	case strings.Contains(settles, "sulphite and sorbate") && m.stabilises:
		return m.stabilise(said)
	case strings.HasPrefix(settles, "bottles that bear") && m.bottle.limit < forPressure:
		m.bottle.limit, m.bottle.air = forPressure, 25
		return nil
	case strings.Contains(settles, "sulphite and sorbate"):
		return m.linger()
	case strings.HasPrefix(settles, "a place that never") && m.cellar:
		m.bottle.warmest = min(m.bottle.warmest, 20)
		return nil
	case strings.HasPrefix(settles, "the temperature beside the jug"):
		_, err := m.look(false, true)
		return err
	case strings.Contains(settles, "°C or more"):
		m.lift = float64(m.yeast.TemperatureLow) + 2
		m.brew.stir()
		m.ended = 0
		if err := m.pass(2); err != nil {
			return err
		}
		if err := m.read(); err != nil {
			return err
		}
		return m.wait(advice.GravityDays)
	case strings.Contains(settles, "reading"):
		days := v.When.Sub(m.at(m.day)).Hours() / 24
		if strings.Contains(settles, "of the sample") {
			m.sampleRead = false
		}
		if before, stir, found := strings.Cut(settles, "; stir"); found && before != "" {
			if err := m.pass(max(0, days-stirringDays(stir))); err != nil {
				return err
			}
			if err := m.degas(stir); err != nil {
				return err
			}
			return m.read()
		}
		if m.readToday > 2 { // again and again on one day tells nothing new
			days = max(days, 2)
		}
		return m.wait(days)
	}
	return m.linger()
}

// linger waits for the sample, or for as long as makers do.
func (m *maker) linger() error {
	if out := m.sampled + outDays - m.day; m.sampled > 0 && out > 0 {
		return m.wait(out)
	}
	return m.wait(21)
}

// outDays is how long a sample is left to ferment out.
const outDays = 7

// stirringDays is for how long Skep says to stir.
func stirringDays(words string) float64 {
	for i, word := range []string{"three days", "six days", "nine days", "twelve days"} {
		if strings.Contains(words, word) {
			return float64(3 * (i + 1))
		}
	}
	return 3
}

// degas stirs for as long as Skep says.
func (m *maker) degas(words string) error {
	for range int(stirringDays(words) / 3) {
		if err := m.pass(3); err != nil {
			return err
		}
		m.brew.degas()
		m.write(batch.Noted{Note: "degassed"})
	}
	return nil
}

// wait lets days pass and reads.
func (m *maker) wait(days float64) error {
	if err := m.pass(max(0, math.Ceil(days*24)/24)); err != nil {
		return err
	}
	return m.read()
}

// stabilise puts in what the strength asks for, of each a little more.
func (m *maker) stabilise(said app.Judged) error {
	m.pH = min(m.pH, 3.4) // with acid first, where it needs it
	m.write(batch.Looked{PH: &measure.Quantity{Words: "by a strip", Kind: measure.Acidity, Tool: measure.Instrument, Value: m.pH, SD: 0.2}})
	strength := 12.0
	if now := said.Stood.Now; now != nil {
		strength = now.Ethanol.Value
	}
	dose, found := advice.LeastSorbate(measure.PercentVol(strength))
	if !found || m.brew.kept {
		return m.wait(21)
	}
	var parts []batch.Part
	for _, p := range []struct {
		name  string
		grams float64
	}{{"potassium sorbate", dose * 1.15 * m.brew.litres / 1000}, {"potassium metabisulphite", 0.12 * m.brew.litres}} {
		parts = append(parts, batch.Part{Ingredient: p.name, Words: p.name, Grams: p.grams})
	}
	m.write(batch.Stabilised{Parts: parts})
	m.brew.kept = true
	if strings.Contains(said.Verdict.Settles, "stir") {
		if err := m.degas(said.Verdict.Settles); err != nil {
			return err
		}
		return m.read()
	}
	return m.pass(3)
}
