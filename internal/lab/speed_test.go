package lab

import (
	"bytes"
	"strings"
	"testing"

	"skep/internal/lab/speed"
	"skep/internal/measure"
)

func TestSpeedIsAskedRightly(t *testing.T) {
	var out, bad bytes.Buffer
	if got := Run([]string{"speed", "now"}, &out, &bad); got != 2 || out.Len() != 0 {
		t.Errorf("skep-lab speed now: exit %d, %q; want 2 and nothing", got, out.String())
	}
}

// The text says the peer's ratio, or why there is none.
func TestSpeedText(t *testing.T) {
	r := &speed.Result{Threads: 2, NoPeer: "no peer here"}
	var out strings.Builder
	if err := writeSpeed(&out, r); err != nil || !strings.Contains(out.String(), "no peer here") {
		t.Errorf("without a peer: %q, %v", out.String(), err)
	}
	r.Peer = &speed.Peer{Name: "other", Ratio: 12.3, Each: measure.Exact(246, "µs"), Ours: measure.Exact(20, "µs")}
	out.Reset()
	if err := writeSpeed(&out, r); err != nil || !strings.Contains(out.String(), "12.3 times") || strings.Contains(out.String(), "no peer") {
		t.Errorf("with a peer: %q, %v", out.String(), err)
	}
}
