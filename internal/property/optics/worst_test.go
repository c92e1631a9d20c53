package optics

import "testing"

// worst keeps the largest deviation and says which row it was.
type worst struct {
	off   float64
	where string
	count int
}

func (w *worst) note(off float64, where string) {
	w.count++
	if off = max(off, -off); off >= w.off {
		w.off, w.where = off, where
	}
}

func (w *worst) log(t *testing.T, unit string) {
	t.Helper()
	t.Logf("worst of %d: %.6f %s at %s", w.count, w.off, unit, w.where)
}
