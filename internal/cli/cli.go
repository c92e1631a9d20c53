package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

// Exit statuses.
const (
	exitDone       = 0
	exitCouldNot   = 1
	exitAskedWrong = 2
	exitFault      = 3
)

// door is one run of the program.
type door struct {
	ctx      context.Context
	in       io.Reader
	out, err io.Writer

	cellarPath string // --cellar
	units      string // --units
	clockWords string // --clock
	json       bool   // --json
	plain      bool   // text in ASCII only
}

// Run carries out one command line and returns the exit status.
func Run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	cobra.EnableCommandSorting = false // the order of a jug's life
	d := &door{ctx: context.Background(), in: stdin, out: stdout, err: stderr}
	root := d.rootCommand()
	root.SetArgs(minus(args))
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(d.ctx)
	if err == nil {
		return exitDone
	}
	return d.fail(err)
}

// minus writes the sign of a number that stands alone, "-2 C", as a true minus, so that it
// is not taken for a flag.
func minus(args []string) []string {
	args = slices.Clone(args)
	for i, a := range args {
		if len(a) > 1 && a[0] == '-' && strings.ContainsRune("0123456789.", rune(a[1])) {
			args[i] = "−" + a[1:]
		}
	}
	return args
}

// rootCommand is the whole tree of commands.
func (d *door) rootCommand() *cobra.Command {
	root := &cobra.Command{
		Use:   "skep",
		Short: "Follow a jug of mead or country wine from the kitchen to a safe bottle",
		Long: `Skep follows jugs of mead and country wine: what a jug can become from what is in
the kitchen, brew day, how it stands without opening it, and when it may be bottled.

Try it without a jug of your own:  skep demo`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          noSuchCommand,
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	flags := root.PersistentFlags()
	flags.StringVar(&d.cellarPath, "cellar", "", "file that holds the record (default: $SKEP_CELLAR, else in your data folder)")
	flags.StringVar(&d.units, "units", "", "us, imperial or metric, for this command (default: your setting, else metric)")
	flags.BoolVar(&d.json, "json", false, "answer with one JSON value")
	flags.StringVar(&d.clockWords, "clock", "", `pretend that it is this time, "2026-05-03 18:30"`)
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		var number *strconv.NumError
		if errors.As(err, &number) {
			err = fmt.Errorf("%q is no whole number, zero or more", number.Num)
		}
		return &usageError{err: err, hint: fmt.Sprintf("%s --help lists the flags", c.CommandPath())}
	})
	root.AddGroup(
		&cobra.Group{ID: "jug", Title: "A jug's life:"},
		&cobra.Group{ID: "know", Title: "What it means:"},
		&cobra.Group{ID: "keep", Title: "The record and the kitchen:"},
	)
	root.SetHelpCommandGroupID("keep")
	root.SetCompletionCommandGroupID("keep")
	for _, group := range []struct {
		id       string
		commands []*cobra.Command
	}{{"jug", d.jugCommands()}, {"know", d.knowCommands()}, {"keep", d.keepCommands()}} {
		for _, c := range group.commands {
			c.GroupID = group.id
			root.AddCommand(c)
		}
	}
	return root
}

// noSuchCommand refuses an unknown word where a command is wanted. It is the Args of
// every command that only holds others.
func noSuchCommand(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	hint := c.CommandPath() + " --help lists the commands"
	c.SuggestionsMinimumDistance = 2 // letters
	if near := c.SuggestionsFor(args[0]); len(near) > 0 {
		hint = fmt.Sprintf("did you mean %q?", c.CommandPath()+" "+near[0])
	}
	return &usageError{err: fmt.Errorf("there is no command %q", c.CommandPath()+" "+args[0]), hint: hint}
}

// exactly wants n words after the command, named for the message.
func exactly(names ...string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		switch {
		case len(args) < len(names):
			return &usageError{err: fmt.Errorf("%s needs %s", c.CommandPath(), names[len(args)]), hint: "write " + c.UseLine()}
		case len(args) > len(names):
			return &usageError{err: fmt.Errorf("%s: %q is one word too many", c.CommandPath(), args[len(names)]), hint: `put words with spaces in quotes: "elderflower 2026"`}
		}
		return nil
	}
}

// clock is the time of the machine, or what --clock pretends.
func (d *door) clock() (func() time.Time, error) {
	if d.clockWords == "" {
		return time.Now, nil
	}
	t, err := measure.ParseTime(d.clockWords, time.Now())
	if err != nil {
		return nil, &usageError{err: fmt.Errorf("--clock %w", err)}
	}
	return func() time.Time { return t }, nil
}

// withCellar opens the record, lets use work with it, and closes it.
func (d *door) withCellar(use func(*app.Cellar) error) (err error) {
	path, clock, err := d.where()
	if err != nil {
		return err
	}
	c, err := app.Open(d.ctx, path, clock)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, c.Close()) }()
	if d.units != "" {
		if err := c.UseUnits(d.units); err != nil {
			return err
		}
	}
	return use(c)
}

// where is the file that holds the record, and what tells the time.
func (d *door) where() (path string, clock func() time.Time, err error) {
	if clock, err = d.clock(); err != nil {
		return "", nil, err
	}
	path = d.cellarPath
	if path == "" {
		path = os.Getenv("SKEP_CELLAR")
	}
	if path == "" {
		path, err = defaultPath()
	}
	return path, clock, err
}

// defaultPath is cellar.db in the person's data folder.
func defaultPath() (string, error) {
	if dir := os.Getenv("XDG_DATA_HOME"); dir != "" {
		return filepath.Join(dir, "skep", "cellar.db"), nil
	}
	if home, err := os.UserHomeDir(); err == nil && os.PathSeparator == '/' {
		return filepath.Join(home, ".local", "share", "skep", "cellar.db"), nil
	}
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no folder for the record: %w; name a file with --cellar", err)
	}
	return filepath.Join(dir, "skep", "cellar.db"), nil
}

// answer shows a result: as JSON if asked for, else as text tells it.
func (d *door) answer(result any, text func(w *page)) error {
	if d.json {
		encoder := json.NewEncoder(d.out)
		encoder.SetIndent("", "  ")
		encoder.SetEscapeHTML(false)
		return encoder.Encode(result)
	}
	w := &page{}
	text(w)
	told := w.String()
	if d.plain {
		told = plain(told)
	}
	_, err := io.WriteString(d.out, told)
	return err
}

// usageError is a command line that does not make sense.
type usageError struct {
	err  error
	hint string
}

func (e *usageError) Error() string { return e.err.Error() }
func (e *usageError) Unwrap() error { return e.err }
func (e *usageError) Hint() string  { return e.hint }

// fault says that something was checked and found wrong.
type fault struct{ error }

// fail tells of an error and returns the exit status.
func (d *door) fail(err error) int {
	status := exitCouldNot
	var usage *usageError
	var asked *app.AskError
	var parse *measure.ParseError
	var found fault
	switch {
	case errors.As(err, &found):
		status = exitFault
	case errors.As(err, &usage), errors.As(err, &asked), errors.As(err, &parse):
		status = exitAskedWrong
	}
	errors.As(err, &parse) // an AskError may hold one
	hint := ""
	var hinted interface{ Hint() string }
	if errors.As(err, &hinted) {
		hint = hinted.Hint()
	}
	message := oneLine(err.Error())
	if d.json {
		type body struct {
			Message string `json:"message"`
			Hint    string `json:"hint,omitempty"`
			Field   string `json:"field,omitempty"`
		}
		b := body{Message: message, Hint: hint}
		if asked != nil {
			b.Field = asked.Field
		}
		_ = json.NewEncoder(d.out).Encode(map[string]body{"error": b})
		return status
	}
	fmt.Fprintf(d.err, "skep: %s\n", message)
	if parse != nil {
		for line := range strings.Lines(parse.Marked()) {
			fmt.Fprintf(d.err, "      %s\n", strings.TrimRight(line, "\n"))
		}
	}
	if hint != "" {
		fmt.Fprintf(d.err, "skep: hint: %s\n", oneLine(hint))
	}
	return status
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
