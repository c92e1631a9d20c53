package estimate

import (
	"fmt"
	"math"

	"skep/internal/kinetics"
	"skep/internal/measure"
)

// why tells the facts that speak for a kind; s is the stop that it rests on, if any.
func (p *Posterior) why(kind Kind, s *stop, looks []look, at measure.Hours, clues Clues) []string {
	var facts []string
	say := func(format string, args ...any) { facts = append(facts, fmt.Sprintf(format, args...)) }
	state, yeast := p.At(at), p.world.Yeast
	if moves := lastMoves(looks); moves != "" && kind != Leaking && kind != ColdPause {
		say("%s", moves)
	} else if kind == Leaking {
		say("the airlock is silent")
	}
	switch kind {
	case Beginning:
		say("on %s it should have made less than half a gram of gas a litre", dayOf(at))
	case AtWork, Leaking:
		say("by the estimate it gives off %.2g g/L of gas a day", state.Rate.Value)
	case ColdPause:
		say("it stands at %.0f °C", float64(kinetics.Course(p.world.Course).At(at)))
		say("this yeast works from %.0f °C", float64(yeast.TemperatureLow))
	case AllFermented:
		say("by the estimate %.1f g/L of fermentable sugar is left, most likely under %.1f", state.Hexose.Value, state.Hexose.High)
	case StrengthLimit:
		strength := state.Ethanol.Value
		if s != nil {
			strength = s.strength
		}
		say("it holds %.1f %% vol; this yeast mostly stops between %.0f and %.0f", strength, float64(yeast.ToleranceLow), float64(yeast.ToleranceHigh))
	case OutOfNitrogen:
		if share, err := p.world.fedShare(at); err == nil {
			say("it had about %.0f %% of the nitrogen that its yeast asks for", 100*share)
		}
		if clues.Eggs {
			facts[len(facts)-1] += ", and it smelled of rotten eggs"
		}
	case Chilled:
		say("before it stopped it was too cold for its yeast, or cooled fast")
	case Overheated:
		say("it was warmer than the %.0f °C that this yeast bears", float64(yeast.TemperatureTop))
	case TooSour:
		if clues.PH == 0 {
			say("its pH was never read")
		} else {
			say("its pH was %.1f; under 3.2 yeast suffers", clues.PH)
		}
	case DeadYeast:
		if clues.Pitched >= hotPitch {
			say("the yeast went into a must of %.0f °C", float64(clues.Pitched))
		} else {
			say("it never really began")
		}
	case UnknownStall:
		say("nothing on record says why it should")
	}
	return facts
}

// lastMoves tells what the last two gravities or weights say, "" where there are no two.
func lastMoves(looks []look) string {
	for i := len(looks) - 1; i >= 0; i-- {
		late := &looks[i]
		if late.Sense != SawGravity && late.Sense != SawMass {
			continue
		}
		for k := i - 1; k >= 0; k-- {
			early := &looks[k]
			if early.Sense != late.Sense || late.At-early.At < 12 {
				continue
			}
			return fmt.Sprintf("%s on %s, %s on %s", early.show(early.Value), dayOf(early.At), late.show(late.Value), dayOf(late.At))
		}
	}
	return ""
}

func dayOf(h measure.Hours) string { return fmt.Sprintf("day %.0f", math.Floor(float64(h)/24)) }
