package reference_test

import (
	"slices"
	"strings"
	"testing"

	"skep/internal/batch"
	"skep/internal/reference"
)

func TestClosuresSayWhatTheyAreFor(t *testing.T) {
	kinds := map[string]bool{}
	for _, b := range reference.Bottles() {
		kinds[b.Name] = true
	}
	for _, c := range reference.Closures() {
		if c.Why == "" || c.Status == "" || len(c.Sources) == 0 && c.Status != "common practice" {
			t.Errorf("%s: without reason, or neither source nor common practice", c.Name)
		}
		for _, key := range c.Sources {
			if _, ok := reference.Source(key); !ok {
				t.Errorf("%s: source %q is not in the register", c.Name, key)
			}
		}
		for _, style := range c.Styles {
			if !slices.Contains([]batch.Style{batch.Still, batch.StillStabilised, batch.Sparkling}, batch.Style(style)) {
				t.Errorf("%s is for style %q, which is none", c.Name, style)
			}
		}
		for _, kind := range c.Bottles {
			if !kinds[kind] {
				t.Errorf("%s goes on %q, which is no kind of bottle", c.Name, kind)
			}
		}
		// What sparkles is held by closures made for it, and no other.
		if sparkling := slices.Contains(c.Styles, string(batch.Sparkling)); sparkling != (c.Limit >= 3) {
			t.Errorf("%s: for sparkling %v, and trusted with %g bar", c.Name, sparkling, c.Limit)
		}
		if !(c.BelowLow > 0 && c.BelowLow <= c.BelowHigh && c.HeadspaceML > 0) {
			t.Errorf("%s: fill %g to %g mm below the rim, %g mL of room", c.Name, c.BelowLow, c.BelowHigh, c.HeadspaceML)
		}
		for _, name := range append([]string{c.Name}, c.Aliases...) {
			if got, err := reference.ClosureNamed(name); err != nil || got.Name != c.Name {
				t.Errorf("ClosureNamed(%q) = %q, %v, want %q", name, got.Name, err, c.Name)
			}
		}
	}
	if _, err := reference.ClosureNamed("wax"); err == nil || !strings.Contains(err.Error(), "crown cap") {
		t.Errorf(`ClosureNamed("wax") = %v, want an error that lists them`, err)
	}
}

func TestUsualClosure(t *testing.T) {
	for _, tt := range []struct {
		kind  string
		style batch.Style
		want  string
	}{
		{"sparkling-wine glass", batch.Sparkling, "wired cork"},
		{"sparkling-wine glass", batch.Still, "crown cap"},
		{"beer glass", batch.Sparkling, "crown cap"},
		{"carbonated PET", batch.Sparkling, "PET cap"},
		{"still-wine glass", batch.Still, "screw cap"},
		{"cork-stoppered still", batch.StillStabilised, "cork"},
		{"swing-top", batch.Still, "swing-top"},
		// Nothing that goes on it is for sparkling: the closure says no more than the bottle.
		{"still-wine glass", batch.Sparkling, "screw cap"},
	} {
		if c, found := reference.UsualClosure(tt.kind, string(tt.style)); !found || c.Name != tt.want {
			t.Errorf("UsualClosure(%s, %s) = %q, %v, want %q", tt.kind, tt.style, c.Name, found, tt.want)
		}
	}
	if c, found := reference.UsualClosure("jar", string(batch.Still)); found {
		t.Errorf("UsualClosure(jar) = %q, want none", c.Name)
	}
}
