// Package cli is the terminal: it reads words from the command line, calls app, and
// shows what app answers as text or, with --json, as one JSON value.
//
// Run is all of the program but os.Exit. Exit status: 0 done, 1 could not, 2 asked
// wrongly, 3 checked and found fault. With --json an error is a JSON object on standard
// output; without, a sentence on standard error.
//
// One file holds one command: its flags, its call, its text.
package cli
