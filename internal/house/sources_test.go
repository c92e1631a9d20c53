package house

import (
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"skep/internal/property/acidity"
	"skep/internal/reference"
	"skep/internal/reference/tables"
)

const propertyRoot = "../property"

// noMethods are the exported functions of property that look up or report, and compute nothing.
var noMethods = []string{"All", "Named", "Vessels", "VesselNamed", "Within", "Error", "String"}

// labels in the order in which a doc comment has them.
var labels = []string{"Shapes:", "Valid:", "Check:", "Errors:", "Repeats:", "Source:"}

// key is a source in a comment: [oiml-r22].
var key = regexp.MustCompile(`\[([a-z][a-z0-9-]{2,})\]`)

func TestMethodsSayWhereTheyComeFrom(t *testing.T) {
	methods := 0
	for dir := range propertyPackages(t) {
		for _, f := range functions(t, dir) {
			name := filepath.Base(dir) + "." + f.Name
			if slices.Contains(noMethods, f.Name) {
				continue
			}
			methods++
			found := labelsOf(f.Doc)
			for _, need := range needs(f.Decl) {
				if !slices.Contains(found, need) {
					t.Errorf("%s says nothing of %q", name, need)
				}
			}
			if !slices.IsSortedFunc(found, func(a, b string) int { return slices.Index(labels, a) - slices.Index(labels, b) }) {
				t.Errorf("%s has its labels in the order %v, want %v", name, found, labels)
			}
			_, source, _ := strings.Cut(f.Doc, "\nSource:")
			if len(key.FindAllString(source, -1)) == 0 {
				t.Errorf("%s names no source by its [key]", name)
			}
		}
	}
	if methods < 40 {
		t.Errorf("%d methods seen, want them all", methods)
	}
}

// Every key in a comment under property is in the register.
func TestKeysAreInTheRegister(t *testing.T) {
	seen := map[string]bool{}
	for _, parsed := range propertyPackages(t) {
		for _, file := range parsed {
			for _, group := range file.Comments {
				for _, found := range key.FindAllStringSubmatch(group.Text(), -1) {
					seen[found[1]] = true
					if _, ok := reference.Source(found[1]); !ok {
						t.Errorf("source [%s] is not in internal/reference/sources.csv", found[1])
					}
				}
			}
		}
	}
	if len(seen) < 20 {
		t.Errorf("%d keys seen, want them all", len(seen))
	}
}

// A row of the register that nothing refers to is a leftover.
func TestRegisterHasNoLeftovers(t *testing.T) {
	used := map[string]bool{}
	walk(t, func(path string, content []byte) {
		for _, found := range key.FindAllSubmatch(content, -1) {
			used[string(found[1])] = true
		}
	})
	for _, b := range reference.Bottles() {
		for _, source := range b.Sources {
			used[source] = true
		}
	}
	for _, substance := range []string{"sulphur dioxide", "sorbic acid", "ammonium salts"} {
		for _, l := range reference.Limits(substance) {
			for _, source := range l.Sources {
				used[source] = true
			}
		}
	}
	for _, a := range acidity.All() {
		used[a.Source] = true
	}
	for _, e := range tables.Index() {
		for _, source := range e.Sources {
			used[source] = true
		}
	}
	for _, e := range reference.Sources() {
		if !used[e.Key] {
			t.Errorf("source [%s] is in the register and nowhere else", e.Key)
		}
	}
}

// needs returns the labels that a function must have; one without an error result has no
// Errors to tell of.
func needs(decl *ast.FuncDecl) []string {
	need := []string{"Valid:", "Source:"}
	for _, result := range decl.Type.Results.List {
		if name, ok := result.Type.(*ast.Ident); ok && name.Name == "error" {
			need = append(need, "Errors:")
		}
	}
	return need
}

// labelsOf returns the labels of a doc comment in their order.
func labelsOf(text string) []string {
	var found []string
	for line := range strings.Lines(text) {
		for _, label := range labels {
			if strings.HasPrefix(line, label) {
				found = append(found, label)
			}
		}
	}
	return found
}

// functions returns the exported functions and methods of a package.
func functions(t *testing.T, dir string) []*doc.Func {
	t.Helper()
	set := token.NewFileSet()
	var files []*ast.File
	for _, path := range goFiles(t, dir) {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(set, path, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	p, err := doc.NewFromFiles(set, files, "skep/internal/property/"+filepath.Base(dir))
	if err != nil {
		t.Fatal(err)
	}
	all := p.Funcs
	for _, kind := range p.Types {
		all = append(append(all, kind.Funcs...), kind.Methods...)
	}
	return all
}

// propertyPackages returns the files of every package at and under property, tests too.
func propertyPackages(t *testing.T) map[string][]*ast.File {
	t.Helper()
	packages := map[string][]*ast.File{}
	err := filepath.WalkDir(propertyRoot, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || !entry.IsDir() {
			return err
		}
		for _, file := range goFiles(t, path) {
			parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ParseComments)
			if err != nil {
				return err
			}
			packages[path] = append(packages[path], parsed)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return packages
}

func goFiles(t *testing.T, dir string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	return files
}
