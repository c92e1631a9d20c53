package reference_test

import (
	"testing"

	"skep/internal/reference"
)

func TestLimitsNameTheirSources(t *testing.T) {
	for substance, want := range map[string]int{"sulphur dioxide": 9, "sorbic acid": 2, "ammonium salts": 2, "gold": 0} {
		all := reference.Limits(substance)
		if len(all) != want {
			t.Errorf("%d limits of %s, want %d", len(all), substance, want)
		}
		for _, l := range all {
			if l.What == "" || l.Where == "" || l.Status == "" || l.Value <= 0 || len(l.Sources) == 0 {
				t.Errorf("%+v has an empty column", l)
			}
			for _, key := range l.Sources {
				if _, ok := reference.Source(key); !ok {
					t.Errorf("%s, %s: source %q is not in the register", substance, l.What, key)
				}
			}
		}
	}
}
