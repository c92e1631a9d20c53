package measure

import (
	"maps"
	"slices"
)

// near returns the name that a word is likely a slip for: the same letters in another
// order, or one slip (two, from seven letters on) after the same first letter.
// Names under four letters are never offered: too many short words are near them.
func near(word string, names map[string]unit, wanted func(unit) bool) (string, bool) {
	best, bestSlips := "", 3
	for _, name := range slices.Sorted(maps.Keys(names)) {
		if len(name) < 4 || len(word) < 3 || len(word) > 20 || !wanted(names[name]) {
			continue
		}
		slips := slipsBetween(word, name)
		if sortedLetters(word) == sortedLetters(name) {
			slips = 1
		} else if word[0] != name[0] || slips == 2 && len(word) < 7 {
			continue
		}
		if slips < bestSlips {
			best, bestSlips = name, slips
		}
	}
	return best, best != ""
}

func sortedLetters(word string) string {
	letters := []byte(word)
	slices.Sort(letters)
	return string(letters)
}

// slipsBetween counts letters added, left out, changed, or two neighbours swapped
// (optimal string alignment distance).
func slipsBetween(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
