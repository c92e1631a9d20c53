package house

import (
	"bytes"
	"flag"
	"fmt"
	"go/doc"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"skep/internal/reference"
	"skep/internal/reference/tables"
)

var update = flag.Bool("update", false, "renew the pages of docs that are printed from the code")

// docs/sources.md is the register and the index of tables, for readers.
func TestSourcesPage(t *testing.T) {
	var page strings.Builder
	page.WriteString(`<!-- Generated from internal/reference/sources.csv and internal/reference/tables/index.csv by go test ./internal/house -update. -->
# Sources

Where each number of Skep is from, by the key that stands in brackets in the code, and how far the source was read. *From memory, tested* means that it could not be read but meets tables that were; *from memory, unverified* that nothing rests on it but a default.

| key | how far read | used for | citation |
| --- | --- | --- | --- |
`)
	for _, e := range reference.Sources() {
		fmt.Fprintf(&page, "| <a id=%q></a>%s | %s | %s | %s |\n", e.Key, e.Key, e.Status, e.What, e.Citation)
	}
	page.WriteString(`
# Tables

What the methods are held against ([accuracy.md](accuracy.md) says how near they come), in ` + "`internal/reference/tables`" + `, whose README says what each status means. A line with a column speaks of that column only.

| table | column | rows | status | sources | what |
| --- | --- | ---: | --- | --- | --- |
`)
	for _, e := range tables.Index() {
		fmt.Fprintf(&page, "| `%s` | %s | %d | %s | %s | %s |\n", e.Table, e.Column, e.Rows, e.Status, strings.Join(e.Sources, ", "), e.What)
	}
	compare(t, "sources.md", []byte(page.String()))
}

// The table of rooms in docs/architecture.md is the plan, each line with the first
// sentence of the room's own documentation. What is around it is written by hand.
func TestRoomsOfThePage(t *testing.T) {
	const begin, end = "<!-- rooms: printed by go test ./internal/house -update -->\n", "<!-- end of rooms -->\n"
	rooms := "\n| room | what it does | may import |\n| --- | --- | --- |\n"
	for _, line := range plan {
		what := synopsis(t, line.room)
		if what == "" {
			continue // planned, not built
		}
		may := "-"
		if len(line.may) > 0 {
			may = strings.Join(line.may, ", ")
		}
		rooms += fmt.Sprintf("| `internal/%s` | %s | %s |\n", line.room, what, may)
	}
	rooms += "\n"
	page, err := os.ReadFile(filepath.Join(root, "docs", "architecture.md"))
	if err != nil {
		t.Fatal(err)
	}
	before, rest, found := bytes.Cut(page, []byte(begin))
	_, after, closed := bytes.Cut(rest, []byte(end))
	if !found || !closed {
		t.Fatalf("docs/architecture.md has no %q … %q to stand between", begin, end)
	}
	compare(t, "architecture.md", bytes.Join([][]byte{before, []byte(begin), []byte(rooms), []byte(end), after}, nil))
}

// compare holds a page of docs against what the code says, or renews it.
func compare(t *testing.T, name string, want []byte) {
	t.Helper()
	path := filepath.Join(root, "docs", name)
	if *update {
		if err := os.WriteFile(path, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("docs/%s is not what the code says: go test ./internal/house -update", name)
	}
}

// synopsis returns the first sentence of a room's documentation less "Package name",
// "" if there is no such room yet.
func synopsis(t *testing.T, room string) string {
	t.Helper()
	for _, path := range goFiles(t, filepath.Join(root, "internal", room)) {
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.PackageClauseOnly|parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		if file.Doc != nil {
			sentence := new(doc.Package).Synopsis(file.Doc.Text())
			return strings.TrimSuffix(strings.TrimPrefix(sentence, "Package "+room+" "), ".")
		}
	}
	return ""
}
