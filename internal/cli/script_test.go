package cli_test

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	_ "modernc.org/sqlite" // the file format of the record, for scripts that spoil one

	"skep/internal/cli"
)

// TestMain makes skep a program that scripts can run. It takes the time from $CLOCK,
// for a story is told over months. Days are those of one place, wherever the tests run.
func TestMain(m *testing.M) {
	time.Local = time.UTC
	testscript.Main(m, map[string]func(){
		"skep": func() {
			args := os.Args[1:]
			if clock := os.Getenv("CLOCK"); clock != "" {
				args = append([]string{"--clock", clock}, args...)
			}
			os.Exit(cli.Run(args, os.Stdin, os.Stdout, os.Stderr))
		},
	})
}

// Stories of jugs and kitchens, one a file. Beside the commands of testscript they have
// these, each of which looks at the output of the command before it:
//
//	exits STATUS skep ...        runs skep and wants this exit status
//	json [PATH [PATTERN]]        one JSON value, with something there, matching
//	holds PATH NUMBER UNIT       the range at PATH holds the number
//	share FILE OF PATH X WITHIN  the value at PATH is X of that at OF in an earlier answer
//	sql FILE STATEMENT           spoils a record
//	scratch FILE OFFSET          overwrites a page of a file
func TestScripts(t *testing.T) {
	scripts := "*.txtar"
	if raced {
		scripts = "record.txtar"
	}
	files, err := filepath.Glob(filepath.Join("testdata", "script", scripts))
	if err != nil || len(files) == 0 {
		t.Fatalf("no scripts: %v", err)
	}
	testscript.Run(t, testscript.Params{
		Files: files,
		Setup: func(env *testscript.Env) error {
			env.Setenv("SKEP_CELLAR", filepath.Join(env.WorkDir, "cellar.db"))
			env.Setenv("TZ", "UTC")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits, "json": jsonAt, "holds": rangeHolds, "share": share,
			"sql": spoil, "scratch": scratch,
		},
	})
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS COMMAND...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var status *exec.ExitError
		if !errors.As(err, &status) {
			ts.Fatalf("%v", err)
		}
		got = status.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

func jsonAt(ts *testscript.TestScript, neg bool, args []string) {
	var value any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile("stdout")), &value))
	if len(args) == 0 {
		return
	}
	value, ok := at(value, args[0])
	if ok == neg && len(args) == 1 {
		ts.Fatalf("%s: is there: %v", args[0], ok)
	}
	if len(args) == 1 {
		return
	}
	if !ok {
		ts.Fatalf("there is no %s", args[0])
	}
	text, err := json.Marshal(value)
	ts.Check(err)
	if s, ok := value.(string); ok {
		text = []byte(s)
	}
	pattern, err := regexp.Compile(args[1])
	ts.Check(err)
	if pattern.Match(text) == neg {
		ts.Fatalf("%s is %s", args[0], text)
	}
}

func rangeHolds(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 3 {
		ts.Fatalf("usage: holds PATH NUMBER UNIT")
	}
	r := rangeAt(ts, "stdout", args[0])
	want := number(ts, args[1])
	if r.Unit != args[2] {
		ts.Fatalf("%s is in %s", args[0], r.Unit)
	}
	if (*r.Low <= want && want <= *r.High) == neg {
		ts.Fatalf("%s is %g to %g; %g", args[0], *r.Low, *r.High, want)
	}
}

func share(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 5 {
		ts.Fatalf("usage: share FILE OF PATH X WITHIN")
	}
	of, is := *rangeAt(ts, args[0], args[1]).Value, *rangeAt(ts, "stdout", args[2]).Value
	if want, within := number(ts, args[3]), number(ts, args[4]); !(math.Abs(is/of/want-1) <= within) {
		ts.Fatalf("%s is %g, which is %g of %g; want %g", args[2], is, is/of, of, want)
	}
}

// jsonRange is a number with its range as every answer shows it.
type jsonRange struct {
	Value, Low, High *float64
	Unit             string
}

func rangeAt(ts *testscript.TestScript, file, path string) (r jsonRange) {
	var all any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(file)), &all))
	value, ok := at(all, path)
	if !ok {
		ts.Fatalf("there is no %s", path)
	}
	text, err := json.Marshal(value)
	ts.Check(err)
	ts.Check(json.Unmarshal(text, &r))
	if r.Value == nil || r.Low == nil || r.High == nil {
		ts.Fatalf("%s is %s, want a range", path, text)
	}
	return r
}

func number(ts *testscript.TestScript, words string) float64 {
	x, err := strconv.ParseFloat(words, 64)
	ts.Check(err)
	return x
}

// at finds what stands at a path like "history.0.said"; -1 is the last of a list.
func at(value any, path string) (any, bool) {
	for _, key := range strings.Split(path, ".") {
		switch v := value.(type) {
		case map[string]any:
			inner, ok := v[key]
			if !ok {
				return nil, false
			}
			value = inner
		case []any:
			n, err := strconv.Atoi(key)
			if n < 0 {
				n += len(v)
			}
			if err != nil || n < 0 || n >= len(v) {
				return nil, false
			}
			value = v[n]
		default:
			return nil, false
		}
	}
	return value, true
}

func spoil(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: sql FILE STATEMENT")
	}
	db, err := sql.Open("sqlite", ts.MkAbs(args[0]))
	ts.Check(err)
	_, err = db.ExecContext(context.Background(), args[1])
	ts.Check(errors.Join(err, db.Close()))
}

func scratch(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: scratch FILE OFFSET")
	}
	offset, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	file, err := os.OpenFile(ts.MkAbs(args[0]), os.O_WRONLY, 0)
	ts.Check(err)
	_, err = file.WriteAt([]byte(strings.Repeat("spilt mead ", 300)), offset)
	ts.Check(errors.Join(err, file.Close()))
}
