package pages

import (
	"context"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"testing"
	"time"

	"skep/internal/app"
)

// The made-up cellar is one that the program can read, with the entries that were asked for.
func TestFill(t *testing.T) {
	ctx := context.Background()
	now := time.Date(2026, 6, 14, 12, 0, 0, 0, time.UTC)
	path := filepath.Join(t.TempDir(), "cellar.db")
	told := 0
	if err := Fill(ctx, path, 2, now, func(done, _ int) { told = done }); err != nil {
		t.Fatal(err)
	}
	cellar, err := app.Open(ctx, path, func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer cellar.Close()
	for j := range 2 {
		entries, err := cellar.History(ctx, jugName(j))
		if err != nil || len(entries) != Entries || told != 2 {
			t.Errorf("History(%q) = %d entries, %v, want %d; told of %d jugs", jugName(j), len(entries), err, Entries, told)
		}
	}
}

func TestSum(t *testing.T) {
	var all []visit
	for i := range 100 {
		all = append(all, visit{what: "Today", took: time.Duration(i+1) * time.Millisecond, bytes: 10})
	}
	all = append(all, visit{what: "Today", failed: true, took: time.Hour}, visit{what: "another", took: time.Hour})
	got := sum("Today", all)
	want := Wait{What: "Today", Asked: 101, Failed: 1, Median: 51, P99: 100, Bytes: 10}
	if got != want {
		t.Errorf("sum = %+v, want %+v", got, want)
	}
}

func TestAskCountsRefusals(t *testing.T) {
	server := httptest.NewServer(http.NotFoundHandler())
	defer server.Close()
	if v := ask(context.Background(), server.Client(), "x", http.MethodGet, server.URL, ""); !v.failed {
		t.Errorf("ask of a page that is not there = %+v, want failed", v)
	}
}
