package cli_test

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"skep/internal/cli"
)

const (
	readme   = "../../README.md"
	accuracy = "../../docs/accuracy.md"
)

// The README's output is real: every console block is run, every excerpt of the demo is
// looked up in what the demo prints, and every row of its accuracy table stands in the
// generated one. With -update they are written anew.
func TestReadmeIsTrue(t *testing.T) { keptTrue(t, readme, renewed) }

// keptTrue holds a file to what it becomes when all that is printed in it by a command is
// printed again, or, with -update, writes that.
func keptTrue(t *testing.T, path string, renewed func(t *testing.T, text string) string) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	got := renewed(t, string(text))
	if got == string(text) {
		return
	}
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	was, is := strings.Split(string(text), "\n"), strings.Split(got, "\n")
	for i := range min(len(was), len(is)) {
		if was[i] != is[i] {
			t.Fatalf("%s line %d reads\n%s\nand should read\n%s\ngo test ./internal/cli -update renews it", path, i+1, was[i], is[i])
		}
	}
	t.Fatalf("%s is shorter or longer than it should be; go test ./internal/cli -update renews it", path)
}

// renewed is the README with all that is printed by a command printed again.
func renewed(t *testing.T, text string) string {
	t.Helper()
	table, err := os.ReadFile(accuracy)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	for i := 0; i < len(lines); i++ {
		line := lines[i]
		out.WriteString(line + "\n")
		switch {
		case strings.HasPrefix(line, "<!-- demo: "):
			excerpt := scene(t, strings.TrimSuffix(strings.TrimPrefix(line, "<!-- demo: "), " -->"))
			out.WriteString("```text\n" + excerpt + "```\n")
			i = end(t, lines, i+1)
		case line == console:
			fence := end(t, lines, i)
			out.WriteString(printed(t, lines[i+1:fence]) + "```\n")
			i = fence
		case strings.HasPrefix(line, "| --- | --- | --- | ---: |"):
			for _, row := range strings.Split(string(table), "\n") {
				for _, shown := range inReadme {
					if strings.HasPrefix(row, "| "+shown+" |") {
						out.WriteString(strings.ReplaceAll(row, "](sources.md", "](docs/sources.md") + "\n")
					}
				}
			}
			for i+1 < len(lines) && strings.HasPrefix(lines[i+1], "|") {
				i++
			}
		}
	}
	return out.String()
}

// inReadme are the rows of the accuracy table that the README shows.
var inReadme = []string{
	"density of ethanol and water, 20 °C",
	"density of sucrose in water, 20 °C",
	"hydrometer at another temperature",
	"density of wine to 14 % vol",
	"extract of a gravity, 15/15 °C",
	"pressure of a closed bottle, careful",
	"sugar in a fermentation",
}

// console opens a block of command lines, each behind "$ ", and what they print.
const console = "```console"

// printed is such a block with what its commands print now.
func printed(t *testing.T, block []string) string {
	t.Helper()
	var out strings.Builder
	for _, line := range block {
		if command, ok := strings.CutPrefix(line, "$ skep "); ok {
			out.WriteString(line + "\n" + run(t, split(command)...))
		}
	}
	return out.String()
}

// end is the line of the fence that closes the block which begins at line i.
func end(t *testing.T, lines []string, i int) int {
	t.Helper()
	for i++; i < len(lines); i++ {
		if lines[i] == "```" {
			return i
		}
	}
	t.Fatal("a block of text does not end")
	return i
}

// scene is a scene of the demo, from its words to the next one's.
func scene(t *testing.T, begins string) string {
	t.Helper()
	text := run(t, "demo")
	_, after, found := strings.Cut(text, "\n"+begins)
	if !found {
		t.Fatalf("the demo has no scene that begins %q", begins)
	}
	lines := strings.SplitAfter(begins+after, "\n")
	prompts := 0
	for i, line := range lines {
		if strings.Contains(line, " $ skep ") {
			prompts++
		}
		if prompts == 2 { // the next scene: its prompt, and the words before it
			for i > 0 && strings.TrimSpace(lines[i-1]) == "" {
				i--
			}
			for i > 0 && strings.TrimSpace(lines[i-1]) != "" {
				i--
			}
			return strings.TrimRight(strings.Join(lines[:i], ""), "\n") + "\n"
		}
	}
	return strings.Join(lines, "")
}

func run(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if status := cli.Run(args, strings.NewReader(""), &out, &errs); status != 0 {
		t.Fatalf("skep %s: exit %d: %s", strings.Join(args, " "), status, errs.String())
	}
	return out.String()
}
