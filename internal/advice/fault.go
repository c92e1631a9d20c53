package advice

import (
	"regexp"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/property/nutrient"
)

// Finding is a fault that was smelled or seen, whether the wine is kept, and what to do.
type Finding struct {
	At   time.Time `json:"at"`
	Seen string    `json:"seen"` // as told
	Is   string    `json:"is"`
	Keep bool      `json:"keep"`
	Do   string    `json:"do"`
}

// faults are what words of smell and sight point to, what is certain danger first. Common
// practice and general food-safety advice, from memory, unverified: the handbook's topics on
// mould and on rotten eggs say the same at length.
var faults = []struct {
	words *regexp.Regexp
	is    string
	keep  bool
	do    string
}{
	{said(`mou?ld\w*|woolly|fuzzy|furry`), "mould, if it is dry, woolly and above the liquid", false, "Discard all of it: some moulds make poisons that go into the liquid where nothing is seen."},
	{said(`sewage|vomit|putrid|rotting|rotten meat`), "rot", false, "Discard it, and scald all that it touched."},
	{said(`rotten eggs?|eggy|sulphur\w*|sulfur\w*|hydrogen sul\w+`), "hydrogen sulphide, of hungry or overheated yeast", true, ""},
	{said(`vinegar\w*|nail (varnish|polish)|acetone`), "vinegar bacteria, and air", true, "It cannot be taken out. A little may be lost in a blend; else make vinegar of it, far from other jugs."},
	{said(`film|pellicle|skin on`), "film yeast, if it is flat and wet", true, "Draw the wine from beneath, add sulphite, fill the jug to its neck, and drink it soon. Is it dry and woolly, discard it."},
	{said(`cabbage|garlic|onions?|rubber`), "sulphur that has bound", true, "Try on a glass what racking and air do; keep it a year before you judge it. No copper: it is poisonous in excess."},
	{said(`sherry|bruised apples?|stale|oxidi[sz]ed`), "air", true, "It is finished as a drink: fill the jug up, add sulphite, drink it soon."},
	{said(`ropy|threads?|oily|slimy`), "lactic bacteria", true, "Sulphite and a good stir often help. Keep it and its tools apart."},
}

// said matches words that stand for themselves, and are not denied.
func said(words string) *regexp.Regexp {
	return regexp.MustCompile(`(?i)(\b(?:no|not|without)\s+(?:more\s+|any\s+)?)?\b(?:` + words + `)\b`)
}

func matches(r *regexp.Regexp, words string) bool {
	for _, m := range r.FindAllStringSubmatch(words, -1) {
		if m[1] == "" {
			return true
		}
	}
	return false
}

var rottenEggs = faults[2].words

// RottenEggs says that words tell of that smell.
func RottenEggs(words string) bool { return matches(rottenEggs, words) }

// Findings are the faults that looks at a jug told of, the latest look of each, certain
// danger first. Words that point to nothing known are left to the maker.
func Findings(e Evidence) []Finding {
	e = e.explained()
	var all []Finding
	for i, f := range faults {
		for k := len(e.Jug.Looks) - 1; k >= 0; k-- {
			l := e.Jug.Looks[k]
			words := toldOf(l.What)
			if l.At.After(e.Now) || !matches(f.words, words) {
				continue
			}
			found := Finding{At: l.At, Seen: words, Is: f.is, Keep: f.keep, Do: f.do}
			if faults[i].words == rottenEggs {
				found.Do = againstEggs(e)
			}
			all = append(all, found)
			break
		}
	}
	return all
}

func toldOf(l batch.Looked) string {
	var all []string
	for _, w := range []string{l.Smell, l.Clarity, l.Note} {
		if w = strings.TrimSpace(w); w != "" {
			all = append(all, w)
		}
	}
	return strings.Join(all, "; ")
}

// againstEggs is what helps against hydrogen sulphide, by how far it is.
func againstEggs(e Evidence) string {
	switch {
	case gone(e) < nutrient.LastSugarGone:
		return "Feed it now what the plan still has to give, and stir the gas out once a day: it should fade in two days."
	case e.chance(settled...) < 0.5:
		return "No ammonium salts any more: boiled yeast or hulls, a cooler place if it stands hot, and stir gently."
	}
	return "Rack it off its lees, this once with a little splashing, and add sulphite as for any racking; smell again after a week."
}
