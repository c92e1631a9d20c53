package advice

import (
	"fmt"
	"math"
	"slices"

	"skep/internal/estimate"
)

// sure is how likely an explanation must be to be told as a fact. Our policy.
const sure = 0.9

// means tells each kind in words that follow the name of a jug.
var means = map[estimate.Kind]string{
	estimate.Beginning:     "it has not begun yet",
	estimate.AtWork:        "it is working",
	estimate.Leaking:       "it is working, and the lid leaks",
	estimate.ColdPause:     "it rests in the cold",
	estimate.OutOfNitrogen: "it has stalled for want of nitrogen",
	estimate.Chilled:       "it has stalled after cold",
	estimate.Overheated:    "it has stalled after heat",
	estimate.TooSour:       "it has stalled because it is too sour",
	estimate.DeadYeast:     "its yeast is dead",
	estimate.UnknownStall:  "it has stalled, and nothing says why",
	estimate.StrengthLimit: "it has stopped at what its yeast bears",
	estimate.AllFermented:  "it has finished",
}

// Means tells an explanation in words: "it is working". It panics on a kind that is none.
func Means(k estimate.Kind) string {
	words, known := means[k]
	if !known {
		panic(fmt.Sprintf("advice: no explanation is called %q", k))
	}
	return words
}

// explained is the evidence with explanations, by its phases where nothing else explains it:
// a blend is not followed in time.
func (e Evidence) explained() Evidence {
	if len(e.Explanations) > 0 {
		return e
	}
	p := e.State.Phases
	for _, x := range []estimate.Explanation{
		{Kind: estimate.Beginning, Chance: p.Starting},
		{Kind: estimate.AtWork, Chance: p.Working + p.Slowing},
		{Kind: estimate.StrengthLimit, Chance: p.Stopped},
		{Kind: estimate.AllFermented, Chance: p.Dry},
	} {
		if x.Chance > 0 {
			e.Explanations = append(e.Explanations, x)
		}
	}
	return e
}

// chance is how likely it is that one of these is true.
func (e Evidence) chance(kinds ...estimate.Kind) float64 {
	sum := 0.0
	for _, x := range e.Explanations {
		if slices.Contains(kinds, x.Kind) {
			sum += x.Chance
		}
	}
	return sum
}

// stalled is how likely it is that it stalled, for whatever reason.
func (e Evidence) stalled() float64 {
	sum := 0.0
	for _, x := range e.Explanations {
		if x.Kind.Stalled() {
			sum += x.Chance
		}
	}
	return sum
}

// likeliestStall is the likeliest cause of a stall; of chance 0 if there is none.
func (e Evidence) likeliestStall() estimate.Explanation {
	for _, x := range e.Explanations {
		if x.Kind.Stalled() {
			return x
		}
	}
	return estimate.Explanation{}
}

// cause tells why it stalled, if one cause is likelier than all others.
func (e Evidence) cause() (words string, found bool) {
	x := e.likeliestStall()
	share := x.Chance / e.stalled()
	if !(share >= 0.5) || len(x.Why) == 0 || x.Kind == estimate.UnknownStall {
		return "", false
	}
	return fmt.Sprintf("most likely %s (%s of such stalls): %s", Means(x.Kind), ofHundred(share), x.Why[len(x.Why)-1]), true
}

// ofHundred tells a chance.
func ofHundred(chance float64) string {
	switch {
	case chance > 0.99:
		return "over 99 in 100"
	case chance < 0.01:
		return "under 1 in 100"
	}
	return fmt.Sprintf("%.0f in 100", math.Round(100*chance))
}
