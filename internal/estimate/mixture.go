package estimate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// drawsPerMember are made for each jug of a stop that is wanted.
const drawsPerMember = 4

// mixed is the posterior of as many jugs, of which those whose yeast stopped are as many as
// the stops have a chance; the others are what p holds, evenly thinned.
func (p *Posterior) mixed(stops []stop) (*Posterior, error) {
	all := len(p.drawn)
	counts, follow := shareOut(stops, all)
	if follow == all {
		return p, nil
	}
	mix := *p
	mix.drawn, mix.paths, mix.ends = nil, nil, nil
	for k := range follow {
		from := k * all / follow
		mix.drawn, mix.paths, mix.ends = append(mix.drawn, p.drawn[from]), append(mix.paths, p.paths[from]), append(mix.ends, p.ends[from])
	}
	most := 0 // where more stopped than not, the likeliest stop tells what does not fit
	for i, count := range counts {
		if count == 0 {
			continue
		}
		part, err := p.ofStop(&stops[i], count, uint64(i))
		if err != nil {
			return nil, fmt.Errorf("stop at %.0f h: %w", float64(stops[i].at), err)
		}
		mix.join(part)
		if 2*follow < all && count > most {
			most = count
			mix.Misfits = slices.Concat(p.unread, part.Misfits)
			mix.Contradicted, mix.LogEvidence = part.Contradicted, part.LogEvidence
		}
	}
	return &mix, nil
}

// shareOut gives each stop its share of so many jugs, rounded so that none is favoured, and
// the rest to those that follow the model.
func shareOut(stops []stop, all int) (counts []int, follow int) {
	counts, follow = make([]int, len(stops)), all
	sum, given := 0.0, 0
	for i, s := range stops {
		sum += s.chance * float64(all)
		counts[i] = int(math.Round(sum)) - given
		given += counts[i]
	}
	return counts, all - given
}

// ofStop draws so many jugs whose yeast stopped at one time.
func (p *Posterior) ofStop(s *stop, count int, number uint64) (*Posterior, error) {
	if s.run == nil { // no look was taken since: they look like all others
		w, err := ready(p.world.StoppedAt(s.at), nil)
		if err != nil {
			return nil, err
		}
		var some []drawn
		for k := range count {
			some = append(some, p.drawn[k*len(p.drawn)/count])
		}
		return newRun(w, nil, p.firstMass, nil).posterior(some)
	}
	random := rand.New(rand.NewPCG(p.world.Seed+uint64(s.at), number))
	r := s.run
	tops, err := r.judge([]drawn{s.top.z})
	if err != nil {
		return nil, err
	}
	members, evidence, err := r.draw(Sampler{Draws: max(20, drawsPerMember*count), Members: count}, tops, random)
	if err != nil {
		return nil, err
	}
	of, err := r.posterior(members)
	if err != nil {
		return nil, err
	}
	of.LogEvidence = evidence
	if of.Contradicted, err = r.contradiction(tops[0]); err != nil {
		return nil, err
	}
	of.Misfits, err = r.misfits(members)
	return of, err
}

// join takes the jugs of another posterior of the same must and changes in.
func (p *Posterior) join(other *Posterior) {
	p.drawn, p.paths, p.ends = append(p.drawn, other.drawn...), append(p.paths, other.paths...), append(p.ends, other.ends...)
}

// alike calls do for all members in turn, those together that follow one world.
func (p *Posterior) alike(do func(w *world, members []drawn) error) error {
	for first := 0; first < len(p.paths); {
		w, last := p.paths[first].world, first
		for last < len(p.paths) && p.paths[last].world == w {
			last++
		}
		if err := do(w, slices.Clip(p.drawn[first:last])); err != nil {
			return err
		}
		first = last
	}
	return nil
}
