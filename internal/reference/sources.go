package reference

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
)

//go:embed sources.csv
var sourcesCSV string

// Entry is one source.
type Entry struct {
	Key      string // as in doc comments
	Status   string // how far it was read: "read", "secondary", "from memory, tested", "policy" …
	What     string // what it is used for
	Citation string
}

var sources = readSources()

// Sources returns the whole register, by key.
func Sources() []Entry { return slices.Clone(sources) }

// Source returns the entry of a key, and whether there is one.
func Source(key string) (Entry, bool) {
	for _, e := range sources {
		if e.Key == key {
			return e, true
		}
	}
	return Entry{}, false
}

func readSources() []Entry {
	var all []Entry
	for _, row := range rows("sources.csv", sourcesCSV, 4) {
		all = append(all, Entry{Key: row[0], Status: row[1], What: row[2], Citation: row[3]})
	}
	return all
}

// rows reads an embedded table without its heading. A broken one is a programmer's error.
func rows(name, text string, columns int) [][]string {
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = columns
	all, err := r.ReadAll()
	if err != nil {
		panic(fmt.Sprintf("reference: %s: %v", name, err))
	}
	return all[1:]
}
