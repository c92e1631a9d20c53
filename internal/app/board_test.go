package app_test

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"skep/internal/app"
)

// A card has the next step of finishing a jug that is finished, and of another the look to
// come that would tell most; both are kept with the rest.
func TestCardsTellTheNextStepAndLook(t *testing.T) {
	now := time.Date(2026, 6, 14, 16, 0, 0, 0, time.UTC)
	sample, err := app.OpenSample(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer sample.Close()
	brief := func(jug string) app.Brief {
		t.Helper()
		list, _, err := sample.Briefs(t.Context(), 0, 10)
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range list {
			if b.Jug == jug {
				return b
			}
		}
		t.Fatalf("there is no %q in %d briefs", jug, len(list))
		return app.Brief{}
	}
	if b := brief("apple"); !strings.Contains(b.NextStep, "choose how") || b.Telling != nil {
		t.Errorf("apple, finished: next step %q, look %+v, want to choose how, and no look", b.NextStep, b.Telling)
	}
	if b := brief("elderflower"); b.NextStep != "" || b.Telling == nil || b.Telling.Words == "" {
		t.Errorf("elderflower, at work: next step %q, look %+v, want none, and the look that tells most", b.NextStep, b.Telling)
	}
	if b := brief("last year's apple"); b.NextStep != "" || b.Telling != nil || !b.Emptied {
		t.Errorf("last year's apple, bottled: next step %q, look %+v, emptied %t", b.NextStep, b.Telling, b.Emptied)
	}
}
