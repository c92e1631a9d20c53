package store

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
)

// TestMain lets the test program be its own second program: asked by environment, it
// appends notes to a record and says each id once Append has returned, or opens a
// record and says what came of it.
func TestMain(m *testing.M) {
	if path := os.Getenv("SKEP_TEST_OPEN"); path != "" {
		_, err := Open(path)
		fmt.Println(err)
		return
	}
	if path := os.Getenv("SKEP_TEST_APPEND_TO"); path != "" {
		if err := keepAppending(path, os.Getenv("SKEP_TEST_NAME")); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

func keepAppending(path, name string) error {
	s, err := Open(path)
	if err != nil {
		return err
	}
	for i := range 200 {
		e := note("j", fmt.Sprintf("%s-%d", name, i), 1)
		if err := s.Append(context.Background(), e); err != nil {
			return err
		}
		fmt.Println(e.ID)
	}
	return s.Close()
}

// appender starts the second program.
func appender(t *testing.T, path, name string) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(program)
	cmd.Env = append(os.Environ(), "SKEP_TEST_APPEND_TO="+path, "SKEP_TEST_NAME="+name)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd, bufio.NewScanner(out)
}

// A killed program loses nothing that Append had returned for. (It cannot show that
// a cut of the power loses nothing; that rests on synchronous=FULL.)
func TestAKilledProgramLosesNothing(t *testing.T) {
	s, path := fresh(t)
	add(t, s, made("j", "heather"))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	told := map[string]bool{}
	for round := range 6 {
		cmd, lines := appender(t, path, fmt.Sprint("round", round))
		for n := 0; lines.Scan(); n++ {
			told[strings.TrimSpace(lines.Text())] = true
			if n == 5+3*round {
				if err := cmd.Process.Kill(); err != nil {
					t.Fatal(err)
				}
			}
		}
		if err := cmd.Wait(); err == nil {
			t.Fatal("the program came to its end before it was killed: nothing was tried")
		}
	}
	s = reopen(t, path)
	kept := map[string]bool{}
	for _, e := range read(t, s, "j") {
		kept[e.ID] = true
	}
	for id := range told {
		if !kept[id] {
			t.Errorf("%s was acknowledged and is lost", id)
		}
	}
	if len(told) < 60 {
		t.Errorf("%d events acknowledged, want at least 60", len(told))
	}
	if err := s.Check(t.Context()); err != nil {
		t.Error(err)
	}
	t.Logf("%d acknowledged, %d kept", len(told), len(kept)-1)
}

func TestTwoProgramsWriteAtOnce(t *testing.T) {
	s, path := fresh(t)
	add(t, s, made("j", "heather"))
	var wg sync.WaitGroup
	for _, name := range []string{"a", "b"} {
		cmd, lines := appender(t, path, name)
		wg.Go(func() {
			for lines.Scan() {
			}
			if err := cmd.Wait(); err != nil {
				t.Errorf("program %s: %v", name, err)
			}
		})
	}
	wg.Wait()
	if got := len(read(t, s, "j")); got != 401 {
		t.Errorf("%d events, want 401", got)
	}
	if err := s.Check(t.Context()); err != nil {
		t.Error(err)
	}
}
