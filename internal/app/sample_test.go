package app_test

import (
	"path/filepath"
	"testing"
	"time"

	"skep/internal/advice"
	"skep/internal/app"
)

// The sample cellar shows a jug in each state that a visitor should see once, none of
// them a fright.
func TestSampleCellar(t *testing.T) {
	now := time.Date(2026, 6, 14, 16, 0, 0, 0, time.UTC)
	c, err := app.OpenSample(t.Context(), filepath.Join(t.TempDir(), "sample.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	for name, want := range map[string]func(app.Stood) bool{
		"elderflower": func(s app.Stood) bool { return s.Standing.Phase == advice.Working },
		"quince": func(s app.Stood) bool {
			return s.Standing.Phase == advice.Waiting || s.Standing.Phase == advice.Working
		},
		"blackberry": func(s app.Stood) bool {
			return s.Standing.Phase == advice.Stalled || s.Standing.Phase == advice.CannotTell
		},
		"heather mead": func(s app.Stood) bool { return s.Bottling.Answer == advice.NotYet },
		"apple": func(s app.Stood) bool {
			return s.Standing.Phase == advice.Finished && s.Bottling.Answer == advice.ReadyStill
		},
	} {
		stood, fresh, err := c.Kept(t.Context(), name)
		if err != nil || !fresh || !want(stood) || len(stood.Misfits) > 0 {
			t.Errorf("%s: %v, fresh %t, %s: %s; misfits %v", name, err, fresh, stood.Standing.Phase, stood.Standing.Sentence, stood.Misfits)
		}
	}
	lots, err := c.Shelf(t.Context())
	if err != nil || len(lots) != 1 || lots[0].Left != 4 {
		t.Errorf("Shelf = %+v, %v, want 4 bottles of one lot", lots, err)
	}
	wants, err := c.Today(t.Context(), 0)
	if err != nil || len(wants) < 3 {
		t.Errorf("Today = %v, %v", wants, err)
	}
	for _, w := range wants {
		if w.Urgency == advice.Danger {
			t.Errorf("%s: %s, because %s", w.Jug, w.What, w.Why)
		}
	}
	if !c.Now().Equal(now) {
		t.Errorf("the clock of the cellar stands at %v, want now", c.Now())
	}
}
