package app_test

import (
	"context"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"skep/internal/app"
)

const key = "0123456789abcdefKEY"

// What is sent twice under a key is recorded once, whenever the second comes.
func TestOnce(t *testing.T) {
	ctx := context.Background()
	now := time.Date(2026, 6, 14, 16, 0, 0, 0, time.UTC)
	cellar, err := app.Open(ctx, filepath.Join(t.TempDir(), "cellar.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer cellar.Close()

	start := app.StartWords{Name: "elderflower", Jug: "1 gal", With: []string{"1 kg honey"}, Yeast: "a packet of wine yeast", Room: "19 C"}
	once, err := cellar.Once(key)
	if err != nil {
		t.Fatal(err)
	}
	first, err := once.Start(ctx, start)
	if err != nil {
		t.Fatal(err)
	}
	now = now.Add(time.Hour)
	again, err := once.Start(ctx, start)
	if err != nil || again.Jug != first.Jug {
		t.Errorf("second Start under the key = %q, %v, want %q", again.Jug, err, first.Jug)
	}
	if _, err := cellar.Start(ctx, start); err == nil {
		t.Error("Start without a key of a name that is taken succeeded")
	}

	look := app.LookWords{Jug: "elderflower", Bubbles: "8/min"}
	once, err = cellar.Once(key + "look")
	if err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	numbers := make([]int, 8)
	for i := range numbers {
		all.Go(func() {
			recorded, err := once.Look(ctx, look)
			if err != nil {
				t.Errorf("Look under the key: %v", err)
			}
			numbers[i] = recorded.Number
		})
	}
	all.Wait()
	now = now.Add(48 * time.Hour)
	late, err := once.Look(ctx, look)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range append(numbers, late.Number) {
		if n != numbers[0] {
			t.Errorf("entry %d, want %d as the first time", n, numbers[0])
		}
	}
	history, err := cellar.History(ctx, "elderflower")
	if err != nil {
		t.Fatal(err)
	}
	if len(history) != 4 { // made, pitched, moved, looked
		t.Errorf("%d entries, want 4: %+v", len(history), history)
	}
	if _, err := cellar.Once("short"); err == nil {
		t.Error("a key of five letters was taken")
	}
}
