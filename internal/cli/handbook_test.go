package cli_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"skep/internal/app/handbook"
)

const handbookFolder = "../app/handbook"

// What a topic shows of a calculation is what that prints; with -update it is written anew.
func TestHandbookIsTrue(t *testing.T) {
	pages, err := filepath.Glob(filepath.Join(handbookFolder, "*.md"))
	if err != nil || len(pages) < 30 {
		t.Fatalf("%d pages, %v", len(pages), err)
	}
	for _, path := range pages {
		t.Run(filepath.Base(path), func(t *testing.T) {
			keptTrue(t, path, func(t *testing.T, text string) string {
				var out strings.Builder
				lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
				for i := 0; i < len(lines); i++ {
					out.WriteString(lines[i] + "\n")
					if lines[i] == console {
						fence := end(t, lines, i)
						out.WriteString(printed(t, lines[i+1:fence]) + "```\n")
						i = fence
					}
				}
				return out.String()
			})
		})
	}
}

// topics are all of them, in the order of the contents.
func topics(t *testing.T) []handbook.Topic {
	t.Helper()
	var all []handbook.Topic
	for _, chapter := range handbook.Contents() {
		for _, heading := range chapter.Topics {
			topic, err := handbook.Read(heading.Name)
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, topic)
		}
	}
	return all
}

// Examples are calculations, which need no record. With a record nothing would be known.
func TestHandbookExamplesAreCalculations(t *testing.T) {
	examples := 0
	for _, topic := range topics(t) {
		for _, block := range topic.Blocks {
			for line := range strings.Lines(block.Text) {
				if command, ok := strings.CutPrefix(line, "$ "); ok && block.Kind == handbook.Example {
					examples++
					if !strings.HasPrefix(command, "skep calc ") {
						t.Errorf("%s: %s", topic.Name, command)
					}
				}
			}
		}
	}
	if examples < 15 {
		t.Errorf("%d examples", examples)
	}
}

// What a page tells the maker to type is understood: the command and its flags are there.
func TestHandbookCommandsExist(t *testing.T) {
	pages, err := filepath.Glob(filepath.Join(handbookFolder, "*.md"))
	if err != nil {
		t.Fatal(err)
	}
	typed, seen := regexp.MustCompile("`skep ([^`]+)`"), 0
	for _, path := range pages {
		for _, found := range typed.FindAllStringSubmatch(readFile(t, path), -1) {
			seen++
			args := split(strings.Join(strings.Fields(found[1]), " "))
			if text := help(t, append(args, "--help")...); !strings.Contains(text, "\n  skep "+args[0]) {
				t.Errorf("%s: skep %s is no command", filepath.Base(path), found[1])
			}
		}
	}
	if seen < 15 {
		t.Errorf("%d commands", seen)
	}
}

// Every topic is shown, within the width of a terminal but for what cannot be folded.
func TestHandbookShown(t *testing.T) {
	list := run(t, "handbook")
	for _, topic := range topics(t) {
		if !strings.Contains(list, "  "+topic.Name+" ") {
			t.Errorf("skep handbook does not list %s", topic.Name)
		}
		text := run(t, "handbook", topic.Name)
		for _, want := range []string{topic.Title, topic.Valid} {
			if !strings.Contains(unfolded(text), unfolded(want)) {
				t.Errorf("skep handbook %s does not say %q", topic.Name, want)
			}
		}
		for _, s := range topic.Sources {
			if !strings.Contains(unfolded(text), unfolded("["+s.Key+"] "+s.Citation)) {
				t.Errorf("skep handbook %s does not cite %s", topic.Name, s.Key)
			}
		}
		for _, mark := range []string{"](", "`", "{{", "**", "## "} {
			if strings.Contains(text, mark) {
				t.Errorf("skep handbook %s shows %q", topic.Name, mark)
			}
		}
		if lines := strings.Count(text, "\n"); lines > 100 && topic.Name != "sources" {
			t.Errorf("skep handbook %s runs to %d lines: too long to read at the stove", topic.Name, lines)
		}
	}
}

func unfolded(text string) string { return strings.Join(strings.Fields(text), " ") }

func TestHandbookCommand(t *testing.T) {
	for _, tt := range []struct {
		name, args     string
		exit           int
		stdout, stderr string // must contain; "" means must be empty
	}{
		{"a topic", "handbook airlock", 0, "Never seal a must", ""},
		{"its sources", "handbook density", 0, "[crc102-wolf] CRC Handbook", ""},
		{"where to read on", "handbook airlock", 0, "skep handbook weighing-the-jug", ""},
		{"the contents as JSON", "handbook --json", 0, `"name": "when-to-bottle"`, ""},
		{"a topic as JSON", "handbook airlock --json", 0, `"kind": "caution"`, ""},
		{"half a name", "handbook stuck", 2, "", `did you mean "skep handbook stuck-slow-or-done"?`},
		{"a slip", "handbook airlok", 2, "", `did you mean "skep handbook airlock"?`},
		{"no such topic", "handbook beekeeping", 2, "", "there is no"},
		{"an unknown topic as JSON", "handbook airlok --json", 2, `"hint":`, ""},
		{"one word too many", "handbook airlock fizz", 2, "", "one word too many"},
		{"completion", "__complete handbook wei", 0, "weighing-the-jug\tWeighing", "Completion ended"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			exit, stdout, stderr := runPlan(t, filepath.Join("no", "such", "folder", "cellar.db"), strings.Fields(tt.args)...)
			if exit != tt.exit || !holds(stdout, tt.stdout) || !holds(stderr, tt.stderr) {
				t.Errorf("skep %s: exit %d\n%s\n%s\nwant exit %d, %q and %q", tt.args, exit, stdout, stderr, tt.exit, tt.stdout, tt.stderr)
			}
		})
	}
}

func readFile(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
