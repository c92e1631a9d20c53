package cli_test

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"skep/internal/cli"
)

// help runs a command line in an empty cellar and wants it done.
func help(t *testing.T, args ...string) string {
	t.Helper()
	var out, err bytes.Buffer
	exit := cli.Run(append([]string{"--cellar", filepath.Join(t.TempDir(), "cellar.db")}, args...), strings.NewReader(""), &out, &err)
	if exit != 0 {
		t.Fatalf("%q: exit %d, %s", args, exit, err.String())
	}
	return out.String()
}

// commands lists the commands that the help of one lists, with what it says of each.
func commands(text string) map[string]string {
	said := map[string]string{}
	_, text, _ = strings.Cut(text, "\nUsage:\n")
	text, _, _ = strings.Cut(text, "\nFlags:\n")
	list := false
	for line := range strings.Lines(text) {
		switch {
		case strings.HasPrefix(line, "Examples:"):
			list = false
		case !strings.HasPrefix(line, " ") && strings.HasSuffix(line, ":\n"):
			list = true
		case list && strings.HasPrefix(line, "  "):
			name, short, _ := strings.Cut(strings.TrimSpace(line), " ")
			said[name] = strings.TrimSpace(short)
		}
	}
	return said
}

// Every command says in a line what it is for, and one that takes words shows some.
func TestHelp(t *testing.T) {
	seen := 0
	var walk func(path []string)
	walk = func(path []string) {
		text := help(t, append(path, "--help")...)
		below := commands(text)
		for name, short := range below {
			if short == "" {
				t.Errorf("skep %s %s does not say what it is for", strings.Join(path, " "), name)
			}
			if name == "help" || name == "completion" {
				continue // cobra's own
			}
			seen++
			walk(append(append([]string{}, path...), name))
		}
		_, usage, _ := strings.Cut(text, "Usage:\n")
		usage, _, _ = strings.Cut(usage, "\n")
		takesWords := strings.ContainsFunc(strings.ReplaceAll(usage, "[flags]", ""), func(r rune) bool { return 'A' <= r && r <= 'Z' })
		if takesWords && !strings.Contains(text, "Examples:\n  skep "+strings.Join(path, " ")) {
			t.Errorf("skep %s takes words and shows no example", strings.Join(path, " "))
		}
	}
	walk(nil)
	if seen < 35 {
		t.Errorf("%d commands found", seen)
	}
}

func TestCompletion(t *testing.T) {
	for _, shell := range []string{"bash", "zsh", "fish", "powershell"} {
		if text := help(t, "completion", shell); !strings.Contains(text, "skep") || len(text) < 1000 {
			t.Errorf("completion %s prints\n%s", shell, text)
		}
	}
	for _, tt := range []struct {
		args []string
		want string
	}{
		{[]string{"lo"}, "look\t"},
		{[]string{"shelf", ""}, "open\t"},
		{[]string{"kitchen", "units", ""}, "imperial\n"},
		{[]string{"plan", "--yeast", ""}, "cider yeast\n"},
		{[]string{"plan", "--sweet", ""}, "off-dry\n"},
	} {
		if text := help(t, append([]string{"__complete"}, tt.args...)...); !strings.Contains(text, tt.want) {
			t.Errorf("completion of %q gives\n%swant %q", tt.args, text, tt.want)
		}
	}
}

// The names of jugs complete every command that is about one.
func TestJugsComplete(t *testing.T) {
	cellar := filepath.Join(t.TempDir(), "cellar.db")
	exit, _, stderr := runPlan(t, cellar, "start", "elder", "--jug", "5 L", "--with", "1 kg honey", "--yeast", "a packet of mead yeast")
	if exit != 0 {
		t.Fatal(stderr)
	}
	for _, command := range []string{"pitch", "look", "add", "rack", "move", "trial", "finish", "bottle", "taste", "withdraw", "forecast", "rescue", "history", "shelf open"} {
		args := append([]string{"__complete"}, strings.Fields(command)...)
		if _, stdout, _ := runPlan(t, cellar, append(args, "e")...); !strings.HasPrefix(stdout, "elder\n") {
			t.Errorf("skep %s e completes to\n%s", command, stdout)
		}
		if _, stdout, _ := runPlan(t, cellar, append(args, "elder", "")...); strings.Contains(stdout, "elder\n") {
			t.Errorf("skep %s elder completes to a second jug\n%s", command, stdout)
		}
	}
}
