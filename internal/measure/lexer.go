package measure

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

type tokenKind int

const (
	endToken tokenKind = iota
	numberToken
	wordToken
	symbolToken
)

// token is a number as typed, a word in lower case without its dots, or one symbol.
type token struct {
	kind       tokenKind
	text       string
	start, end int // bytes of the words
}

// fractionGlyphs are numerator and denominator of the fractions that have a sign of their own.
var fractionGlyphs = map[rune][2]float64{
	'½': {1, 2}, '⅓': {1, 3}, '⅔': {2, 3}, '¼': {1, 4}, '¾': {3, 4}, '⅕': {1, 5}, '⅖': {2, 5},
	'⅗': {3, 5}, '⅘': {4, 5}, '⅙': {1, 6}, '⅚': {5, 6}, '⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8},
}

// sameSymbol maps the ways to type one symbol to one of them.
var sameSymbol = map[rune]string{'−': "-", '–': "-", '⁄': "/", 'º': "°", '˚': "°", '≈': "~", '＠': "@", '℃': "c", '℉': "f"}

func lex(words string) []token {
	var tokens []token
	for at := 0; at < len(words); {
		r, size := utf8.DecodeRuneInString(words[at:])
		t := token{start: at}
		switch {
		case unicode.IsSpace(r):
			at += size
			continue
		case isDigit(words, at) || r == '.' && isDigit(words, at+1):
			t.kind, at = numberToken, endOfNumber(words, at)
			t.text = words[t.start:at]
		case fractionGlyphs[r] != [2]float64{}:
			t.kind, at = numberToken, at+size
			t.text = words[t.start:at]
		case unicode.IsLetter(r) && sameSymbol[r] == "":
			t.kind, at = wordToken, endOfWord(words, at)
			t.text = strings.ToLower(strings.ReplaceAll(words[t.start:at], ".", ""))
		default:
			t.kind, at = symbolToken, at+size
			t.text = words[t.start:at]
			if same, ok := sameSymbol[r]; ok {
				t.text = same
			}
		}
		t.end = at
		if t.text == "percent" {
			t.kind, t.text = symbolToken, "%"
		}
		tokens = append(tokens, t)
	}
	return tokens
}

func isDigit(words string, at int) bool {
	return at < len(words) && '0' <= words[at] && words[at] <= '9'
}

// endOfNumber takes digits, and dots or commas between digits.
func endOfNumber(words string, at int) int {
	for isDigit(words, at) || at < len(words) && (words[at] == '.' || words[at] == ',') && isDigit(words, at+1) {
		at++
	}
	return at
}

// endOfWord takes letters and the dots of abbreviations: "fl.", "s.g.", and all of "CO2".
func endOfWord(words string, at int) int {
	start := at
	for at < len(words) {
		r, size := utf8.DecodeRuneInString(words[at:])
		carbonDioxide := strings.EqualFold(words[start:at], "co") && (r == '2' || r == '₂')
		if !unicode.IsLetter(r) && r != '.' && !carbonDioxide || sameSymbol[r] != "" {
			break
		}
		at += size
	}
	return at
}
