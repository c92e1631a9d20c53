package speed

import (
	"errors"
	"runtime"
	"testing"
	"time"

	"skep/internal/estimate"
)

// What is timed must be right: within 1e-4 of a close integration.
func TestTrajectoriesAreRight(t *testing.T) {
	all, err := many()
	if err != nil {
		t.Fatal(err)
	}
	got, err := worst(all)
	t.Logf("worst of %d: %.2g", len(all), got)
	if err != nil || got > 1e-4 {
		t.Errorf("worst error of sugar %.3g, %v; want 1e-4 at most", got, err)
	}
}

// Both must follow the same jugs: their sugar, over all times, agrees to 1e-4.
func TestPeerFollowsTheSame(t *testing.T) {
	peer, err := BesidePeer(time.Now, t.TempDir())
	if errors.Is(err, errNoPeer) {
		t.Skip(err)
	}
	if err != nil || peer.Apart > 1e-4 {
		t.Fatalf("peer %+v, %v; want sugar within 1e-4", peer, err)
	}
	t.Logf("%s: %.1f µs a trajectory, ours %.1f: %.1f times", peer.Name, peer.Each.Value, peer.Ours.Value, peer.Ratio)
}

// BenchmarkTrajectories is 10 000 jugs of 60 days on all threads.
func BenchmarkTrajectories(b *testing.B) {
	all, err := many()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := followAll(all, runtime.GOMAXPROCS(0)); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkEstimate is one of 30 looks of four kinds.
func BenchmarkEstimate(b *testing.B) {
	s, err := mead(3)
	if err != nil {
		b.Fatal(err)
	}
	observations, err := seen(s, looks)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := estimate.NewSampler().Estimate(s, observations); err != nil {
			b.Fatal(err)
		}
	}
}
