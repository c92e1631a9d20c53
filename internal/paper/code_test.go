package paper

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"skep/internal/app"
)

// Every square of the code of every label is there when the page is printed at 300 dots to
// the inch, and white is around it; a reader of codes, where one is installed, reads it.
func TestCodeIsRead(t *testing.T) {
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Skip("pdftoppm is not installed (Debian: poppler-utils): the printed code is not read back")
	}
	const facts = "Ежевика 2026\nlot 260525-1\ncontains sulphites"
	g := grid(t, "A4 2x5 99.1x57")
	l := elderflower()
	pdf := drawn(t, func(w io.Writer) error {
		return Labels(w, []app.Label{l, l}, LabelSheet{Grid: g, Start: 4, Code: facts}, at)
	})
	dir := t.TempDir()
	file := filepath.Join(dir, "sheet.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	const dots = 300 / 25.4 // in a mm
	if out, err := exec.Command(tool, "-r", "300", "-gray", file, filepath.Join(dir, "page")).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	pages, err := filepath.Glob(filepath.Join(dir, "page*.pgm"))
	if err != nil || len(pages) != 1 {
		t.Fatalf("pages %v, %v, want one", pages, err)
	}
	black := blackDots(t, pages[0])
	code, err := encode(facts)
	if err != nil {
		t.Fatal(err)
	}
	for place := 3; place < 5; place++ {
		x, y := g.at(place)
		pad := padding(g)
		side := codeSide(g, code)
		x, y = x+g.Width-pad-side+codeOut, y+g.Height-pad-side+codeOut
		square := side / float64(code.Size+2*margin)
		wrong := 0
		for row := -margin; row < code.Size+margin; row++ {
			for col := -margin; col < code.Size+margin; col++ {
				at := func(v float64, n int) int { return int((v + (float64(margin+n)+0.5)*square) * dots) }
				if got, want := black(at(x, col), at(y, row)), code.Black(col, row); got != want {
					wrong++
				}
			}
		}
		if wrong > 0 {
			t.Errorf("label %d: %d squares of %d x %d are not as the code has them", place, wrong, code.Size, code.Size)
		}
	}
	reader, err := exec.LookPath("zbarimg")
	if err != nil {
		t.Log("zbarimg is not installed (Debian: zbar-tools): the squares were compared, no reader was asked")
		return
	}
	read, err := exec.Command(reader, "-q", "--raw", pages[0]).Output()
	if err != nil || strings.Count(string(read), facts) != 2 {
		t.Errorf("a reader reads %q, %v, want %q twice", read, err, facts)
	}
}

// blackDots reads a picture of grey dots.
func blackDots(t *testing.T, file string) func(x, y int) bool {
	t.Helper()
	content, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var width, height, most int
	if n, err := fmt.Sscanf(string(content[:20]), "P5\n%d %d\n%d", &width, &height, &most); n != 3 {
		t.Fatal(err)
	}
	head := fmt.Sprintf("P5\n%d %d\n%d\n", width, height, most)
	dots, found := bytes.CutPrefix(content, []byte(head))
	if !found || len(dots) != width*height {
		t.Fatalf("%d dots behind %q, want %d", len(dots), head, width*height)
	}
	return func(x, y int) bool { return dots[y*width+x] < 128 }
}
