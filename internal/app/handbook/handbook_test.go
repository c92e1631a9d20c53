package handbook

import (
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"skep/internal/advice"
	"skep/internal/app/calc"
	"skep/internal/measure"
)

func all(t *testing.T) []Topic {
	t.Helper()
	var topics []Topic
	for _, c := range Contents() {
		if len(c.Topics) == 0 {
			t.Errorf("chapter %q is empty", c.Title)
		}
		for _, h := range c.Topics {
			topic, err := Read(h.Name)
			if err != nil {
				t.Error(err)
			}
			topics = append(topics, topic)
		}
	}
	return topics
}

func named(topics []Topic, name string) bool {
	return slices.ContainsFunc(topics, func(t Topic) bool { return t.Name == name })
}

func TestTopics(t *testing.T) {
	topics := all(t)
	for i, topic := range topics {
		if named(topics[:i], topic.Name) {
			t.Errorf("%s is listed twice", topic.Name)
		}
		if topic.Title == "" || len(topic.Blocks) < 2 {
			t.Errorf("%s is empty", topic.Name)
		}
		for _, b := range topic.Blocks {
			if strings.TrimSpace(b.Text) == "" {
				t.Errorf("%s has an empty %s", topic.Name, b.Kind)
			}
		}
		for _, to := range topic.SeeAlso {
			if to == topic.Name || !named(topics, to) {
				t.Errorf("%s leads to %q", topic.Name, to)
			}
		}
	}
	for _, chapter := range chapters {
		for _, name := range chapter.topics {
			if !named(topics, name) {
				t.Errorf("%q is in the contents and has no page", name)
			}
		}
	}
	pages, err := fs.Glob(files, "*.md")
	if err != nil || len(pages) != len(topics) {
		t.Errorf("%d pages, %d topics: one is not listed; %v", len(pages), len(topics), err)
	}
}

// Every calculation is explained, works an example of itself, and says what it is good for.
func TestCalculationsAreExplained(t *testing.T) {
	for _, c := range calc.All() {
		topic, err := Read(c.Name)
		if err != nil {
			t.Error(err)
			continue
		}
		if topic.Valid != c.Valid || len(topic.Sources) < len(c.Sources) {
			t.Errorf("%s: good for %q, %d sources; the calculation says %q, %d", c.Name, topic.Valid, len(topic.Sources), c.Valid, len(c.Sources))
		}
		works := func(b Block) bool {
			return b.Kind == Example && strings.HasPrefix(b.Text, "$ skep calc "+c.Name+" ") && strings.Contains(b.Text, "\n  ")
		}
		if !slices.ContainsFunc(topic.Blocks, works) {
			t.Errorf("%s works no example of itself", c.Name)
		}
	}
}

// A topic cites a source, or says that there is none.
func TestTopicsSayWhatTheyRestOn(t *testing.T) {
	for _, topic := range all(t) {
		text := ""
		for _, b := range topic.Blocks {
			text += strings.ToLower(b.Text) + "\n"
		}
		says := func(words string) bool { return strings.Contains(text, words) }
		if len(topic.Sources) == 0 && !says("no source") && !says("unverified") && !says("common usage") && topic.Name != "cautions" && topic.Name != "sources" {
			t.Errorf("%s neither cites a source nor says that it has none", topic.Name)
		}
	}
}

// Every caution is quoted by its key beside what it is about, not only in the list of all.
func TestCautionsAreQuoted(t *testing.T) {
	topics := all(t)
	for _, k := range advice.Cautions {
		in := 0
		for _, topic := range topics {
			if slices.Contains(topic.Blocks, Block{Caution, advice.Caution(k)}) {
				in++
			}
		}
		if in == 0 {
			t.Errorf("caution %q stands in no topic", k)
		}
	}
	list, err := Read("cautions")
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range advice.Cautions {
		if !slices.ContainsFunc(list.Blocks, func(b Block) bool { return strings.HasPrefix(b.Text, advice.Caution(k)) }) {
			t.Errorf("caution %q is not in the list of all", k)
		}
	}
}

// The sizes in the topic on units are those that Skep goes by, to their last digit.
func TestUnitsAreThose(t *testing.T) {
	topic, err := Read("units")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, b := range topic.Blocks {
		one, size, ok := strings.Cut(b.Text, " = ")
		if b.Kind != Item || !ok {
			continue
		}
		seen++
		got, err := measure.Parse(one, measure.Metric)
		if err != nil {
			t.Error(err)
			continue
		}
		printed, _, _ := strings.Cut(size, " ")
		want, err := strconv.ParseFloat(printed, 64)
		_, decimals, _ := strings.Cut(printed, ".")
		if err != nil || math.Abs(got.Value-want) > 0.5000001*math.Pow10(-len(decimals)) {
			t.Errorf("%q: %s is %g, %v", b.Text, one, got.Value, err)
		}
	}
	if seen < 10 {
		t.Errorf("%d units", seen)
	}
}

func TestBlocks(t *testing.T) {
	got, err := blocks("# Title\nOne\ntwo.\n\nThree `skep look`.\n> careful\n- a\n  b\n- c\n## Under\nfour\n```console\n$ x\n  y\n```\nfive\n")
	want := []Block{
		{Paragraph, "One two."},
		{Paragraph, "Three skep look."},
		{Caution, "careful"},
		{Item, "a b"},
		{Item, "c"},
		{Subtitle, "Under"},
		{Paragraph, "four"},
		{Example, "$ x\n  y"},
		{Paragraph, "five"},
	}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("blocks = %q, %v\nwant %q", got, err, want)
	}
	for _, bad := range []string{"", "no title\n", "# Title\n```console\n$ x\n"} {
		if got, err := blocks(bad); err == nil {
			t.Errorf("blocks(%q) = %q, want an error", bad, got)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for _, name := range []string{"", "beekeeping", "../handbook", "when-to-bottle.md"} {
		if topic, err := Read(name); err == nil {
			t.Errorf("Read(%q) = %q, want an error", name, topic.Title)
		}
	}
}
