package paper

import (
	"math"
	"strings"
	"testing"
)

// Common sheets are cut so that what is left over is the same on both sides.
func TestGridsLieOnTheirPaper(t *testing.T) {
	for _, g := range Grids() {
		x, y := g.at(g.Count() - 1)
		if right, below := g.Paper.Width-x-g.Width, g.Paper.Height-y-g.Height; math.Abs(right-g.Left) > 0.01 || math.Abs(below-g.Top) > 0.01 || right < -0.2 || below < -0.2 {
			t.Errorf("%v: %.2f and %.2f mm before, %.2f and %.2f behind", g, g.Left, g.Top, right, below)
		}
		if back, err := GridOf(g.String()); err != nil || back != g {
			t.Errorf("GridOf(%q) = %+v, %v, want %+v", g, back, err, g)
		}
	}
}

func TestGridOf(t *testing.T) {
	for _, tt := range []struct {
		words string
		count int // 0: refused
		left  float64
		err   string
	}{
		{"A4 2x4 99.1x67.7", 8, 4.65, ""},
		{"a4 2 x 4 99.1 x 67.7 mm", 8, 4.65, ""},
		{"A4 90x60", 8, 15, ""},
		{"A4 40x30 gap 2x2", 36, 22, ""},
		{"Letter 2x5 101.6x50.8 gap 4.8x0 from 4x12.7", 10, 4, ""},
		{"A4 3x4 99.1x67.7", 0, 0, "do not fit on A4"},
		{"A4 300x60", 0, 0, "does not fit on A4, 210 x 297 mm"},
		{"A4 10x60", 0, 0, "too small to be read"},
		{"A4 0x4 99.1x67.7", 0, 0, "does not fit"},
		{"A4 2x4 99.1x67.7 from 20x10", 0, 0, "do not fit"},
		{"foolscap 2x4 90x60", 0, 0, `no sheet of labels is called "foolscap 2x4 90x60"`},
		{"", 0, 0, "no sheet"},
	} {
		g, err := GridOf(tt.words)
		if tt.count == 0 {
			if err == nil || !strings.Contains(err.Error(), tt.err) {
				t.Errorf("GridOf(%q) = %+v, %v, want an error with %q", tt.words, g, err, tt.err)
			}
			continue
		}
		if err != nil || g.Count() != tt.count || math.Abs(g.Left-tt.left) > 0.001 {
			t.Errorf("GridOf(%q) = %+v, %v, want %d labels from %g mm", tt.words, g, err, tt.count, tt.left)
		}
	}
}

// Whatever is understood lies on its paper and is not too small.
func FuzzGridOf(f *testing.F) {
	for _, g := range Grids() {
		f.Add(g.String())
	}
	f.Add("A4 40x30 gap 2x2 from 5x5")
	f.Fuzz(func(t *testing.T, words string) {
		g, err := GridOf(words)
		if err != nil {
			return
		}
		x, y := g.at(g.Count() - 1)
		if g.Count() < 1 || g.Width < smallest || g.Height < smallest || g.Left < -1 || g.Top < -1 || x+g.Width > g.Paper.Width+1 || y+g.Height > g.Paper.Height+1 {
			t.Errorf("GridOf(%q) = %+v: not on its paper", words, g)
		}
	})
}
