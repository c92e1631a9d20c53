package web

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func TestPlainly(t *testing.T) {
	for words, want := range map[string]string{
		`write "2 L"`: `write "2 L"`,
		"write --to 1.012, or tell what went in: skep add JUG \"150 g honey\"":                 "write 1.012, or tell what went in",
		"there is none yet: record one with skep start":                                        "there is none yet: record one",
		"skep history shows the numbers":                                                       "",
		"skep rescue tells what to try first; if it stays, finish it":                          "if it stays, finish it",
		`say what went in: --with "3 lb honey"`:                                                `say what went in: "3 lb honey"`,
		"use fewer words, or leave a field out: --without":                                     "use fewer words, or leave a field out",
		"weigh it full (--full, and once --empty) or read a mark":                              "weigh it full or read a mark",
		`Yeast will ferment it unless it is stabilised first: skep finish "a.b" --path sweet.`: "Yeast will ferment it unless it is stabilised first.",
		"a jug of a jug -- no flag":                                                            "a jug of a jug -- no flag",
	} {
		if got := plainly(words); got != want {
			t.Errorf("plainly(%q) = %q, want %q", words, got, want)
		}
	}
}

var commandTalk = regexp.MustCompile(`\bskep [a-z]|(^|[ (])--[a-z]`)

// Whatever the rooms below say, no command and no flag is left of it on a page, and no
// sentence breaks off before what was one.
func TestNothingSaidBelowSpeaksOfCommands(t *testing.T) {
	said := 0
	for _, room := range []string{"../app", "../advice", "../estimate", "../batch", "../measure", "../paper"} {
		files, err := filepath.Glob(room + "/*.go")
		if err != nil || len(files) == 0 {
			t.Fatal(room, err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(file, func(n ast.Node) bool {
				literal, ok := n.(*ast.BasicLit)
				if !ok || literal.Kind != token.STRING {
					return true
				}
				words, err := strconv.Unquote(literal.Value)
				if err != nil || !commandTalk.MatchString(words) {
					return true
				}
				said++
				got := plainly(words)
				if commandTalk.MatchString(got) || regexp.MustCompile(`([:,(]| (or|with|from|to|and|a|the|by))\.?$`).MatchString(got) {
					t.Errorf("%s: %q is %q on a page", name, words, got)
				}
				return true
			})
		}
	}
	if said < 10 {
		t.Errorf("%d texts speak of commands: are they still where this test looks?", said)
	}
}
