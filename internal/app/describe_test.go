package app_test

import (
	"testing"

	"skep/internal/app"
)

// Bubbles are told once, however they were told.
func TestBubblesAreToldOnce(t *testing.T) {
	b := newBench(t)
	if _, err := b.Start(t.Context(), app.StartWords{Name: "heather", Jug: "5 L", With: []string{"1.1 kg honey"}}); err != nil {
		t.Fatal(err)
	}
	b.on(5, 3)
	for words, want := range map[string]string{
		"none": "no bubbles", "no bubbles": "no bubbles", "8 bubbles a minute": "8 bubbles a minute", "8/min": "bubbles 8/min", "one every 12 s": "bubbles one every 12 s",
	} {
		r, err := b.Look(t.Context(), app.LookWords{Jug: "heather", Bubbles: words, Room: "20 C"})
		if err != nil || r.Said != want+", room 20 C" {
			t.Errorf("a look at %q says %q, %v, want %q and the room", words, r.Said, err, want)
		}
	}
}
