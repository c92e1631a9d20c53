package cli_test

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"skep/internal/cli"
)

const demoGolden = "testdata/demo.txt"

// The demo prints the same on every machine: its seeds come from its own record.
func TestDemo(t *testing.T) {
	if raced {
		t.Skip("one goroutine, and ten times as slow under the race detector")
	}
	var out, err bytes.Buffer
	if exit := cli.Run([]string{"demo"}, strings.NewReader(""), &out, &err); exit != 0 || err.Len() > 0 {
		t.Fatalf("exit %d, %s", exit, err.String())
	}
	got := out.String()
	if *update {
		if err := os.WriteFile(demoGolden, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	golden, fail := os.ReadFile(demoGolden)
	if fail != nil {
		t.Fatal(fail)
	}
	if diff := cmp.Diff(strings.Split(string(golden), "\n"), strings.Split(got, "\n")); diff != "" {
		t.Errorf("-golden +got; go test -update renews it:\n%s", diff)
	}
	// Its story: a plan, days of work, "not yet" more than once, then "ready", then a shelf.
	rest := got
	for _, turn := range []string{
		"skep plan", "It becomes", "skep start", "they agree", ": working",
		": not yet", "no bubbles", ": not yet", ": finished", ": ready", "5 of 5 x 750 mL",
	} {
		_, after, found := strings.Cut(rest, turn)
		if !found {
			t.Fatalf("the demo does not come to %q after the turns before it", turn)
		}
		rest = after
	}
	if strings.Contains(rest, "not yet") {
		t.Error("the demo ends with not yet")
	}
}
