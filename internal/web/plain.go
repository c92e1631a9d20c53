package web

import (
	"errors"
	"regexp"
	"strings"

	"skep/internal/app"
)

// The use cases say what would be right in the words of the terminal too: "write --to
// 1.012, or tell what went in: skep add". On a page the field stands before the person, and
// what else can be done is a link.
var (
	aside   = regexp.MustCompile(` \([^()]*--[a-z][^()]*\)`)
	command = regexp.MustCompile(`(?:^|[:,]? (?:or |with |by |write )?)skep [a-z].*`)
	flag    = regexp.MustCompile(`(?:^| )--[a-z][a-z-]*`)
)

// plainly leaves out of words what only a terminal can do with: commands and flags.
func plainly(words string) string {
	if !strings.Contains(words, "skep ") && !strings.Contains(words, "--") {
		return words
	}
	var kept []string
	for clause := range strings.SplitSeq(words, "; ") {
		whole := clause
		clause = aside.ReplaceAllString(clause, "")
		clause = command.ReplaceAllString(clause, "")
		clause = strings.TrimSpace(flag.ReplaceAllString(clause, ""))
		if clause = strings.TrimRight(clause, ":,"); clause == "" {
			continue
		}
		if strings.HasSuffix(whole, ".") && !strings.HasSuffix(clause, ".") {
			clause += "."
		}
		kept = append(kept, clause)
	}
	return strings.Join(kept, "; ")
}

// hintOf is what an error says would be right; "" nothing. How to record what Skep is
// against all the same, a page asks in a field of its own.
func hintOf(err error) string {
	var against *app.NotYetError
	if errors.As(err, &against) {
		return plainly(against.Settles)
	}
	var hinted interface{ Hint() string }
	if errors.As(err, &hinted) {
		return plainly(hinted.Hint())
	}
	return ""
}
