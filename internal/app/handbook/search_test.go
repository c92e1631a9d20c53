package handbook

import (
	"slices"
	"strings"
	"testing"
)

func TestSearch(t *testing.T) {
	for _, tt := range []struct {
		words, want string // name of a topic that is found
		first       bool
	}{
		{"cloudy", "cloudy", true},
		{"SULPHITE sorbate", "sulphite-and-sorbate", true},
		{"pomegranate zeppelin", "", false},
		{"  ", "", false},
		{"rotten", "rotten-eggs", true},
		{"elder", "plants", false},
	} {
		found, err := Search(tt.words)
		if err != nil {
			t.Fatal(err)
		}
		at := slices.IndexFunc(found, func(f Found) bool { return f.Name == tt.want })
		switch {
		case tt.want == "" && len(found) > 0:
			t.Errorf("Search(%q) finds %d topics, want none", tt.words, len(found))
		case tt.want != "" && (at < 0 || tt.first && at > 0):
			t.Errorf("Search(%q): %s is at place %d of %d", tt.words, tt.want, at+1, len(found))
		}
		for _, f := range found {
			if f.Text == "" {
				t.Errorf("Search(%q) shows nothing of %s", tt.words, f.Name)
			}
		}
	}
}

// Words of the trade and sources can be pointed at, each once.
func TestTerms(t *testing.T) {
	for topic, want := range map[string][]string{
		"words":   {"airlock", "must", "gravity", "pitching", "racking", "SO2", "sulphite", "% vol", "pH", "YAN"},
		"sources": {"oiml-r22", "tanaka2001"},
	} {
		read, err := Read(topic)
		if err != nil {
			t.Fatal(err)
		}
		var terms []string
		for _, b := range read.Blocks {
			if b.Kind == Item && len(read.Terms(b)) == 0 {
				t.Errorf("%s: %q explains no word", topic, b.Text)
			}
			for _, term := range read.Terms(b) {
				if slices.Contains(terms, term) || strings.TrimSpace(term) != term || term == "" {
					t.Errorf("%s: term %q is there twice or badly cut", topic, term)
				}
				terms = append(terms, term)
			}
		}
		for _, term := range want {
			if !slices.Contains(terms, term) {
				t.Errorf("%s explains %q, want %q among them", topic, terms, term)
			}
		}
	}
}
