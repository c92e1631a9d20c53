package chart

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image/png"
	"io"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"skep/internal/measure"
)

var start = time.Date(2026, 6, 14, 16, 0, 0, 0, time.UTC)

func example() Picture {
	p := Picture{Title: "Gravity", Description: "From 1.083 to 0.996.", Now: start.AddDate(0, 0, 10), From: start.AddDate(0, 0, 16), To: start.AddDate(0, 0, 24)}
	for d := range 32 {
		v := 0.996 + 0.087/(1+float64(d*d)/40)
		p.Reckoned = append(p.Reckoned, Dated{start.AddDate(0, 0, d), measure.Normal(v, 0.0004*float64(d), "SG")})
	}
	p.Read = []Dated{{start, measure.Normal(1.083, 0.001, "SG")}, {start.AddDate(0, 0, 9), measure.Normal(1.026, 0.001, "SG")}}
	p.Marks = []Mark{{start, "Y"}, {start.AddDate(0, 0, 1), "A"}, {start.AddDate(0, 0, 1), "A"}}
	return p
}

// elements are the start tags of an SVG that is well formed.
func elements(t *testing.T, svg string) []xml.StartElement {
	t.Helper()
	var all []xml.StartElement
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatalf("%v in %s", err, svg)
		}
		if e, ok := token.(xml.StartElement); ok {
			all = append(all, e)
		}
	}
}

func TestSVGHasClassesAndNoColours(t *testing.T) {
	for _, width := range []float64{360, 900} {
		svg, err := example().SVG(width, 320, "g")
		if err != nil {
			t.Fatal(err)
		}
		if folder := os.Getenv("SKEP_PICTURES"); folder != "" {
			if err := os.WriteFile(fmt.Sprintf("%s/chart-%g.svg", folder, width), []byte(svg), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		kinds := map[string]int{}
		for _, e := range elements(t, svg) {
			for _, a := range e.Attr {
				switch {
				case a.Name.Local == "style" || a.Name.Local == "fill" || a.Name.Local == "stroke":
					t.Errorf("%s has %s=%q: a page's policy or its dark scheme is against it", e.Name.Local, a.Name.Local, a.Value)
				case a.Name.Local == "class":
					kinds[a.Value]++
				}
			}
		}
		for kind, least := range map[string]int{
			"line accent": 2, "area band": 1, "area window": 1, "area ink": 2, "line ink": 3, "word ink": 3, "word quiet": 8, "line rule": 4,
		} {
			if kinds[kind] < least {
				t.Errorf("%d of %q at %g wide, want %d or more", kinds[kind], kind, width, least)
			}
		}
		if kinds["line "]+kinds["area "]+kinds["word "] > 0 {
			t.Errorf("something has no class: %v", kinds)
		}
		if len(svg) > 12<<10 {
			t.Errorf("%d bytes at %g wide, want 12 kB at most", len(svg), width)
		}
		for _, words := range []string{"<title id=\"g-t\">Gravity</title>", "From 1.083 to 0.996.", ">now<", ">likely end<", ">1.080<", ">21 Jun<"} {
			if !strings.Contains(svg, words) {
				t.Errorf("at %g wide it lacks %s", width, words)
			}
		}
	}
}

func TestPNG(t *testing.T) {
	var b bytes.Buffer
	if err := example().PNG(&b, 600, 300, 192); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil || img.Bounds().Dx() != 1200 || img.Bounds().Dy() != 600 {
		t.Errorf("PNG = %v, %v, want 1200 x 600", img.Bounds(), err)
	}
	if folder := os.Getenv("SKEP_PICTURES"); folder != "" {
		f, err := os.Create(folder + "/chart.png")
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(png.Encode(f, img), f.Close()); err != nil {
			t.Fatal(err)
		}
	}
	if err := (Picture{}).PNG(io.Discard, 600, 300, 96); err == nil {
		t.Error("an empty picture was drawn")
	}
	if _, err := (Picture{}).SVG(600, 300, "x"); err == nil {
		t.Error("an empty picture was drawn")
	}
}

func TestTicks(t *testing.T) {
	for _, tt := range []struct {
		low, high float64
		decimals  int
		want      string
	}{
		{0.996, 1.083, 2, "[0.98 1 1.02 1.04 1.06 1.08 1.1]"},
		{0.9961, 0.9984, 4, "[0.996 0.9965 0.997 0.9975 0.998 0.9985]"},
		{0, 11.6, 0, "[0 2 4 6 8 10 12]"},
		{19, 19, 2, "[18.9 18.95 19 19.05 19.1]"},
	} {
		ticks, decimals := valueTicks(tt.low, tt.high)
		for i := range ticks {
			ticks[i] = math.Round(1e6*ticks[i]) / 1e6
		}
		if fmt.Sprint(ticks) != tt.want || decimals != tt.decimals {
			t.Errorf("valueTicks(%g, %g) = %v, %d, want %s, %d", tt.low, tt.high, ticks, decimals, tt.want, tt.decimals)
		}
	}
	for days, want := range map[int]int{3: 3, 10: 5, 40: 5, 200: 3, 3000: 1} {
		ticks := dayTicks(start, start.AddDate(0, 0, days), 5)
		if len(ticks) > 5 || len(ticks) < want {
			t.Errorf("%d days have %d ticks", days, len(ticks))
		}
		for _, d := range ticks {
			if h, m, s := d.Clock(); days < 3000 && h+m+s != 0 {
				t.Errorf("a day begins at %v", d)
			}
		}
	}
}

func BenchmarkSVG(b *testing.B) {
	p := example()
	for b.Loop() {
		if _, err := p.SVG(360, 300, "g"); err != nil {
			b.Fatal(err)
		}
	}
}
