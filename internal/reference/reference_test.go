package reference_test

import (
	"slices"
	"strings"
	"testing"

	"skep/internal/reference"
)

func TestRegisterIsWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range reference.Sources() {
		if e.Key == "" || e.Status == "" || e.What == "" || e.Citation == "" {
			t.Errorf("source %+v has an empty column", e)
		}
		if seen[e.Key] {
			t.Errorf("source %q stands twice", e.Key)
		}
		seen[e.Key] = true
		if got, ok := reference.Source(e.Key); !ok || got != e {
			t.Errorf("Source(%q) = %+v, %v, want the entry itself", e.Key, got, ok)
		}
	}
	if !slices.IsSortedFunc(reference.Sources(), func(a, b reference.Entry) int { return strings.Compare(a.Key, b.Key) }) {
		t.Error("sources.csv is not in the order of its keys")
	}
	if _, ok := reference.Source("no such key"); ok {
		t.Error(`Source("no such key") was found`)
	}
}

func TestBottlesNameTheirSources(t *testing.T) {
	for _, b := range reference.Bottles() {
		if b.Why == "" || b.Status == "" || len(b.Sources) == 0 {
			t.Errorf("%s: limit without reason, status or source", b.Name)
		}
		for _, key := range b.Sources {
			if _, ok := reference.Source(key); !ok {
				t.Errorf("%s: source %q is not in the register", b.Name, key)
			}
		}
	}
}

// The limits that keep hands whole. Test pressures of new bottles are 12 and 16 bar, and
// 6.5 bar gauge is the most that was measured in a sound bottle: no limit may reach those.
func TestBottleLimitsAreCareful(t *testing.T) {
	for _, b := range reference.Bottles() {
		if b.Limit < 0 || b.Limit > 6 {
			t.Errorf("%s: limit %g bar, want 0 to 6", b.Name, b.Limit)
		}
	}
	for _, name := range []string{"jug", "demijohn", "carboy", "Swing-Top", "swing top", "mason jar"} {
		if b, err := reference.BottleKindNamed(name); err != nil || b.Limit != 0 {
			t.Errorf("BottleKindNamed(%q) = limit %g bar, %v, want 0 bar", name, b.Limit, err)
		}
	}
	for _, name := range []string{"wine bottle", "corked", "still-wine glass"} {
		if b, err := reference.BottleKindNamed(name); err != nil || b.Limit > 1 {
			t.Errorf("BottleKindNamed(%q) = limit %g bar, %v, want at most 1 bar", name, b.Limit, err)
		}
	}
}

func TestBottleNamesAreUnique(t *testing.T) {
	for _, b := range reference.Bottles() {
		for _, name := range append([]string{b.Name}, b.Aliases...) {
			if got, err := reference.BottleKindNamed(name); err != nil || got.Name != b.Name {
				t.Errorf("BottleKindNamed(%q) = %q, %v, want %q", name, got.Name, err, b.Name)
			}
		}
	}
	if _, err := reference.BottleKindNamed("teapot"); err == nil || !strings.Contains(err.Error(), "sparkling-wine glass") {
		t.Errorf(`BottleKindNamed("teapot") error = %v, want one that lists the kinds`, err)
	}
}
