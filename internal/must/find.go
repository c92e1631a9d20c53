package must

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode"
)

// UnknownIngredientError says that nothing of that name is known.
type UnknownIngredientError struct {
	Name        string
	Suggestions []string // up to three names that are spelt alike or share a word
}

// Error is `no ingredient "blakberry"`.
func (e *UnknownIngredientError) Error() string { return fmt.Sprintf("no ingredient %q", e.Name) }

// Hint says what to try instead, in one line.
func (e *UnknownIngredientError) Hint() string {
	if len(e.Suggestions) == 0 {
		return "make it your own: from the gravity of its juice, or from its label"
	}
	return "did you mean " + strings.Join(e.Suggestions, " or ") + "?"
}

// Find returns the ingredient of that name: one of the person's own, the latest first,
// else one of the table.
//
// Case, plural, hyphens and words that say nothing of what it is made of ("fresh",
// "chopped") do not matter. A honey is found by its last words, so that "wild heather
// honey" is heather honey and an unheard-of honey is honey. Nothing else is: a prickly
// pear is no pear, and a poisonous plant must not pass for the one it is named after.
//
// Errors: *UnknownIngredientError.
func Find(name string, own []Ingredient) (Ingredient, error) {
	words := plainWords(name)
	tries := []string{strings.Join(words, " ")}
	words = slices.DeleteFunc(words, func(w string) bool { return saysNothing[w] })
	tries = append(tries, strings.Join(words, " "))
	if len(words) > 0 && words[len(words)-1] == "honey" {
		for at := range words {
			tries = append(tries, strings.Join(words[at:], " "))
		}
	}
	for _, try := range tries {
		if i, ok := called(try, own); ok {
			return i, nil
		}
	}
	return Ingredient{}, &UnknownIngredientError{name, suggestions(tries[0], own)}
}

// saysNothing are words that leave what a thing is made of as it is. "Wild", "dried",
// "red" and the like are not among them: wild carrot, dried apricot, red elderberry.
var saysNothing = set(`a an the of my our some good fresh freshly ripe raw frozen thawed local organic homegrown
	unsprayed washed rinsed chopped sliced diced grated crushed mashed peeled pitted stoned whole large medium small
	big loosely loose packed picked cold cool warm hot light dark runny pure`)

func set(words string) map[string]bool {
	all := map[string]bool{}
	for _, w := range strings.Fields(words) {
		all[w] = true
	}
	return all
}

func called(key string, own []Ingredient) (Ingredient, bool) {
	if key == "" {
		return Ingredient{}, false
	}
	for _, i := range slices.Backward(own) {
		if slices.Contains(keys(i), key) {
			return i, true
		}
	}
	if at, ok := register()[key]; ok {
		return table()[at], true
	}
	return Ingredient{}, false
}

// register is where in the table the ingredient of each key stands.
var register = sync.OnceValue(func() map[string]int {
	places := map[string]int{}
	for at, i := range table() {
		for _, key := range keys(i) {
			places[key] = at
		}
	}
	return places
})

// keys are the name and aliases of an ingredient as Find compares them.
func keys(i Ingredient) []string {
	all := []string{strings.Join(plainWords(i.Name), " ")}
	for _, alias := range i.Aliases {
		all = append(all, strings.Join(plainWords(alias), " "))
	}
	return all
}

// plainWords are the words of a name in lower case and singular, signs left out.
func plainWords(name string) []string {
	words := strings.FieldsFunc(strings.ToLower(strings.ReplaceAll(name, "'", "")), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
	for at, w := range words {
		words[at] = singular(w)
	}
	return words
}

func singular(word string) string {
	switch {
	case word == "leaves":
		return "leaf"
	case len(word) > 4 && strings.HasSuffix(word, "ies"):
		return strings.TrimSuffix(word, "ies") + "y"
	case len(word) > 4 && (strings.HasSuffix(word, "ches") || strings.HasSuffix(word, "shes") ||
		strings.HasSuffix(word, "oes") || strings.HasSuffix(word, "xes")):
		return strings.TrimSuffix(word, "es")
	case len(word) > 3 && strings.HasSuffix(word, "s") && !strings.HasSuffix(word, "ss") && !strings.HasSuffix(word, "us"):
		return strings.TrimSuffix(word, "s")
	}
	return word
}

const mostSuggestions = 3

// suggestions are the names nearest in spelling, then those that share a word.
func suggestions(key string, own []Ingredient) []string {
	if len(key) > 40 { // nobody misspells at that length
		return nil
	}
	type near struct {
		name  string
		slips int
	}
	var all []near
	for _, i := range slices.Concat(own, table()) {
		best := near{i.Name, len(key)}
		shares := false
		for _, k := range keys(i) {
			best.slips = min(best.slips, slipsBetween(key, k))
			for word := range strings.FieldsSeq(k) {
				shares = shares || len(word) > 3 && slices.Contains(strings.Fields(key), word)
			}
		}
		if allowed := 1 + len(key)/5; best.slips <= allowed || shares {
			all = append(all, best)
		}
	}
	slices.SortStableFunc(all, func(a, b near) int { return cmp.Compare(a.slips, b.slips) })
	var names []string
	for _, n := range all {
		if len(names) < mostSuggestions && n.name != "" && !slices.Contains(names, n.name) {
			names = append(names, n.name)
		}
	}
	return names
}

// slipsBetween counts the letters to add, leave out or change to make b of a.
func slipsBetween(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		corner := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := corner
			if a[i] != b[j] {
				change++
			}
			corner = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
