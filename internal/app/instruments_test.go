package app_test

import (
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"skep/internal/app"
)

// What the maker's hydrometer does wrong is taken off, unless another's was read.
func TestHydrometer(t *testing.T) {
	c, err := app.Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return time.Date(2026, 5, 3, 12, 0, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	w := app.StartWords{Jug: "4.5 L", With: []string{"1.2 kg honey"}, Gravity: "1.092 at 20 C"}
	reading := func(name, calibrated string) float64 {
		t.Helper()
		w.Name, w.Calibrated = name, calibrated
		started, err := c.Start(t.Context(), w)
		if err != nil {
			t.Fatal(err)
		}
		return started.Check.Read.Value
	}
	before := reading("before", "")
	if _, err := c.KeepHydrometer(t.Context(), "60 F", "1.003"); err != nil {
		t.Fatal(err)
	}
	own, others := reading("own", ""), reading("another's", "20 C")
	if math.Abs(others-before) > 1e-9 {
		t.Errorf("a reading on another's hydrometer is %.4f, want %.4f as before", others, before)
	}
	// 0.003 less by its fault; a scale for 60 °F shows the must of 20 °C some 0.001 too low.
	if fall := before - own; fall < 0.0015 || fall > 0.0029 {
		t.Errorf("the reading fell by %.4f, want 0.003 less what the warmer sample hides, about 0.001", fall)
	}
	for _, tt := range []struct{ name, calibrated, water, field string }{
		{"slipped paper", "20 C", "1.020", "water"},
		{"no hydrometer", "80 C", "1.000", "calibrated"},
		{"no gravity", "20 C", "a bit off", "water"},
	} {
		_, err := c.KeepHydrometer(t.Context(), tt.calibrated, tt.water)
		var asked *app.AskError
		if !errors.As(err, &asked) || asked.Field != tt.field {
			t.Errorf("%s: %v, want an error at %s", tt.name, err, tt.field)
		}
	}
	if h, err := c.Hydrometer(t.Context()); err != nil || h.Words != "60 F" || h.Water != 1.003 {
		t.Errorf("Hydrometer = %+v, %v, want what was kept before the slips", h, err)
	}
}

func TestForget(t *testing.T) {
	c, err := app.Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return time.Date(2026, 5, 3, 12, 0, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if _, err := c.KeepVessel(t.Context(), "green demijohn", "5 L", "1.4 kg"); err != nil {
		t.Fatal(err)
	}
	if err := c.ForgetVessel(t.Context(), "Green Demijohn"); err != nil {
		t.Error(err)
	}
	if k, err := c.Kitchen(t.Context()); err != nil || len(k.Vessels) != 0 {
		t.Errorf("Kitchen = %+v, %v, want no vessel", k.Vessels, err)
	}
	if err := c.ForgetVessel(t.Context(), "green demijohn"); err == nil || !strings.Contains(err.Error(), "none of that name") {
		t.Errorf("forgetting it again = %v, want that there is none", err)
	}
}
