package app

import (
	"skep/internal/estimate"
	"skep/internal/measure"
	"skep/internal/must"
	"skep/internal/property/gas"
)

const (
	// firstBubble is the hexose, g/L, that ferments before gas is seen: a must at room
	// temperature holds about 1.5 g/L of carbon dioxide [oiv-as314-01].
	firstBubble = 1.5 / gas.HexoseYield
	// settling is the days from quiet to racking, and clearing those from racking to the
	// bottle at the soonest, with two equal readings a week apart between (both common
	// practice, no source).
	settlingFrom, settlingTo = 7, 21
	clearing                 = 28
	fillSpread               = 0.015 // relative sd of filling to a mark, as must.Prospect has it (assumed)
)

// foresee asks the model, which has seen nothing of this jug yet, how the must will go,
// plans the feeding by it, and asks again with the feeding in.
func (c *Cellar) foresee(p *Plan, g goal) error {
	var err error
	if p.Nutrient, err = nutrientPlan(*p, g.yeast.Demand); err != nil {
		return err
	}
	sugar, nitrogen := spreads(p.Parts)
	s := estimate.Situation{
		Seed: planSeed, Must: p.must(), SugarSD: sugar, VolumeSD: fillSpread, NitrogenSD: nitrogen,
		Yeast: g.yeast, YeastGrams: float64(p.Yeast.Packets) * packetGrams,
		Course:        []estimate.TemperaturePoint{{T: measure.Celsius(g.room.Value)}},
		TemperatureSD: g.room.SD, Until: measure.Hours(horizon.Hours()),
	}
	if s.Heat, err = ownHeat(s.Must); err != nil {
		return err
	}
	if p.Nutrient.Grams > 0 {
		// At first as if all of it went in at the soonest: that is the fastest this must can
		// go, and so the soonest that a third of the sugar is gone.
		food, err := must.Find(p.Nutrient.Salt, nil)
		if err != nil {
			return err
		}
		s.Changes = []estimate.Change{{At: 24 * soonestFeeding, Added: food.PerGram.Scaled(p.Nutrient.Grams)}}
		posterior, err := c.think.Estimate(s, nil)
		if err != nil {
			return err
		}
		before := looksAt(posterior, s.Until)
		alive, _ := before.reached(hexoseUsed(firstBubble))
		third, _ := before.reached(thirdGone)
		p.Nutrient.feed(alive, third)
		s.Changes = nil
		for _, f := range p.Nutrient.Feedings {
			s.Changes = append(s.Changes, estimate.Change{At: measure.Hours(24 * f.Day), Added: food.PerGram.Scaled(f.Grams)})
		}
	}
	posterior, err := c.think.Estimate(s, nil)
	if err != nil {
		return err
	}
	p.Timeline = c.milestones(posterior, s.Until)
	return nil
}

// milestones reads the life of a jug off the ensemble.
func (c *Cellar) milestones(p *estimate.Posterior, until measure.Hours) []Milestone {
	outlook := p.Outlook()
	quiet := measure.Range{Value: outlook.Finish.Value / 24, Unit: "days", Low: outlook.Finish.Low / 24, High: outlook.Finish.High / 24}
	ensemble := looksAt(p, until)
	alive, aliveChance := ensemble.reached(hexoseUsed(firstBubble))
	third, thirdChance := ensemble.reached(thirdGone)
	done := 1 - outlook.Unfinished
	rack := measure.Range{Unit: "days", Value: quiet.Value + (settlingFrom+settlingTo)/2, Low: quiet.Low + settlingFrom, High: quiet.High + settlingTo}
	bottle := measure.Range{Unit: "days", Value: rack.Value + clearing, Low: rack.Low + clearing, High: rack.High + clearing}
	now := c.Now()
	dated := func(what string, days measure.Range, chance float64) Milestone {
		m := Milestone{What: what, Days: days, Dates: Dates{Chance: chance}}
		if days.Known() {
			m.Dates.Day, m.Dates.From, m.Dates.To = daysAfter(now, days.Value), daysAfter(now, days.Low), daysAfter(now, days.High)
		}
		return m
	}
	return []Milestone{
		dated("first bubbles", alive, aliveChance),
		dated("sugar a third gone", third, thirdChance),
		dated("quiet", quiet, done),
		dated("rack off lees", rack, done),
		dated("bottle, earliest", bottle, done),
	}
}

// hexoseUsed says whether a member has used so much sugar, g/L.
func hexoseUsed(grams float64) func(first, now estimate.Member) bool {
	return func(first, now estimate.Member) bool { return first.HexoseGL-now.HexoseGL >= grams }
}

func thirdGone(first, now estimate.Member) bool { return now.HexoseGL <= first.HexoseGL*2/3 }

// looks is an ensemble at the times that were asked for, each worked out once: the searches
// of reached halve the same span.
type looks struct {
	of    *estimate.Posterior
	until measure.Hours
	seen  map[measure.Hours][]estimate.Member
}

func looksAt(p *estimate.Posterior, until measure.Hours) looks {
	return looks{p, until, map[measure.Hours][]estimate.Member{}}
}

func (l looks) members(at measure.Hours) []estimate.Member {
	if _, known := l.seen[at]; !known {
		l.seen[at] = l.of.Members(at)
	}
	return l.seen[at]
}

// reached returns the days by which 10, 50 and 90 % of the ensemble have come to a thing
// that stays once it is, and the share that come to it at all. Days beyond the horizon
// are the horizon.
func (l looks) reached(is func(first, now estimate.Member) bool) (measure.Range, float64) {
	first := l.members(0)
	share := func(at measure.Hours) float64 {
		count := 0
		for i, now := range l.members(at) {
			if is(first[i], now) {
				count++
			}
		}
		return float64(count) / float64(len(first))
	}
	when := func(quantile float64) float64 {
		low, high := measure.Hours(0), l.until
		for high-low > 1 {
			if mid := (low + high) / 2; share(mid) >= quantile {
				high = mid
			} else {
				low = mid
			}
		}
		return float64(high) / 24
	}
	return measure.Range{Value: when(0.5), Unit: "days", Low: when(0.1), High: when(0.9)}, share(l.until)
}
