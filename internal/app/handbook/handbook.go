package handbook

import (
	"embed"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"skep/internal/app/calc"
	"skep/internal/reference"
)

//go:embed *.md
var files embed.FS

// Chapter is a part of the table of contents.
type Chapter struct {
	Title  string    `json:"title"`
	Topics []Heading `json:"topics"`
}

// Heading is a topic in the table of contents.
type Heading struct {
	Name  string `json:"name"` // "when-to-bottle"
	Title string `json:"title"`
}

// Topic is one topic, to be shown by a door.
type Topic struct {
	Heading
	Blocks  []Block  `json:"blocks"`
	Valid   string   `json:"valid,omitempty"` // what the calculation of this name is good for
	Sources []Source `json:"sources"`
	SeeAlso []string `json:"see_also"` // names of topics
}

// Block is a part of a topic.
type Block struct {
	Kind Kind   `json:"kind"`
	Text string `json:"text"` // without line ends, but for an example
}

// Kind is a kind of Block.
type Kind string

// The kinds.
const (
	Subtitle  Kind = "subtitle"
	Paragraph Kind = "paragraph"
	Item      Kind = "item"    // of a list
	Caution   Kind = "caution" // to be seen before all else
	Example   Kind = "example" // a command line behind "$ ", and what it prints
)

// Source is a source that a topic rests on.
type Source struct {
	Key      string `json:"key"`
	Status   string `json:"status"` // how far it was read
	Citation string `json:"citation"`
}

// chapters name the topics in the order of a maker's questions. All calculations have a
// topic; those that are not named here stand in a chapter of their own.
var chapters = []struct {
	title  string
	topics []string
}{
	{"The first jug", []string{"first-jug", "words", "units", "scaling", "fruit", "yeasts", "nutrients", "weighing-the-jug"}},
	{"While it works", []string{"airlock", "how-long", "stuck-slow-or-done", "rotten-eggs", "mould-or-vinegar", "headspace", "cloudy"}},
	{"Towards the bottle", []string{"when-to-bottle", "finishing", "bottling-day", "shelf", "paper", "calendar", "sulphite-and-sorbate", "fizz"}},
	{"Calculations, by skep calc", nil},
	{"To be sure", []string{"cautions", "plants", "law", "record", "sources"}},
}

// Contents returns the table of contents.
func Contents() []Chapter {
	named := map[string]bool{}
	for _, c := range chapters {
		for _, name := range c.topics {
			named[name] = true
		}
	}
	var all []Chapter
	for _, c := range chapters {
		chapter := Chapter{Title: c.title}
		names := c.topics
		if names == nil {
			for _, k := range calc.All() {
				if !named[k.Name] {
					names = append(names, k.Name)
				}
			}
		}
		for _, name := range names {
			if text, err := files.ReadFile(name + ".md"); err == nil {
				chapter.Topics = append(chapter.Topics, Heading{name, titleOf(text)})
			}
		}
		all = append(all, chapter)
	}
	return all
}

// titleOf is the first line less its mark.
func titleOf(text []byte) string {
	line, _, _ := strings.Cut(string(text), "\n")
	return strings.TrimPrefix(line, "# ")
}

var (
	sourceKey = regexp.MustCompile(`\[([a-z][a-z0-9-]+)\]`)
	link      = regexp.MustCompile(`\[([^\]]+)\]\(([a-z0-9-]+)\.md\)`)
)

// Read returns a topic of the contents.
//
// Errors: there is no such topic; one that cannot be read is a fault of its file.
func Read(name string) (Topic, error) {
	raw, err := files.ReadFile(name + ".md")
	if err != nil {
		return Topic{}, fmt.Errorf("the handbook has no topic %q", name)
	}
	text, err := filled(name, string(raw))
	if err != nil {
		return Topic{}, fmt.Errorf("handbook topic %s: %w", name, err)
	}
	topic := Topic{Heading: Heading{name, titleOf(raw)}, Sources: []Source{}, SeeAlso: []string{}}
	for _, found := range link.FindAllStringSubmatch(text, -1) {
		if !slices.Contains(topic.SeeAlso, found[2]) {
			topic.SeeAlso = append(topic.SeeAlso, found[2])
		}
	}
	text = link.ReplaceAllString(text, "$1")
	if topic.Blocks, err = blocks(text); err != nil {
		return Topic{}, fmt.Errorf("handbook topic %s: %w", name, err)
	}
	var keys []string
	if i := slices.IndexFunc(calc.All(), func(c calc.Calculation) bool { return c.Name == name }); i >= 0 {
		topic.Valid, keys = calc.All()[i].Valid, calc.All()[i].Sources
	}
	for _, b := range topic.Blocks {
		if b.Kind == Example {
			continue
		}
		for _, found := range sourceKey.FindAllStringSubmatch(b.Text, -1) {
			keys = append(keys, found[1])
		}
	}
	for i, key := range keys {
		if slices.Contains(keys[:i], key) {
			continue
		}
		entry, known := reference.Source(key)
		if !known {
			return Topic{}, fmt.Errorf("handbook topic %s: no source is called [%s]", name, key)
		}
		topic.Sources = append(topic.Sources, Source{entry.Key, entry.Status, entry.Citation})
	}
	return topic, nil
}

// Terms are the words that a block explains, "dry" and "sweet" of "dry, sweet: without and
// with sugar", in a topic that is a list of words; none in others.
func (t Topic) Terms(b Block) []string {
	terms, _, ok := strings.Cut(b.Text, ": ")
	if !ok || b.Kind != Item || t.Name != "words" && t.Name != "sources" {
		return nil
	}
	return strings.Split(terms, ", ")
}
